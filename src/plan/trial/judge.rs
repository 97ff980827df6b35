//! The search behind a trial bar: which spot of the bar shows a reading best, and which errors of
//! the settings explain what was seen there.
//!
//! Each sight changes with the settings at rates that are found by laying up the real bar a little
//! off; Gauss and Newton's steps lead to errors that give the readings. Bounds of the readings
//! become bounds of the errors. Lengths in mm, angles in degrees.

use crate::plan::{
    saw::settings::Setting,
    tolerance::effect,
    tolerance::measure::{Across, Measure},
    trial::finding::{Explanation, Sight, TrialFinding, Verdict},
    trial::solve::{Equations, Solution, subsets},
};
use crate::watch;

/// A setting that would have to be off by more than this many degrees or mm is not what is wrong.
const FARTHEST: f64 = 5.0;

/// Effects below this many mm for one degree or mm do not show.
const SHOWS: f64 = 1e-3;

/// Bounds of a reading.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bounded {
    pub(super) sight: Sight,
    pub(super) low: f64,
    pub(super) high: f64,
}

/// The bar with the rates at which its sights change.
pub(super) struct Eye<'m, 'b> {
    measure: &'m Measure<'b>,
    /// As many zeros as there are settings.
    none_off: Vec<f64>,
    /// The settings of the saw; sheets are taken as known.
    unknown: Vec<usize>,
}

impl<'m, 'b> Eye<'m, 'b> {
    pub(super) fn new(measure: &'m Measure<'b>) -> Self {
        let list = measure.settings().list();
        let unknown = (0..list.len())
            .filter(|&i| !matches!(list[i], Setting::Thickness { .. }))
            .collect();
        Self {
            measure,
            none_off: vec![0.0; list.len()],
            unknown,
        }
    }

    /// How much each sight changes for one degree or mm of each of the `settings`, near the errors `at`.
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
        let rates = self.rates(sights, &self.unknown, &self.none_off);
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
            // Rounding must not decide between spots that are equally good.
            let better = best.is_none_or(|(_, (least, most))| {
                shown < least || (shown == least && sum > most * (1.0 + 1e-6))
            });
            if better {
                best = Some((*sight, (shown, sum)));
            }
        }
        best.map(|(sight, _)| sight)
    }

    pub(super) fn best_gap(&self) -> Option<Sight> {
        let joints = 0..self.measure.joints().len();
        let wedges: Vec<Sight> = joints.map(|joint| Sight::Wedge { joint }).collect();
        let corners = 0..self.measure.corners().len();
        let corners: Vec<Sight> = corners.map(|corner| Sight::Corner { corner }).collect();
        self.best(&wedges, Setting::in_degrees)
            .or_else(|| self.best(&corners, Setting::in_degrees))
    }

    pub(super) fn best_step(&self) -> Option<Sight> {
        let mut steps = Vec::new();
        for (joint, site) in self.measure.joints().iter().enumerate() {
            for (end, at) in site.ends.iter().enumerate() {
                let kind = at.step;
                steps.extend(kind.map(|kind| Sight::Step { joint, end, kind }));
            }
        }
        self.best(&steps, |s| !s.in_degrees())
    }

    /// The part whose width shows most.
    pub(super) fn best_width(&self) -> Option<usize> {
        let across = Across::Flat;
        let parts = 0..self.measure.bar().parts().len();
        let sights: Vec<Sight> = parts.map(|part| Sight::Width { part, across }).collect();
        match self.best(&sights, |s| !s.in_degrees())? {
            Sight::Width { part, .. } => Some(part),
            _ => None,
        }
    }

    /// The settings that show in some of the sights.
    fn active(&self, sights: &[Sight]) -> Vec<usize> {
        let rates = self.rates(sights, &self.unknown, &self.none_off);
        let shows = |column: usize| rates.iter().any(|row| row[column].abs() > SHOWS);
        let columns = (0..self.unknown.len()).filter(|&c| shows(c));
        columns.map(|c| self.unknown[c]).collect()
    }

    pub(super) fn unseen(&self, sights: &[Sight]) -> Vec<Setting> {
        let active = self.active(sights);
        let hidden = self.unknown.iter().filter(|i| !active.contains(i));
        hidden
            .map(|&i| self.measure.settings().list()[i].clone())
            .collect()
    }

    pub(super) fn judge(&self, rows: &[Bounded]) -> Verdict {
        let sights: Vec<Sight> = rows.iter().map(|r| r.sight).collect();
        let seen = self.measure.with(&self.none_off);
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
                watch::ask();
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
        let mut at = self.none_off.clone();
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
        let findings: Vec<TrialFinding> = settings
            .iter()
            .zip(&solution.within)
            .map(|(&i, &within)| TrialFinding {
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
