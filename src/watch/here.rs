//! The watch over a thread's present work, for long loops that are not handed one.
//!
//! The code that begins a piece of work calls [`within`] once; loops deep inside of the work, in drawings
//! and plans for example, call [`ask`], and are given up where an alarm was raised. They are left by
//! unwinding, without a panic's message, up to the [`within`] that has the watch; half-done results are
//! dropped on the way.
//!
//! A thread that helps has no watch by itself: it is [`handed`] the one of the thread that waits for it.

use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};

use super::bounded::{Stopped, Watch};

thread_local! {
    static HERE: RefCell<Option<Watch>> = const { RefCell::new(None) };
}

/// What unwinds through work that is given up.
struct GivenUp(Watch);

/// The former watch of this thread, put back when this value is dropped.
struct Former(Option<Watch>);

impl Former {
    fn replaced_by(watch: Option<Watch>) -> Self {
        Self(HERE.replace(watch))
    }
}

impl Drop for Former {
    fn drop(&mut self) {
        HERE.replace(self.0.take());
    }
}

/// Does work under a watch.
///
/// # Errors
/// When the watch raised an alarm and a loop of the work heeded it.
pub fn within<T>(watch: &Watch, work: impl FnOnce() -> T) -> Result<T, Stopped> {
    let former = Former::replaced_by(Some(watch.clone()));
    // Nothing of the work is used again but data behind locks, which is valid at every step.
    let done = catch_unwind(AssertUnwindSafe(work));
    drop(former);
    done.or_else(|payload| match payload.downcast::<GivenUp>() {
        Ok(given_up) if given_up.0 == *watch => match watch.check() {
            Err(stopped) => Err(stopped),
            Ok(()) => resume_unwind(given_up),
        },
        Ok(given_up) => resume_unwind(given_up),
        Err(panic) => resume_unwind(panic),
    })
}

/// Asks the watch of this thread, if it has one; where an alarm was raised, this does not return.
#[inline]
pub fn ask() {
    HERE.with_borrow(|watch| {
        if let Some(watch) = watch {
            heed(watch);
        }
    });
}

#[inline]
fn heed(watch: &Watch) {
    #[cfg(test)]
    watch.count_ask();
    if watch.check().is_err() {
        give_up(watch);
    }
}

#[cold]
fn give_up(watch: &Watch) -> ! {
    resume_unwind(Box::new(GivenUp(watch.clone())))
}

/// The watch of this thread, if it has one.
pub fn present() -> Option<Watch> {
    HERE.with_borrow(Clone::clone)
}

/// The watch of this thread, to be handed to threads that help it.
pub fn handed() -> Handed {
    Handed(present())
}

/// The watch of the thread that waits for a helping thread.
#[derive(Debug, Clone)]
pub struct Handed(Option<Watch>);

impl Handed {
    /// Asks it; where an alarm was raised, this does not return, and neither does the call that
    /// waits for the thread.
    #[inline]
    pub fn ask(&self) {
        if let Some(watch) = &self.0 {
            heed(watch);
        }
    }

    /// Does work on a thread that helps, in which loops [`ask`].
    pub fn over<T>(&self, work: impl FnOnce() -> T) -> T {
        let _former = Former::replaced_by(self.0.clone());
        work()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::watch::Alarm;
    use std::sync::atomic::{AtomicBool, Ordering};

    #[test]
    fn a_loop_that_asks_is_given_up_and_what_it_held_is_dropped() {
        struct Held<'a>(&'a AtomicBool);
        impl Drop for Held<'_> {
            fn drop(&mut self) {
                self.0.store(true, Ordering::Relaxed);
            }
        }
        let dropped = AtomicBool::new(false);
        let watch = Watch::unbounded();
        let done: Result<(), _> = within(&watch, || {
            let _held = Held(&dropped);
            for step in 0.. {
                ask();
                if step == 10 {
                    watch.raise(Alarm::Time);
                }
            }
        });
        assert_eq!(done, Err(Stopped(Alarm::Time)));
        assert!(dropped.load(Ordering::Relaxed));
        // Nobody watches any more.
        ask();
    }

    #[test]
    fn each_ends_at_its_own_watch() {
        let (outer, inner) = (Watch::unbounded(), Watch::unbounded());
        let done = within(&outer, || {
            inner.raise(Alarm::Memory);
            assert_eq!(within(&inner, ask), Err(Stopped(Alarm::Memory)));
            ask();
            outer.raise(Alarm::Recalled);
            let _: Result<(), Stopped> = within(&Watch::unbounded(), || handed().ask());
            ask();
            unreachable!("the outer one was asked");
        });
        assert_eq!(done, Err::<(), _>(Stopped(Alarm::Recalled)));
    }

    #[test]
    fn threads_that_help_are_given_up_with_whoever_waits() {
        let watch = Watch::unbounded();
        let done = within(&watch, || {
            let handed = handed();
            std::thread::scope(|scope| {
                let helper = scope.spawn(move || {
                    handed.over(|| {
                        loop {
                            ask();
                        }
                    });
                });
                watch.raise(Alarm::Time);
                if let Err(payload) = helper.join() {
                    resume_unwind(payload);
                }
            });
        });
        assert_eq!(done, Err(Stopped(Alarm::Time)));
    }
}
