//! The checker of accessibility, axe-core, in the page that is looked at.

use std::env;
use std::fs;

use crate::browser::Browser;

/// Names the script of axe-core.
const NAMED_BY: &str = "PLYLOOM_AXE";

/// Whether the machine has it.
pub(crate) fn there_is_one() -> bool {
    env::var_os(NAMED_BY).is_some()
}

/// The text of axe-core, an open accessibility checker.
pub(crate) fn axe() -> String {
    let path = env::var_os(NAMED_BY).expect("a test that is said to need axe-core");
    fs::read_to_string(path).expect("axe-core can be read")
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
