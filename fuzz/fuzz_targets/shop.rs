//! Shop files. A mistake is told at a place inside the text; a shop that can be read plans a panel.
#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use plyloom::plan::{Shop, count_back};
use plyloom::recipe::Outcome;

static PANEL: OnceLock<Outcome> = OnceLock::new();

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let outcome = PANEL.get_or_init(|| {
        plyloom_fuzz::run(
            "let s = laminate([veneer(0.6, \"navy\"), plywood(5, 12)]);\n\
             let t = bar(s.square()).slice(\"t\");\n\
             panel(\"p\", squares(t)).size(3, 3).fill(t);",
            &[],
        )
        .expect("a recipe that works")
    });
    match Shop::parse(text) {
        Ok(shop) => {
            let panels: Vec<_> = outcome.panels.iter().collect();
            let _ = count_back(&panels, &shop);
        }
        Err(error) => assert!(text.get(error.span.clone()).is_some(), "{error:?}"),
    }
});
