//! How a bar is laid up: its section with end 1 towards you, and each part with its number, its layers, its
//! sheet's face, and the end of the strip that is seen. Units of the drawing: CSS pixels.

use svg::{
    Document, Node,
    node::element::{Circle, Group, Polyline, Text, Title},
};

use super::{
    bench::{FAINT, FIRST, GLUE, INK, line, paper, places, px, shape, words},
    words::{clean, fitted, wrapped},
};
use crate::{
    geom::{
        Isometry, Point, Polygon,
        clip::{HalfPlane, amid, keep},
        outline::outline,
    },
    plan::{
        report,
        steps::model::{Corner, PartAt, Piece, Step, Steps, Work, Workholding},
    },
    watch,
};

const WIDTH: f64 = 620.0;
/// Room for the section, and most pixels a millimetre.
const ROOM: (f64, f64) = (300.0, 300.0);
const LARGEST: f64 = 7.0;
const TOP: f64 = 44.0;
const LEFT: f64 = 14.0;
/// Where the list of the parts begins, and how far its lines are apart.
const LIST: f64 = 350.0;
const LINE: f64 = 17.0;
/// Most lines of the list.
const MOST_LISTED: usize = 12;
/// Radius of the circle round a number.
const SIGN: f64 = 9.0;

/// Draws the lay-up of a step that glues a bar of several parts; none for any other step.
pub(super) fn bar_section(step: &Step, steps: &Steps) -> Option<String> {
    let Work::GlueBar {
        parts,
        held,
        inner_corners,
        ..
    } = &step.work
    else {
        return None;
    };
    let bar = piece(steps, &step.gives.first()?.piece)?;
    if parts.len() < 2 {
        return None;
    }
    let rim = polygon(&bar.section);
    let bounds = rim.bounds();
    let scale = (ROOM.0 / bounds.width().max(1.0))
        .min(ROOM.1 / bounds.height().max(1.0))
        .min(LARGEST);
    let to_paper = To {
        scale,
        origin: Point::new(LEFT + (ROOM.0 - bounds.width() * scale) / 2.0, TOP)
            - bounds.min * scale,
    };
    let listed = list(parts);
    let rows = listed.len() as f64 * LINE + 24.0;
    let foot = TOP + (bounds.height() * scale + 12.0).max(rows);
    let key = key(held, inner_corners);
    let height = foot + key.len() as f64 * LINE + 16.0;
    let title = format!("{}: how it is laid up, end 1 towards you", clean(&bar.id));
    let mut document = paper(WIDTH, height).add(Title::new(title.clone()));
    document.append(
        words(&fitted(&title, 44.0), Point::new(LEFT, 24.0), "start").set("font-weight", "bold"),
    );
    for part in parts {
        watch::ask();
        let of = piece(steps, &part.piece)?;
        wood(&mut document, of, place(part), &to_paper);
    }
    for part in parts {
        document.append(
            to_paper
                .shape(&polygon(&part.outline), "none")
                .set("stroke", GLUE)
                .set("stroke-width", "2.5"),
        );
    }
    let outlines: Vec<Polygon> = parts.iter().map(|p| polygon(&p.outline)).collect();
    for around in outline(&outlines, crate::geom::TOLERANCE).rims {
        document.append(
            to_paper
                .shape(&around.polygon, "none")
                .set("stroke", INK)
                .set("stroke-width", "2"),
        );
    }
    for part in parts {
        face_mark(&mut document, part, piece(steps, &part.piece)?, &to_paper);
    }
    for &corner in inner_corners {
        let [x, y] = bar.section[corner];
        let at = to_paper.at(Point::new(x, y));
        document.append(
            ring(at, 6.0)
                .set("fill", "none")
                .set("stroke", GLUE)
                .set("stroke-width", "2.5"),
        );
    }
    for part in parts {
        number(&mut document, part, &to_paper);
    }
    for (i, (indent, text)) in listed.iter().enumerate() {
        let at = Point::new(LIST + indent, TOP + 12.0 + i as f64 * LINE);
        document.append(words(text, at, "start").set("font-size", "12"));
    }
    for (i, text) in key.iter().enumerate() {
        let at = Point::new(LEFT, foot + 12.0 + i as f64 * LINE);
        document.append(words(text, at, "start").set("font-size", "12"));
    }
    Some(document.to_string())
}

/// How bars are held that are folded up on tape.
pub(super) const ON_TAPE: &str = "Held by tape or bands all along; straight cauls at flat sides.";

fn key(held: &Workholding, inner_corners: &[usize]) -> Vec<String> {
    let mut lines = vec![
        "Numbers: the order of gluing. Brown: glue. Red: the sheet's face. End 2: turned end for end.".to_owned(),
        match held {
            Workholding::Tape => ON_TAPE.to_owned(),
            Workholding::Clamps(_) => {
                "Clamped between straight cauls, across the joints, from the middle outward."
                    .to_owned()
            }
        },
    ];
    if !inner_corners.is_empty() {
        lines.push("Brown rings: inner corners, to be wiped out before the glue sets.".to_owned());
    }
    lines
}

pub(super) fn piece<'a>(steps: &'a Steps, id: &str) -> Option<&'a Piece> {
    steps.pieces.iter().find(|p| p.id == id)
}

pub(super) fn polygon(corners: &[Corner]) -> Polygon {
    Polygon::clockwise(corners.iter().map(|&[x, y]| Point::new(x, y)).collect())
}

/// From the bar to the paper.
pub(super) struct To {
    pub(super) scale: f64,
    pub(super) origin: Point,
}

impl To {
    pub(super) fn at(&self, p: Point) -> Point {
        self.origin + p * self.scale
    }

    pub(super) fn shape(&self, polygon: &Polygon, fill: &str) -> svg::node::element::Polygon {
        let corners: Vec<Point> = polygon.corners().iter().map(|&c| self.at(c)).collect();
        shape(&corners, fill).set("stroke-linejoin", "round")
    }
}

/// The move from the frame of a part's wood to the bar.
pub(super) fn place(part: &PartAt) -> Isometry {
    Isometry {
        flip: part.end_for_end,
        turn: part.roll,
        shift: Point::new(part.shift[0], part.shift[1]),
    }
}

/// The layers of a strip, moved to where they lie.
pub(super) fn wood(to: &mut Document, of: &Piece, by: Isometry, paper: &To) {
    let section = polygon(&of.section);
    let mut group = Group::new();
    let mut from = 0.0;
    for layer in &of.layers {
        let until = from + layer.thickness;
        let below = HalfPlane::right_of(Point::new(0.0, from), Point::new(1.0, from));
        let above = HalfPlane::right_of(Point::new(1.0, until), Point::new(0.0, until));
        let band = keep(&section, below).and_then(|rest| keep(&rest, above));
        if let Some(band) = band {
            group.append(paper.shape(&band.moved(by), &layer.colour));
        }
        from = until;
    }
    to.append(group.set("opacity", "0.75"));
}

/// A red line inside a part along its sheet's face.
fn face_mark(to: &mut Document, part: &PartAt, of: &Piece, paper: &To) {
    let on_face = of.section.iter().filter(|c| c[1] < 1e-3).map(|c| c[0]);
    let (a, b) = on_face.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| {
        (a.min(x), b.max(x))
    });
    let (inset, deep) = (8.0 / paper.scale, 9.0 / paper.scale);
    if b - a < 3.0 * inset {
        return;
    }
    let ends = [a + inset, b - inset].map(|x| paper.at(place(part).apply(Point::new(x, deep))));
    to.append(
        line(ends[0], ends[1])
            .set("stroke", FIRST)
            .set("stroke-width", "3"),
    );
}

/// A part's number in its middle, where there is room; else beside the section, with a line to it.
fn number(to: &mut Document, part: &PartAt, paper: &To) {
    let outline = polygon(&part.outline);
    let middle = paper.at(outline.centroid());
    let room = amid(&outline, outline.centroid(), SIGN / paper.scale);
    let at = if room {
        middle
    } else {
        // Narrow parts lie in rows: their numbers stand at their ends in turn.
        let bounds = outline.bounds();
        let (side, inward) = if part.number.is_multiple_of(2) {
            (bounds.min, SIGN * 1.4)
        } else {
            (bounds.max, -SIGN * 1.4)
        };
        let centre = outline.centroid();
        let end = if bounds.width() >= bounds.height() {
            paper.at(Point::new(side.x, centre.y)) + Point::new(inward, 0.0)
        } else {
            paper.at(Point::new(centre.x, side.y)) + Point::new(0.0, inward)
        };
        to.append(
            Polyline::new()
                .set("points", places(&[middle, end]))
                .set("fill", "none")
                .set("stroke", FAINT),
        );
        end
    };
    to.append(ring(at, SIGN).set("fill", "#fff").set("stroke", INK));
    to.append(sign(&part.number.to_string(), at));
    if part.end_for_end && room {
        let below = at + Point::new(0.0, SIGN + 12.0);
        to.append(
            words("end 2", below, "middle")
                .set("font-size", "11")
                .set("stroke", "#fff")
                .set("stroke-width", "3")
                .set("paint-order", "stroke"),
        );
    }
}

pub(super) fn ring(at: Point, radius: f64) -> Circle {
    Circle::new()
        .set("cx", px(at.x))
        .set("cy", px(at.y))
        .set("r", px(radius))
}

pub(super) fn sign(text: &str, at: Point) -> Text {
    words(text, at + Point::new(0.0, 4.0), "middle")
        .set("font-size", "11")
        .set("font-weight", "bold")
}

/// Which strip each part is and how it lies, in one line or two.
fn list(parts: &[PartAt]) -> Vec<(f64, String)> {
    let mut lines = Vec::new();
    for part in parts.iter().take(MOST_LISTED) {
        let said = wrapped(&clean(&report::lies(part)), 19.0, 3);
        lines.extend(said.into_iter().enumerate().map(|(i, text)| match i {
            0 => (0.0, format!("{}: {text}", part.number)),
            _ => (LINE, text),
        }));
    }
    if parts.len() > MOST_LISTED {
        let more = parts.len() - MOST_LISTED;
        lines.push((0.0, format!("and {more} more, told with the step")));
    }
    lines
}
