//! Blanks as they lie on the bench before they are ripped: where each strip is in them.
//!
//! Lengths in mm. A blank's x runs across the strips, from the edge that is cleaned first.

use super::{
    balance::{Blanks, width_ripped},
    cut::{CrossPlan, CutPlan},
    lay::Profile,
};
use crate::{plan::shop::Shop, stock::Colour};

/// A strip where it lies in a blank.
#[derive(Debug, Clone, PartialEq)]
pub struct StripAt {
    /// Which rip: index into [`Kinds::rips`](super::strips::Kinds::rips).
    pub rip: usize,
    /// Where its cut faces meet the blank's face and back, in mm from the blank's left edge.
    pub profile: Profile,
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
    /// The part of it that the strips take, the last cut included, in mm.
    pub taken: f64,
    /// Length along the strips, in mm.
    pub length: f64,
    /// Slices of a bar of this length.
    pub slices: u64,
    /// Veneers that are still to be glued on, from the face to the back.
    pub veneers: Vec<Colour>,
    /// The strips, from the left.
    pub strips: Vec<StripAt>,
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
            strips: strips(plan, &group.strips, shop),
        })
        .collect()
}

fn strips(plan: &CutPlan, counts: &[u64], shop: &Shop) -> Vec<StripAt> {
    let mut all = Vec::new();
    let mut origin = shop.cutting.edge_trim;
    let mut last: Option<(Profile, f64)> = None;
    for (run, &count) in plan.runs.iter().zip(counts) {
        for i in 0..count {
            let (strip, at) = run.run.strip(i);
            if i == 0
                && let Some((before, from)) = last
            {
                origin = from + before.pitch(strip, shop.table_saw.kerf);
            }
            all.push(StripAt {
                rip: run.rips[usize::from(i % 2 == 1)],
                profile: strip.shifted(origin + at),
            });
            last = Some((strip, origin + at));
        }
    }
    all
}
