//! Where a trial bar is read, and what readings say. Lengths in mm, angles in degrees.

use crate::{
    geom::angle,
    plan::{
        saw::settings::Setting,
        tolerance::{
            Effect,
            measure::{Across, Measure, Seen, StepKind},
        },
    },
};

/// Where on the bar a reading is taken; numbers index the [`Measure`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sight {
    /// How much wider a joint is at its second (outer) end than at its first.
    Wedge {
        /// The joint.
        joint: usize,
    },
    /// For a bar whose joints always close: a corner held into a true one. Above 0 for a corner
    /// that is too sharp, which gapes at the outer end of its leg.
    Corner {
        /// The corner.
        corner: usize,
    },
    /// A point at the end of a joint.
    Step {
        /// The joint.
        joint: usize,
        /// Which end.
        end: usize,
        /// What its sign means.
        kind: StepKind,
    },
    /// The width of a part: of its wider face, see [`Measure::width`].
    Width {
        /// The part.
        part: usize,
        /// How the caliper lies.
        across: Across,
    },
}

impl Sight {
    pub(super) fn value(self, measure: &Measure<'_>, seen: &Seen) -> f64 {
        match self {
            Self::Wedge { joint } => {
                let [first, second] = seen.openings[joint];
                second - first
            }
            Self::Corner { corner } => {
                -measure.corners()[corner].leg * angle::sin(seen.corners[corner])
            }
            Self::Step { joint, end, .. } => seen.steps[joint][end],
            Self::Width { part, across } => seen.widths[part][across as usize],
        }
    }
}

/// One setting and how far it is off.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialFinding {
    /// The setting.
    pub setting: Setting,
    /// How far it is off, in degrees or mm: above 0 for too much tilt, a fence too far away.
    pub off: f64,
    /// How far that may be wrong, either way.
    pub within: f64,
}

impl TrialFinding {
    /// Whether the readings tell it from 0.
    pub fn is_off(&self) -> bool {
        self.off.abs() > self.within
    }
}

/// Settings that together explain the readings, and what else such a bar would show.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// The settings; all others are taken as right.
    pub findings: Vec<TrialFinding>,
    /// What would be seen on the bar.
    pub also: Effect,
}

/// What the readings say.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// Nothing is off by more than can be read.
    Fine,
    /// These settings, and no others that show here.
    Found(Explanation),
    /// One of these; the readings do not tell which. The simplest, by number of settings.
    OneOf(Vec<Explanation>),
    /// The last joint cannot stand open at both ends when it is pushed together and its faces are
    /// straight.
    BothEndsOpen,
    /// No errors of the settings show all this on one bar.
    Contradiction,
    /// Only an error far beyond any setting would explain it.
    TooFar,
}
