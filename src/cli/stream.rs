//! The two streams of the program, and how much may be done on each.

use std::env;
use std::io::{self, IsTerminal as _};

/// Bounds on the width that a terminal is taken to have.
const WIDTHS: std::ops::RangeInclusive<usize> = 40..=120;
/// The width where none is known.
const USUAL_WIDTH: usize = 80;

/// How a stream may be written to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stream {
    /// Colours may be used.
    pub(super) colour: bool,
    /// A person looks on: lines may be drawn and text wrapped.
    pub(super) terminal: bool,
    /// Columns.
    pub(super) width: usize,
}

impl Stream {
    /// Of the error stream.
    pub(super) fn of_errors() -> Self {
        Self::of(io::stderr().is_terminal())
    }

    /// Of the output stream.
    pub(super) fn of_output() -> Self {
        Self::of(io::stdout().is_terminal())
    }

    /// Colours as the `NO_COLOR` convention has it: none when the variable is there and not empty.
    fn of(terminal: bool) -> Self {
        let set = |name: &str| env::var_os(name).is_some_and(|value| !value.is_empty());
        let dumb = env::var_os("TERM").is_some_and(|term| term == "dumb");
        Self {
            colour: terminal && !set("NO_COLOR") && !dumb,
            terminal,
            width: width(terminal),
        }
    }
}

fn width(terminal: bool) -> usize {
    let told = env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
    let width = match told {
        Some(width) => width,
        None if terminal => {
            terminal_size::terminal_size().map_or(USUAL_WIDTH, |(width, _)| usize::from(width.0))
        }
        None => USUAL_WIDTH,
    };
    width.clamp(*WIDTHS.start(), *WIDTHS.end())
}
