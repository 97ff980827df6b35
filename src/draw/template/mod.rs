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

pub use self::paper::{MARGINS, MOST_PAGES, OVERLAPS, Paper, TemplateError, TemplateOptions};

use std::collections::BTreeSet;

use self::{document::document, pen::Pen, tiling::Tiling, typeface::Typeface};
use super::words::clean;
use crate::watch;
use crate::{geom::Rect, layout::panel::Panel};

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
