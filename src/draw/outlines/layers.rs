//! The outlines of a panel by layers, as all forms of files take them; how their numbers are written.

use crate::geom::{Polygon, Region, curve::Contour, region::Piece};
use crate::layout::{Trim, panel::Panel, pieces::PanelPiece};
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
    /// A cutter that is wider than the room between two pieces.
    #[error("a cutter of {diameter} mm is wider than the {kerf} mm between the pieces")]
    Kerf {
        /// Its diameter.
        diameter: f64,
        /// What a cut may take.
        kerf: f64,
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
    pub name: String,
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
        let pieces = &panel.pieces.list;
        let cuts: Vec<Vec<Contour>> = match &pieces[..] {
            [] if finished.is_empty() => Vec::new(),
            [] => vec![finished.clone()],
            pieces => pieces.iter().map(|p| p.outline.contours()).collect(),
        };
        let path = match cutter {
            Some(cutter) => path(&cuts, cutter, panel.pieces.kerf)?,
            None => Vec::new(),
        };
        let mut layers = vec![("finished".to_owned(), finished)];
        if !pieces.is_empty() {
            layers.extend(slugs(pieces).into_iter().zip(cuts));
        }
        layers.extend([
            ("cutter-path".to_owned(), path),
            ("whole-tiles".to_owned(), whole),
            ("trimmed-tiles".to_owned(), trimmed),
        ]);
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

/// The way of a cutter's centre round each cut.
fn path(cuts: &[Vec<Contour>], cutter: Cutter, kerf: f64) -> Result<Vec<Contour>, OutlinesError> {
    let diameter = cutter.diameter;
    if cuts.len() > 1 && !cutter.inside && diameter > kerf {
        return Err(OutlinesError::Kerf { diameter, kerf });
    }
    let by = if cutter.inside { -diameter } else { diameter } / 2.0;
    let mut path = Vec::new();
    for cut in cuts {
        let grown = Region::of(cut).ok().and_then(|region| region.grown(by));
        let grown = grown.ok_or(OutlinesError::Cutter { diameter })?;
        path.extend_from_slice(grown.contours());
    }
    Ok(path)
}

/// The names of pieces in small letters and dashes, each with `piece-` before it; numbered where two come to the same.
fn slugs(pieces: &[PanelPiece]) -> Vec<String> {
    let mut slugs: Vec<String> = Vec::new();
    for piece in pieces {
        let small = |c: char| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        };
        let plain: String = piece.name.chars().map(small).collect();
        let words: Vec<&str> = plain.split('-').filter(|word| !word.is_empty()).collect();
        let plain = ["piece"]
            .into_iter()
            .chain(words)
            .collect::<Vec<_>>()
            .join("-");
        let numbered = |n: usize| {
            if n == 1 {
                plain.clone()
            } else {
                format!("{plain}-no-{n}")
            }
        };
        let mut all = (1..).map(numbered);
        slugs.extend(all.find(|slug| !slugs.contains(slug)));
    }
    slugs
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
