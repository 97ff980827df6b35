//! Second cuts: a glued panel ripped or cross-cut again, through its whole thickness, to slats.
//!
//! A panel shows the same at every depth, as each tile is a slice of a bar. So a slat is a piece of its picture: what
//! lies between two parallel cuts, every strip clipped to that. Each cut takes its kerf. Lengths in mm, in the
//! panel's own frame.

use super::panel::{Panel, PlacedTile};
use crate::geom::{Isometry, Point, Polygon, Rect, TOLERANCE, clip};
use crate::stock::bar::Part;
use crate::stock::tile::Slat;
use crate::stock::{Bar, StockError};
use crate::watch;

/// The most slats of one panel.
pub const MOST_SLATS: usize = 200;

/// Areas that differ by less, in square mm for each mm of the slat's rim, are the same.
const SAME: f64 = 1e-3;

/// Why a panel cannot be cut to slats.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SlatsError {
    /// A slat would have no width, or a cut no kerf.
    #[error("a slat must be at least {least} mm wide, not {width:.3} mm", least = LEAST)]
    Width {
        /// What is asked for.
        width: f64,
    },
    /// The kerf is out of range.
    #[error("the kerf must be from 0 to 10 mm, not {kerf:.3} mm")]
    Kerf {
        /// What is asked for.
        kerf: f64,
    },
    /// The panel is narrower than one slat.
    #[error("the panel is {across:.1} mm across, and one slat takes {width:.1} mm")]
    Narrow {
        /// The panel's size across the slats.
        across: f64,
        /// Width of a slat.
        width: f64,
    },
    /// Too many slats.
    #[error("the panel would give {slats} slats; at most {MOST_SLATS} can be cut")]
    Many {
        /// How many.
        slats: usize,
    },
    /// The panel has no straight rim.
    #[error(
        "the panel's rim is not straight there: {missing:.1} square mm are missing of slat {number}"
    )]
    Gaps {
        /// The slat, from 1.
        number: usize,
        /// Area that no tile covers.
        missing: f64,
    },
    /// The panel is trimmed to another outline than a rectangle.
    #[error("the panel is trimmed to an outline that is no rectangle")]
    Outline,
    /// A slat has too many strips.
    #[error(transparent)]
    Stock(#[from] StockError),
}

/// The narrowest slat, in mm: what a hand can still hold at a saw (common practice).
pub const LEAST: f64 = 6.0;

/// The slats of a panel, from the left, or from the top where they lie across: each as a bar, and where it comes from.
///
/// # Errors
/// When the panel gives no slat of that width, or has gaps or another rim than a rectangle.
pub fn slats(
    panel: &Panel,
    width: f64,
    kerf: f64,
    across: bool,
) -> Result<Vec<(Bar, Slat)>, SlatsError> {
    if !(width >= LEAST && width.is_finite()) {
        return Err(SlatsError::Width { width });
    }
    if !(0.0..=10.0).contains(&kerf) {
        return Err(SlatsError::Kerf { kerf });
    }
    let rim = panel.bounds;
    if let Some(trim) = &panel.trim {
        let loops = trim.loops();
        let area = rim.width() * rim.height();
        let straight = loops.len() == 1 && (loops[0].area() - area).abs() < SAME * area.sqrt();
        if !straight {
            return Err(SlatsError::Outline);
        }
    }
    let whole = if across { rim.height() } else { rim.width() };
    // The last cut may lie beyond the panel's rim.
    let count = ((whole + kerf + TOLERANCE) / (width + kerf)).floor();
    if count < 1.0 {
        return Err(SlatsError::Narrow {
            across: whole,
            width,
        });
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of at least 1; one too large saturates and is refused"
    )]
    let count = count as usize;
    if count > MOST_SLATS {
        return Err(SlatsError::Many { slats: count });
    }
    (0..count)
        .map(|i| {
            let from = i as f64 * (width + kerf);
            let (min, max) = if across {
                (
                    Point::new(rim.min.x, from),
                    Point::new(rim.max.x, from + width),
                )
            } else {
                (
                    Point::new(from, rim.min.y),
                    Point::new(from + width, rim.max.y),
                )
            };
            let slat = Slat {
                panel: panel.name.clone(),
                number: i + 1,
                from,
                width,
                kerf,
                across,
            };
            Ok((piece(panel, Rect { min, max }, i + 1)?, slat))
        })
        .collect()
}

/// What a panel shows in a rectangle, as a bar.
fn piece(panel: &Panel, rect: Rect, number: usize) -> Result<Bar, SlatsError> {
    let to_own = Isometry::shift(-rect.min);
    let mut parts = Vec::new();
    let mut covered = 0.0;
    for tile in &panel.tiles {
        watch::ask();
        let bounds = panel.rim(tile).bounds();
        let beside = bounds.min.x >= rect.max.x
            || bounds.max.x <= rect.min.x
            || bounds.min.y >= rect.max.y
            || bounds.max.y <= rect.min.y;
        if beside {
            continue;
        }
        for (part, place) in placed(panel, tile) {
            let there = part.strip.section().moved(place);
            let Some(kept) = clip::within(&there, rect) else {
                continue;
            };
            if clip::depth(&kept) <= TOLERANCE {
                continue;
            }
            covered += kept.area();
            let (strip, shift) = part.strip.kept(&kept.moved(place.inverse()));
            let place = shift.then(place).then(to_own);
            parts.push(Part {
                outline: strip.section().moved(place),
                strip,
                place,
            });
        }
    }
    let (width, height) = (rect.width(), rect.height());
    let missing = width * height - covered;
    if missing.abs() > SAME * (width + height) {
        return Err(SlatsError::Gaps { number, missing });
    }
    let outline = Polygon::clockwise(vec![
        Point::ZERO,
        Point::new(width, 0.0),
        Point::new(width, height),
        Point::new(0.0, height),
    ]);
    Ok(Bar::cut_out(parts, outline)?)
}

/// The parts of a tile's bar, each with the move from where its strip lay to where it is in the panel.
fn placed<'a>(panel: &'a Panel, tile: &PlacedTile) -> impl Iterator<Item = (&'a Part, Isometry)> {
    let face = &panel.faces[tile.face as usize];
    let bar = face.kind.bar();
    let centre = Isometry::shift(-bar.outline().centroid());
    let posed = face.kind.isometry(face.pose);
    let there = centre.then(posed).then(Isometry::shift(tile.at));
    bar.parts()
        .iter()
        .map(move |part| (part, part.place.then(there)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::panel::JointCount;

    #[test]
    fn what_cannot_be_cut_says_why() {
        let panel = Panel {
            name: "p".to_owned(),
            faces: Vec::new(),
            tiles: Vec::new(),
            trim: None,
            bounds: Rect {
                min: Point::ZERO,
                max: Point::new(100.0, 60.0),
            },
            joints: JointCount::default(),
            laid_on: None,
            pieces: crate::layout::pieces::Pieces::default(),
        };
        let error = |width, kerf, across| slats(&panel, width, kerf, across).unwrap_err();
        assert!(matches!(error(2.0, 1.0, false), SlatsError::Width { .. }));
        assert!(matches!(
            error(f64::NAN, 1.0, false),
            SlatsError::Width { .. }
        ));
        assert!(matches!(error(20.0, -1.0, false), SlatsError::Kerf { .. }));
        assert!(matches!(error(80.0, 2.0, true), SlatsError::Narrow { .. }));
        assert!(matches!(
            error(20.0, 2.0, false),
            SlatsError::Gaps { number: 1, .. }
        ));
    }
}
