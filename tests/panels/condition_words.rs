//! What a recipe can ask of a whole panel, and what it is told when that cannot be.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use plyloom::recipe::{
    Failure, Outcome, evaluate, memory_host::MemoryHost, settings::Settings, source::Source,
};

const WOOD: &str = r#"
let light = bar(plywood(9, 12).square()).slice("light");
let dark = bar(laminate([ply(12, "walnut")]).square()).slice("dark");
let both = [light, dark];
"#;

fn run(text: &str) -> Result<Outcome, Failure> {
    let source = Arc::new(Source::new("trial.rhai", format!("{WOOD}{text}")));
    evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
}

fn refused(text: &str) -> (String, String) {
    let failure = run(text).unwrap_err();
    (failure.message, failure.help.unwrap_or_default())
}

#[test]
fn conditions_hold_together() {
    let made = run(
        r#"panel("p", squares(light)).size(8, 8).fill(keeping("p", both, [
            of_kind(dark, 24, 26), in_a_row(2, "kind"), symmetric("left and right")]));"#,
    );
    let made = made.unwrap();
    let panel = &made.panels[0];
    let kind = |i: usize| panel.faces[panel.tiles[i].face as usize].kind.name();
    let count = (0..64).filter(|&i| kind(i) == "dark").count();
    assert!((24..=26).contains(&count) && count % 2 == 0, "{count}");
    for i in 0..64 {
        assert_eq!(kind(i), kind(i / 8 * 8 + 7 - i % 8));
    }
}

#[test]
fn later_fills_replace_some() {
    let made = run(r#"panel("p", squares(light)).size(4, 4)
            .fill(keeping("p", both, [neighbours_differ("kind")])).fill_where(|c| c.edge, dark);"#);
    assert_eq!(made.unwrap().panels[0].tiles.len(), 16);
}

#[test]
fn contradictions_are_told_with_what_to_try() {
    let (message, help) = refused(
        r#"panel("p", squares(light)).size(3, 3)
            .fill(keeping("p", both, [symmetric("half turn"), neighbours_differ("kind"), of_kind(dark, 6)]));"#,
    );
    assert_eq!(
        message,
        "no panel of this size keeps all these rules: no two tiles of one kind lie side by side; \
         just 6 tiles `dark`"
    );
    assert!(help.contains("loosen one"), "{help}");
}

#[test]
fn slips_are_told() {
    let panel = r#"panel("p", squares(light))"#;
    let (message, _) = refused(&format!(
        r#"{panel}.size(3, 3).fill(keeping("p", both, ["differ"]));"#
    ));
    assert!(message.contains("a condition"), "{message}");
    let (message, help) = refused(&format!(
        r#"{panel}.size(3, 3).fill(keeping("p", both, [neighbours_differ("looks")]));"#
    ));
    assert!(message.contains("what makes tiles alike"), "{message}");
    assert!(help.contains("\"look\""), "{help}");
    let (message, _) = refused(&format!(
        r#"{panel}.size(60, 60).fill(keeping("p", both, [neighbours_differ("kind")]));"#
    ));
    assert!(message.contains("at most 2500 cells"), "{message}");
    let (message, _) = refused(&format!(
        r#"{panel}.size(4, 3).fill(keeping("p", both, [symmetric("quarter turn")]));"#
    ));
    assert!(message.contains("same after a quarter turn"), "{message}");
    let (_, help) = refused(&format!(
        r#"{panel}.size(4, 3).fill(light).fill_where(|c| c.edge, keeping("p", both, []));"#
    ));
    assert!(help.contains("first"), "{help}");
}
