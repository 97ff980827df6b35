//! A trial bar: what was seen on it, turned back into which setting of the saw is off, which way
//! and by how much.
//!
//! The trial bar is a short one, laid up dry by the bar's own mates with every joint tight but the
//! last. Each reading picks the one spot of this very bar that shows it best; the settings are
//! then solved from the real geometry (Gauss and Newton over `tolerance_measure`), with bounds
//! that follow from how exactly a maker reads. Readings that no setting explains are said to
//! contradict.
//!
//! Lengths in mm, angles in degrees. Never here: words.

use super::{
    saw_settings::Setting,
    tolerance::{Effect, effect},
    tolerance_measure::{Measure, Seen, StepKind},
    trial_solve::{Equations, Solution, subsets},
};
use crate::{geom::angle, stock::Bar};

/// How exactly a maker reads a gap with a feeler or a rule's edge, in mm (common practice).
pub const PRECISION: f64 = 0.1;

/// No setting is off by more than this many degrees or mm: something else is.
const FARTHEST: f64 = 5.0;

/// Effects below this many mm for one degree or mm do not show.
const SHOWS: f64 = 1e-3;

/// Which edge ends in the point that stands proud.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProudEdge {
    /// The sheet's face or back: an outer ply runs along the joint.
    Face,
    /// A sawn edge: the ends of all plies come out at the joint.
    Sawn,
}

/// What was seen on the trial bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Gap at the outer end of the last joint, its inner end tight, in mm.
    pub gap_outside: Option<f64>,
    /// Gap at the inner end, its outer end tight, in mm.
    pub gap_centre: Option<f64>,
    /// How far a point stands proud at the outer end of a joint, in mm.
    pub proud: Option<f64>,
    /// Which edge ends in it, where that was looked at.
    pub proud_edge: Option<ProudEdge>,
    /// Width of a strip over its sharp corners, in mm, on the side that [`Sight::Width`] says.
    pub width: Option<f64>,
    /// The sheet's thickness as measured, in mm.
    pub thickness: Option<f64>,
    /// How exactly all this was read, in mm.
    pub precision: f64,
}

impl Default for Reading {
    fn default() -> Self {
        Self {
            gap_outside: None,
            gap_centre: None,
            proud: None,
            proud_edge: None,
            width: None,
            thickness: None,
            precision: PRECISION,
        }
    }
}

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
    },
}

impl Sight {
    fn value(self, measure: &Measure<'_>, seen: &Seen) -> f64 {
        match self {
            Self::Wedge { joint } => {
                let [first, second] = seen.openings[joint];
                second - first
            }
            Self::Corner { corner } => {
                -measure.corners()[corner].leg * angle::sin(seen.corners[corner])
            }
            Self::Step { joint, end, .. } => seen.steps[joint][end],
            Self::Width { part } => seen.widths[part],
        }
    }
}

/// One setting and how far it is off.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The setting.
    pub setting: Setting,
    /// How far it is off, in degrees or mm: above 0 for too much tilt, a fence too far away.
    pub off: f64,
    /// How far that may be wrong, either way.
    pub within: f64,
}

impl Finding {
    /// Whether the readings tell it from 0.
    #[must_use]
    pub fn is_off(&self) -> bool {
        self.off.abs() > self.within
    }
}

/// Settings that together explain the readings, and what else such a bar would show.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// The settings; all others are taken as right.
    pub findings: Vec<Finding>,
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

/// A verdict, for the readings as they are or for one way to take a point that stands proud.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Which edge ends in the proud point, where the verdict hangs on it.
    pub if_proud: Option<ProudEdge>,
    /// What follows.
    pub verdict: Verdict,
}

/// What a trial bar tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// Where each reading was taken to come from: gap, width, proud point, those that were given.
    pub sights: Vec<Sight>,
    /// The verdict; two where it was not said which edge stands proud.
    pub cases: Vec<Case>,
    /// Settings that none of the readings shows.
    pub unseen: Vec<Setting>,
}

/// Why readings cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TrialError {
    /// Nothing was read.
    #[error("nothing was read off the trial bar: give a gap, a proud point or a width")]
    NothingRead,
    /// A reading that no rule gives.
    #[error("{what} must be a number from 0 to {most} mm, not {value}")]
    Reading {
        /// Which.
        what: &'static str,
        /// The largest that makes sense.
        most: f64,
        /// What was given.
        value: f64,
    },
    /// A precision that nobody reads at.
    #[error("the reading precision must be a number above 0 mm, not {0}")]
    Precision(f64),
    /// The bar does not show this.
    #[error("no error of the saw shows as {what} on this bar")]
    NotShown {
        /// What.
        what: &'static str,
    },
    /// One thickness for several sheets.
    #[error("this bar is made of {sheets} different sheets: one thickness does not say which")]
    SeveralSheets {
        /// How many.
        sheets: usize,
    },
}

/// Bounds of a reading.
#[derive(Debug, Clone, Copy)]
struct Bounded {
    sight: Sight,
    low: f64,
    high: f64,
}

/// What the readings on a trial bar say about the saw.
///
/// # Errors
/// When nothing usable was read, or this bar does not show it.
pub fn trial(bar: &Bar, reading: &Reading) -> Result<Diagnosis, TrialError> {
    let measure = Measure::of(bar);
    check(reading)?;
    let known = known_errors(&measure, reading)?;
    let eye = Eye::new(&measure, known);
    let mut rows: Vec<Bounded> = Vec::new();
    let mut torn = false;
    if reading.gap_outside.is_some() || reading.gap_centre.is_some() {
        let sight = eye
            .best_gap()
            .ok_or(TrialError::NotShown { what: "a gap" })?;
        let (low, high) = wedge_bounds(reading);
        torn = low > high;
        rows.push(Bounded { sight, low, high });
    }
    if let Some(width) = reading.width {
        let not_shown = TrialError::NotShown {
            what: "a strip's width",
        };
        let (sight, part) = eye.best_width().ok_or(not_shown)?;
        let change = width - measure.width(part);
        rows.push(Bounded {
            sight,
            low: change - reading.precision,
            high: change + reading.precision,
        });
    }
    let mut ways: Vec<(Option<ProudEdge>, Vec<Bounded>)> = Vec::new();
    if let Some(proud) = reading.proud {
        let sight = eye.best_step().ok_or(TrialError::NotShown {
            what: "a proud point",
        })?;
        for (edge, sign) in senses(sight, proud, reading) {
            let mut rows = rows.clone();
            rows.push(Bounded {
                sight,
                low: sign * proud - reading.precision,
                high: sign * proud + reading.precision,
            });
            ways.push((edge, rows));
        }
    } else {
        ways.push((None, rows));
    }
    let sights: Vec<Sight> = ways[0].1.iter().map(|r| r.sight).collect();
    let cases = ways.into_iter().map(|(if_proud, rows)| Case {
        if_proud,
        verdict: if torn {
            Verdict::BothEndsOpen
        } else {
            eye.judge(&rows)
        },
    });
    Ok(Diagnosis {
        unseen: eye.unseen(&sights),
        cases: cases.collect(),
        sights,
    })
}

fn check(reading: &Reading) -> Result<(), TrialError> {
    if !(reading.precision > 0.0 && reading.precision.is_finite()) {
        return Err(TrialError::Precision(reading.precision));
    }
    let gaps = [
        ("a gap at the outside", reading.gap_outside, 50.0),
        ("a gap at the centre", reading.gap_centre, 50.0),
        ("a proud point", reading.proud, 50.0),
        ("a strip's width", reading.width, 10_000.0),
        ("a sheet's thickness", reading.thickness, 1000.0),
    ];
    for (what, value, most) in gaps {
        if let Some(value) = value.filter(|v| !(0.0..=most).contains(v)) {
            return Err(TrialError::Reading { what, most, value });
        }
    }
    let seen = [
        reading.gap_outside,
        reading.gap_centre,
        reading.proud,
        reading.width,
    ];
    if seen.iter().all(Option::is_none) {
        return Err(TrialError::NothingRead);
    }
    Ok(())
}

/// Errors that were measured: the sheet's.
fn known_errors(measure: &Measure<'_>, reading: &Reading) -> Result<Vec<f64>, TrialError> {
    let list = measure.settings().list();
    let mut known = vec![0.0; list.len()];
    let Some(measured) = reading.thickness else {
        return Ok(known);
    };
    let sheets = list
        .iter()
        .filter(|s| matches!(s, Setting::Thickness { .. }))
        .count();
    if sheets != 1 {
        return Err(TrialError::SeveralSheets { sheets });
    }
    for (error, setting) in known.iter_mut().zip(list) {
        if let Setting::Thickness { sheet } = setting {
            *error = measured - sheet.thickness();
        }
    }
    Ok(known)
}

/// What the two gap readings say about outer minus inner opening. A gap that can be read says how
/// much; one that cannot says that the joint is not open there. Nothing said of the other end
/// beside a closed one: closed too.
fn wedge_bounds(reading: &Reading) -> (f64, f64) {
    let r = reading.precision;
    let open = |gap: Option<f64>| gap.is_some_and(|g| g > r);
    let bounds = |gap: Option<f64>, other: Option<f64>| match gap {
        Some(g) if g > r => (g - r, g + r),
        Some(g) => (f64::NEG_INFINITY, g + r),
        None if open(other) => (f64::NEG_INFINITY, f64::INFINITY),
        None => (f64::NEG_INFINITY, r),
    };
    let outside = bounds(reading.gap_outside, reading.gap_centre);
    let centre = bounds(reading.gap_centre, reading.gap_outside);
    (outside.0.max(-centre.1), outside.1.min(-centre.0))
}

fn senses(sight: Sight, proud: f64, reading: &Reading) -> Vec<(Option<ProudEdge>, f64)> {
    let Sight::Step { kind, .. } = sight else {
        return vec![(None, 1.0)];
    };
    if proud <= reading.precision {
        return vec![(None, 1.0)];
    }
    match (kind, reading.proud_edge) {
        (StepKind::FacePastSawn, Some(ProudEdge::Face)) => vec![(Some(ProudEdge::Face), 1.0)],
        (StepKind::FacePastSawn, Some(ProudEdge::Sawn)) => vec![(Some(ProudEdge::Sawn), -1.0)],
        (StepKind::FacePastSawn, None) => {
            vec![(Some(ProudEdge::Face), 1.0), (Some(ProudEdge::Sawn), -1.0)]
        }
        (StepKind::LaterPastEarlier, _) => vec![(None, 1.0), (None, -1.0)],
    }
}

/// The bar with the rates at which its sights change.
struct Eye<'m, 'b> {
    measure: &'m Measure<'b>,
    known: Vec<f64>,
    /// The settings of the saw; sheets are taken as known.
    unknown: Vec<usize>,
}

impl<'m, 'b> Eye<'m, 'b> {
    fn new(measure: &'m Measure<'b>, known: Vec<f64>) -> Self {
        let list = measure.settings().list();
        let unknown = (0..list.len())
            .filter(|&i| !matches!(list[i], Setting::Thickness { .. }))
            .collect();
        Self {
            measure,
            known,
            unknown,
        }
    }

    /// By one degree or mm of each of the `settings`, near errors `at`, what each sight changes by.
    fn rates(&self, sights: &[Sight], settings: &[usize], at: &[f64]) -> Vec<Vec<f64>> {
        let small = 1e-3;
        let values = |error: f64, i: usize| {
            let mut errors = at.to_vec();
            errors[i] += error;
            let seen = self.measure.with(&errors);
            let all = sights.iter().map(|s| s.value(self.measure, &seen));
            all.collect::<Vec<f64>>()
        };
        let mut rows = vec![Vec::with_capacity(settings.len()); sights.len()];
        for &i in settings {
            let (more, less) = (values(small, i), values(-small, i));
            for (row, (m, l)) in rows.iter_mut().zip(more.iter().zip(&less)) {
                row.push((m - l) / (2.0 * small));
            }
        }
        rows
    }

    /// Of some sights, the one that the fewest settings move, and of those the one they move most.
    fn best(&self, sights: &[Sight], counts: impl Fn(&Setting) -> bool) -> Option<Sight> {
        let rates = self.rates(sights, &self.unknown, &self.known);
        let list = self.measure.settings().list();
        let score = |row: &[f64]| {
            let shown = row.iter().filter(|v| v.abs() > SHOWS).count();
            let sum: f64 = row
                .iter()
                .zip(&self.unknown)
                .filter(|(_, i)| counts(&list[**i]))
                .map(|(v, _)| v.abs())
                .sum();
            (shown, sum)
        };
        let mut best: Option<(Sight, (usize, f64))> = None;
        for (sight, row) in sights.iter().zip(&rates) {
            let (shown, sum) = score(row);
            if sum <= SHOWS {
                continue;
            }
            // Rounding must not choose between spots that are alike.
            let better = best.is_none_or(|(_, (least, most))| {
                shown < least || (shown == least && sum > most * (1.0 + 1e-6))
            });
            if better {
                best = Some((*sight, (shown, sum)));
            }
        }
        best.map(|(sight, _)| sight)
    }

    fn best_gap(&self) -> Option<Sight> {
        let joints = 0..self.measure.joints().len();
        let wedges: Vec<Sight> = joints.map(|joint| Sight::Wedge { joint }).collect();
        let corners = 0..self.measure.corners().len();
        let corners: Vec<Sight> = corners.map(|corner| Sight::Corner { corner }).collect();
        self.best(&wedges, Setting::in_degrees)
            .or_else(|| self.best(&corners, Setting::in_degrees))
    }

    fn best_step(&self) -> Option<Sight> {
        let mut steps = Vec::new();
        for (joint, site) in self.measure.joints().iter().enumerate() {
            for (end, at) in site.ends.iter().enumerate() {
                let kind = at.step;
                steps.extend(kind.map(|kind| Sight::Step { joint, end, kind }));
            }
        }
        self.best(&steps, |s| !s.in_degrees())
    }

    fn best_width(&self) -> Option<(Sight, usize)> {
        let parts = 0..self.measure.bar().parts().len();
        let sights: Vec<Sight> = parts.map(|part| Sight::Width { part }).collect();
        match self.best(&sights, |s| !s.in_degrees())? {
            sight @ Sight::Width { part } => Some((sight, part)),
            _ => None,
        }
    }

    /// The settings that show in some of the sights.
    fn active(&self, sights: &[Sight]) -> Vec<usize> {
        let rates = self.rates(sights, &self.unknown, &self.known);
        let shows = |column: usize| rates.iter().any(|row| row[column].abs() > SHOWS);
        let columns = (0..self.unknown.len()).filter(|&c| shows(c));
        columns.map(|c| self.unknown[c]).collect()
    }

    fn unseen(&self, sights: &[Sight]) -> Vec<Setting> {
        let active = self.active(sights);
        let hidden = self.unknown.iter().filter(|i| !active.contains(i));
        hidden
            .map(|&i| self.measure.settings().list()[i].clone())
            .collect()
    }

    fn judge(&self, rows: &[Bounded]) -> Verdict {
        let sights: Vec<Sight> = rows.iter().map(|r| r.sight).collect();
        let seen = self.measure.with(&self.known);
        let as_is = |r: &Bounded| {
            let v = r.sight.value(self.measure, &seen);
            v >= r.low - 1e-9 && v <= r.high + 1e-9
        };
        if rows.iter().all(as_is) {
            return Verdict::Fine;
        }
        let active = self.active(&sights);
        let mut too_far = false;
        if let Some(fit) = self.fit(rows, &active) {
            return match fit {
                Fit::Good(explanation) => Verdict::Found(explanation),
                Fit::TooFar => Verdict::TooFar,
                Fit::Bad => Verdict::Contradiction,
            };
        }
        for count in 1..=rows.len().min(active.len()) {
            let mut found = Vec::new();
            for chosen in subsets(active.len(), count) {
                let settings: Vec<usize> = chosen.iter().map(|&c| active[c]).collect();
                match self.fit(rows, &settings) {
                    Some(Fit::Good(explanation)) => found.push(explanation),
                    Some(Fit::TooFar) => too_far = true,
                    Some(Fit::Bad) | None => {}
                }
            }
            if !found.is_empty() {
                return Verdict::OneOf(found);
            }
        }
        if too_far {
            Verdict::TooFar
        } else {
            Verdict::Contradiction
        }
    }

    /// Solves for these settings alone; none where the rows do not tell them apart.
    fn fit(&self, rows: &[Bounded], settings: &[usize]) -> Option<Fit> {
        let sights: Vec<Sight> = rows.iter().map(|r| r.sight).collect();
        let mut at = self.known.clone();
        let mut last: Option<(Equations, Solution)> = None;
        for _ in 0..8 {
            let seen = self.measure.with(&at);
            let equations = Equations {
                rates: self.rates(&sights, settings, &at),
                readings: rows
                    .iter()
                    .map(|r| f64::midpoint(r.low, r.high) - r.sight.value(self.measure, &seen))
                    .collect(),
                bounds: rows.iter().map(|r| (r.high - r.low) / 2.0).collect(),
            };
            let step = equations.solve()?;
            for (&i, x) in settings.iter().zip(&step.x) {
                at[i] += x;
                if at[i].abs() > 2.0 * FARTHEST {
                    return Some(Fit::TooFar);
                }
            }
            let small = step.x.iter().all(|x| x.abs() < 1e-9);
            last = Some((equations, step));
            if small {
                break;
            }
        }
        let (equations, solution) = last?;
        if !equations.can_all_be_right() {
            return Some(Fit::Bad);
        }
        let list = self.measure.settings().list();
        let findings: Vec<Finding> = settings
            .iter()
            .zip(&solution.within)
            .map(|(&i, &within)| Finding {
                setting: list[i].clone(),
                off: at[i],
                within,
            })
            .collect();
        if findings.iter().any(|f| f.off.abs() > FARTHEST) {
            return Some(Fit::TooFar);
        }
        Some(Fit::Good(Explanation {
            findings,
            also: effect(self.measure, &at),
        }))
    }
}

enum Fit {
    Good(Explanation),
    Bad,
    TooFar,
}
