//! The largest panel from a rack, against every size there is.

use std::fmt::Write as _;
use std::sync::Arc;

use plyloom::layout::panel::Panel;
use plyloom::plan::parts::Mirrored;
use plyloom::plan::{Plan, Shop, count_back};
use plyloom::rack::largest::{Adjustment, Largest, LargestError, Search, Shape};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Outcome, evaluate};
use proptest::prelude::*;

const SQUARES: &str = "let cells = param(\"cells\", 6, #{ from: 1, to: 24 });\n\
    let t = bar(plywood(5, 24).rip(24, 90)).slice(\"t\");\n\
    panel(\"Squares\", squares(t)).size(cells, 4).fill(t);\n";
const BLOCKS: &str = "let wide = param(\"wide\", 200, #{ unit: \"mm\", from: 40, to: 420 });\n\
    let sheet = laminate([veneer(0.6, \"teal\"), plywood(13, 18)]);\n\
    let r = sheet.rhombus(60);\n\
    let block = hexagon([r, r, r]).slice(\"block\");\n\
    panel(\"Blocks\", hexagons(block)).finished(wide, 120).fill(block);\n";

fn carried_out(text: &str, change: &Adjustment) -> Option<Outcome> {
    let text = change.text.as_deref().unwrap_or(text);
    let settings = Settings {
        set: change.set.clone(),
        ..Settings::default()
    };
    evaluate(
        &Arc::new(Source::new("a.rhai", text)),
        &settings,
        Arc::new(MemoryHost::new()),
    )
    .ok()
}

fn largest(text: &str, shop: &Shop, shape: Shape) -> Result<Largest, LargestError> {
    symmetric(text, shop, shape, Mirrored::default())
}

fn symmetric(
    text: &str,
    shop: &Shop,
    shape: Shape,
    mirrored: Mirrored,
) -> Result<Largest, LargestError> {
    let base = carried_out(text, &Adjustment::default()).expect("a recipe");
    let search = Search {
        base: &base,
        text: Some(text),
        shop,
        wanted: None,
        mirrored,
        thorough: true,
        run: &mut |change| carried_out(text, change),
    };
    search.largest(shape)
}

/// Whether the wood is enough for a value of a parameter, leaves included.
fn enough(text: &str, shop: &Shop, (name, value): (&str, f64)) -> bool {
    let change = Adjustment {
        set: vec![(name.to_owned(), value.to_string())],
        text: None,
    };
    let outcome = carried_out(text, &change).expect("a recipe");
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let count = count_back(&panels, shop).expect("a count");
    count.suffices() && count.veneers.iter().all(|v| v.leaves.is_some())
}

fn rack(scraps: &[(u32, u32, u32)], leaves: u32) -> Shop {
    let mut text =
        String::from("rack = true\n[slicing]\nend_trim = 60\n[cutting]\nbar_length = 400\n");
    for (i, (count, width, length)) in scraps.iter().enumerate() {
        let _ = write!(
            text,
            "[[scrap]]\nname = \"{i}\"\ncount = {count}\nwidth = {width}\nlength = {length}\n"
        );
    }
    if leaves > 0 {
        let _ = write!(
            text,
            "[[veneer]]\ncolour = \"teal\"\ncount = {leaves}\nwidth = 120\nlength = 900\n"
        );
    }
    Shop::parse(&text).expect("a rack")
}

#[test]
fn no_size_of_all_is_larger_and_its_next_one_fails() {
    let racks = [
        rack(&[(1, 90, 420)], 3),
        rack(&[(2, 130, 700)], 1),
        rack(&[(1, 200, 500), (3, 70, 330)], 2),
    ];
    for (text, name, range) in [(SQUARES, "cells", 1..=24_u32), (BLOCKS, "wide", 40..=420)] {
        let mut before = 0.0;
        for shop in &racks {
            let step: u8 = if name == "wide" { 4 } else { 1 };
            let every: Vec<(f64, bool)> = range
                .clone()
                .step_by(usize::from(step))
                .map(|n| (f64::from(n), enough(text, shop, (name, f64::from(n)))))
                .collect();
            let best = every.iter().filter(|e| e.1).map(|e| e.0).reduce(f64::max);
            match (best, largest(text, shop, Shape::Recipe)) {
                (None, found) => assert!(
                    matches!(found, Err(LargestError::TooSmall { .. })),
                    "{found:?}"
                ),
                (Some(best), found) => {
                    let found = found.expect("a largest panel");
                    let [value] = found.best.values[..] else {
                        panic!("{found:?}")
                    };
                    assert_eq!(found.varied[0].name, name);
                    // Every fourth size was tried in full.
                    assert!(
                        (best..best + f64::from(step)).contains(&value),
                        "{value} and {best}"
                    );
                    assert!(enough(text, shop, (name, value)));
                    if let Some(next) = &found.next {
                        assert!(
                            (next.values[0] - value - 1.0).abs() < 1e-9 && !next.lacks.is_empty()
                        );
                        assert!(!enough(text, shop, (name, value + 1.0)));
                    }
                    if let Some(bound) = found.bound {
                        assert!(bound[0] >= found.best.size[0], "{found:?}");
                    }
                    before += value;
                }
            }
        }
        assert!(before > 0.0, "no rack gives a panel of {name}");
    }
}

#[test]
fn more_wood_never_gives_a_smaller_panel_and_a_shape_is_kept() {
    let mut before = 0.0;
    for boards in 1..=4 {
        let found = largest(BLOCKS, &rack(&[(boards, 120, 500)], 6), Shape::Ratio(1.5));
        let Ok(found) = found else { continue };
        let [width, height] = found.best.size;
        assert!((width / height - 1.5).abs() < 0.02, "{width} x {height}");
        assert!(width >= before, "{width} after {before}");
        assert_eq!(
            found.varied.len(),
            2,
            "a parameter, and a number of `finished`"
        );
        before = width;
    }
    assert!(before > 100.0);
}

#[test]
fn what_has_no_largest_panel_says_why() {
    let none = rack(&[], 1);
    assert_eq!(
        largest(BLOCKS, &none, Shape::Recipe),
        Err(LargestError::NoWood)
    );
    let endless = Shop::common();
    assert!(matches!(
        largest(BLOCKS, &endless, Shape::Recipe),
        Err(LargestError::Endless(_))
    ));
    let small = rack(&[(1, 30, 310)], 1);
    let error = largest(BLOCKS, &small, Shape::Recipe).expect_err("too small");
    assert!(error.to_string().contains("it lacks"), "{error}");
    let no_leaf = rack(&[(1, 200, 500)], 0);
    let error = largest(BLOCKS, &no_leaf, Shape::Recipe).expect_err("no leaf");
    assert!(error.to_string().contains("a leaf of teal"), "{error}");
    let fixed = "let t = bar(plywood(5, 24).rip(24, 90)).slice(\"t\"); let n = 2 + 2; panel(\"P\", squares(t)).size(n, n).fill(t);";
    let wood = rack(&[(1, 200, 500)], 0);
    assert_eq!(
        largest(fixed, &wood, Shape::Recipe),
        Err(LargestError::NoHandle)
    );
    let found = largest(SQUARES, &rack(&[(9, 300, 800)], 0), Shape::Recipe).expect("a panel");
    assert!(
        found.next.is_none() && found.bound.is_none(),
        "the parameter ends before the wood: {found:?}"
    );
}

/// A rack of no boards, or some, with tiles and bars of `SQUARES` in hand.
fn with_parts(scraps: &[(u32, u32, u32)], tiles: u32, bars: u32) -> Shop {
    let mut text =
        String::from("rack = true\n[slicing]\nend_trim = 60\n[cutting]\nbar_length = 400\n");
    for (i, (count, width, length)) in scraps.iter().enumerate() {
        let _ = write!(
            text,
            "[[scrap]]\nname = \"{i}\"\ncount = {count}\nwidth = {width}\nlength = {length}\n"
        );
    }
    let slice = Shop::common().slicing.thickness;
    if tiles > 0 {
        let _ = write!(
            text,
            "[[tile]]\nname = \"t\"\ncount = {tiles}\nwidth = 24\nheight = 24\nthickness = {slice}\n"
        );
    }
    if bars > 0 {
        let _ = write!(
            text,
            "[[bar]]\nname = \"bar t\"\ncount = {bars}\nwidth = 24\nheight = 24\nlength = 300\n"
        );
    }
    Shop::parse(&text).expect("a rack")
}

#[test]
fn tiles_and_bars_in_hand_count() {
    let cells = |shop: &Shop| {
        largest(SQUARES, shop, Shape::Recipe).map_or(0.0, |found| found.best.values[0])
    };
    // 4 in a column, and a spare one for each begun ten.
    let tiles = cells(&with_parts(&[], 45, 0));
    assert!((9.0..=11.0).contains(&tiles), "{tiles}");
    let boards = cells(&with_parts(&[(1, 60, 420)], 0, 0));
    let both = cells(&with_parts(&[(1, 60, 420)], 45, 0));
    let all = cells(&with_parts(&[(1, 60, 420)], 45, 2));
    assert!(
        boards < both && tiles < both && both <= all,
        "{boards} {tiles} {both} {all}"
    );
    for shop in [with_parts(&[], 45, 0), with_parts(&[(1, 60, 420)], 45, 2)] {
        let best = cells(&shop);
        let every = (1..=24).filter(|n| enough(SQUARES, &shop, ("cells", f64::from(*n))));
        assert_eq!(every.max().map(f64::from), Some(best));
        let found = largest(SQUARES, &shop, Shape::Recipe).expect("a panel");
        if let Some(bound) = found.bound {
            assert!(bound[0] >= found.best.size[0], "{found:?}");
        }
        let outcome = carried_out(SQUARES, &found.change).expect("a recipe");
        let panels: Vec<&Panel> = outcome.panels.iter().collect();
        let plan = Plan::of(&panels, &shop).expect("a plan");
        let fetched = plan.steps.fetch.iter().find(|of| of.piece == "tile t");
        assert!(
            fetched.is_some_and(|of| of.count >= 40),
            "{:?}",
            plan.steps.fetch
        );
    }
    // Others by name, size or thickness do not.
    let text = "rack = true\n[[tile]]\nname = \"t\"\ncount = 45\nwidth = 30\nheight = 24\nthickness = 13\n\
        [[tile]]\nname = \"u\"\ncount = 45\nwidth = 24\nheight = 24\nthickness = 13\n\
        [[tile]]\nname = \"t\"\ncount = 45\nwidth = 24\nheight = 24\nthickness = 9\n";
    let other = Shop::parse(text).expect("a rack");
    assert!(cells(&other) < 1.0);
}

/// Strips in hand, named and as thick as those of the plan, are glued to bars.
#[test]
fn strips_in_hand_count() {
    let with = |scraps: &str, strips: u32| {
        let text = format!(
            "rack = true\n[slicing]\nend_trim = 60\n[cutting]\nbar_length = 400\n{scraps}\
             [[strip]]\nname = \"S1\"\ncount = {strips}\nwidth = 24\nthickness = 24\nlength = 400\n"
        );
        let shop = Shop::parse(&text).expect("a rack");
        let found = largest(SQUARES, &shop, Shape::Recipe);
        let cells = found.map_or(0.0, |found| found.best.values[0]);
        let every = (1..=24).filter(|n| enough(SQUARES, &shop, ("cells", f64::from(*n))));
        let most = every.max().map_or(0.0, f64::from);
        assert!((most - cells).abs() < 1e-9, "{most} and {cells}");
        cells
    };
    let board = "[[scrap]]\nname = \"0\"\nwidth = 60\nlength = 420\n";
    let (one, three) = (with("", 1), with("", 3));
    let (boards, both) = (with(board, 0), with(board, 1));
    assert!(0.0 < one && one < three, "{one} {three}");
    assert!(boards < both && one < both, "{boards} {one} {both}");
}

/// Of the usual shapes the free one gives the largest panel.
#[test]
fn a_free_width_to_height_gives_no_smaller_panel_than_any_shape() {
    let shop = rack(&[(2, 130, 700)], 4);
    let area = |shape| {
        let found = largest(BLOCKS, &shop, shape).expect("a panel");
        found.best.size[0] * found.best.size[1]
    };
    let free = area(Shape::Free);
    for ratio in [1.0, 1.5, 2.0, 0.5] {
        assert!(area(Shape::Ratio(ratio)) <= free + 1e-6, "{ratio}");
    }
}

#[test]
fn a_symmetric_panel_is_the_next_smaller_size_that_mirrors_itself() {
    let text = "let cells = param(\"cells\", 6, #{ from: 1, to: 24 });\n\
        let t = bar(plywood(5, 24).rip(24, 90)).slice(\"t\");\n\
        let u = bar(plywood(5, 24, \"walnut\").rip(24, 90)).slice(\"u\");\n\
        panel(\"Turns\", squares(t)).size(cells, 4).fill(sequence([t, u], \"along courses\"));\n";
    let both = Mirrored {
        left_right: true,
        top_bottom: true,
    };
    for boards in 1..=3 {
        let shop = rack(&[(boards, 90, 420)], 0);
        let any = largest(text, &shop, Shape::Recipe);
        let Ok(any) = any else { continue };
        let found = symmetric(text, &shop, Shape::Recipe, both).expect("an odd size");
        let (cells, most) = (found.best.values[0], any.best.values[0]);
        assert!(
            (cells % 2.0 - 1.0).abs() < 1e-9 && most - cells < 1.5,
            "{cells} of {most}"
        );
        assert!(enough(text, &shop, ("cells", cells)));
        // There is none where the parameter ends.
        let Some(next) = found.next else { continue };
        assert!((next.values[0] - cells - 2.0).abs() < 1e-9 && !next.lacks.is_empty());
    }
    let never = text.replace(
        "sequence([t, u], \"along courses\")",
        "sequence([t, u], \"down columns\")",
    );
    let shop = rack(&[(3, 90, 420)], 0);
    let found = symmetric(&never, &shop, Shape::Recipe, both);
    assert_eq!(found, Err(LargestError::NotSymmetric));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 6, ..ProptestConfig::default() })]

    /// What a smaller panel needs, a larger one's stock never fails.
    #[test]
    fn more_of_anything_is_never_less(
        scraps in prop::collection::vec((1_u32..3, 70_u32..160, 330_u32..700), 1..4),
        tiles in 0_u32..30,
        bars in 0_u32..3,
        more in 0_usize..4,
    ) {
        let cells = |shop: &Shop| {
            largest(SQUARES, shop, Shape::Recipe).map_or(0.0, |found| found.best.values[0])
        };
        let before = cells(&with_parts(&scraps, tiles, bars));
        let mut larger = scraps.clone();
        match more {
            0 => larger[0].0 += 1,
            1 => larger.push((1, 120, 480)),
            _ => {}
        }
        let shop = with_parts(
            &larger,
            tiles + if more == 2 { 7 } else { 0 },
            bars + u32::from(more == 3),
        );
        prop_assert!(cells(&shop) >= before);
    }
}
