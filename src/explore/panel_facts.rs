//! What is kept of one panel of a variation: size, tally, and the figures to sort and choose by.

use std::collections::{BTreeMap, BTreeSet};

use super::index::{PanelFacts, TallyRow};
use super::measures::{Echo, Lines, balance, echoes, lines, mirrored};
use crate::layout::panel::Panel;
use crate::layout::tally::Tally;
use crate::stock::LayerKind;

/// Columns and courses by which a panel is shifted to see what repeats.
const ECHO_REACH: i32 = 3;

/// A figure that variations are sorted and chosen by.
#[derive(Debug)]
pub struct Measure {
    /// Its name.
    pub name: &'static str,
    /// What it is.
    pub what: &'static str,
    of: fn(&[Panel], &[Tally]) -> f64,
}

/// All measures. Of several panels those of tiles and joints count all together, `longest` is the
/// largest, and the others are means weighted by tiles.
pub const MEASURES: &[Measure] = &[
    Measure {
        name: "matched",
        what: "share of the joints through which lines run on, from 0 to 1",
        of: |_, tallies| {
            let matched = sum(tallies, |t| t.joints.matched);
            share(matched, sum(tallies, |t| t.joints.all))
        },
    },
    Measure {
        name: "kinds",
        what: "number of kinds of tile",
        of: |_, tallies| kinds(tallies) as f64,
    },
    Measure {
        name: "looks",
        what: "number of tiles that look different, kinds, turns and flips together",
        of: |_, tallies| look_counts(tallies).len() as f64,
    },
    Measure {
        name: "variety",
        what: "bits: - sum of p log2(p), p being the share of tiles with each look; 0 when all are alike",
        of: |_, tallies| variety(tallies),
    },
    Measure {
        name: "trimmed",
        what: "share of the tiles that the trim cuts, from 0 to 1",
        of: |_, tallies| share(sum(tallies, |t| t.trimmed), sum(tallies, Tally::total)),
    },
    Measure {
        name: "longest",
        what: "mm of the longest line through joints; lines are veneers, or all layers where there are none",
        of: |panels, _| panels.iter().map(longest).fold(0.0, f64::max),
    },
    Measure {
        name: "loops",
        what: "number of those lines that close",
        of: |panels, _| panels.iter().map(|p| drawn_lines(p).loops as f64).sum(),
    },
    Measure {
        name: "mirror",
        what: "largest share of tiles whose image looks just so, in either mirror, half or quarter turn",
        of: |panels, _| mean(panels, mirror),
    },
    Measure {
        name: "echo",
        what: "how alike the panel is to itself, shifted by up to 3 tiles: 1 when it repeats, 0 for chance",
        of: |panels, _| mean(panels, echo),
    },
    Measure {
        name: "uneven",
        what: "how far the colours lie from the middle, by area: 0 when each is spread evenly",
        of: |panels, _| mean(panels, uneven),
    },
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
    let one = |m: &Measure| (m.name.to_owned(), tidy((m.of)(panels, &tallies)));
    MEASURES.iter().map(one).collect()
}

fn sum(tallies: &[Tally], of: fn(&Tally) -> u64) -> u64 {
    tallies.iter().map(of).sum()
}

fn share(part: u64, all: u64) -> f64 {
    if all == 0 {
        0.0
    } else {
        part as f64 / all as f64
    }
}

fn kinds(tallies: &[Tally]) -> usize {
    let rows = tallies.iter().flat_map(|t| &t.rows);
    let names: BTreeSet<&str> = rows.map(|row| row.kind.as_str()).collect();
    names.len()
}

/// Shannon, A Mathematical Theory of Communication, Bell System Technical Journal 27 (1948).
fn variety(tallies: &[Tally]) -> f64 {
    let all = sum(tallies, Tally::total);
    let counts = look_counts(tallies).into_iter().filter(|&n| n > 0);
    counts.fold(0.0, |sum, n| {
        let p = share(n, all);
        sum - p * libm::log2(p)
    })
}

/// Of several panels the mean, weighted by their tiles.
fn mean(panels: &[Panel], of: fn(&Panel) -> f64) -> f64 {
    let all: usize = panels.iter().map(|p| p.tiles.len()).sum();
    let sum: f64 = panels.iter().map(|p| of(p) * p.tiles.len() as f64).sum();
    if all == 0 { 0.0 } else { sum / all as f64 }
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
    let enough = |e: &&Echo| 2 * e.pairs as usize >= panel.tiles.len();
    let all = echoes(panel, ECHO_REACH);
    if all.is_empty() {
        return 1.0;
    }
    all.iter().find(enough).map_or(0.0, |e| e.above_chance)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::{evaluate, memory_host::MemoryHost, settings::Settings, source::Source};
    use std::sync::Arc;

    fn measured(fill: &str) -> BTreeMap<String, f64> {
        let text = format!(
            "let light = bar(plywood(3, 18).rip(18)).slice(\"light\");
             let dark = bar(plywood(3, 18, \"walnut\").rip(18)).slice(\"dark\");
             panel(\"p\", squares(light)).size(4, 1).fill(|cell| {fill});"
        );
        let source = Arc::new(Source::new("p.rhai", text));
        let host = Arc::new(MemoryHost::new());
        let outcome = evaluate(&source, &Settings::default(), host).unwrap();
        measures(&outcome.panels)
    }

    #[test]
    fn one_dark_tile_at_the_end_of_four() {
        let found = measured("if cell.column == 3 { dark } else { light }");
        let expected = [
            ("kinds", 2.0),
            ("looks", 2.0),
            // Shares 3/4 and 1/4: 0.811 bits.
            ("variety", 0.811_278),
            ("trimmed", 0.0),
            ("mirror", 1.0),
            ("loops", 0.0),
        ];
        for (name, value) in expected {
            assert!(
                (found[name] - value).abs() < 1e-6,
                "{name}: {}",
                found[name]
            );
        }
        assert!(found["uneven"] > 0.0);
        assert_eq!(found.len(), MEASURES.len());
    }

    #[test]
    fn four_alike() {
        let found = measured("light");
        assert!(found["variety"].abs() < 1e-9 && (found["echo"] - 1.0).abs() < 1e-9);
        assert!((found["matched"] - 1.0).abs() < 1e-9, "{found:?}");
        assert!(found["uneven"].abs() < 1e-6);
    }

    #[test]
    fn nothing_is_no_trouble() {
        assert!(measures(&[]).values().all(|v| v.is_finite()));
    }
}
