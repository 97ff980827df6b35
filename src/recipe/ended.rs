//! A run that its watch ends: the fault that says so, at the call of the word whose loop was at work.

use super::fault::Fault;
use super::kind::{Bound, Fixed, Kind};
use super::limits;
use crate::geom::number::grouped;
use crate::watch::{Alarm, Bounds, Stopped, present, within};

/// What to try when a run does not end.
pub(super) const ENDLESS: &str = "look for a loop that never ends";

/// Does the work of one call. Where the watch of this thread ends it, only the call fails: whoever
/// knows its place adds it to the fault.
///
/// # Errors
/// When the watch raised an alarm and a loop of the work heeded it.
pub(super) fn at_call<T>(work: impl FnOnce() -> T) -> Result<T, Fault> {
    match present() {
        None => Ok(work()),
        Some(watch) => within(&watch, work).map_err(|Stopped(alarm)| fault(alarm, watch.bounds())),
    }
}

/// The fault that an alarm is.
pub(super) fn fault(alarm: Alarm, bounds: Bounds) -> Fault {
    match alarm {
        Alarm::Time => {
            let seconds = bounds.time.as_secs_f64();
            Fault::new(
                Kind::Bound(Bound::Time { seconds }),
                format!("the recipe ran for more than {seconds} s"),
            )
            .label("still running here")
            .help(ENDLESS)
        }
        Alarm::Memory => {
            let mebibytes = bounds.memory / (1024 * 1024);
            Fault::new(
                Kind::Bound(Bound::Memory { mebibytes }),
                format!("the recipe took more than {mebibytes} MiB of memory"),
            )
            .label("still growing here")
            .help("look for a list or text that grows in a loop")
        }
        Alarm::Printing => {
            let lines = grouped(limits::PRINTED_LINES as u64);
            let letters = grouped(limits::PRINTED_BYTES as u64);
            Fault::new(
                Kind::Fixed(Fixed::Lines),
                format!("the recipe printed more than {lines} lines, or {letters} letters"),
            )
            .label("still printing here")
            .help("print less: this bound is fixed")
        }
        Alarm::Recalled => Fault::new(
            Kind::Recalled,
            "the run was ended: nobody waits for it any more",
        ),
    }
}

#[cfg(test)]
mod tests {
    use std::num::NonZeroUsize;
    use std::sync::Arc;

    use crate::recipe::evaluate;
    use crate::recipe::failure::Failure;
    use crate::recipe::memory_host::MemoryHost;
    use crate::recipe::settings::Settings;
    use crate::recipe::source::Source;
    use crate::recipe::words::words;
    use crate::watch::Watch;

    /// How often at most one recipe is ended.
    const MOST: u64 = 10;

    fn ended(source: &Arc<Source>, watch: &Watch, threads: usize) -> Option<Failure> {
        let settings = Settings {
            watch: Some(watch.clone()),
            threads: NonZeroUsize::new(threads).unwrap(),
            ..Settings::default()
        };
        evaluate(source, &settings, Arc::new(MemoryHost::new())).err()
    }

    /// Ends a recipe where its loops ask, each time at another ask; at how many asks.
    fn ends_with_a_place(name: &str, text: &str, threads: usize) -> u64 {
        let source = Arc::new(Source::new(name, text));
        let whole = Watch::until_ask(u64::MAX);
        assert!(ended(&source, &whole, threads).is_none(), "{name}");
        let asks = u64::MAX - whole.asks_left();
        let step = asks.div_ceil(MOST).max(1);
        for n in (1..=asks).step_by(usize::try_from(step).unwrap()) {
            let watch = Watch::until_ask(n);
            let failure = ended(&source, &watch, threads).expect("an end");
            assert_eq!(failure.code, "recipe::too_long", "{name}, ask {n}");
            let place = failure.place.as_ref();
            let place = place.unwrap_or_else(|| panic!("{name}, ask {n} of {asks}: no place"));
            assert_eq!(place.source.text, source.text, "{name}, ask {n}");
        }
        asks
    }

    #[test]
    fn wherever_the_loop_of_a_word_is_ended_its_call_is_shown() {
        let all: u64 = words()
            .iter()
            .map(|word| ends_with_a_place(&word.name, &word.example, 1))
            .sum();
        assert!(all > 10_000, "{all}");
    }

    #[test]
    fn the_call_that_is_shown_is_the_one_at_work() {
        let text = "let tile = bar(plywood(13, 18).square()).slice(\"tile\");\n\
                    panel(\"one\", squares(tile)).size(40, 1).fill(tile);\n\
                    panel(\"two\", squares(tile)).size(40, 1).fill(tile);\n";
        let source = Arc::new(Source::new("two.rhai", text));
        let whole = Watch::until_ask(u64::MAX);
        assert!(ended(&source, &whole, 1).is_none());
        let mut lines: Vec<usize> = (1..=u64::MAX - whole.asks_left())
            .map(|n| ended(&source, &Watch::until_ask(n), 1).unwrap())
            .map(|failure| failure.place.unwrap().line_column().0)
            .collect();
        // What the panels come to is worked out when the script has ended, one after the other.
        lines.dedup();
        assert_eq!(lines, [1, 2, 3, 2, 3]);
    }

    #[test]
    fn a_function_that_threads_call_is_shown_too() {
        let text = "let tile = bar(plywood(13, 18).square()).slice(\"tile\");\n\
                    panel(\"wide\", squares(tile)).size(100, 60)\n\
                    .fill(|cell| tile.rotate(90));\n";
        ends_with_a_place("wide.rhai", text, 3);
    }
}
