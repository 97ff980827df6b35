//! What is kept of one panel of a variation: size, tally, and the figures to sort and choose by.

use std::collections::BTreeMap;

use super::index::{PanelFacts, TallyRow};
use super::measures::{Echo, Lines, balance, echoes, lines, mirrored};
use crate::layout::panel::Panel;
use crate::layout::tally::Tally;
use crate::stock::LayerKind;

/// Columns and courses by which a panel is shifted to see what repeats.
const ECHO_REACH: i32 = 3;

/// The measures that variations are sorted by, each with what it is.
pub const MEASURES: &[(&str, &str)] = &[
    (
        "matched",
        "share of the joints through which lines run on, from 0 to 1",
    ),
    ("kinds", "number of kinds of tile"),
    (
        "looks",
        "number of tiles that look different, kinds, turns and flips together",
    ),
    (
        "variety",
        "bits: - sum of p log2(p) over the looks, p being the share of tiles with that look; 0 when all are alike",
    ),
    (
        "trimmed",
        "share of the tiles that the trim cuts, from 0 to 1",
    ),
];

/// The facts of a panel whose picture is in the file `picture` with that digest.
#[must_use]
pub fn facts(panel: &Panel, picture: String, picture_sha256: String) -> PanelFacts {
    let tally = Tally::of(panel);
    PanelFacts {
        name: panel.name.clone(),
        picture,
        picture_sha256,
        width_mm: tidy(tally.width),
        height_mm: tidy(tally.height),
        net_area_mm2: tidy(tally.net_area),
        joints: tally.joints.all,
        joints_matched: tally.joints.matched,
        whole: tally.whole,
        trimmed: tally.trimmed,
        tally: tally
            .rows
            .iter()
            .map(|row| TallyRow {
                kind: row.kind.clone(),
                turn: tidy(row.pose.turn),
                flip: row.pose.flip,
                whole: row.whole,
                trimmed: row.trimmed,
            })
            .collect(),
    }
}

/// The measures of the panels of one variation, taken together.
#[must_use]
pub fn measures(panels: &[Panel]) -> BTreeMap<String, f64> {
    let tallies: Vec<Tally> = panels.iter().map(Tally::of).collect();
    let sum = |of: fn(&Tally) -> u64| tallies.iter().map(of).sum::<u64>();
    let share = |part: u64, all: u64| {
        if all == 0 {
            0.0
        } else {
            part as f64 / all as f64
        }
    };
    let counts = look_counts(&tallies);
    let all = sum(Tally::total);
    let variety = counts.iter().filter(|&&n| n > 0).fold(0.0, |sum, &n| {
        let p = share(n, all);
        sum - p * libm::log2(p)
    });
    let mut kinds: Vec<&str> = tallies
        .iter()
        .flat_map(|t| &t.rows)
        .map(|row| row.kind.as_str())
        .collect();
    kinds.sort_unstable();
    kinds.dedup();
    let values = [
        share(sum(|t| t.joints.matched), sum(|t| t.joints.all)),
        kinds.len() as f64,
        counts.len() as f64,
        variety,
        share(sum(|t| t.trimmed), all),
        most(panels, longest),
        panels.iter().map(|p| drawn_lines(p).loops as f64).sum(),
        mean(panels, mirror),
        mean(panels, echo),
        mean(panels, uneven),
    ];
    let names = MEASURES.iter().map(|(name, _)| (*name).to_owned());
    names.zip(values.map(tidy)).collect()
}

/// Of several panels the mean, weighted by their tiles.
fn mean(panels: &[Panel], of: fn(&Panel) -> f64) -> f64 {
    let all: usize = panels.iter().map(|p| p.tiles.len()).sum();
    let sum: f64 = panels.iter().map(|p| of(p) * p.tiles.len() as f64).sum();
    if all == 0 { 0.0 } else { sum / all as f64 }
}

/// Of several panels the largest.
fn most(panels: &[Panel], of: fn(&Panel) -> f64) -> f64 {
    panels.iter().map(of).fold(0.0, f64::max)
}

fn longest(panel: &Panel) -> f64 {
    drawn_lines(panel).longest
}

/// The veneers; where there are none, all layers.
fn drawn_lines(panel: &Panel) -> Lines {
    let veneers = lines(panel, |layer| layer.kind == LayerKind::Veneer);
    if veneers.count > 0 {
        veneers
    } else {
        lines(panel, |_| true)
    }
}

fn mirror(panel: &Panel) -> f64 {
    let m = mirrored(panel);
    let turns = m.half_turn.max(m.quarter_turn);
    m.left_right.max(m.top_bottom).max(turns)
}

/// Shifts after which less than half of the tiles meet another say little.
fn echo(panel: &Panel) -> f64 {
    let enough = |e: &Echo| 2 * e.pairs as usize >= panel.tiles.len();
    let all = echoes(panel, ECHO_REACH);
    if all.is_empty() && !panel.tiles.is_empty() {
        return 1.0;
    }
    all.iter()
        .find(|e| enough(e))
        .map_or(0.0, |e| e.above_chance)
}

fn uneven(panel: &Panel) -> f64 {
    balance(panel).iter().map(|b| b.share * b.off).sum()
}

/// How many tiles have each look.
fn look_counts(tallies: &[Tally]) -> Vec<u64> {
    let mut counts: Vec<(&str, (u64, bool), u64)> = Vec::new();
    for row in tallies.iter().flat_map(|t| &t.rows) {
        let pose = row.looks_like.unwrap_or(row.pose);
        let look = (pose.turn.to_bits(), pose.flip);
        match counts
            .iter_mut()
            .find(|(k, l, _)| *k == row.kind && *l == look)
        {
            Some((.., count)) => *count += row.total(),
            None => counts.push((&row.kind, look, row.total())),
        }
    }
    counts.into_iter().map(|(.., count)| count).collect()
}

/// Rounded to a millionth, and never `-0`.
fn tidy(value: f64) -> f64 {
    libm::round(value * 1e6) / 1e6 + 0.0
}
