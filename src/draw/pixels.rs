//! Pictures of pixels inside an SVG document, at the true size of what they show.

use std::fmt::Write as _;

use base64::{Engine as _, engine::general_purpose::STANDARD};

use super::{about, document::Document, number::mm, svg};
use crate::layout::panel::Panel;

/// A document as large as the panel that shows a PNG of it.
pub fn pixels_svg(panel: &Panel, png: &[u8]) -> Document<'static> {
    let size = (panel.bounds.width(), panel.bounds.height());
    let mut out = svg::document(size, &about::about(panel, &panel.name));
    push_image(out.text(), (0.0, 0.0), size, png);
    out.extend(["</svg>\n"]);
    out
}

/// A PNG with its top left corner at a place, in mm.
pub(super) fn push_image(
    out: &mut String,
    (x, y): (f64, f64),
    (width, height): (f64, f64),
    png: &[u8],
) {
    let _ = writeln!(
        out,
        "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" \
         xlink:href=\"data:image/png;base64,{}\"/>",
        mm(x),
        mm(y),
        mm(width),
        mm(height),
        STANDARD.encode(png)
    );
}
