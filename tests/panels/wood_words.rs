//! What a recipe can say about wood, and what it is told when wood refuses.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use plyloom::recipe::{
    evaluate::evaluate, failure::Failure, memory_host::MemoryHost, settings::Settings,
    source::Source,
};

fn run(text: &str) -> Result<(), Failure> {
    let source = Arc::new(Source::new("trial.rhai", text));
    evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
    .map(|_| ())
}

fn refused(text: &str) -> Failure {
    run(text).unwrap_err()
}

#[test]
fn every_word_of_the_wood_has_an_example_that_runs() {
    for word in plyloom::recipe::words::words() {
        assert!(!word.doc.is_empty(), "{} has no documentation", word.name);
        assert!(!word.example.is_empty(), "{} has no example", word.name);
        if let Err(failure) = run(&word.example) {
            panic!("the example of {} fails: {failure:#?}", word.name);
        }
    }
}

#[test]
fn lengths_are_taken_in_mm_and_inches_alike() {
    run(r#"
        let a = plywood(13, "23/32 in").rip("1 1/2 in");
        let b = plywood(13, 18.25625).rip(38.1);
        if a.width != b.width || a.height != b.height { throw "not the same"; }
    "#)
    .unwrap();
}

#[test]
fn messages_name_the_place_and_what_to_try() {
    for (text, line, says, tries) in [
        (
            "let p = plywood(13, 17.7);\nlet t = p.rip(10, 60, 60);",
            2,
            "a strip 10.00 mm wide is too narrow: its bevels take 20.44 mm",
            "at least 20.44 mm wide",
        ),
        ("let p = plywood(13, 0);", 1, "above 0 mm, not 0", "1/42 in"),
        (
            "let p = plywood(13, -18);",
            1,
            "above 0 mm, not -18",
            "1/42 in",
        ),
        (
            "let p = plywood(13, 1e308 * 10);",
            1,
            "the thickness of plywood",
            "too large",
        ),
        (
            "let r = plywood(13, 17.7).rhombus(180);",
            1,
            "between 0 and 180",
            "blade tilts",
        ),
        (
            "let r = plywood(13, 17.7).rhombus(0);",
            1,
            "between 0 and 180",
            "blade tilts",
        ),
        (
            "let r = plywood(13, 17.7).rhombus(60.5);\n\nlet h = hexagon([r, r, r]);",
            3,
            "the joint between part 1 (edge 2) and part 3 (edge 1) stands open",
            "must add up to 360",
        ),
        (
            "let r = plywood(13, 17.7).rhombus(60);\nhexagon([r, r]);",
            2,
            "fill 4 sixths of a hexagon instead of 6",
            "add parts",
        ),
        (
            "veneer(0.6, \"nayv\");",
            1,
            "`nayv` is no colour",
            "did you mean \"navy\"?",
        ),
        (
            "veneer(0.6, \"brich\");",
            1,
            "`brich` is no colour",
            "did you mean \"birch\"?",
        ),
        (
            "laminate([]);",
            1,
            "at least one layer",
            "plywood(13, 17.7)",
        ),
        (
            "laminate([5]);",
            1,
            "entry 0 of the layers must be a layer, a sheet",
            "",
        ),
        (
            "bar(plywood(9, 12).square()).slice(\"a\");\nbar(plywood(9, 12).rip(30)).slice(\"a\");",
            2,
            "two different bars",
            "a name of its own",
        ),
        (
            "let t = plywood(9, 12).triangle(60);\nbar(t).mate(\"bottom\", t, \"top\");",
            2,
            "this triangle has no bottom edge",
            "",
        ),
    ] {
        let failure = refused(text);
        let place = failure
            .place
            .clone()
            .unwrap_or_else(|| panic!("no place: {failure:?}"));
        assert_eq!(place.line_column().0, line, "{text}: {failure:?}");
        assert!(
            failure.message.contains(says),
            "{text}: {}",
            failure.message
        );
        let help = failure.help.clone().unwrap_or_default();
        assert!(help.contains(tries), "{text}: {help}");
    }
}
