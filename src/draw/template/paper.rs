//! Paper, and where things stand on it.

use pdf_writer::Rect as Sheet;

use crate::geom::{Point, Rect, length::INCH};

/// Points a mm: a PDF's unit is 1/72 in. (ISO 32000-2, 8.3.2.3).
pub(super) const POINTS: f64 = 72.0 / INCH;

/// Room above the drawing for the page's name, in mm.
const HEAD: f64 = 7.0;
/// Room below it for the check lines and the page map, in mm.
const FOOT: f64 = 20.0;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    A4,
    /// 297 x 420 mm (ISO 216).
    A3,
    /// 8 1/2 x 11 in. (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// Width and height in mm as it stands.
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::A3 => (297.0, 420.0),
            Self::Letter => (8.5 * INCH, 11.0 * INCH),
        }
    }
}

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

/// Where things stand on every page, in mm from its upper left corner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    /// Width of the paper.
    pub(super) width: f64,
    /// Height of the paper.
    pub(super) height: f64,
    /// What stays blank.
    pub(super) margin: f64,
}

impl Frame {
    pub(super) fn of(options: &TemplateOptions) -> Self {
        let (short, long) = options.paper.size();
        let (width, height) = if options.landscape {
            (long, short)
        } else {
            (short, long)
        };
        Self {
            width,
            height,
            margin: options.margin,
        }
    }

    /// Where the panel is drawn.
    pub(super) fn window(&self) -> Rect {
        Rect {
            min: Point::new(self.margin, self.margin + HEAD),
            max: Point::new(self.width - self.margin, self.height - self.margin - FOOT),
        }
    }

    /// The strip below the window.
    pub(super) fn foot(&self) -> Rect {
        let window = self.window();
        Rect {
            min: Point::new(window.min.x, window.max.y),
            max: Point::new(window.max.x, self.height - self.margin),
        }
    }

    #[allow(
        clippy::cast_possible_truncation,
        reason = "a length of paper is rounded to what the PDF holds"
    )]
    pub(super) fn sheet(&self) -> Sheet {
        let points = |mm: f64| (mm * POINTS) as f32;
        Sheet::new(0.0, 0.0, points(self.width), points(self.height))
    }
}
