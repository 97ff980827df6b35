//! Shows that a command is at work, and at what: a moving line on a terminal's error stream, after the
//! first second. Nothing is shown where the stream is no terminal.
//!
//! All parts of a command share one terminal and this one line, so whoever prints removes it first, or
//! moves it aside. `vary` and `gallery` count their steps instead, see [`super::progress`].

use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::stream::Stream;

/// How long nothing is shown.
const QUIET: Duration = Duration::from_secs(1);
/// How often the line moves.
const BEAT: Duration = Duration::from_millis(120);

static LINE: Mutex<Option<Working>> = Mutex::new(None);

/// The line that is shown, or will be.
struct Working {
    bar: ProgressBar,
    stop: Sender<()>,
    waits: JoinHandle<()>,
}

fn line() -> MutexGuard<'static, Option<Working>> {
    LINE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A command begins.
pub(super) fn begin() {
    if !Stream::of_errors().terminal {
        return;
    }
    let style = ProgressStyle::with_template("{spinner} {msg} {elapsed}")
        .unwrap_or_else(|_| ProgressStyle::default_spinner());
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden())
        .with_style(style)
        .with_message("working,");
    let (stop, stopped) = channel();
    let shown = bar.clone();
    let waits = thread::spawn(move || {
        if stopped.recv_timeout(QUIET) == Err(RecvTimeoutError::Timeout) {
            shown.set_draw_target(ProgressDrawTarget::stderr());
            shown.enable_steady_tick(BEAT);
            // Until the command has something to print, or ends.
            let _ = stopped.recv();
        }
    });
    *line() = Some(Working { bar, stop, waits });
}

/// Tells what the command is at.
pub(super) fn at(what: &str) {
    if let Some(working) = &*line() {
        working.bar.set_message(format!("{what},"));
    }
}

/// Takes the line away for good.
pub(super) fn end() {
    let Some(working) = line().take() else {
        return;
    };
    // A send fails where the thread has ended already, which does no harm.
    let _ = working.stop.send(());
    let _ = working.waits.join();
    working.bar.finish_and_clear();
}

/// Moves the line aside while something is written to the error stream.
pub(super) fn aside<R>(write: impl FnOnce() -> R) -> R {
    match &*line() {
        Some(working) => working.bar.suspend(write),
        None => write(),
    }
}
