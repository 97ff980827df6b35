//! What is printed on the two streams of the program.

use std::io::{self, Write as _};

use serde::Serialize;

use super::cli_error::CliError;
use super::spinner;

/// Prints text as it is on the output stream.
///
/// # Errors
/// [`CliError::Closed`] when nobody reads any more, [`CliError::Output`] when it cannot be written.
pub(super) fn print(text: &str) -> Result<(), CliError> {
    print_bytes(text.as_bytes())
}

/// Prints bytes as they are on the output stream.
///
/// # Errors
/// As [`print`].
pub(super) fn print_bytes(bytes: &[u8]) -> Result<(), CliError> {
    print_by(|out| out.write_all(bytes))
}

/// Prints what `write` writes on the standard output, as it is.
pub(super) fn print_by(
    write: impl FnOnce(&mut io::Stdout) -> io::Result<()>,
) -> Result<(), CliError> {
    spinner::end();
    let mut out = io::stdout();
    write(&mut out)?;
    out.flush()?;
    Ok(())
}

/// Prints text as it is on the error stream; there is nowhere to tell when that fails.
pub(super) fn tell(text: &str) {
    spinner::aside(|| {
        let mut out = io::stderr().lock();
        let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    });
}

/// Data as JSON over several lines, the last one ended.
pub(super) fn json_lines(data: &impl Serialize) -> String {
    let text = serde_json::to_string_pretty(data);
    text.expect("invariant: every field has a form in JSON") + "\n"
}
