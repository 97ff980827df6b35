//! The outlines of a panel by layers, as all forms of files take them; how their numbers are written.

use crate::geom::{Polygon, Region, curve::Contour, region::Piece};
use crate::layout::{Trim, panel::Panel};
use crate::watch;

/// The largest side of a page of a PDF in mm: 14,400 units of 1/72 in (ISO 32000-1, annex C).
pub(super) const MOST: f64 = 5080.0;

/// What cannot be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OutlinesError {
    /// No place is left for the cutter.
    #[error("a cutter of {diameter} mm finds no way inside the outline")]
    Cutter {
        /// Its diameter.
        diameter: f64,
    },
    /// Larger than a page can be.
    #[error("a page of a PDF is at most {} mm wide and high", MOST)]
    Page,
}

/// The side of the outline on which a cutter runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutter {
    /// Its diameter in mm.
    pub diameter: f64,
    /// Whether it runs inside the line: for a recess or a template with an opening.
    pub inside: bool,
}

/// Contours under one name.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// The name: small letters and dashes.
    pub name: &'static str,
    /// Closed contours, clockwise as seen.
    pub contours: Vec<Contour>,
}

/// The outlines of a panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlines {
    /// Width in mm.
    pub width: f64,
    /// Height in mm.
    pub height: f64,
    /// The layers, none empty.
    pub layers: Vec<Layer>,
}

impl Outlines {
    /// The outlines of a panel; where nothing trims it, the finished outline is the rim of its tiles' bounds.
    ///
    /// # Errors
    /// When a cutter finds no way.
    pub fn of(panel: &Panel, cutter: Option<Cutter>) -> Result<Self, OutlinesError> {
        let (mut whole, mut trimmed) = (Vec::new(), Vec::new());
        let contour = |p: &Polygon| Contour::corners(p.corners());
        for tile in &panel.tiles {
            watch::ask();
            if tile.whole {
                whole.push(contour(&panel.rim(tile)));
            } else {
                let left = panel.left_of(tile);
                trimmed.extend(left.iter().flat_map(Piece::loops).map(contour));
            }
        }
        let finished = (panel.trim.as_ref()).map_or_else(Vec::new, Trim::contours);
        let path = match cutter {
            Some(cutter) if !finished.is_empty() => {
                let by = cutter.diameter / 2.0;
                let by = if cutter.inside { -by } else { by };
                let path = Region::of(&finished)
                    .ok()
                    .and_then(|region| region.grown(by));
                let none = OutlinesError::Cutter {
                    diameter: cutter.diameter,
                };
                path.ok_or(none)?.contours().to_vec()
            }
            _ => Vec::new(),
        };
        let layers = [
            ("finished", finished),
            ("cutter-path", path),
            ("whole-tiles", whole),
            ("trimmed-tiles", trimmed),
        ];
        let some = layers.into_iter().filter(|(_, c)| !c.is_empty());
        Ok(Self {
            width: panel.bounds.width(),
            height: panel.bounds.height(),
            layers: some
                .map(|(name, contours)| Layer { name, contours })
                .collect(),
        })
    }
}

/// A length for a file, in mm to a tenth of a micrometre.
#[allow(
    clippy::cast_possible_truncation,
    reason = "saturates far outside any panel"
)]
pub(super) fn number(mm: f64) -> String {
    let parts = libm::round(mm * 1e4) as i64;
    let sign = if parts < 0 { "-" } else { "" };
    let (whole, rest) = (parts.abs() / 10_000, parts.abs() % 10_000);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    format!(
        "{sign}{whole}.{}",
        format!("{rest:04}").trim_end_matches('0')
    )
}
