//! Ctrl-C and the signals by which the system asks to end (TERM, HUP): unfinished files are removed
//! before the program ends.

use std::process;
use std::sync::{Mutex, PoisonError};

use crate::files::remove_unfinished;

/// The exit code of a command that was interrupted: 128 and the number of the signal of Ctrl-C, as
/// shells have it.
const INTERRUPTED: i32 = 130;

/// What is done instead of ending at once.
type Act = Box<dyn FnMut() + Send>;

static ACT: Mutex<Option<Act>> = Mutex::new(None);

/// Where no memory is left, Rust prints a message and aborts the process. It is to end with our exit code
/// for failures instead, and not as if the program were broken. The next command removes the unfinished
/// file.
pub(super) fn end_in_order_without_memory() {
    #[cfg(unix)]
    {
        use signal_hook::{consts::SIGABRT, flag::register_conditional_shutdown};
        let always = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(true));
        let _ = register_conditional_shutdown(SIGABRT, 1, always);
    }
}

/// Begins to handle the signals. Where the handlers cannot be set, the system ends the program by
/// itself.
pub(super) fn heed() {
    let _ = ctrlc::set_handler(|| {
        let mut act = ACT.lock().unwrap_or_else(PoisonError::into_inner);
        match act.as_mut() {
            Some(act) => act(),
            None => end(INTERRUPTED),
        }
    });
}

/// From here on `act` is done at each of them; it must not take long.
pub(super) fn instead(act: impl FnMut() + Send + 'static) {
    *ACT.lock().unwrap_or_else(PoisonError::into_inner) = Some(Box::new(act));
}

/// Ends the program at once, unfinished files gone.
pub(super) fn end(code: i32) -> ! {
    remove_unfinished();
    process::exit(code)
}
