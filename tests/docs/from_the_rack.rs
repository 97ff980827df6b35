//! `docs/from-the-rack.md`, carried out as written.

use crate::book::carry_out;

#[test]
fn wood_is_written_down_used_and_booked_as_written() {
    let done = carry_out("from-the-rack.md");
    for step in ["rack add", "rack list", "rack take", "rack undo", "plan"] {
        let step = format!("plyloom {step}");
        assert!(
            done.commands
                .iter()
                .any(|command| command.starts_with(&step)),
            "no `{step}` among {:?}",
            done.commands
        );
    }
}
