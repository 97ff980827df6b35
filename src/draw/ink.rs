//! Lines and words of a page, as elements.

use svg::node::element::{Group, Path, Text};

use super::{number::mm, page};

/// Where a text stands on its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// Begins there.
    Start,
    /// The middle of the text is there.
    Middle,
}

/// A line of text with its baseline at a place in mm.
pub(crate) fn text(words: &str, (x, y): (f64, f64), size: f64, fill: &str, anchor: Anchor) -> Text {
    let element = Text::new(words)
        .set("x", mm(x))
        .set("y", mm(y))
        .set("font-size", mm(size))
        .set("fill", fill);
    match anchor {
        Anchor::Start => element,
        Anchor::Middle => element.set("text-anchor", "middle"),
    }
}

/// A path without filling.
pub(crate) fn stroke(data: impl Into<String>, width: f64) -> Path {
    Path::new()
        .set("d", data.into())
        .set("fill", "none")
        .set("stroke", page::LINE)
        .set("stroke-width", mm(width))
}

/// A group for the parts of the frame: everything in it has the page's typeface.
pub(crate) fn group() -> Group {
    Group::new().set("font-family", page::TYPEFACE)
}
