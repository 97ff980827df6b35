//! `docs/getting-started.md`, carried out as written.

use crate::book::carry_out;

#[test]
fn the_first_steps_work_as_written() {
    let done = carry_out("getting-started.md");
    for step in ["new", "preview", "words", "plan"] {
        let step = format!("plyloom {step} ");
        assert!(
            done.commands
                .iter()
                .any(|command| command.starts_with(&step)),
            "no `{step}` among {:?}",
            done.commands
        );
    }
}
