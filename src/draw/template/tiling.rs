//! Which part of a panel goes on which page.

use super::paper::{Frame, MARGINS, MOST_PAGES, OVERLAPS, TemplateError, TemplateOptions};
use crate::watch;
use crate::{
    geom::{Point, Polygon, Rect, clip},
    layout::{Trim, panel::Panel},
};

/// How far a mark stands from the ends of the seam that it is on, in mm.
const MARK_INSET: f64 = 14.0;

/// One page.
#[derive(Debug, Clone)]
pub(super) struct Part {
    /// Column of the grid, from 0.
    pub(super) column: usize,
    /// Row of the grid, from 0.
    pub(super) row: usize,
    /// What it shows, on the panel.
    pub(super) shows: Rect,
    /// The tiles that reach into it, by their index.
    pub(super) tiles: Vec<usize>,
}

/// A cross in an overlap: where it stands on the panel, and the two pages that share it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Mark {
    pub(super) at: Point,
    pub(super) pages: [usize; 2],
}

/// The pages of a template.
#[derive(Debug, Clone)]
pub(super) struct Tiling {
    pub(super) frame: Frame,
    /// The tiles' outlines where they lie, before any trimming.
    pub(super) rims: Vec<Polygon>,
    /// All of them, and the finished rectangle.
    pub(super) extent: Rect,
    /// The pages, row by row; those that would stay empty are left out.
    pub(super) pages: Vec<Part>,
    pub(super) marks: Vec<Mark>,
}

impl Tiling {
    pub(super) fn of(panel: &Panel, options: &TemplateOptions) -> Result<Self, TemplateError> {
        if !(MARGINS.0..=MARGINS.1).contains(&options.margin) {
            return Err(TemplateError::Margin { mm: options.margin });
        }
        if !(OVERLAPS.0..=OVERLAPS.1).contains(&options.overlap) {
            return Err(TemplateError::Overlap {
                mm: options.overlap,
            });
        }
        let rims: Vec<Polygon> = panel.tiles.iter().map(|t| panel.rim(t)).collect();
        let corners = rims
            .iter()
            .map(Polygon::bounds)
            .chain(panel.trim.as_ref().map(Trim::bounds));
        let extent = Rect::around(corners.flat_map(|r| [r.min, r.max]).collect::<Vec<_>>())
            .ok_or(TemplateError::NoTiles)?;
        if rims.is_empty() {
            return Err(TemplateError::NoTiles);
        }
        let frame = Frame::of(options);
        let window = frame.window();
        let across = grid(
            extent.min.x,
            extent.width(),
            window.width(),
            options.overlap,
        );
        let down = grid(
            extent.min.y,
            extent.height(),
            window.height(),
            options.overlap,
        );
        let asked = across.count * down.count;
        if asked > MOST_PAGES {
            return Err(TemplateError::TooManyPages { pages: asked });
        }
        let mut pages = Vec::new();
        for (row, top) in down.starts().enumerate() {
            watch::ask();
            for (column, left) in across.starts().enumerate() {
                let shows = Rect {
                    min: Point::new(left, top),
                    max: Point::new(left + window.width(), top + window.height()),
                };
                let tiles: Vec<usize> = (0..rims.len())
                    .filter(|&i| {
                        rims[i].bounds().meets(shows) && clip::within(&rims[i], shows).is_some()
                    })
                    .collect();
                if !tiles.is_empty() {
                    pages.push(Part {
                        column,
                        row,
                        shows,
                        tiles,
                    });
                }
            }
        }
        let marks = marks(&pages, options.overlap);
        Ok(Self {
            frame,
            rims,
            extent,
            pages,
            marks,
        })
    }
}

/// Windows along one direction.
struct Grid {
    first: f64,
    step: f64,
    count: u64,
}

impl Grid {
    fn starts(&self) -> impl Iterator<Item = f64> {
        (0..self.count).map(|i| self.first + self.step * i as f64)
    }
}

/// The fewest windows of a size that cover a length from `from`, each `overlap` over the next; what
/// is over stands out evenly at both ends.
fn grid(from: f64, length: f64, window: f64, overlap: f64) -> Grid {
    let step = window - overlap;
    let needed = ((length - overlap) / step - 1e-9).ceil().max(1.0);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at least 1, and saturates"
    )]
    let count = needed as u64;
    let covered = step * needed + overlap;
    Grid {
        first: from - (covered - length) / 2.0,
        step,
        count,
    }
}

/// Two crosses on the middle line of every overlap of two pages side by side or one below the other.
fn marks(pages: &[Part], overlap: f64) -> Vec<Mark> {
    let mut marks = Vec::new();
    for (a, one) in pages.iter().enumerate() {
        watch::ask();
        let at = |column: usize, row: usize| {
            pages
                .iter()
                .position(|p| (p.column, p.row) == (column, row))
        };
        if let Some(b) = at(one.column + 1, one.row) {
            let x = pages[b].shows.min.x + overlap / 2.0;
            for y in ends(one.shows.min.y, one.shows.max.y) {
                marks.push(Mark {
                    at: Point::new(x, y),
                    pages: [a, b],
                });
            }
        }
        if let Some(b) = at(one.column, one.row + 1) {
            let y = pages[b].shows.min.y + overlap / 2.0;
            for x in ends(one.shows.min.x, one.shows.max.x) {
                marks.push(Mark {
                    at: Point::new(x, y),
                    pages: [a, b],
                });
            }
        }
    }
    marks
}

fn ends(from: f64, to: f64) -> [f64; 2] {
    // Clear of the overlap at right angles to this one.
    let inset = MARK_INSET + OVERLAPS.1.min((to - from) / 8.0);
    [from + inset, to - inset]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_few_windows_as_cover_it() {
        // Windows of 100 with 10 over: 1 covers 100, 2 cover 190, 3 cover 280.
        for (length, count) in [
            (5.0, 1),
            (100.0, 1),
            (100.1, 2),
            (190.0, 2),
            (191.0, 3),
            (280.0, 3),
        ] {
            let grid = grid(-7.0, length, 100.0, 10.0);
            assert_eq!(grid.count, count, "{length}");
            let starts: Vec<f64> = grid.starts().collect();
            assert!(starts[0] <= -7.0 + 1e-9);
            assert!(starts[starts.len() - 1] + 100.0 >= length - 7.0 - 1e-9);
        }
    }
}
