//! The page of a preview: where the panel, its dimensions and the text about it go.
//!
//! All in mm at true scale. Text grows with the panel, so that a page reads the same whether it
//! shows a coaster or a door.

/// Ink for words, dark and warm.
pub(crate) const INK: &str = "#2b2520";
/// Ink for notes; on white its contrast is above 5.5 : 1 (WCAG 2.2 asks 4.5).
pub(crate) const SOFT: &str = "#6b6056";
/// Ink for lines that are not wood.
pub(crate) const LINE: &str = "#8d8176";
/// Typefaces: what the pictures use, then what nearly every system has.
pub(crate) const TYPEFACE: &str =
    "Ubuntu, 'Ubuntu Light', 'Segoe UI', 'Noto Sans', 'DejaVu Sans', Arial, Helvetica, sans-serif";

/// Text size in mm on a page for a panel of up to [`PLAIN`] mm: 9 pt.
const SIZE: f64 = 3.175;
/// Panels larger than this, in mm, get larger text.
const PLAIN: f64 = 280.0;
/// The narrowest page, in text sizes.
const NARROWEST: f64 = 44.0;

/// Measures of a page.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Page {
    /// Text size in mm.
    pub(crate) em: f64,
    /// Blank rim in mm.
    pub(crate) margin: f64,
    /// Width of the panel in mm.
    pub(crate) panel_width: f64,
    /// Height of the panel in mm.
    pub(crate) panel_height: f64,
    /// Left edge of the panel and of all that stands under it.
    pub(crate) left: f64,
    /// Width of all that stands under the panel.
    pub(crate) content: f64,
}

impl Page {
    /// A page for a panel of this size.
    pub(crate) fn of(panel_width: f64, panel_height: f64) -> Self {
        let em = SIZE * (panel_width.max(panel_height) / PLAIN).max(1.0);
        let margin = 3.0 * em;
        let left = margin + 3.4 * em;
        Self {
            em,
            margin,
            panel_width,
            panel_height,
            left,
            content: panel_width.max(NARROWEST * em),
        }
    }

    /// Width of the page.
    pub(crate) fn width(&self) -> f64 {
        self.left + self.content + self.margin
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::Colour;

    /// Relative luminance: WCAG 2.2, definition of the term.
    fn luminance(c: Colour) -> f64 {
        let linear = |v: u8| {
            let v = f64::from(v) / 255.0;
            if v <= 0.040_45 {
                v / 12.92
            } else {
                libm::pow((v + 0.055) / 1.055, 2.4)
            }
        };
        0.2126 * linear(c.red) + 0.7152 * linear(c.green) + 0.0722 * linear(c.blue)
    }

    #[test]
    fn words_are_read_easily_on_white() {
        for (ink, least) in [(INK, 12.0), (SOFT, 5.5)] {
            let colour = Colour::parse(ink).unwrap();
            let contrast = 1.05 / (luminance(colour) + 0.05);
            assert!(contrast >= least, "{ink}: {contrast}");
        }
        assert!((1.05 / (luminance(Colour::rgb(0, 0, 0)) + 0.05) - 21.0).abs() < 1e-9);
    }

    #[test]
    fn text_grows_with_the_panel_only_where_it_is_large() {
        let (coaster, table) = (Page::of(90.0, 90.0), Page::of(1400.0, 700.0));
        assert!((coaster.em - SIZE).abs() < 1e-12);
        assert!((table.em - 5.0 * SIZE).abs() < 1e-12);
        assert!(coaster.content >= NARROWEST * SIZE && (table.content - 1400.0).abs() < 1e-9);
    }
}
