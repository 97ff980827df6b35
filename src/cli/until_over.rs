//! Work that goes on until Ctrl-C: it has a thread of its own.

use std::sync::mpsc::channel;
use std::thread;
use std::time::Duration;

use super::cli_error::CliError;
use super::interrupt;
use super::terminal::tell;
use crate::session::visible::on_one_line;

/// How long a run in progress may take to end after Ctrl-C.
const GRACE: Duration = Duration::from_secs(1);

/// Why it is over.
enum End {
    /// Ctrl-C, or the system asks to end.
    Interrupted,
    /// The work ended by itself.
    Over(Result<(), CliError>),
}

/// Works until the work is over, or until Ctrl-C: then `stop` asks it to end, and a run in progress
/// gets a moment to end by itself.
///
/// # Errors
/// The result of the work, where it ended by itself.
pub(super) fn until_over(
    stop: impl Fn(),
    work: impl FnOnce() -> Result<(), CliError> + Send + 'static,
) -> Result<(), CliError> {
    let (sender, ends) = channel();
    let interrupted = sender.clone();
    interrupt::instead(move || {
        // When the work is over there is nothing left to interrupt.
        let _ = interrupted.send(End::Interrupted);
    });
    thread::spawn(move || {
        let _ = sender.send(End::Over(work()));
    });
    match ends.recv() {
        Ok(End::Over(result)) => result?,
        Ok(End::Interrupted) => {
            stop();
            // Files are written whole or not at all: what still runs then may be dropped.
            if ends.recv_timeout(GRACE).is_err() {
                tell("stopped\n");
                interrupt::end(0);
            }
        }
        Err(_) => {}
    }
    tell("stopped\n");
    Ok(())
}

/// Tells why the system gives no notice of changes, where it gives none.
pub(super) fn tell_delay(reason: Option<String>) {
    if let Some(reason) = reason {
        let reason = on_one_line(&reason);
        tell(&format!("changes are seen with a delay: {reason}\n"));
    }
}
