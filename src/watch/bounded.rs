//! A watch: the clock and memory of one piece of work, and whether its result is still wanted.
//!
//! One [`Watch`] lives from the first byte that is read to the last one that is written. It is handed on
//! with the work; long loops ask it ([`Watch::check`]), which costs one read of a number. Clock and
//! memory come from outside ([`Gauge`]), so that it works without a system, with a clock of a test's
//! own, and where no memory figure is to be had.
//!
//! Where a thread looks at the gauge every few milliseconds ([`Watch::look`]), work that never asks is
//! noticed too. Where there is none ([`Watch::alone`]), `check` looks by itself every so many asks.

use std::sync::Arc;
#[cfg(test)]
use std::sync::atomic::AtomicU64;
use std::sync::atomic::{AtomicU8, AtomicU32, Ordering};
use std::time::Duration;

/// How many times a watch that looks by itself is asked between two looks: a few microseconds of
/// common work.
const ASKS: u32 = 256;

/// What a piece of work may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    /// Time from its begin.
    pub time: Duration,
    /// Bytes by which memory may grow.
    pub memory: usize,
}

/// Where a watch reads time and memory off.
pub trait Gauge: Send + Sync {
    /// Time since the work began.
    fn elapsed(&self) -> Duration;

    /// Bytes by which the memory of this process has grown since then; none where that is not known.
    fn memory(&self) -> Option<usize>;
}

/// Why work is to end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alarm {
    /// It took too long.
    Time = 1,
    /// It took too much memory.
    Memory = 2,
    /// It printed too much.
    Printing = 3,
    /// Nobody waits for it any more.
    Recalled = 4,
}

impl Alarm {
    fn of(number: u8) -> Option<Self> {
        [Self::Time, Self::Memory, Self::Printing, Self::Recalled]
            .into_iter()
            .find(|alarm| *alarm as u8 == number)
    }
}

/// Work that was ended by its watch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the work was ended: {}", match .0 {
    Alarm::Time => "it took too long",
    Alarm::Memory => "it took too much memory",
    Alarm::Printing => "it printed too much",
    Alarm::Recalled => "nobody waits for it any more",
})]
pub struct Stopped(pub Alarm);

/// The watch over one piece of work; clones are the same watch.
#[derive(Clone)]
pub struct Watch(Arc<Inner>);

struct Inner {
    bounds: Bounds,
    gauge: Option<Box<dyn Gauge>>,
    /// Whether no other thread looks at it.
    alone: bool,
    asked: AtomicU32,
    /// 0, or the alarm that was raised.
    alarm: AtomicU8,
    /// How many times more loops may ask.
    #[cfg(test)]
    loops: AtomicU64,
}

impl std::fmt::Debug for Watch {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Watch")
            .field("bounds", &self.0.bounds)
            .field("alarm", &self.alarm())
            .finish_non_exhaustive()
    }
}

impl PartialEq for Watch {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl Watch {
    /// A watch whose gauge another thread looks at: see [`Watch::look`].
    pub fn new(bounds: Bounds, gauge: impl Gauge + 'static) -> Self {
        Self::of(bounds, Some(Box::new(gauge)), false)
    }

    /// A watch that looks at its gauge by itself, when it is asked: for work on the only thread.
    pub fn alone(bounds: Bounds, gauge: impl Gauge + 'static) -> Self {
        Self::of(bounds, Some(Box::new(gauge)), true)
    }

    /// A watch that raises no alarm of its own.
    pub fn unbounded() -> Self {
        let bounds = Bounds {
            time: Duration::MAX,
            memory: usize::MAX,
        };
        Self::of(bounds, None, false)
    }

    fn of(bounds: Bounds, gauge: Option<Box<dyn Gauge>>, alone: bool) -> Self {
        Self(Arc::new(Inner {
            bounds,
            gauge,
            alone,
            asked: AtomicU32::new(0),
            alarm: AtomicU8::new(0),
            #[cfg(test)]
            loops: AtomicU64::new(u64::MAX),
        }))
    }

    /// A watch that raises its alarm where a loop asks ([`super::ask`]) for the `n`-th time, from 1.
    #[cfg(test)]
    pub(crate) fn until_ask(n: u64) -> Self {
        let watch = Self::unbounded();
        watch.0.loops.store(n, Ordering::Relaxed);
        watch
    }

    /// How many times more loops may ask.
    #[cfg(test)]
    pub(crate) fn asks_left(&self) -> u64 {
        self.0.loops.load(Ordering::Relaxed)
    }

    /// Counts an ask of a loop.
    #[cfg(test)]
    pub(super) fn count_ask(&self) {
        if self.0.loops.fetch_sub(1, Ordering::Relaxed) == 1 {
            self.raise(Alarm::Time);
        }
    }

    /// What the work may take.
    pub fn bounds(&self) -> Bounds {
        self.0.bounds
    }

    /// Whether the work may go on. Long loops ask this, as often as they like.
    ///
    /// # Errors
    /// When an alarm was raised.
    #[inline]
    pub fn check(&self) -> Result<(), Stopped> {
        if self.0.alone
            && self
                .0
                .asked
                .fetch_add(1, Ordering::Relaxed)
                .is_multiple_of(ASKS)
        {
            self.look();
        }
        match self.alarm() {
            None => Ok(()),
            Some(alarm) => Err(Stopped(alarm)),
        }
    }

    /// The alarm that was raised.
    #[inline]
    pub fn alarm(&self) -> Option<Alarm> {
        match self.0.alarm.load(Ordering::Relaxed) {
            0 => None,
            number => Alarm::of(number),
        }
    }

    /// Raises an alarm: the work is to end. The first one stays.
    pub fn raise(&self, alarm: Alarm) {
        let order = Ordering::Relaxed;
        let _ = (self.0.alarm).compare_exchange(0, alarm as u8, order, order);
    }

    /// Bytes by which memory has grown since the work began; none where that is not known.
    pub fn memory(&self) -> Option<usize> {
        self.0.gauge.as_ref().and_then(|gauge| gauge.memory())
    }

    /// Looks at clock and memory, raises the alarm where a bound is passed, and tells by how much.
    #[allow(
        clippy::must_use_candidate,
        reason = "most who look want the alarm alone"
    )]
    pub fn look(&self) -> Excess {
        let mut excess = Excess::default();
        if let Some(gauge) = &self.0.gauge {
            excess.time = gauge.elapsed().saturating_sub(self.0.bounds.time);
            let memory = self.memory().unwrap_or(0);
            excess.memory = memory.saturating_sub(self.0.bounds.memory);
        }
        if excess.time > Duration::ZERO {
            self.raise(Alarm::Time);
        } else if excess.memory > 0 {
            self.raise(Alarm::Memory);
        }
        excess
    }
}

/// By how much work has passed its bounds; nothing where it has not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Excess {
    /// Time.
    pub time: Duration,
    /// Bytes.
    pub memory: usize,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A clock and a memory that a test sets: seconds and bytes.
    #[derive(Clone, Default)]
    struct Set(Arc<(AtomicU64, AtomicU64)>);

    impl Gauge for Set {
        fn elapsed(&self) -> Duration {
            Duration::from_secs(self.0.0.load(Ordering::Relaxed))
        }

        fn memory(&self) -> Option<usize> {
            usize::try_from(self.0.1.load(Ordering::Relaxed)).ok()
        }
    }

    const BOUNDS: Bounds = Bounds {
        time: Duration::from_secs(20),
        memory: 1000,
    };

    #[test]
    fn whoever_looks_raises_the_alarm_and_tells_the_excess() {
        let set = Set::default();
        let watch = Watch::new(BOUNDS, set.clone());
        assert_eq!(watch.look(), Excess::default());
        set.0.1.store(1500, Ordering::Relaxed);
        assert_eq!(watch.check(), Ok(()), "nobody has looked");
        assert_eq!(watch.look().memory, 500);
        assert_eq!(watch.check(), Err(Stopped(Alarm::Memory)));
        set.0.0.store(23, Ordering::Relaxed);
        assert_eq!(watch.look().time, Duration::from_secs(3));
        assert_eq!(
            watch.clone().alarm(),
            Some(Alarm::Memory),
            "the first stays"
        );
    }

    #[test]
    fn on_the_only_thread_it_looks_by_itself() {
        let set = Set::default();
        let watch = Watch::alone(BOUNDS, set.clone());
        assert_eq!(watch.check(), Ok(()));
        set.0.0.store(21, Ordering::Relaxed);
        let asks = (0..=ASKS).take_while(|_| watch.check().is_ok()).count();
        assert!(asks <= ASKS as usize, "{asks}");
        assert_eq!(watch.check(), Err(Stopped(Alarm::Time)));
    }

    #[test]
    fn without_bounds_only_others_end_it() {
        let watch = Watch::unbounded();
        assert_eq!((watch.look(), watch.check()), (Excess::default(), Ok(())));
        watch.raise(Alarm::Recalled);
        assert_eq!(watch.check(), Err(Stopped(Alarm::Recalled)));
    }
}
