//! The checker of accessibility, axe-core, in the page that is looked at.

use std::env;
use std::fs;

use crate::browser::{Browser, required, skipped};

/// The text of axe-core, an open accessibility checker; none where the machine has it not.
pub(crate) fn axe() -> Option<String> {
    let Some(path) = env::var_os("PLYLOOM_AXE") else {
        assert!(!required(), "PLYLOOM_AXE names no axe-core");
        skipped("PLYLOOM_AXE names no axe-core");
        return None;
    };
    Some(fs::read_to_string(path).expect("axe-core can be read"))
}

/// Holds that axe-core finds nothing against the success criteria of WCAG 2.0 to 2.2, A and AA, nor
/// against its own best practices.
#[track_caller]
pub(crate) fn faultless(browser: &Browser, what: &str) {
    let found = browser.awaited(
        "axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })\
         .then((r) => done({ checked: r.passes.length, faults: r.violations.map((v) => [v.id, v.impact, \
         v.nodes.map((n) => n.html + n.failureSummary)]) }), (e) => done({ error: String(e) }));",
    );
    assert!(found["checked"].as_u64().is_some_and(|n| n > 10), "{found}");
    assert_eq!(found["faults"], serde_json::json!([]), "{what}: {found:#}");
}
