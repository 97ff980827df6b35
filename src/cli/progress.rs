//! Progress of a long run: a bar on a terminal, a plain line for each tenth elsewhere. A run that
//! takes less than a second shows neither.

use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::stream::Stream;
use super::terminal::tell;

/// How long nothing is shown.
const QUIET: Duration = Duration::from_secs(1);

/// How far a run is. Shared between threads.
#[derive(Debug)]
pub(super) struct Progress {
    started: Instant,
    all: u64,
    /// What happens to each: `made`.
    word: &'static str,
    done: AtomicU64,
    shown: Mutex<Display>,
}

#[derive(Debug)]
enum Display {
    Bar(ProgressBar),
    /// The last tenth that was printed.
    Lines(u64),
}

impl Progress {
    /// At the start of so many pieces of work, each to be `made`, or whatever the word is.
    pub(super) fn new(all: u64, word: &'static str) -> Self {
        let shown = if Stream::of_errors().terminal {
            let template = format!("{{bar:30}} {{pos}} of {{len}} {word}, {{eta}} to go");
            let style = ProgressStyle::with_template(&template)
                .unwrap_or_else(|_| ProgressStyle::default_bar());
            let bar = ProgressBar::with_draw_target(Some(all), ProgressDrawTarget::hidden());
            Display::Bar(bar.with_style(style))
        } else {
            Display::Lines(0)
        };
        Self {
            started: Instant::now(),
            all,
            word,
            done: AtomicU64::new(0),
            shown: Mutex::new(shown),
        }
    }

    /// One more is done.
    pub(super) fn step(&self) {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        let Ok(mut shown) = self.shown.lock() else {
            return;
        };
        let late = self.started.elapsed() > QUIET;
        match &mut *shown {
            Display::Bar(bar) => {
                if late && bar.is_hidden() {
                    bar.set_draw_target(ProgressDrawTarget::stderr());
                }
                bar.set_position(done);
            }
            Display::Lines(told) => {
                let tenth = done * 10 / self.all.max(1);
                if late && tenth > *told && done < self.all {
                    *told = tenth;
                    tell(&format!("{done} of {} {}\n", self.all, self.word));
                }
            }
        }
    }

    /// Takes the bar away.
    pub(super) fn end(&self) {
        if let Ok(shown) = self.shown.lock()
            && let Display::Bar(bar) = &*shown
        {
            bar.finish_and_clear();
        }
    }
}
