//! Where on a panel small objects are cut out: their outlines on the panel, numbered, at true scale.

use std::fmt::Write as _;

use super::{
    Form, about,
    document::Document,
    ink::{Anchor, group, text},
    number::{mm, snapped},
    page::{INK, Page},
    svg::open,
    wood::Wood,
    words,
};
use crate::{
    appearance::{object::Shape, window::Window},
    geom::Rect,
    layout::panel::Panel,
};

/// An object's outline on a panel, and the line of text for it under the panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlined {
    /// The outline.
    pub window: Window,
    /// A few words.
    pub words: String,
}

/// The panel with the outlines, and a line of words for each below. `ids` goes before each id of the
/// document.
pub fn object_map_svg(panel: &Panel, objects: &[Outlined], ids: &str) -> String {
    let page = Page::of(panel.bounds.width(), panel.bounds.height());
    let em = page.em;
    let (left, top) = (page.margin, page.margin + 3.4 * em);
    let below = top + panel.bounds.height() + 1.0 * em;
    let size = (
        page.content.max(panel.bounds.width()) + 2.0 * page.margin,
        below + (1.5 * objects.len() as f64) * em + page.margin,
    );
    let art = Wood::of(panel);
    let mut document = Document::default();
    open(document.text(), size, &about::about(panel, &panel.name));
    document.extend(["<defs>\n"]);
    art.define(&mut document, Form::Placed, ids);
    let _ = writeln!(
        document.text(),
        "</defs>\n<path fill=\"#ffffff\" d=\"M0 0H{}V{}H0z\"/>",
        mm(size.0),
        mm(size.1)
    );
    art.place(
        &mut document,
        Form::Placed,
        ids,
        (snapped(left), snapped(top)),
    );
    let mut out = document.to_text();
    let room = (size.0 - 2.0 * page.margin) / em;
    let title = words::fitted(&words::clean(&panel.name), room / 1.6);
    let mut said = group().add(text(
        &title,
        (left, page.margin + 1.5 * em),
        1.6 * em,
        INK,
        Anchor::Start,
    ));
    for (i, object) in objects.iter().enumerate() {
        let number = (i + 1).to_string();
        let corner = object.window.shape.bounds(object.window.centre).min;
        push_outline(&mut out, &object.window, (left, top), em);
        // A square has room at its corner, a circle at its middle.
        let at = match object.window.shape {
            Shape::Rectangle(..) => (corner.x + left + 0.9 * em, corner.y + top + 1.5 * em),
            Shape::Circle(_) => (
                object.window.centre.x + left,
                object.window.centre.y + top + 0.4 * em,
            ),
        };
        let _ = writeln!(
            out,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"#ffffff\"/>",
            mm(at.0),
            mm(at.1 - 0.4 * em),
            mm(0.85 * em)
        );
        let line = words::fitted(&words::clean(&format!("{number}  {}", object.words)), room);
        let down = below + (1.1 + 1.5 * i as f64) * em;
        said = said
            .add(text(&number, at, 1.1 * em, INK, Anchor::Middle))
            .add(text(&line, (left, down), em, INK, Anchor::Start));
    }
    let _ = writeln!(out, "{said}\n</svg>");
    out
}

/// A dark line on a white one, so that it shows on every wood.
fn push_outline(out: &mut String, window: &Window, (left, top): (f64, f64), em: f64) {
    let Rect { min, max } = window.shape.bounds(window.centre);
    for (colour, wide) in [("#ffffff", 0.32), (INK, 0.12)] {
        let style = format!(
            "fill=\"none\" stroke=\"{colour}\" stroke-width=\"{}\"",
            mm(wide * em)
        );
        let _ = match window.shape {
            Shape::Rectangle(width, height) => writeln!(
                out,
                "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {style}/>",
                mm(min.x + left),
                mm(min.y + top),
                mm(width),
                mm(height)
            ),
            Shape::Circle(diameter) => writeln!(
                out,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {style}/>",
                mm(f64::midpoint(min.x, max.x) + left),
                mm(f64::midpoint(min.y, max.y) + top),
                mm(diameter / 2.0)
            ),
        };
    }
}
