//! Dimension lines: the finished size as a workshop drawing shows it.

use svg::node::element::Group;

use super::{
    ink::{Anchor, group, stroke, text},
    number::{inches, mm, rounded},
    page::{INK, Page},
};

/// A length as a maker reads it: mm to a tenth, and inches to a sixteenth.
pub(crate) fn length(value: f64) -> String {
    format!("{} mm  \u{b7}  {} in", rounded(value, 1), inches(value))
}

/// The width above and the height to the left of a panel whose top edge is at `top`.
pub(crate) fn dimensions(page: &Page, top: f64) -> Group {
    let em = page.em;
    let (left, right) = (page.left, page.left + page.panel_width);
    let bottom = top + page.panel_height;
    let (above, beside) = (top - 1.3 * em, left - 1.3 * em);
    let fine = 0.04 * em;
    // Extension lines end short of the wood; ticks slant as on a workshop drawing.
    let (near, far, tick) = (0.35 * em, 0.45 * em, 0.32 * em);
    let line = |x0: f64, y0: f64, x1: f64, y1: f64| {
        format!("M{} {}L{} {}", mm(x0), mm(y0), mm(x1), mm(y1))
    };
    let slant = |x: f64, y: f64| line(x - tick, y + tick, x + tick, y - tick);
    let lines = [
        line(left, above, right, above),
        line(left, top - near, left, above - far),
        line(right, top - near, right, above - far),
        line(beside, top, beside, bottom),
        line(left - near, top, beside - far, top),
        line(left - near, bottom, beside - far, bottom),
    ]
    .concat();
    let ticks = [
        slant(left, above),
        slant(right, above),
        slant(beside, top),
        slant(beside, bottom),
    ]
    .concat();
    let middle = f64::midpoint(top, bottom);
    let turned = (beside - 0.6 * em, middle);
    group()
        .add(stroke(lines, fine))
        .add(stroke(ticks, 2.5 * fine))
        .add(caption(
            page.panel_width,
            (f64::midpoint(left, right), above - 0.6 * em),
            em,
            left,
        ))
        .add(
            text(
                &short(page.panel_height, page.panel_height, em),
                turned,
                em,
                INK,
                Anchor::Middle,
            )
            .set(
                "transform",
                format!("rotate(-90 {} {})", mm(turned.0), mm(turned.1)),
            ),
        )
}

/// The width's text: in the middle of its line, or from the line's start where it is wider.
fn caption(value: f64, middle: (f64, f64), em: f64, left: f64) -> svg::node::element::Text {
    let words = length(value);
    if super::words::width(&words) * em <= value {
        text(&words, middle, em, INK, Anchor::Middle)
    } else {
        text(&words, (left, middle.1), em, INK, Anchor::Start)
    }
}

/// As much of a length as fits beside a line.
fn short(value: f64, room: f64, em: f64) -> String {
    let words = length(value);
    if super::words::width(&words) * em <= room {
        words
    } else {
        format!("{} mm", rounded(value, 1))
    }
}
