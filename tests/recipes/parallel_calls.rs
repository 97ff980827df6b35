//! Rules called by several threads: whatever their number, the outcome is the same.

use std::num::NonZeroUsize;
use std::time::Duration;

use crate::in_memory::recipe;
use plyloom::draw::{PanelOptions, panel_svg};
use plyloom::recipe::{Failure, Outcome, source::Location};

const TILES: &str = r#"
    let block = bar(plywood(9, 12).square()).slice("block");
    let light = bar(laminate([ply(12, "maple")]).square()).slice("light");
    let ways = block.looks(); ways.push(light); ways.push(light.flip());
    let p = panel("p", squares(block)).size(97, 61);
"#;

fn on(threads: usize, rest: &str) -> (Result<Outcome, Failure>, Vec<String>) {
    recipe(&format!("{TILES}{rest}"))
        .settings(|s| s.threads = NonZeroUsize::new(threads).expect("some threads"))
        .run()
}

#[test]
fn the_outcome_does_not_depend_on_how_many_threads_there_are() {
    for rest in [
        "p.fill(|cell| ways[(cell.column * 5 + cell.course * 3) % ways.len()]);",
        // First use goes from the last tile to the first, so the order of the palette shows.
        "p.fill(|cell| ways[ways.len() - 1 - quotient(cell.number, 1600) % 4]);",
        "p.fill(|cell| cell.pick(\"way\", ways)).fill(|cell| if cell.chance(\"l\", 0.1) { light });",
        "let nested = #{ a: [light, block], b: 2 }; p.fill(|c| nested.a[c.ring % nested.b].rotate(90 * c.course));",
        // Not pure: it counts.
        "let n = 0; p.fill(|cell| { n += 1; ways[n % 3] });",
    ] {
        let (one, _) = on(1, rest);
        let one = one.unwrap_or_else(|failure| panic!("{rest}: {failure}"));
        let svg = panel_svg(&one.panels[0], &PanelOptions::default());
        for threads in [2, 3, 8] {
            let more = on(threads, rest).0.unwrap();
            assert_eq!(more.panels, one.panels, "{rest}");
            assert_eq!(panel_svg(&more.panels[0], &PanelOptions::default()), svg);
            assert_eq!(more.operations, one.operations, "{rest}");
        }
    }
}

#[test]
fn a_slip_is_told_as_one_thread_tells_it() {
    for rest in [
        "p.fill(|cell| if cell.number == 5000 { 7 } else { block });",
        "p.fill(|cell| if cell.number > 4000 { ways[cell.number] } else { block });",
        "p.fill(|cell| if cell.number == 5900 { cell.nonsense } else { block });",
        "p.fill(|cell, other| block);",
    ] {
        let told = |threads| {
            let failure = on(threads, rest).0.unwrap_err();
            let place = failure.place.as_ref().map(Location::line_column);
            (failure.code, failure.message.clone(), place)
        };
        assert_eq!(told(1), told(2), "{rest}");
    }
}

fn bounded(threads: usize, rest: &str, bound: u64) -> Result<Outcome, Failure> {
    recipe(&format!("{TILES}{rest}"))
        .settings(|s| {
            s.threads = NonZeroUsize::new(threads).expect("some threads");
            s.budget.operations = bound;
        })
        .run()
        .0
}

#[test]
fn the_bound_on_steps_holds_for_all_threads_together() {
    let rest = "p.fill(|cell| { let n = 0; for i in 0..3 { n += cell.column; } ways[n % 3] });";
    let steps = on(1, rest).0.unwrap().operations;
    for threads in [1, 2, 4] {
        assert!(bounded(threads, rest, steps).is_ok());
        let failure = bounded(threads, rest, steps - 1).unwrap_err();
        assert_eq!(failure.code, "recipe::too_many_operations");
    }
}

#[test]
fn without_a_loop_steps_are_counted_one_by_one_only_near_the_bound() {
    for rest in [
        "p.fill(|cell| ways[(cell.column + cell.course) % 3]);",
        "p.fill(|cell| block);",
        "p.fill(|cell| if cell.number % 3 == 0 { block } else if cell.edge { light } else { block.rotate(90) });",
        "p.fill(|cell| { let a = [cell.x, -cell.y, 3.5]; let b = #{ c: a }; let d = b.c[0]; d += 1.5; if d > a[1] && !cell.edge || cell.ring == 2 { return light; } block.rotate(90).flip() });",
        "p.fill(|cell| switch cell.column % 4 { 0 => block, 1 if cell.edge => light, _ => { let t = `${cell.x} ${cell.y}`; ways[max(t.len(), 3) % 3] } });",
    ] {
        let most = on(1, rest).0.unwrap().operations;
        for threads in [1, 2] {
            let counted = bounded(threads, rest, most - 1).unwrap().operations;
            assert!(counted < most, "{rest}");
            assert_eq!(bounded(threads, rest, counted).unwrap().operations, counted);
            let failure = bounded(threads, rest, counted - 1).unwrap_err();
            assert_eq!(failure.code, "recipe::too_many_operations");
        }
    }
}

#[test]
fn a_rule_without_a_loop_still_ends_when_the_time_is_over() {
    // No step of its own is counted, and the words that it calls loop by themselves.
    let long = "[cell.x, cell.y, cell.x].contains(cell.x) && ".repeat(40);
    let rest =
        format!("p.size(990, 990); p.fill(|cell| if {long} true {{ block }} else {{ light }});");
    for threads in [1, 2] {
        let failure = recipe(&format!("{TILES}{rest}"))
            .settings(|s| {
                s.threads = NonZeroUsize::new(threads).expect("some threads");
                s.budget.operations = u64::MAX;
                s.budget.tiles = 1_000_000;
                s.budget.time = Duration::from_millis(100);
            })
            .run()
            .0
            .unwrap_err();
        assert_eq!(failure.code, "recipe::too_long");
    }
}
