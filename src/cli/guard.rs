//! The guard over a command: all its work has a watch, and work that does not answer to its watch
//! is ended.
//!
//! A thread looks at the watches every few milliseconds. Long loops ask their watch and end by themselves,
//! with a message of their own. Work that goes on for a while after its bound, or takes still more memory,
//! is ended with the whole process: unfinished files are gone, a message says so, the exit code is 1.

use std::sync::{Mutex, MutexGuard, Once, PoisonError};
use std::thread;
use std::time::Duration;

use super::cli_error::CliError;
use super::interrupt;
use super::report;
use super::spinner;
use super::stream::Stream;
use super::terminal::tell;
use crate::recipe;
use crate::recipe::settings::Budget;
use crate::watch::{self, Alarm, Stopped, Watch};

/// Time between two looks.
const EVERY: Duration = Duration::from_millis(2);
/// How long after its bound work may still come to its own end.
const GRACE: Duration = Duration::from_secs(2);
/// How many bytes beyond its bound it may take meanwhile.
const ROOM: usize = 32 * 1024 * 1024;

/// The watches over all work in progress.
static WATCHES: Mutex<Vec<Watch>> = Mutex::new(Vec::new());
/// The one over all that the command does now.
static COMMAND: Mutex<Option<Watch>> = Mutex::new(None);

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A watch at which the guard's thread looks as long as this value lives.
struct Guarded {
    watch: Watch,
    command: bool,
}

impl Drop for Guarded {
    fn drop(&mut self) {
        lock(&WATCHES).retain(|watch| *watch != self.watch);
        if self.command {
            *lock(&COMMAND) = None;
        }
    }
}

/// Does a piece of work within a budget, under a watch of its own; its memory is counted from `before`, in bytes of
/// this process.
///
/// # Errors
/// Those of the work, and when it was given up at its bound.
pub(super) fn since<T>(
    before: usize,
    budget: &Budget,
    work: impl FnOnce(&Watch) -> Result<T, CliError>,
) -> Result<T, CliError> {
    guarded(recipe::watch::since(before, budget), false, work)
}

/// The same, its memory counted from now on.
///
/// # Errors
/// As [`since`].
pub(super) fn within<T>(
    budget: &Budget,
    work: impl FnOnce(&Watch) -> Result<T, CliError>,
) -> Result<T, CliError> {
    guarded(recipe::watch::begin(budget), false, work)
}

/// Does all that the command does, or all that it does for one of its recipes, within a budget.
///
/// # Errors
/// Those of the work, and when it was given up at its bound.
pub(super) fn command<T>(
    budget: &Budget,
    work: impl FnOnce(&Watch) -> Result<T, CliError>,
) -> Result<T, CliError> {
    guarded(recipe::watch::begin(budget), true, work)
}

fn guarded<T>(
    watch: Watch,
    command: bool,
    work: impl FnOnce(&Watch) -> Result<T, CliError>,
) -> Result<T, CliError> {
    static STARTED: Once = Once::new();
    lock(&WATCHES).push(watch.clone());
    if command {
        *lock(&COMMAND) = Some(watch.clone());
    }
    let guarded = Guarded { watch, command };
    STARTED.call_once(|| {
        // Where no thread can be started, no recipe can be carried out either, which has a message
        // of its own.
        let _ = thread::Builder::new()
            .name("guard".to_owned())
            .spawn(look_on);
    });
    let watch = &guarded.watch;
    let done = watch::within(watch, || work(watch));
    done.unwrap_or_else(|Stopped(alarm)| Err(CliError::Ended(alarm, watch.bounds())))
}

/// The watch over what the command does, where it has one.
pub(super) fn of_command() -> Option<Watch> {
    lock(&COMMAND).clone()
}

fn look_on() {
    loop {
        thread::sleep(EVERY);
        let ended = lock(&WATCHES).iter().find_map(|watch| {
            let excess = watch.look();
            let too_long = excess.time > GRACE;
            (too_long || excess.memory > ROOM).then(|| unheeded(watch, too_long))
        });
        if let Some(trouble) = ended {
            end(&trouble);
        }
    }
}

/// The error for work that did not answer to its watch.
fn unheeded(watch: &Watch, too_long: bool) -> CliError {
    let alarm = if too_long { Alarm::Time } else { Alarm::Memory };
    CliError::Ended(alarm, watch.bounds())
}

/// Ends the process at once.
fn end(trouble: &CliError) -> ! {
    spinner::end();
    tell(&report::render(trouble, Stream::of_errors()));
    interrupt::end(i32::from(trouble.exit_code()))
}
