//! Each handle where the outline is, and what a drag writes: carried out, the corner lies where it was dragged to.

use std::sync::Arc;

use super::*;
use crate::recipe::evaluate;
use crate::recipe::memory_host::MemoryHost;
use crate::recipe::settings::Settings;
use crate::recipe::source::Source;

const HEAD: &str = "let t = bar(plywood(9, 12).square()).slice(\"t\");\n";

fn run(text: &str) -> Outcome {
    let source = Arc::new(Source::new("t.rhai", text));
    let host = Arc::new(MemoryHost::default());
    evaluate(&source, &Settings::default(), host).unwrap_or_else(|e| panic!("{e:?}: {text}"))
}

/// The panel's outline by what is written behind the lattice.
fn recipe(words: &str) -> String {
    format!("{HEAD}panel(\"p\", squares(t)){words}.fill(t);\n")
}

fn names(text: &str) -> Vec<(String, f64, f64)> {
    let found = handles(text, &run(text), 0).unwrap_or_else(|e| panic!("{e}: {text}"));
    let found = found.into_iter();
    found.map(|h| (h.name, h.at.x, h.at.y)).collect()
}

fn drag(text: &str, name: &str, by: (f64, f64)) -> String {
    let outcome = run(text);
    let all = handles(text, &outcome, 0).expect("handles");
    let number = all.iter().position(|h| h.name == name).expect("a handle");
    let by = Point::new(by.0, by.1);
    let new = dragged(text, &outcome, 0, (number, by, 1.0)).expect("a text");
    let after = handles(&new, &run(&new), 0).expect("handles");
    assert_eq!(all.len(), after.len());
    new
}

#[test]
fn each_word_has_handles_on_its_rim() {
    let words = [
        ".finished(300, 200)",
        ".finished_round(300)",
        ".finished_rounded(300, 200, 40)",
        ".finished_outline(ellipse(300, 200))",
        ".finished_outline(arch(300, 200, 80))",
        ".finished_outline(l_shape(300, 200, 90, 70))",
        ".finished_outline(regular_polygon(6, 90))",
        ".finished_outline([[0, 0], [300, 0], [200, 150], [300, 200], [0, 200]])",
        ".finished_path(\"M0 100 C60 0 180 0 240 100v80l-120 20-120-20z\")",
        ".finished_outline(circle(300).hole(l_shape(90, 80, 30, 20)).hole(circle(30), 20, 120))",
    ];
    for word in words {
        let text = recipe(word);
        let outcome = run(&text);
        let rims = outcome.panels[0].trim.as_ref().expect("a trim").loops();
        for handle in handles(&text, &outcome, 0).expect("handles") {
            // Handles of curves lie beside them, those that move a hole in its middle.
            if handle.name.starts_with("handle") || matches!(&*handle.name, "hole 1" | "hole 2") {
                continue;
            }
            let edges = rims.iter().flat_map(crate::geom::Polygon::edges);
            let away = edges.map(|(a, b)| handle.at.from_line(a, b));
            let nearest = away.fold(f64::INFINITY, f64::min);
            let most = if handle.name == "width and height" {
                0.01
            } else {
                0.03
            };
            assert!(
                nearest < most,
                "{word}: {} is {nearest} mm off",
                handle.name
            );
        }
    }
}

#[test]
fn a_drag_writes_the_lengths_that_follow_and_nothing_else() {
    let text = recipe(".finished(300, \"8 in\")");
    assert_eq!(
        drag(&text, "width", (12.4, 50.0)),
        text.replace("300", "312")
    );
    let inches = text.replace("8 in", "8 5/8 in");
    assert_eq!(drag(&text, "height", (12.4, 16.0)), inches);
    let text = recipe(".finished_outline([[0, 0], [300, -5.5], [300, 200], [0, 200]])");
    let new = text.replace("[300, -5.5]", "[290, -15.0]");
    assert_eq!(drag(&text, "corner 2", (-10.0, -9.7)), new);
    // Through variables, and a square by one length.
    let text = recipe(".finished_outline(top)").replace(
        "panel",
        "let side = 240; // wide\nlet top = rectangle(side, side).hole(circle(60));\npanel",
    );
    assert_eq!(
        drag(&text, "width", (9.0, 0.0)),
        text.replace("240;", "249;")
    );
    // What lies in the middle grows to both sides.
    assert_eq!(
        drag(&text, "hole: diameter", (9.0, 0.0)),
        text.replace("circle(60)", "circle(78)")
    );
    let text =
        recipe(".pieces([piece(\"a\", circle(90), 0, 0), piece(\"b\", circle(60), 100, 5)], 4)");
    assert_eq!(
        drag(&text, "b", (9.0, 10.0)),
        text.replace("100, 5", "109, 15")
    );
    assert_eq!(
        drag(&text, "b: diameter", (10.0, 0.0)),
        text.replace("60", "70")
    );
}

/// A relative path: the point that is dragged moves, and all others stay where they were.
#[test]
fn what_is_not_dragged_of_a_path_stays() {
    let text = recipe(
        ".finished_path(\"m 0 0 h 300 v 120 c -40 20 -60 20 -100 40 L 0 200 z m 90 60 v 50 h 50 v -50 z\")",
    );
    let before = names(&text);
    for (i, (name, x, y)) in before.iter().enumerate() {
        // The first one would shift all of it.
        if i == 0 {
            continue;
        }
        let (right, down) = (x.min(3.0), y.min(2.0));
        let new = drag(&text, name, (-right, -down));
        let ways = handles(&text, &run(&text), 0).expect("handles")[i].ways();
        let after = names(&new);
        for (j, (was, is)) in before.iter().zip(&after).enumerate() {
            let wanted = if i == j {
                let by = |goes: bool, by: f64| if goes { by } else { 0.0 };
                (x - by(ways.0, right), y - by(ways.1, down))
            } else {
                (was.1, was.2)
            };
            // What only goes down is led across by the point before.
            let led = |a: f64, b: f64, goes: bool| (a - b).abs() < 1.0 || i != j && !goes;
            let own = handles(&new, &run(&new), 0).expect("handles")[j].ways();
            assert!(
                led(is.1, wanted.0, own.0) && led(is.2, wanted.1, own.1),
                "{name}: {was:?} {is:?} in {new}"
            );
        }
    }
}

#[test]
fn where_there_are_no_handles_a_word_says_why() {
    let why = |words: &str| {
        handles(&recipe(words), &run(&recipe(words)), 0)
            .expect_err("none")
            .to_string()
    };
    assert!(why(".size(5, 5)").contains("ends where its tiles end"));
    assert!(why(".finished(300, 100 + 100)").contains("`100 + 100` in line 2 is worked out"));
    assert!(why(".finished_outline(circle(300).offset(-20))").contains("`.offset` in line 2"));
    let text = format!(
        "{HEAD}let begin = |t| {{ panel(\"p\", squares(t)).finished(90, 90).fill(t); }};\nbegin.call(t);\n"
    );
    let within = handles(&text, &run(&text), 0).expect_err("none");
    assert_eq!(within, HandleError::Elsewhere);
    let text = recipe(".finished_outline(a)").replace(
        "panel",
        "let a = circle(90);\na = a.hole(circle(20));\npanel",
    );
    assert!(handles(&text, &run(&text), 0).is_err());
}
