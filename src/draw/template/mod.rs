//! A template: the outlines of a panel's tiles at true scale over as many pages of paper as they
//! take, as a PDF.
//!
//! Pages overlap; crosses in the overlaps carry the numbers of the two pages that share them. Every
//! page has lines of 100 mm and 4 in. to be measured after printing. Tiles carry the numbers, kinds
//! and pencil marks of the glue-up map, all of it light, to be glued over. The bytes are the same on
//! any machine: no date, no chance. Lengths in mm; the PDF's own unit is 1/72 in.

mod cover;
mod document;
mod paper;
mod pen;
mod sheet;
mod tiling;
mod typeface;

pub use self::paper::Paper;

use std::collections::BTreeSet;

use self::{document::document, pen::Pen, tiling::Tiling, typeface::Typeface};
use super::words::clean;
use crate::watch;
use crate::{geom::Rect, layout::panel::Panel};

/// Margins that a template can have, in mm: most printers reach to 5 mm of the paper's edge.
pub const MARGINS: (f64, f64) = (5.0, 30.0);
/// Overlaps that pages can have, in mm.
pub const OVERLAPS: (f64, f64) = (5.0, 40.0);
/// Most pages of a template.
pub const MOST_PAGES: u64 = 400;

/// What a template is printed on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TemplateOptions {
    /// The paper.
    pub paper: Paper,
    /// Whether its long side lies level.
    pub landscape: bool,
    /// What stays blank on each side, in mm.
    pub margin: f64,
    /// How far neighbouring pages overlap, in mm.
    pub overlap: f64,
}

impl Default for TemplateOptions {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            landscape: false,
            margin: 10.0,
            overlap: 10.0,
        }
    }
}

/// Why there is no template.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TemplateError {
    /// The margin is none that works.
    #[error("the margin must lie between {} mm and {} mm, not {mm} mm", MARGINS.0, MARGINS.1)]
    Margin {
        /// What was asked for.
        mm: f64,
    },
    /// The overlap is none that works.
    #[error("the overlap must lie between {} mm and {} mm, not {mm} mm", OVERLAPS.0, OVERLAPS.1)]
    Overlap {
        /// What was asked for.
        mm: f64,
    },
    /// Too much paper.
    #[error("the panel takes {pages} pages of this paper, more than {MOST_PAGES}")]
    TooManyPages {
        /// How many.
        pages: u64,
    },
    /// There is nothing to draw.
    #[error("the panel has no tiles")]
    NoTiles,
}

/// A template that is ready to be sent.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// The PDF.
    pub pdf: Vec<u8>,
    /// What each page shows of the panel, in mm on the panel, in the order of the pages.
    pub pages: Vec<Rect>,
    /// Whether a page before them shows how they lie.
    pub cover: bool,
    /// Letters of its texts that the typeface lacks: empty boxes stand for them.
    pub missing: BTreeSet<char>,
}

/// How many pages show tiles.
///
/// # Errors
/// As [`template_pdf`].
pub fn page_count(panel: &Panel, options: &TemplateOptions) -> Result<usize, TemplateError> {
    Ok(Tiling::of(panel, options)?.pages.len())
}

/// Draws the template of a panel.
///
/// # Errors
/// When margin or overlap are out of range, or the panel takes too many pages.
pub fn template_pdf(panel: &Panel, options: &TemplateOptions) -> Result<Template, TemplateError> {
    let tiling = Tiling::of(panel, options)?;
    let cover = tiling.pages.len() > 1;
    let title = clean(&panel.name);
    let mut typeface = Typeface::new();
    let mut pages = Vec::new();
    let mut page = |draw: &dyn Fn(&mut Pen<'_>)| {
        let mut pen = Pen::new(tiling.frame.height, &mut typeface);
        draw(&mut pen);
        pages.push(pen.finish());
    };
    if cover {
        page(&|pen| cover::draw(pen, panel, &tiling, &title));
    }
    let signs = sheet::signs(panel);
    for number in 0..tiling.pages.len() {
        watch::ask();
        page(&|pen| sheet::draw(pen, panel, &tiling, &signs, number, &title));
    }
    Ok(Template {
        pages: tiling.pages.iter().map(|p| p.shows).collect(),
        cover,
        pdf: document(
            &format!("{title}: template"),
            tiling.frame.sheet(),
            &pages,
            &typeface,
        ),
        missing: typeface.missing().clone(),
    })
}
