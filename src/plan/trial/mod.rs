//! A trial bar: what was seen on it, turned back into which setting of the saw is off, which way
//! and by how much.
//!
//! The trial bar is a short one, laid up dry by the bar's own mates with every joint tight but the
//! last. Each reading picks the one spot of this very bar that shows it best; the settings are
//! then solved from the real geometry (Gauss and Newton over [`crate::plan::tolerance::measure`]), with bounds
//! that follow from how exactly a maker reads. Readings that no setting explains are said to
//! contradict.
//!
//! Lengths in mm, angles in degrees. Never here: words.

pub mod finding;
pub mod guide;
mod judge;
mod solve;
pub mod words;

pub use finding::{Explanation, Sight, TrialFinding, Verdict};

use std::sync::Arc;

use crate::plan::{
    saw::SawLimits,
    saw::settings::Setting,
    tolerance::measure::{Across, Measure, StepKind},
    trial::judge::{Bounded, Eye},
};
use crate::watch;
use crate::{
    geom::TOLERANCE,
    stock::{Bar, Layer, Sheet},
};

/// How exactly a maker reads a gap with a feeler or a rule's edge, in mm (common practice).
pub const PRECISION: f64 = 0.1;

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
    /// Width of a strip, in mm, on the side that [`Sight::Width`] says.
    pub width: Option<f64>,
    /// How the caliper lay for it; need not be said where it makes no difference.
    pub across: Option<Across>,
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
            across: None,
            thickness: None,
            precision: PRECISION,
        }
    }
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
    /// The bar that the readings were held against: from the sheet as measured.
    pub bar: Bar,
    /// Settings whose distance the measured sheet moves: as the recipe has it, and what is aimed at.
    pub moved: Vec<(Setting, Setting)>,
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
    #[error("no reading of the trial bar: enter a gap, a proud point, a width or a thickness")]
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
    /// The reading precision is not above 0 mm.
    #[error("the reading precision must be a number above 0 mm, not {0}")]
    Precision(f64),
    /// The bar does not show this.
    #[error("on this bar no error of the saw shows as {what}")]
    NotShown {
        /// What.
        what: &'static str,
    },
    /// A width that depends on how the caliper lies.
    #[error(
        "a strip's width was read, but not how the caliper lay: the plan has {flat:.3} mm along the flat of \
         its face, {corners:.3} mm over the sharp corners, {square:.3} mm square across its sawn edges"
    )]
    WhichWidth {
        /// Along the flat of its face.
        flat: f64,
        /// Over its sharp corners.
        corners: f64,
        /// Square across its sawn edges.
        square: f64,
    },
    /// One thickness for several sheets.
    #[error("this bar is made of {sheets} different sheets: one thickness is not enough")]
    SeveralSheets {
        /// How many.
        sheets: usize,
    },
}

/// What the readings on a trial bar say about the saw.
///
/// # Errors
/// When nothing usable was read, or this bar does not show it.
pub fn trial(bar: &Bar, reading: &Reading, saw: &SawLimits) -> Result<Diagnosis, TrialError> {
    check(reading)?;
    let (bar, moved) = match reading.thickness {
        Some(thickness) => {
            let target = on_measured(bar, thickness)?;
            let moved = moved_settings(bar, &target, saw);
            (target, moved)
        }
        None => (bar.clone(), Vec::new()),
    };
    let measure = Measure::of(&bar, saw);
    let eye = Eye::new(&measure);
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
        let (part, across) = which_width(&measure, reading, &eye).ok_or(not_shown)??;
        let sight = Sight::Width { part, across };
        let change = width - measure.width(part, across);
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
            watch::ask();
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
    let read = !sights.is_empty();
    let cases = ways
        .into_iter()
        .filter(|_| read)
        .map(|(if_proud, rows)| Case {
            if_proud,
            verdict: if torn {
                Verdict::BothEndsOpen
            } else {
                eye.judge(&rows)
            },
        });
    Ok(Diagnosis {
        unseen: if read {
            eye.unseen(&sights)
        } else {
            Vec::new()
        },
        cases: cases.collect(),
        sights,
        moved,
        bar: bar.clone(),
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
        reading.thickness,
    ];
    if seen.iter().all(Option::is_none) {
        return Err(TrialError::NothingRead);
    }
    Ok(())
}

/// The bar as it is to be from a sheet of the thickness that was measured: all angles and the shape stay,
/// widths follow the thickness.
fn on_measured(bar: &Bar, thickness: f64) -> Result<Bar, TrialError> {
    let first = bar.parts()[0].strip.sheet();
    let mut sheets: Vec<&Sheet> = Vec::new();
    for part in bar.parts() {
        if !sheets.contains(&part.strip.sheet().as_ref()) {
            sheets.push(part.strip.sheet());
        }
    }
    if sheets.len() != 1 {
        return Err(TrialError::SeveralSheets {
            sheets: sheets.len(),
        });
    }
    let by = thickness / first.thickness();
    let layers = first.layers().iter().map(|layer| Layer {
        thickness: layer.thickness * by,
        ..*layer
    });
    let not = TrialError::Reading {
        what: "a sheet's thickness",
        most: 1000.0,
        value: thickness,
    };
    let sheet = Arc::new(Sheet::new(layers.collect()).map_err(|_| not.clone())?);
    let open = bar.joints().iter().map(|j| j.gap.abs() * by);
    let open = open.fold(TOLERANCE, |most, gap| most.max(2.0 * gap));
    bar.on_sheets(|_| Arc::clone(&sheet), open).map_err(|_| not)
}

/// Fences and stops whose place the measured sheet moves.
fn moved_settings(bar: &Bar, target: &Bar, saw: &SawLimits) -> Vec<(Setting, Setting)> {
    let [was, is] = [bar, target].map(|bar| Measure::of(bar, saw).settings().list().to_vec());
    was.into_iter()
        .zip(is)
        .filter(|pair| match pair {
            (Setting::Fence { fence: a, .. }, Setting::Fence { fence: b, .. }) => {
                (a - b).abs() > TOLERANCE / 10.0
            }
            _ => false,
        })
        .collect()
}

/// The part whose width is read, and how; none where no width shows.
fn which_width(
    measure: &Measure<'_>,
    reading: &Reading,
    eye: &Eye<'_, '_>,
) -> Option<Result<(usize, Across), TrialError>> {
    let part = eye.best_width()?;
    let [flat, corners, square] = Across::ALL.map(|across| measure.width(part, across));
    Some(match reading.across {
        Some(across) => Ok((part, across)),
        None if (flat - corners).abs() <= reading.precision => Ok((part, Across::Flat)),
        None => Err(TrialError::WhichWidth {
            flat,
            corners,
            square,
        }),
    })
}

/// What the two gap readings say about outer minus inner opening. A gap that can be read says how
/// much; one that cannot says that the joint is not open there. Where one end is closed and
/// nothing is said of the other, that is taken as closed too.
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
