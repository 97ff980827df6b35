//! How errors of the saw open a bar's joints and add up over a panel, found by laying up the real
//! bar from the strips that a saw so set would leave.
//!
//! For each setting alone: what 0.1 degree or 0.1 mm does, and how far it may be off before anything
//! opens by more than a limit. For all together: the share of those errors that keeps within the limit
//! whichever way each of them goes.
//!
//! Assumed throughout: a setting serves all cuts that use it, so its error is common to the parts
//! (see [`crate::plan::saw::settings`]); square edges are ripped without turning the sheet over, bevels as
//! [`crate::plan::saw::rip`] says; parts are laid up by the bar's mates, and the last joint shows the rest.

pub mod measure;
pub mod panel;
pub mod words;

use crate::plan::{
    saw::SawLimits,
    saw::settings::Setting,
    tolerance::measure::{Measure, Seen},
};
use crate::watch;
use crate::{
    geom::{Point, angle},
    stock::Bar,
};

/// The widest gap that counts as closed, in mm (common practice).
pub const GAP_LIMIT: f64 = 0.1;

/// The step at which effects are told: 0.1 degree or 0.1 mm.
pub const STEP: f64 = 0.1;

/// The largest error that is tried, in degrees or mm; a larger one is no error of setting.
const FARTHEST: f64 = 5.0;

/// What some errors do to a bar, in mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Effect {
    /// The widest gap of a joint at the bar's rim, its other end pushed together.
    pub gap_outside: f64,
    /// The widest gap of a joint inside the bar, its outer end pushed together.
    pub gap_centre: f64,
    /// How far the proudest point stands out at the end of a joint.
    pub proud: f64,
    /// The widest gap at the outer end of an edge, where the bar's corner is held against a true
    /// one: a tile in a panel against a true neighbour.
    pub corner: f64,
    /// How much wider and higher the bar's section is.
    pub grown: Point,
}

impl Effect {
    /// The worst of what would open a joint in the bar or in the panel.
    pub fn worst(&self) -> f64 {
        self.gap_outside
            .max(self.gap_centre)
            .max(self.proud)
            .max(self.corner)
    }
}

/// One setting: what it does, and how far it may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingTolerance {
    /// The setting.
    pub setting: Setting,
    /// What [`STEP`] too much does.
    pub more: Effect,
    /// What [`STEP`] too little does.
    pub less: Effect,
    /// How far it alone may be off, either way, in degrees or mm, to keep within the limit; none
    /// where even 5 degrees or 5 mm do.
    pub allowed: Option<f64>,
}

/// How exactly a bar wants its saw set.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerance {
    /// The limit in mm.
    pub limit: f64,
    /// Each setting that the bar depends on.
    pub settings: Vec<SettingTolerance>,
    /// The share of every allowed error that keeps within the limit when all are off at once, each
    /// the worse way; 1 where they do not add up.
    pub together: f64,
}

/// What errors (in the order of the settings) do to a bar.
pub fn effect(measure: &Measure<'_>, errors: &[f64]) -> Effect {
    let seen = measure.with(errors);
    let mut effect = Effect {
        grown: seen.grown,
        ..Effect::default()
    };
    for (joint, opening) in measure.joints().iter().zip(&seen.openings) {
        for (end, gap) in joint.ends.iter().zip(pushed(*opening)) {
            let worst = if end.outside {
                &mut effect.gap_outside
            } else {
                &mut effect.gap_centre
            };
            *worst = worst.max(gap);
        }
    }
    effect.proud = seen
        .steps
        .iter()
        .flatten()
        .map(|s| s.abs())
        .fold(0.0, f64::max);
    effect.corner = corner_gaps(measure, &seen).fold(0.0, f64::max);
    effect
}

/// The openings of a joint whose parts are pushed apart or together until they just touch: wood
/// does not press into wood. A joint that stands open at both ends stays so.
fn pushed([a, b]: [f64; 2]) -> [f64; 2] {
    let apart = (-a.min(b)).max(0.0);
    [a + apart, b + apart]
}

fn corner_gaps(measure: &Measure<'_>, seen: &Seen) -> impl Iterator<Item = f64> {
    let gaps = measure.corners().iter().zip(&seen.corners);
    gaps.map(|(c, off)| c.leg * angle::sin(off.abs().min(90.0)))
        .collect::<Vec<_>>()
        .into_iter()
}

/// The tolerance of a bar for a limit in mm, on a saw.
pub fn tolerance(bar: &Bar, limit: f64, saw: &SawLimits) -> Tolerance {
    let measure = Measure::of(bar, saw);
    let list = measure.settings().list().to_vec();
    let alone = |i: usize, error: f64| {
        let mut errors = vec![0.0; list.len()];
        errors[i] = error;
        effect(&measure, &errors)
    };
    let settings: Vec<SettingTolerance> = list
        .iter()
        .enumerate()
        .map(|(i, setting)| SettingTolerance {
            setting: setting.clone(),
            more: alone(i, STEP),
            less: alone(i, -STEP),
            allowed: allowed(|e| alone(i, e).worst().max(alone(i, -e).worst()), limit),
        })
        .collect();
    let together = together(&measure, &settings, limit);
    Tolerance {
        limit,
        settings,
        together,
    }
}

/// The largest error up to [`FARTHEST`] that keeps `worst` within the limit; none where that does
/// too. Bisection: effects grow with the error.
fn allowed(worst: impl Fn(f64) -> f64, limit: f64) -> Option<f64> {
    let (mut fine, mut bad) = (0.0, FARTHEST);
    if worst(bad) <= limit {
        return None;
    }
    for _ in 0..40 {
        watch::ask();
        let middle = f64::midpoint(fine, bad);
        if worst(middle) <= limit {
            fine = middle;
        } else {
            bad = middle;
        }
    }
    Some(fine)
}

/// Adds up, for everything that can open, what each allowed error does to it (by the straight
/// line through small errors), and compares the largest sum with the limit.
fn together(measure: &Measure<'_>, settings: &[SettingTolerance], limit: f64) -> f64 {
    let n = settings.len();
    let mut sums: Vec<f64> = Vec::new();
    for (i, setting) in settings.iter().enumerate() {
        let Some(allowed) = setting.allowed else {
            continue;
        };
        let small = STEP / 10.0;
        let mut errors = vec![0.0; n];
        errors[i] = small;
        let rates: Vec<f64> = openings(measure, &errors)
            .map(|v| v.abs() / small * allowed)
            .collect();
        if sums.is_empty() {
            sums = rates;
        } else {
            for (sum, rate) in sums.iter_mut().zip(rates) {
                *sum += rate;
            }
        }
    }
    let worst = sums.into_iter().fold(0.0, f64::max);
    if worst <= limit { 1.0 } else { limit / worst }
}

/// Everything that can open or stand proud, with its sign.
fn openings(measure: &Measure<'_>, errors: &[f64]) -> impl Iterator<Item = f64> {
    let seen = measure.with(errors);
    let wedges: Vec<f64> = seen.openings.iter().map(|[a, b]| b - a).collect();
    let corners = measure.corners().iter().zip(&seen.corners);
    let corners: Vec<f64> = corners.map(|(c, off)| c.leg * angle::sin(*off)).collect();
    let whole = seen.openings.into_iter().flatten();
    let steps = seen.steps.into_iter().flatten();
    wedges.into_iter().chain(whole).chain(steps).chain(corners)
}
