//! `docs/language.md`, carried out as written, and the same by `plyloom words`.

use crate::book::carry_out;
use crate::common::Bench;

#[test]
fn every_part_of_the_language_works_as_written() {
    let done = carry_out("language.md");
    assert_eq!(
        done.recipes,
        done.headings.len(),
        "an example for each part"
    );
    assert_eq!(done.told, done.recipes);
}

#[test]
fn every_part_is_printed_by_its_name() {
    for part in ["let", "if", "for", "fn", "while", "lists", "maps", "texts"] {
        let ran = Bench::new().run(&["words", part]);
        ran.ended(0)
            .out_has(&format!("{part} (language)\n\n"))
            .out_has("panel(");
        assert!(
            !ran.out.contains("```") && !ran.out.contains("\\|"),
            "{}",
            ran.out
        );
    }
}

#[test]
fn methods_of_lists_are_told() {
    for method in ["push", "map", "filter", "contains", "index_of", "len"] {
        let name = if method == "map" { "lists" } else { method };
        Bench::new()
            .run(&["words", name])
            .ended(0)
            .out_has(&format!("list.{method}("));
    }
}
