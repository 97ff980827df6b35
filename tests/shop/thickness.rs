//! Boards as thick as they are: what the plan says is done with boards of which no two are alike.
//!
//! The steps are followed here with every piece by itself, so that each strip keeps the thickness of its board. Strips that
//! go into one bar must then be as the bar wants them, within what glue closes.

use std::collections::BTreeMap;

use plyloom::layout::panel::Panel;
use plyloom::plan::{Plan, Shop};

use crate::bench::{Fault, Shop as Simulated, rectangle};
use crate::carried_out::{carried_out_scaled, told};
use crate::recipes::made;
use crate::saw::saw;
use crate::section::{P, Section, distance, each, least, middle, mirrored, most, moved, width};
use crate::told::{Becomes, Set, Told, Work};

/// How far a strip may be off in its place, in mm: glue closes less than a sheet of paper (common practice).
const CLOSES: f64 = 0.1;

const RECIPE: &str = "
    let r = laminate([plywood(13, 18)]).rhombus(60);
    let block = hexagon([r, r, r]).slice(\"block\");
    panel(\"Blocks\", hexagons(block)).size(COLUMNS, 5).fill(block);";

fn panels(columns: u32) -> Vec<Panel> {
    made(&RECIPE.replace("COLUMNS", &columns.to_string())).panels
}

/// Boards by name and thickness, in three groups; no two are alike.
const BOARDS: [(&str, f64); 6] = [
    ("a", 17.79),
    ("b", 17.87),
    ("c", 17.6),
    ("d", 18.0),
    ("e", 17.66),
    ("f", 18.04),
];

fn shop(more: &str) -> Shop {
    let boards = BOARDS.map(|(name, thickness)| {
        format!(
            "[[scrap]]\nname = \"{name}\"\nwidth = 150\nlength = 600\nthickness = {thickness}\n"
        )
    });
    Shop::parse(&format!("rack = true\n{more}\n{}", boards.concat())).expect("a shop")
}

fn steps(columns: u32, more: &str) -> Told {
    let panels = panels(columns);
    let panels: Vec<&Panel> = panels.iter().collect();
    let plan = Plan::of(&panels, &shop(more)).expect("a plan");
    assert!(plan.count.short.is_empty(), "{:?}", plan.count.short);
    told(&plan)
}

/// Follows steps with every piece by itself; gives the sections of the strips in each bar.
fn bars(told: &Told) -> Result<Vec<Vec<(String, Section)>>, Fault> {
    let piece = |id: &str| {
        let mut pieces = told.pieces.iter();
        pieces.find(|p| p.id == id).ok_or(format!("what is {id}?"))
    };
    let mut lots: BTreeMap<String, Vec<Section>> = BTreeMap::new();
    let take = |lots: &mut BTreeMap<String, Vec<Section>>, id: &str| {
        let lot = lots.get_mut(id).filter(|lot| !lot.is_empty());
        lot.map(|lot| lot.remove(0))
            .ok_or(format!("no {id} is left"))
    };
    for of in &told.fetch {
        let wide = width(&piece(&of.piece)?.section);
        let board = BOARDS.iter().find(|(name, _)| *name == of.piece);
        let thick = board.ok_or("what board?")?.1;
        for _ in 0..of.count {
            let lot = lots.entry(of.piece.clone()).or_default();
            lot.push(rectangle(wide, thick));
        }
    }
    let mut all = Vec::new();
    for step in &told.steps {
        match &step.work {
            // Boards of one size and thickness are cut across together.
            Work::Crosscut { .. } => {
                let thick = most(&take(&mut lots, &step.takes[0].piece)?, |p| p.1);
                for of in &step.gives {
                    let wide = width(&piece(&of.piece)?.section);
                    let lot = lots.entry(of.piece.clone()).or_default();
                    lot.extend((0..of.count).map(|_| rectangle(wide, thick)));
                }
            }
            Work::Rip {
                tilt,
                kerf,
                work,
                rounds,
                left,
                ..
            } => {
                for _ in 0..step.takes[0].count {
                    let mut on = take(&mut lots, work)?;
                    let passes = rounds.iter();
                    for pass in passes.flat_map(|r| (0..r.times).flat_map(|_| &r.passes)) {
                        let sawn = saw(&on, *tilt, *kerf, pass)?;
                        let mut goes_on = Vec::new();
                        for (what, section) in [
                            (&pass.inboard, sawn.inboard),
                            (&pass.outboard, sawn.outboard),
                        ] {
                            match what {
                                Becomes::Piece(id) if section.is_empty() => {
                                    return Err(format!("{id} is dust"));
                                }
                                Becomes::Piece(id) => {
                                    lots.entry(id.clone()).or_default().push(section);
                                }
                                Becomes::Work => goes_on = section,
                                Becomes::Waste => {}
                            }
                        }
                        on = goes_on;
                    }
                    if let Becomes::Piece(id) = left {
                        lots.entry(id.clone()).or_default().push(on);
                    }
                }
            }
            Work::GlueBar { parts } => {
                for _ in 0..step.gives[0].count {
                    let strips = parts.iter().map(|part| {
                        let strip = take(&mut lots, &part.piece)?;
                        Ok((part.piece.clone(), strip))
                    });
                    all.push(strips.collect::<Result<_, Fault>>()?);
                }
            }
            _ => {}
        }
    }
    Ok(all)
}

/// How far the corners of a strip are from where its lot is told to have them, laid as well as may be.
fn off(strip: &[P], told: &[P]) -> f64 {
    let centred = |s: &[P]| moved(s, -middle(s).0, -middle(s).1);
    let over = |s: &[P]| each(s, |p| (p.0, -p.1));
    let (strip, told) = (centred(strip), centred(told));
    [
        strip.clone(),
        mirrored(&strip),
        over(&strip),
        mirrored(&over(&strip)),
    ]
    .iter()
    .map(|laid| most(laid, |p| least(&told, |q| distance(*p, *q))))
    .fold(f64::INFINITY, f64::min)
}

/// Whether all strips fit where they are glued.
fn closes(told: &Told) -> Result<usize, Fault> {
    let bars = bars(told)?;
    for (lot, strip) in bars.iter().flatten() {
        let as_told = told.pieces.iter().find(|p| p.id == *lot).expect("told");
        let off = off(strip, &as_told.section);
        if off > CLOSES {
            return Err(format!("a strip of {lot} is off by {off:.3} mm"));
        }
    }
    for bar in &bars {
        let thick = |of: fn(f64, f64) -> f64, from| {
            let each = bar
                .iter()
                .map(|(_, strip)| most(strip, |p| p.1) - least(strip, |p| p.1));
            each.fold(from, of)
        };
        let apart = thick(f64::max, 0.0) - thick(f64::min, f64::INFINITY);
        if apart > CLOSES + 1e-9 {
            return Err(format!(
                "strips of one bar differ by {apart:.3} mm in thickness"
            ));
        }
    }
    Ok(bars.len())
}

/// Every fence of strips as it is for the boards that are as the recipe draws them.
fn at_one_fence(mut told: Told) -> Told {
    let sets = told
        .steps
        .iter_mut()
        .filter_map(|step| match &mut step.work {
            Work::Rip { rounds, .. } => Some(rounds),
            _ => None,
        });
    for pass in sets.flatten().flat_map(|round| &mut round.passes) {
        if let Set::Fence(fence) = &mut pass.set {
            *fence = 18.0 / libm::sin(std::f64::consts::FRAC_PI_3);
        }
    }
    told
}

#[test]
fn each_group_at_its_fence_closes_and_one_fence_for_all_does_not() {
    // One group, several, and all of them.
    for (columns, more) in [(3, ""), (40, "[cutting]\nany_thickness = true")] {
        let told = steps(columns, more);
        Simulated::carry_out(&told).expect("its steps can be carried out");
        let bars = closes(&told).expect("bars that close");
        if columns == 40 {
            assert!(bars >= 4, "{bars}");
            let names = told.fetch.iter().map(|of| of.piece.as_str());
            assert!(names.clone().any(|n| n == "c" || n == "e") && names.clone().any(|n| n == "d"));
            closes(&at_one_fence(told)).expect_err("strips of one fence fit nothing");
        }
    }
}

/// Boards of 17.63 mm alone: all is smaller by as much, and else as drawn.
#[test]
fn thinner_boards_make_the_same_panel_smaller() {
    let boards = "[[scrap]]\nwidth = 300\nlength = 900\ncount = 9\nthickness = 17.63\n";
    for way in ["tiles", "courses"] {
        let shop = format!("rack = true\n[slicing]\nway = \"{way}\"\n{boards}");
        let panels = panels(4);
        let panels: Vec<&Panel> = panels.iter().collect();
        let shop = Shop::parse(&shop).expect("a shop");
        carried_out_scaled(&panels, &shop, 17.63 / 18.0).expect("the panel");
        carried_out_scaled(&panels, &shop, 1.0).expect_err("not as large as drawn");
    }
}
