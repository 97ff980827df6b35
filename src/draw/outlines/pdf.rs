//! Outlines as a PDF of one page at true scale, each layer a group that can be shown alone (ISO 32000-2,
//! 8.11, optional content).

use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, TextStr};

use super::layers::{MOST, Outlines, OutlinesError};
use crate::geom::{
    Point,
    curve::{Contour, Curve},
    length::INCH,
};
use crate::watch;

/// The widest angle of an arc that one Bezier follows: within a millionth of the radius.
const WIDEST: f64 = 30.0;

/// The outlines as PDF.
///
/// # Errors
/// When the panel is larger than a page.
pub fn outlines_pdf(outlines: &Outlines, title: &str) -> Result<Vec<u8>, OutlinesError> {
    if outlines.width.max(outlines.height) > MOST {
        return Err(OutlinesError::Page);
    }
    let mut last = 0;
    let mut next = || {
        last += 1;
        Ref::new(last)
    };
    let (catalog, tree, info, page, drawn) = (next(), next(), next(), next(), next());
    let groups: Vec<Ref> = outlines.layers.iter().map(|_| next()).collect();
    let mut content = Content::new();
    let unit = to_units(1.0);
    content.set_line_width(to_units(0.1));
    // The origin goes to the top left, with y down.
    content.transform([unit, 0.0, 0.0, -unit, 0.0, to_units(outlines.height)]);
    content.set_line_width(0.1);
    for (number, layer) in outlines.layers.iter().enumerate() {
        let group = format!("L{number}");
        content
            .begin_marked_content_with_properties(Name(b"OC"))
            .properties_named(Name(group.as_bytes()));
        for contour in &layer.contours {
            watch::ask();
            draw(&mut content, contour);
        }
        content.end_marked_content();
    }
    let mut pdf = Pdf::new();
    let mut root = pdf.catalog(catalog);
    root.pages(tree);
    let mut shown = root.insert(Name(b"OCProperties")).dict();
    shown.insert(Name(b"OCGs")).array().items(&groups);
    let mut by_default = shown.insert(Name(b"D")).dict();
    by_default.insert(Name(b"Order")).array().items(&groups);
    by_default.finish();
    shown.finish();
    root.finish();
    pdf.document_info(info)
        .title(TextStr(title))
        .creator(TextStr("Plyloom"));
    pdf.pages(tree).kids([page]).count(1);
    let sheet = Rect::new(
        0.0,
        0.0,
        to_units(outlines.width),
        to_units(outlines.height),
    );
    let mut only = pdf.page(page);
    only.parent(tree).media_box(sheet).contents(drawn);
    let mut resources = only.resources();
    let mut named = resources.insert(Name(b"Properties")).dict();
    for (number, &group) in groups.iter().enumerate() {
        named.pair(Name(format!("L{number}").as_bytes()), group);
    }
    named.finish();
    resources.finish();
    only.finish();
    for (layer, &group) in outlines.layers.iter().zip(&groups) {
        let mut dict = pdf.indirect(group).dict();
        dict.pair(Name(b"Type"), Name(b"OCG"));
        dict.pair(Name(b"Name"), TextStr(&layer.name));
    }
    pdf.stream(drawn, &content.finish());
    Ok(pdf.finish())
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "PDF has numbers of 32 bits"
)]
fn to_units(mm: f64) -> f32 {
    (mm * 72.0 / INCH) as f32
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "PDF has numbers of 32 bits"
)]
fn xy(p: Point) -> (f32, f32) {
    (p.x as f32, p.y as f32)
}

fn draw(content: &mut Content, contour: &Contour) {
    let Some(first) = contour.curves().first() else {
        return;
    };
    let (x, y) = xy(first.start());
    content.move_to(x, y);
    for curve in contour.curves() {
        match curve {
            Curve::Line(_, b) => {
                let (x, y) = xy(*b);
                content.line_to(x, y);
            }
            Curve::Cubic(points) => cubic(content, points),
            Curve::Arc(arc) => {
                for points in arc.beziers(WIDEST) {
                    cubic(content, &points);
                }
            }
        }
    }
    content.close_path();
    content.stroke();
}

fn cubic(content: &mut Content, [_, a, b, c]: &[Point; 4]) {
    let ((ax, ay), (bx, by), (cx, cy)) = (xy(*a), xy(*b), xy(*c));
    content.cubic_to(ax, ay, bx, by, cx, cy);
}
