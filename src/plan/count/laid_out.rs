//! Blanks as they lie on the bench before they are ripped: where each sheet is in them, and each strip in
//! a sheet.
//!
//! Lengths in mm. A blank's x runs across the strips, from the edge that is cleaned first.

use super::{
    blanks::{Blanks, Sheeted},
    side_by_side::Lying,
};
use crate::{plan::saw::rip_method::RipMethod, stock::Colour};

/// Strips of one rip method side by side in a blank.
#[derive(Debug, Clone, PartialEq)]
pub struct RunAt {
    /// How they are ripped: what the steps are made from.
    pub method: RipMethod,
    /// Which rips the odd and the even ones are: indices into [`Kinds::rips`](super::strips::Kinds::rips).
    pub rips: [usize; 2],
    /// How many.
    pub count: u64,
    /// Where the run begins, in mm from the blank's left edge.
    pub at: f64,
}

/// Blanks that are cut to width alike.
#[derive(Debug, Clone, PartialEq)]
pub struct CutBlanks {
    /// Which boards they are cut from: index into [`CountBack::boards`](super::CountBack::boards).
    pub board: usize,
    /// How many.
    pub count: u64,
    /// Width as they come off the board, in mm.
    pub width: f64,
    /// Length along the strips, in mm.
    pub length: f64,
    /// What they become, from the left: index into [`CountBack::ripped`](super::CountBack::ripped), and
    /// how often in one blank.
    pub sheets: Vec<(usize, u64)>,
}

/// Boards that are ripped alike, laminated where the sheet is.
#[derive(Debug, Clone, PartialEq)]
pub struct RippedBlanks {
    /// How many, laminated where the sheet is.
    pub count: u64,
    /// Which sheet they become: index into [`Kinds::sheets`](super::strips::Kinds::sheets).
    pub sheet: usize,
    /// Width, in mm.
    pub width: f64,
    /// Length along the strips, in mm.
    pub length: f64,
    /// Slices of a bar of this length.
    pub slices: u64,
    /// Veneers that are still to be glued on, from the face to the back.
    pub veneers: Vec<Colour>,
    /// The strips, from the left, run by run.
    pub runs: Vec<RunAt>,
}

/// Adds blanks of a board line as they lie.
pub(super) fn lay_out(
    board: usize,
    blanks: &Blanks,
    cut: &mut Vec<CutBlanks>,
    ripped: &mut Vec<RippedBlanks>,
) {
    let first = ripped.len();
    let cross = blanks.cross;
    let sheets = blanks.sheets.iter().enumerate();
    cut.push(CutBlanks {
        board,
        count: blanks.of_board(),
        width: cross.width,
        length: cross.blank_length,
        sheets: sheets.map(|(i, s)| (first + i, s.section.copies)).collect(),
    });
    ripped.extend(blanks.sheets.iter().map(|sheet| RippedBlanks {
        count: blanks.count,
        sheet: sheet.section.sheet,
        width: sheet.width,
        length: cross.blank_length,
        slices: cross.slices,
        veneers: sheet.section.veneers.clone(),
        runs: runs(sheet),
    }));
}

fn runs(sheet: &Sheeted) -> Vec<RunAt> {
    let first_strips = sheet.strips.iter().filter(|lying| lying.number == 0);
    let run_at = |lying: &Lying| {
        let blank_run = &sheet.section.runs[lying.run];
        RunAt {
            method: blank_run.method,
            rips: blank_run.rips,
            count: sheet.counts[lying.run],
            at: lying.at - blank_run.run.strip(0).1,
        }
    };
    first_strips.map(run_at).collect()
}
