//! The table saw of the simulated shop, and what makes a pass of it unsafe.
//!
//! Fence on the left at x = 0, table at y = 0, y down. The near side of the blade comes through the table
//! at some x and leans away from the fence by the tilt; the cut takes the kerf beyond.

use crate::bench::Fault;
use crate::section::{P, Section, cut, least, middle, mirrored, most, moved, sin_cos, turned};
use crate::told::{Becomes, Pass, Set, Step};

/// What a pass leaves, in the frame of the wood, and how it lay.
pub(crate) struct Sawn {
    pub(crate) inboard: Section,
    pub(crate) outboard: Section,
    work: Section,
    inboard_lying: Section,
}

/// Lays the work down, pushes it to the fence, sets fence or stop, and saws.
pub(crate) fn saw(section: &[P], tilt: f64, kerf: f64, pass: &Pass) -> Result<Sawn, Fault> {
    let end_2 = pass.lie.end == 2;
    let looks = pass.lie.down.looks;
    let (seen, looks) = if end_2 {
        (mirrored(section), 180.0 - looks)
    } else {
        (section.to_vec(), looks)
    };
    let turn = 90.0 - looks;
    let lying = turned(&seen, turn);
    let (left, low) = (least(&lying, |p| p.0), most(&lying, |p| p.1));
    if lying.iter().filter(|p| p.1 > low - 1e-4).count() < 2 {
        return Err("the work stands on an edge, not on a side".to_owned());
    }
    let work = moved(&lying, -left, -low);
    let (sin, cos) = sin_cos(tilt);
    let wide = kerf / cos;
    let near = match pass.set {
        Set::Fence(fence) | Set::Ledge(fence) => fence,
        Set::ByEye(off) => most(&work, |p| p.0) - off,
        Set::Stop(stop) => most(&work, |p| p.0) - stop - wide,
    };
    // Distance of a point from the plane of the blade's near side, away from the fence.
    let beyond = |x: f64| move |p: P| (p.0 - x) * cos + p.1 * sin;
    let inboard = cut(&work, |p| -beyond(near)(p));
    let outboard = cut(&work, beyond(near + wide));
    let back = |s: &[P]| {
        let s = turned(&moved(s, left, low), -turn);
        if end_2 { mirrored(&s) } else { s }
    };
    Ok(Sawn {
        inboard: back(&inboard),
        outboard: back(&outboard),
        inboard_lying: inboard,
        work,
    })
}

/// One pass as it was made.
#[derive(Debug, Clone)]
pub(crate) struct Made {
    step: usize,
    tilt: f64,
    /// Foot on the table of what lies between fence and blade, and how far its weight is within it.
    foot: f64,
    within: f64,
    /// Whether what lies there is waste.
    waste: bool,
    /// What lies on the table.
    side: String,
    length: f64,
    height: f64,
    /// Whether a sharp lower corner lies at the fence that nobody was warned of.
    creeps: bool,
    cautions: usize,
    /// Whether the work is clamped to the bed of a carriage; then nothing is led.
    clamped: bool,
}

/// What a saw and its owner allow.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Allowed {
    pub(crate) tilt: f64,
    pub(crate) foot: f64,
    pub(crate) length: f64,
    /// Width of a board that is cut off another.
    pub(crate) board: f64,
}

pub(crate) fn made(step: &Step, tilt: f64, sawn: &Sawn, pass: &Pass, length: f64) -> Made {
    let piece = &sawn.inboard_lying;
    let on_table: Section = piece.iter().copied().filter(|p| p.1 > -1e-4).collect();
    let (low, high) = (least(&on_table, |p| p.0), most(&on_table, |p| p.0));
    let heavy = if piece.is_empty() {
        0.0
    } else {
        middle(piece).0
    };
    let at_fence = sawn.work.iter().filter(|p| p.0 < 1e-4);
    let sharp = at_fence.clone().all(|p| p.1 > -1e-4);
    let warned = pass.touches == "low_corner" && step.cautions.iter().any(|c| c == "low_corner");
    Made {
        step: step.number,
        tilt,
        foot: if on_table.is_empty() { 0.0 } else { high - low },
        within: (heavy - low).min(high - heavy),
        waste: pass.inboard == Becomes::Waste && !piece.is_empty(),
        side: pass.lie.down.side.clone(),
        length,
        height: -least(&sawn.work, |p| p.1),
        creeps: sharp && !warned,
        cautions: step.cautions.len(),
        clamped: matches!(pass.set, Set::Ledge(_)),
    }
}

impl Made {
    /// What is not safe about it.
    pub(crate) fn unsafe_for(&self, allowed: Allowed) -> Option<String> {
        let what = if self.tilt > allowed.tilt + 1e-6 {
            format!("the blade is tilted by {}", self.tilt)
        } else if self.waste && !self.clamped {
            "waste lies between fence and blade".to_owned()
        } else if self.foot < allowed.foot - 1e-6 {
            format!(
                "what lies between fence and blade stands on {:.2} mm",
                self.foot
            )
        } else if self.within <= 0.0 {
            "what lies between fence and blade tips over".to_owned()
        } else if self.length < allowed.length - 1e-6 {
            format!("the work is {:.1} mm long", self.length)
        } else if self.creeps {
            "a sharp corner creeps under the fence, and nobody was warned".to_owned()
        } else if self.cautions == 0 {
            "there is no word of caution".to_owned()
        } else {
            return None;
        };
        Some(format!(
            "step {}: {what} ({} down, {:.1} mm high)",
            self.step, self.side, self.height
        ))
    }
}
