//! The measures: figures of a whole variation to sort, filter and choose by.
//!
//! Each has its formula here and in `docs/variations.md`. A measure that has no meaning for a panel
//! is not defined for it, which is different from 0.

use std::collections::{BTreeMap, BTreeSet};

use super::known_faces::KnownFaces;
use super::measures::{Echo, Lines, balance, echoes, lines, mirrored};
use crate::appearance::{change, contrast, legibility::Seeing};
use crate::geom::number::millionth;
use crate::layout::panel::Panel;
use crate::layout::tally::Tally;
use crate::plan::CountBack;
use crate::stock::{Bar, LayerKind};

/// How far a panel is shifted to see what repeats: so many sides of a square as large as a mean tile.
const ECHO_REACH: f64 = 3.5;

/// A variation to be measured.
#[derive(Debug, Clone, Copy)]
pub struct Measured<'a> {
    /// Its panels, as they are made.
    pub panels: &'a [Panel],
    /// The same panels as they are looked at: with a finish, in a light, by another colour vision.
    pub seen: &'a [Panel],
    /// Finish and eyes.
    pub seeing: Seeing,
    /// The tally of each of them.
    pub tallies: &'a [Tally],
    /// The plan of a shop for them; none where there can be none.
    pub plan: Option<&'a CountBack>,
}

/// A figure that variations are sorted and chosen by.
#[derive(Debug)]
pub struct Measure {
    /// Its name.
    pub name: &'static str,
    /// The unit of its value; empty for numbers, shares and prices.
    pub unit: &'static str,
    /// What it is.
    pub what: &'static str,
    of: fn(&Measured<'_>, &[Found]) -> Option<f64>,
}

/// What is found out of each panel, for the measures that need it.
#[derive(Debug)]
struct Found {
    lines: Lines,
    mirror: f64,
    echo: Option<f64>,
}

/// All measures. Of several panels those of tiles and joints count all together, `longest` is the
/// largest, and the others are means weighted by tiles.
pub const MEASURES: &[Measure] = &[
    Measure {
        name: "matched",
        unit: "",
        what: "matched joints / all joints, from 0 to 1: a joint is matched where lines run on through it; not defined without joints",
        of: |v, _| {
            let matched = sum(v.tallies, |t| t.joints.matched);
            share(matched, sum(v.tallies, |t| t.joints.all))
        },
    },
    Measure {
        name: "kinds",
        unit: "",
        what: "number of kinds of tile",
        of: |v, _| Some(kinds(v.tallies) as f64),
    },
    Measure {
        name: "looks",
        unit: "",
        what: "number of tiles that look different: kinds, turns and flips together",
        of: |v, _| Some(look_counts(v.tallies).len() as f64),
    },
    Measure {
        name: "variety",
        unit: "bits",
        what: "how evenly the looks are mixed, in bits: -sum of p log2(p), where p is the share of tiles with one look; 0 when all tiles look alike",
        of: |v, _| Some(variety(v.tallies)),
    },
    Measure {
        name: "trimmed",
        unit: "",
        what: "trimmed tiles / all tiles, from 0 to 1",
        of: |v, _| {
            let all = sum(v.tallies, Tally::total);
            share(sum(v.tallies, |t| t.trimmed), all)
        },
    },
    Measure {
        name: "longest",
        unit: "mm",
        what: "length in mm of the longest line through joints; lines are veneers, or all layers where there are no veneers",
        of: |_, found| Some(found.iter().map(|f| f.lines.longest).fold(0.0, f64::max)),
    },
    Measure {
        name: "loops",
        unit: "",
        what: "number of lines that close to a loop",
        of: |_, found| Some(found.iter().map(|f| f.lines.loops as f64).sum()),
    },
    Measure {
        name: "mirror",
        unit: "",
        what: "how symmetric the panel is, from 0 to 1: the largest share of tiles that look like their image in a mirror, a half turn or a quarter turn",
        of: |v, found| mean(v.panels, found.iter().map(|f| Some(f.mirror))),
    },
    Measure {
        name: "echo",
        unit: "",
        what: "how well the panel agrees with itself, shifted by a few tiles: 1 when it repeats, about 0 for chance; not defined where no shift brings half of the tiles onto others",
        of: |v, found| mean(v.panels, found.iter().map(|f| f.echo)),
    },
    Measure {
        name: "uneven",
        unit: "",
        what: "how far the colours lie from the middle, by area, without unit: 0 when each is spread evenly",
        of: |v, _| mean(v.panels, v.panels.iter().map(|p| Some(uneven(p)))),
    },
    Measure {
        name: "contrast",
        unit: "",
        what: "contrast of the panel seen close up, without unit: standard deviation / mean of the luminance; the same from any distance",
        of: |v, _| mean(v.seen, v.seen.iter().map(contrast::of_panel)),
    },
    Measure {
        name: "plain",
        unit: "m",
        what: "distance in m up to which the pattern reads plainly; 0 where it never does",
        of: |v, _| plain(v.panels, v.seeing),
    },
    Measure {
        name: "wood",
        unit: "dm3",
        what: "volume in dm3 of the boards and veneers that the plan cuts up, without what is left over",
        of: |v, _| v.plan.filter(|p| p.suffices()).map(wood),
    },
    Measure {
        name: "cost",
        unit: "",
        what: "cost of the boards, veneers and glue of the plan, in the currency of the shop file; not defined without prices, or when the stock is not enough",
        of: |v, _| v.plan.filter(|p| p.suffices()).and_then(cost),
    },
];

/// The names of the measures.
pub(super) const NAMES: [&str; MEASURES.len()] = {
    let mut names = [""; MEASURES.len()];
    let mut i = 0;
    while i < names.len() {
        names[i] = MEASURES[i].name;
        i += 1;
    }
    names
};

/// The measures over which `--keep` spreads variations. The list is fixed: with a measure that is added later,
/// a sweep keeps the variations that it kept before.
pub const SPREAD_OVER: [&str; 14] = [
    "contrast", "cost", "echo", "kinds", "longest", "loops", "looks", "matched", "mirror", "plain",
    "trimmed", "uneven", "variety", "wood",
];

/// The unit of the measure of this name; empty where it has none.
pub fn unit_of(name: &str) -> &'static str {
    MEASURES
        .iter()
        .find(|measure| measure.name == name)
        .map_or("", |measure| measure.unit)
}

/// The measures of the panels of one variation, taken together; none where one is not defined.
pub fn measures(variation: &Measured<'_>, known: &mut KnownFaces) -> BTreeMap<String, Option<f64>> {
    let panels = variation.panels.iter();
    let found: Vec<Found> = panels
        .map(|panel| Found {
            lines: drawn_lines(panel),
            mirror: mirror(panel, known),
            echo: echo(panel, known),
        })
        .collect();
    let one = |m: &Measure| {
        let value = (m.of)(variation, &found).filter(|v| v.is_finite());
        (m.name.to_owned(), value.map(millionth))
    };
    MEASURES.iter().map(one).collect()
}

fn sum(tallies: &[Tally], of: fn(&Tally) -> u64) -> u64 {
    tallies.iter().map(of).sum()
}

fn share(part: u64, all: u64) -> Option<f64> {
    (all > 0).then(|| part as f64 / all as f64)
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
        let p = n as f64 / all as f64;
        sum - p * libm::log2(p)
    })
}

/// Of several panels the mean, weighted by their tiles, over those for which it is defined.
fn mean(panels: &[Panel], values: impl Iterator<Item = Option<f64>>) -> Option<f64> {
    let weighted = panels.iter().zip(values).filter_map(|(panel, value)| {
        let weight = panel.tiles.len() as f64;
        value.map(|value| (weight, weight * value))
    });
    let (all, sum) = weighted.fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    (all > 0.0).then(|| sum / all)
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

fn mirror(panel: &Panel, known: &mut KnownFaces) -> f64 {
    let m = mirrored(panel, known);
    let turns = m.half_turn.max(m.quarter_turn);
    m.left_right.max(m.top_bottom).max(turns)
}

/// Shifts by which less than half of the tiles come onto another tile are left out, as they show
/// little.
fn echo(panel: &Panel, known: &mut KnownFaces) -> Option<f64> {
    let face = |t: &crate::layout::panel::PlacedTile| &panel.faces[t.face as usize].face;
    let area: f64 = panel.tiles.iter().map(|t| face(t).outline().area()).sum();
    let side = (area / panel.tiles.len().max(1) as f64).sqrt();
    let enough = |e: &Echo| 2 * e.pairs as usize >= panel.tiles.len();
    let all = echoes(panel, ECHO_REACH * side, known);
    all.into_iter().find(enough).map(|e| e.above_chance)
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

/// The least distance over all bars, in m; 0 where one never reads plainly.
fn plain(panels: &[Panel], seeing: Seeing) -> Option<f64> {
    let mut bars: Vec<&Bar> = Vec::new();
    for face in panels.iter().flat_map(|p| &p.faces) {
        let bar: &Bar = face.kind.bar();
        if !bars.contains(&bar) {
            bars.push(bar);
        }
    }
    let each = bars
        .into_iter()
        .map(|bar| change::outcome(bar, seeing).plain);
    each.reduce(f64::min).map(|mm| mm / 1000.0)
}

fn wood(plan: &CountBack) -> f64 {
    (plan.balance.stock - plan.balance.left_over) / 1e6
}

fn cost(plan: &CountBack) -> Option<f64> {
    let cost = plan.totals.cost.value;
    (cost > 0.0 || plan.totals.without_price.is_empty()).then_some(cost)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Shop, count_back};
    use crate::recipe::{evaluate, memory_host::MemoryHost, settings::Settings, source::Source};
    use std::sync::Arc;

    fn of(panels: &[Panel], shop: &Shop) -> BTreeMap<String, Option<f64>> {
        let all: Vec<&Panel> = panels.iter().collect();
        let plan = count_back(&all, shop);
        let tallies: Vec<Tally> = panels.iter().map(Tally::of).collect();
        let measured = Measured {
            panels,
            seen: panels,
            seeing: Seeing::default(),
            tallies: &tallies,
            plan: plan.as_ref().ok(),
        };
        measures(&measured, &mut KnownFaces::default())
    }

    fn measured(fill: &str) -> BTreeMap<String, Option<f64>> {
        of(&panels(fill), &Shop::common())
    }

    fn panels(fill: &str) -> Vec<Panel> {
        let text = format!(
            "let light = bar(plywood(3, 18).rip(18)).slice(\"light\");
             let dark = bar(plywood(3, 18, \"walnut\").rip(18)).slice(\"dark\");
             panel(\"p\", squares(light)).size(4, 1).fill(|cell| {fill});"
        );
        let source = Arc::new(Source::new("p.rhai", text));
        let host = Arc::new(MemoryHost::new());
        let outcome = evaluate(&source, &Settings::default(), host).unwrap();
        outcome.panels
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
                found[name].is_some_and(|v| (v - value).abs() < 1e-6),
                "{name}: {:?}",
                found[name]
            );
        }
        assert!(found["uneven"] > Some(0.0));
        assert_eq!(found.len(), MEASURES.len());
    }

    #[test]
    fn what_is_spread_over_is_measured() {
        let found = measured("light");
        assert!(SPREAD_OVER.iter().all(|name| found.contains_key(*name)));
    }

    #[test]
    fn four_alike() {
        let found = measured("light");
        for (name, value) in [
            ("variety", 0.0),
            ("echo", 1.0),
            ("matched", 1.0),
            ("uneven", 0.0),
        ] {
            let near = found[name].is_some_and(|v| (v - value).abs() < 1e-6);
            assert!(near, "{name}: {found:?}");
        }
    }

    /// Without prices there is no cost, and without joints no share of them.
    #[test]
    fn what_means_nothing_is_not_defined() {
        let found = measured("light");
        assert_eq!(found["cost"], None);
        assert!(found["wood"] > Some(0.0));
        let nothing = of(&[], &Shop::common());
        for name in ["matched", "echo", "contrast", "plain", "wood", "cost"] {
            assert_eq!(nothing[name], None, "{name}");
        }
    }

    #[test]
    fn prices_make_a_cost_until_the_stock_runs_out() {
        let shop = |text: &str| Shop::parse(text).unwrap();
        let panels = panels("light");
        let dear = "[[sheet]]\nname = \"s\"\nwidth = 600\nlength = 1200\nprice = 40\n";
        assert_eq!(of(&panels, &shop(dear))["cost"], Some(40.0));
        let small = dear
            .replace("600", "10")
            .replace("[[sheet]]", "[[sheet]]\ncount = 1");
        assert_eq!(of(&panels, &shop(&small))["cost"], None);
    }
}
