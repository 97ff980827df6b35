//! Blanks as they lie on the bench before they are ripped: where each strip is in them.
//!
//! Lengths in mm. A blank's x runs across the strips, from the edge that is cleaned first.

use super::{
    balance::{Blanks, width_ripped},
    cut::{CrossPlan, CutPlan},
    lay::Profile,
};
use crate::{
    plan::{saw::ways::Way, shop::Shop},
    stock::Colour,
};

/// Strips of one way side by side in a blank.
#[derive(Debug, Clone, PartialEq)]
pub struct RunAt {
    /// How they are ripped: what the steps are made from.
    pub way: Way,
    /// Which rips the odd and the even ones are: indices into [`Kinds::rips`](super::strips::Kinds::rips).
    pub rips: [usize; 2],
    /// How many.
    pub count: u64,
    /// Where the run begins, in mm from the blank's left edge.
    pub at: f64,
}

/// Blanks that are ripped alike.
#[derive(Debug, Clone, PartialEq)]
pub struct RippedBlanks {
    /// Which boards they are cut from: index into [`CountBack::boards`](super::CountBack::boards).
    pub board: usize,
    /// How many, laminated where the sheet is.
    pub count: u64,
    /// Which sheet they become: index into [`Kinds::sheets`](super::strips::Kinds::sheets).
    pub sheet: usize,
    /// Width as they come off the board, in mm.
    pub width: f64,
    /// The part of it that the strips take, with the last cut and what the board is held by beyond it, in mm.
    pub taken: f64,
    /// Length along the strips, in mm.
    pub length: f64,
    /// Slices of a bar of this length.
    pub slices: u64,
    /// Veneers that are still to be glued on, from the face to the back.
    pub veneers: Vec<Colour>,
    /// The strips, from the left, run by run.
    pub runs: Vec<RunAt>,
}

/// The blanks of one way to rip, group by group, as they lie.
pub(super) fn laid_out(
    board: usize,
    cross: &CrossPlan,
    plan: &CutPlan,
    groups: &[Blanks],
    shop: &Shop,
) -> Vec<RippedBlanks> {
    groups
        .iter()
        .filter(|group| group.is_ripped())
        .map(|group| RippedBlanks {
            board,
            count: group.count,
            sheet: plan.sheet,
            width: cross.width,
            taken: width_ripped(cross, plan, &group.strips, shop),
            length: cross.blank_length,
            slices: cross.slices,
            veneers: plan.veneers.clone(),
            runs: runs(plan, &group.strips, shop),
        })
        .collect()
}

fn runs(plan: &CutPlan, counts: &[u64], shop: &Shop) -> Vec<RunAt> {
    let mut all = Vec::new();
    let mut at = shop.cutting.edge_trim;
    let mut last: Option<(Profile, f64)> = None;
    for (run, &count) in plan.runs.iter().zip(counts).filter(|(_, c)| **c > 0) {
        if let Some((before, from)) = last {
            at = from + before.pitch(run.run.odd, shop.table_saw.kerf);
        }
        all.push(RunAt {
            way: run.way,
            rips: run.rips,
            count,
            at,
        });
        let (strip, place) = run.run.strip(count - 1);
        last = Some((strip, at + place + run.run.spare));
    }
    all
}
