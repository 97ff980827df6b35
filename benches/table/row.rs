//! One line of the table.

use std::fmt;
use std::time::Duration;

use super::pair::Pair;

/// The head of the table.
pub(crate) const HEAD: &str = "\
| work | floor or peer | ours | theirs | figure | goal | |
| --- | --- | ---: | ---: | ---: | ---: | --- |";

/// A figure, and what it should be.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Goal {
    /// Ours by theirs, at most this.
    AtMost(f64),
    /// Theirs by ours, at least this.
    AtLeast(f64),
}

/// One line.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    work: String,
    against: &'static str,
    ours: String,
    theirs: String,
    /// Ours by theirs; none where it could not be measured.
    ratio: Option<f64>,
    goal: Goal,
}

impl Row {
    /// Two times.
    pub(crate) fn times(
        work: impl Into<String>,
        against: &'static str,
        pair: Pair,
        goal: Goal,
    ) -> Self {
        Self {
            work: work.into(),
            against,
            ours: time(pair.ours),
            theirs: time(pair.floor),
            ratio: Some(pair.ratio),
            goal,
        }
    }

    /// Two amounts of anything, with their words.
    pub(crate) fn amounts(
        work: impl Into<String>,
        against: &'static str,
        (ours, theirs): (String, String),
        ratio: f64,
        goal: Goal,
    ) -> Self {
        Self {
            work: work.into(),
            against,
            ours,
            theirs,
            ratio: Some(ratio),
            goal,
        }
    }

    /// What could not be measured, and why.
    pub(crate) fn missing(
        work: impl Into<String>,
        against: &'static str,
        why: &str,
        goal: Goal,
    ) -> Self {
        Self {
            work: work.into(),
            against,
            ours: why.to_owned(),
            theirs: String::new(),
            ratio: None,
            goal,
        }
    }
}

impl fmt::Display for Row {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (goal, figure, met) = match (self.goal, self.ratio) {
            (Goal::AtMost(most), ratio) => (
                format!("at most {most} x"),
                ratio.map(|r| format!("{r:.2} x")),
                ratio.map(|r| r <= most),
            ),
            (Goal::AtLeast(least), ratio) => (
                format!("at least {least} x faster"),
                ratio.map(|r| format!("{:.1} x faster", 1.0 / r)),
                ratio.map(|r| 1.0 / r >= least),
            ),
        };
        let met = match met {
            Some(true) => "met",
            Some(false) => "**missed**",
            None => "not measured",
        };
        write!(
            f,
            "| {} | {} | {} | {} | {} | {goal} | {met} |",
            self.work,
            self.against,
            self.ours,
            self.theirs,
            figure.unwrap_or_default()
        )
    }
}

/// A time in the unit that reads best.
pub(crate) fn time(time: Duration) -> String {
    let seconds = time.as_secs_f64();
    if seconds >= 1.0 {
        format!("{seconds:.2} s")
    } else if seconds >= 1e-3 {
        format!("{:.2} ms", seconds * 1e3)
    } else {
        format!("{:.1} us", seconds * 1e6)
    }
}
