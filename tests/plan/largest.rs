//! The largest panel from a rack, against every size there is.

use std::fmt::Write as _;
use std::sync::Arc;

use plyloom::layout::panel::Panel;
use plyloom::plan::{Shop, count_back};
use plyloom::rack::largest::{Change, Largest, LargestError, Search, Shape};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Outcome, evaluate};

const SQUARES: &str = "let cells = param(\"cells\", 6, #{ from: 1, to: 24 });\n\
    let t = bar(plywood(5, 24).rip(24, 90)).slice(\"t\");\n\
    panel(\"Squares\", squares(t)).size(cells, 4).fill(t);\n";
const BLOCKS: &str = "let wide = param(\"wide\", 200, #{ unit: \"mm\", from: 40, to: 420 });\n\
    let sheet = laminate([veneer(0.6, \"teal\"), plywood(13, 18)]);\n\
    let r = sheet.rhombus(60);\n\
    let block = hexagon([r, r, r]).slice(\"block\");\n\
    panel(\"Blocks\", hexagons(block)).finished(wide, 120).fill(block);\n";

fn carried_out(text: &str, change: &Change) -> Option<Outcome> {
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
    let base = carried_out(text, &Change::default()).expect("a recipe");
    let search = Search {
        base: &base,
        text: Some(text),
        shop,
        wanted: None,
        run: &mut |change| carried_out(text, change),
    };
    search.largest(shape)
}

/// Whether the wood is enough for a value of a parameter, leaves included.
fn enough(text: &str, shop: &Shop, (name, value): (&str, f64)) -> bool {
    let change = Change {
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
