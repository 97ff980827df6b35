//! Second cuts in the simulated shop: a panel is ripped by what its face shows, and what is laid of the slats is held
//! against what the program draws.

use std::sync::Arc;

use plyloom::layout::panel::Panel;
use plyloom::plan::rounds::in_rounds;
use plyloom::plan::steps::Work;
use plyloom::plan::{Plan, PlanError, Shop as ShopFile};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Outcome, evaluate};

use crate::bench::{Fault, Seen, Shop, Thing, rectangle};
use crate::carried_out::{carried_out, carried_out_from_rack};
use crate::section::{P, coincide, cut, least, most, moved};
use crate::told::{SlatAt, Step};

/// A panel with what lies outside a straight-sided outline sawn off.
pub(crate) fn trimmed(thing: Thing, outline: &[P]) -> Thing {
    let Thing::Panel { thickness, seen } = thing else {
        return thing;
    };
    let [left, right] = [least(outline, |p| p.0), most(outline, |p| p.0)];
    let [top, bottom] = [least(outline, |p| p.1), most(outline, |p| p.1)];
    if !coincide(
        outline,
        &moved(&rectangle(right - left, bottom - top), left, top),
    ) {
        // What is ripped of a round panel is no slat.
        return Thing::Panel { thickness, seen };
    }
    let seen = between(&seen, |p| p.0, left, right);
    let seen = between(&seen, |p| p.1, top, bottom);
    Thing::Panel { thickness, seen }
}

/// How far right, or down, a point lies.
type Coordinate = fn(P) -> f64;

/// What is seen between two cuts.
fn between(seen: &[Seen], of: Coordinate, from: f64, to: f64) -> Vec<Seen> {
    let kept = seen.iter().map(|s| {
        let section = cut(&cut(&s.section, |p| of(p) - from), |p| to - of(p));
        Seen {
            section,
            ..s.clone()
        }
    });
    kept.filter(|s| !s.section.is_empty()).collect()
}

impl Shop {
    /// Rips a panel: the fence stands at a slat's width, and each cut takes its kerf.
    pub(crate) fn rip_panel(
        &mut self,
        step: &Step,
        across: bool,
        [width, kerf]: [f64; 2],
        slats: &[SlatAt],
    ) -> Result<(), Fault> {
        let [of] = &step.takes[..] else {
            return Err("one panel is ripped at a time".to_owned());
        };
        let Thing::Panel { thickness, seen } = self.take(of)? else {
            return Err(format!("{} is no panel", of.piece));
        };
        let down: Coordinate = |p| p.1;
        let right: Coordinate = |p| p.0;
        let (along, over) = if across { (down, right) } else { (right, down) };
        let reach = |f: Coordinate| {
            seen.iter()
                .map(|s| most(&s.section, |p| f(*p)))
                .fold(0.0, f64::max)
        };
        let (whole, length) = (reach(along), reach(over));
        let mut open = 0.0;
        for slat in slats {
            if (slat.from - open).abs() > 1e-6 {
                return Err(format!(
                    "{} begins at {}, the saw is at {open}",
                    slat.piece, slat.from
                ));
            }
            if open + width > whole + 1e-6 {
                return Err(format!(
                    "{} reaches beyond the panel's {whole} mm",
                    slat.piece
                ));
            }
            let kept = between(&seen, along, open, open + width);
            let kept = kept.into_iter().map(|s| {
                let (x, y) = if across { (0.0, -open) } else { (-open, 0.0) };
                Seen {
                    section: moved(&s.section, x, y),
                    ..s
                }
            });
            let outline = if across {
                rectangle(length, width)
            } else {
                rectangle(width, length)
            };
            if !coincide(&outline, &self.told[&slat.piece].section) {
                return Err(format!("{} is {width} x {length} mm", slat.piece));
            }
            if !step
                .gives
                .iter()
                .any(|to| to.piece == slat.piece && to.count == of.count)
            {
                return Err(format!("{} is not told of", slat.piece));
            }
            let tile = Thing::Tile {
                seen: kept.collect(),
                outline,
                thickness,
            };
            self.add(&slat.piece, of.count, tile);
            open += width + kerf;
        }
        if step.gives.len() == slats.len() {
            return Ok(());
        }
        Err("more is given than ripped".to_owned())
    }
}

const CHECKER: &str = "let light = bar(plywood(9, 24).square()).slice(\"light\");\n\
    let dark = bar(plywood(9, 24, \"walnut\").square()).slice(\"dark\");\n\
    let first = panel(\"first\", squares(light)).size(8, 6)\n\
        .fill(sequence([light, dark], \"falling right\"));\n";

fn outcome(text: &str) -> Outcome {
    let source = Arc::new(Source::new("a.rhai", text));
    match evaluate(&source, &Settings::default(), Arc::new(MemoryHost::new())) {
        Ok(outcome) => outcome,
        Err(failure) => panic!("{}\n{text}", failure.message),
    }
}

/// Carries out the plan of all panels of a recipe.
fn made(text: &str, shop: &ShopFile) -> Vec<String> {
    let outcome = outcome(text);
    let all: Vec<&Panel> = outcome.panels.iter().collect();
    let panels = in_rounds(&all, &all);
    carried_out(&panels, shop).unwrap_or_else(|fault| panic!("{fault}\n{text}"));
    panels.iter().map(|p| p.name.clone()).collect()
}

#[test]
fn a_checker_is_ripped_turned_and_glued_again() {
    let second = "let slats = first.slats(\"slat\", 20);\n\
        panel(\"second\", squares(slats[0])).size(8, 1)\n\
        .fill(|cell| if cell.column % 2 == 1 { slats[cell.column].rotate(180) } else { slats[cell.column] });\n";
    let names = made(&format!("{CHECKER}{second}"), &ShopFile::common());
    assert_eq!(names, ["first", "second"]);
}

/// A loaf as second stock: its bars lie as the panel's tiles, so each slice of it is a panel to rip again.
#[test]
fn slices_of_a_loaf_are_ripped_turned_and_glued_again() {
    let second = "let slats = first.slats(\"slat\", 20);\n\
        panel(\"second\", squares(slats[0])).size(8, 1)\n\
        .fill(|cell| slats[2 * (cell.column % 2)].rotate(180 * (cell.column % 2)));\n";
    for way in ["courses", "panels"] {
        let shop = format!("[slicing]\nway = \"{way}\"\nheight = 200\n");
        let shop = ShopFile::parse(&shop).expect("a shop");
        let text = format!("{CHECKER}{second}");
        // Four of the slats that a panel gives one of.
        let names = made(&text, &shop);
        assert_eq!(names, ["first", "first", "first", "first", "second"]);
        let outcome = outcome(&text);
        let panels: Vec<&Panel> = outcome.panels.iter().collect();
        let plan = Plan::of(&panels, &shop).expect("a plan");
        let works = plan.steps.steps.iter().map(|step| &step.work);
        let loaves = works
            .clone()
            .filter(|work| matches!(work, Work::GlueLoaf { .. }));
        let ripped = works.filter(|work| matches!(work, Work::RipPanel { .. }));
        assert!(loaves.count() >= 1 && ripped.count() >= 1);
    }
}

#[test]
fn slats_across_are_turned_over_and_shifted() {
    let second = "let slats = first.slats(\"slat\", 33, #{ across: true });\n\
        let p = panel(\"second\");\n\
        for i in 0..slats.len { p.place(if i % 2 == 1 { slats[i].flip() } else { slats[i] }, if i % 2 == 1 { 12 } else { 0 }, 33 * i); }\n";
    made(&format!("{CHECKER}{second}"), &ShopFile::common());
}

#[test]
fn as_many_panels_are_made_as_slats_are_needed() {
    // The second takes slat 2 three times; the third is cut from the second, and takes a slat twice.
    let text = "let sheet = laminate([veneer(0.6, \"teal\"), plywood(13, 18), veneer(0.6, \"poppy\")]);\n\
        let r = sheet.rhombus(60);\n\
        let block = hexagon([r, r.end_for_end(), r]).slice(\"block\");\n\
        let first = panel(\"first\", hexagons(block)).finished(200, 121).fill(block);\n\
        let a = first.slats(\"a\", 31.3);\n\
        let second = panel(\"second\", squares(a[0])).size(4, 1)\n\
            .fill(sequence([a[1], a[0].rotate(180), a[1].flip(), a[1]], \"along courses\"));\n\
        let b = second.slats(\"b\", 25.7, #{ across: true });\n\
        panel(\"third\", squares(b[0])).size(1, 3)\n\
            .fill(sequence([b[2], b[0], b[2].flip()], \"down columns\"));\n";
    let names = made(text, &ShopFile::common());
    let count = |name: &str| names.iter().filter(|n| *n == name).count();
    assert_eq!((count("first"), count("second"), count("third")), (6, 2, 1));
    assert_eq!(names.last().map(String::as_str), Some("third"));
}

#[test]
fn a_saw_that_cuts_otherwise_and_a_panel_that_is_not_there_are_told() {
    let second = "let slats = first.slats(\"slat\", 20, #{ kerf: 2.4 });\n\
        panel(\"second\", squares(slats[0])).size(8, 1).fill(sequence(slats, \"along courses\"));\n";
    let outcome = outcome(&format!("{CHECKER}{second}"));
    let all: Vec<&Panel> = outcome.panels.iter().collect();
    let told = |panels: &[&Panel]| match Plan::of(panels, &ShopFile::common()) {
        Err(PlanError::Slats(why)) => why,
        other => panic!("{other:?}"),
    };
    assert!(
        told(&all).contains("write `#{ kerf: 3.2 }`"),
        "{}",
        told(&all)
    );
    assert!(told(&all[1..]).contains("\"first\", which is not planned with it"));
    assert_eq!(
        in_rounds(&all[1..], &all).len(),
        2,
        "where it is at hand it comes before"
    );
}

#[test]
fn tiles_bars_and_strips_in_hand_are_laid_with_those_that_are_made() {
    let slice = ShopFile::common().slicing.thickness;
    let text = format!(
        "[[tile]]\nname = \"dark\"\ncount = 9\nwidth = 24\nheight = 24\nthickness = {slice}\n\
         [[bar]]\nname = \"bar light\"\ncount = 1\nwidth = 24\nheight = 24\nlength = 300\n\
         [[strip]]\nname = \"S2\"\ncount = 3\nwidth = 24\nthickness = 24\nlength = 280\n"
    );
    let shop = ShopFile::parse(&text).expect("a shop");
    let outcome = outcome(CHECKER);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let plan = Plan::of(&panels, &shop).expect("a plan");
    let told = format!("{:?}", plan.steps.fetch);
    for lot in ["tile dark", "bar light", "S2"] {
        assert!(told.contains(lot), "{told}");
    }
    let rack = [
        ("tile dark", 9, slice),
        ("bar light", 1, 300.0),
        ("strip S2", 3, 280.0),
    ];
    carried_out_from_rack(&panels, &plan, &rack).unwrap_or_else(|fault| panic!("{fault}"));
}
