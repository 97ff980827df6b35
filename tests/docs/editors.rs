//! `docs/editors.md`, carried out as written.

use crate::book::carry_out;

#[test]
fn the_definitions_are_written_as_told() {
    let done = carry_out("editors.md");
    assert_eq!(done.commands, ["plyloom words --definitions ."]);
}
