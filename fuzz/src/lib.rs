//! What is fuzzed: a function for each target, that breaks where the program does. libFuzzer calls them
//! (`fuzz_targets/`), and so does an ordinary test (`tests/travel/fuzzing.rs`), with the seeds.

pub mod grammar;
mod shapes;
pub mod targets;

use std::sync::Arc;
use std::time::Duration;

use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::{Budget, Settings};
use plyloom::recipe::source::Source;
use plyloom::recipe::{Failure, Outcome, evaluate};

/// Bounds that leave time for many.
pub const BUDGET: Budget = Budget {
    operations: 20_000,
    time: Duration::from_secs(2),
    tiles: 2_000,
    memory: 64 * 1024 * 1024,
};

/// Runs a recipe within [`BUDGET`].
///
/// # Panics
/// When the program broke over it, or a message points outside the text.
pub fn run(text: &str, set: &[(String, String)]) -> Result<Outcome, Failure> {
    let settings = Settings {
        set: set.to_vec(),
        budget: BUDGET,
        ..Settings::default()
    };
    let host = MemoryHost::new()
        .with("rings", "fn count() { 3 } fn same(x) { x }")
        .with("circle", "import \"circle\" as c;")
        .with("wrong", "let x = ;");
    let source = Arc::new(Source::new("fuzz.rhai", text));
    let result = evaluate(&source, &settings, Arc::new(host));
    if let Err(failure) = &result {
        assert_ne!(failure.code, "recipe::broken", "{failure}\n{text}");
        let places = failure
            .place
            .iter()
            .chain(failure.trace.iter().map(|(p, _)| p));
        for place in places {
            assert!(
                place.source.text.get(place.span.clone()).is_some(),
                "{failure}\n{text}"
            );
        }
        let _ = failure.to_string();
    }
    result
}
