//! The drawing of one saw set-up, seen from the end that the work is fed in: table, fence, blade,
//! the piece and what lies beyond the blade, with dimensions.
//!
//! The fence is drawn on the right and the blade leans left; on a saw that tilts the other way all
//! of it is mirrored. Millimetres of the work are scaled to fit; labels keep their size. Units of
//! the drawing: CSS pixels.

use svg::{
    Document, Node,
    node::element::{Group, Line, Path, Polygon as Shape, Polyline, Rectangle, Text, Title},
};

use super::words::clean;
use crate::{
    geom::{Point, Polygon, angle},
    plan::{
        saw::number::{Length, degrees},
        saw::rip::Up,
        saw::words as saw_words,
        saw::{Cut, Job, Warning},
    },
};

const WIDTH: f64 = 620.0;
const LEFT: f64 = 96.0;
const RIGHT: f64 = 110.0;
const TOP: f64 = 86.0;
const BELOW: f64 = 104.0;
/// Most pixels a millimetre, and most height of the work in pixels.
const LARGEST: f64 = 7.0;
const HIGHEST: f64 = 260.0;

const INK: &str = "#222";
const FAINT: &str = "#777";
const PIECE: &str = "#e3c48d";
const REST: &str = "#f4e9d3";
const STEEL: &str = "#b9c0c7";
const BENCH: &str = "#8d949b";

/// Where things are in the drawing.
struct Sheet {
    /// Pixels a millimetre.
    scale: f64,
    fence_x: f64,
    table_y: f64,
}

impl Sheet {
    fn of(cut: &Cut) -> Self {
        let far = |p: &Polygon| p.bounds().max.x;
        let reach = cut.rest.as_ref().map_or(0.0, far).max(far(&cut.piece));
        let room = WIDTH - LEFT - RIGHT;
        let scale = (room / reach.max(1.0))
            .min(LARGEST)
            .min(HIGHEST / cut.height.max(1.0));
        let used = reach * scale;
        Self {
            scale,
            // What is narrower than the paper stands in its middle.
            fence_x: WIDTH - RIGHT - (room - used) / 2.0,
            table_y: TOP + cut.height * scale,
        }
    }

    /// From the saw frame (x from the fence, y down to the table) to the paper.
    fn at(&self, p: Point) -> Point {
        Point::new(
            self.fence_x - p.x * self.scale,
            self.table_y + p.y * self.scale,
        )
    }
}

/// Draws a set-up; `kerf` is the blade's width in mm, `length` writes a length in the plan's units.
#[must_use]
pub fn saw_setup(cut: &Cut, kerf: f64, length: Length<'_>) -> String {
    let paper = Sheet::of(cut);
    let height = paper.table_y + BELOW;
    let mut document = Document::new()
        .set("width", px(WIDTH))
        .set("height", px(height))
        .set("viewBox", format!("0 0 {} {}", px(WIDTH), px(height)))
        .set("font-family", "sans-serif")
        .set("font-size", "13")
        .set("fill", INK)
        .add(Title::new(clean(&saw_words::title(cut))))
        .add(
            Rectangle::new()
                .set("width", "100%")
                .set("height", "100%")
                .set("fill", "#fff"),
        );
    bench(&mut document, cut, &paper);
    wood(&mut document, cut, &paper);
    blade(&mut document, cut, &paper, kerf);
    angles(&mut document, cut, &paper);
    dimensions(&mut document, cut, &paper, length);
    notes(&mut document, cut, height);
    document.to_string()
}

fn bench(to: &mut Document, cut: &Cut, paper: &Sheet) {
    let fence_top = (paper.table_y - cut.height * paper.scale - 14.0).max(TOP - 20.0);
    to.append(block(10.0, paper.table_y, WIDTH - 20.0, 10.0, BENCH));
    let side = block(
        paper.fence_x,
        fence_top,
        26.0,
        paper.table_y - fence_top,
        BENCH,
    );
    // A stop beside the blade would jam the slice: it stands where the cut has not begun.
    let (side, name) = if cut.job == Job::Slices {
        let dashed = side.set("fill", "#fff").set("stroke", FAINT);
        (dashed.set("stroke-dasharray", "5 4"), "stop, ahead of")
    } else {
        (side, "fence")
    };
    to.append(side);
    if cut.job == Job::Slices {
        let below = Point::new(paper.fence_x + 34.0, fence_top + 30.0);
        to.append(words("the blade", below, "start"));
    }
    to.append(words(
        name,
        Point::new(paper.fence_x + 34.0, fence_top + 14.0),
        "start",
    ));
    to.append(
        words(
            "table",
            Point::new(WIDTH - 14.0, paper.table_y + 26.0),
            "end",
        )
        .set("fill", FAINT),
    );
}

fn wood(to: &mut Document, cut: &Cut, paper: &Sheet) {
    if let Some(rest) = &cut.rest {
        to.append(shape(rest, paper, REST).set("stroke", FAINT));
        if cut.rest_goes_on {
            broken_end(to, rest, paper);
        }
    }
    to.append(
        shape(&cut.piece, paper, PIECE)
            .set("stroke", INK)
            .set("stroke-width", "1.5"),
    );
    let middle = paper.at(cut.piece.centroid());
    let name = match cut.job {
        Job::Slices => "slice",
        Job::Blanks => "blank",
        _ => "strip",
    };
    let wide = cut.piece.bounds().width() * paper.scale;
    if wide > 70.0 && cut.height * paper.scale > 40.0 {
        to.append(words(name, middle + Point::new(0.0, 5.0), "middle"));
    }
}

/// What must be read before the figures: how the work lies, and whether to do this at all.
fn notes(to: &mut Document, cut: &Cut, height: f64) {
    let turned = matches!(
        cut.job,
        Job::Strips {
            turned_over: true,
            ..
        }
    );
    let lies = match cut.up {
        _ if turned => Some("turn over, end for end, after each pass"),
        Some(Up::Face) => Some("face up"),
        Some(Up::Back) => Some("back up"),
        None => None,
    };
    if let Some(lies) = lies {
        to.append(words(lies, Point::new(14.0, 22.0), "start"));
    }
    let only_tilt = |w: &Warning| matches!(w, Warning::TiltBeyond { .. });
    if !cut.warnings.is_empty() {
        let warning = if cut.warnings.iter().all(only_tilt) {
            "BEYOND THIS SAW: see the other way"
        } else {
            "NOT SAFE LIKE THIS: see the safer way"
        };
        let at = Point::new(WIDTH - 14.0, 22.0);
        to.append(
            words(warning, at, "end")
                .set("fill", "#b00020")
                .set("font-weight", "bold"),
        );
    }
    let guard = "Guard and riving knife are left out of the drawing only: keep them in place.";
    let at = Point::new(14.0, height - 8.0);
    to.append(words(guard, at, "start").set("font-size", "11"));
}

/// A zigzag over the end of what is cut short.
fn broken_end(to: &mut Document, rest: &Polygon, paper: &Sheet) {
    let bounds = rest.bounds();
    let (top, foot) = (
        paper.at(Point::new(bounds.max.x, bounds.min.y)),
        paper.at(Point::new(bounds.max.x, bounds.max.y)),
    );
    let steps = 6;
    let teeth = (0..=steps).map(|i| {
        let y = top.y - 2.0 + (foot.y - top.y + 3.0) * f64::from(i) / f64::from(steps);
        let x = top.x + if i % 2 == 0 { 0.0 } else { 7.0 };
        Point::new(x, y)
    });
    let teeth: Vec<Point> = teeth.collect();
    let mut cover = vec![top - Point::new(3.0, 2.0)];
    cover.extend(&teeth);
    cover.push(foot + Point::new(-3.0, 1.0));
    to.append(
        Shape::new()
            .set("points", places(&cover))
            .set("fill", "#fff"),
    );
    to.append(
        Polyline::new()
            .set("points", places(&teeth))
            .set("fill", "none")
            .set("stroke", FAINT),
    );
}

fn blade(to: &mut Document, cut: &Cut, paper: &Sheet, kerf: f64) {
    let (sin, cos) = angle::sin_cos(cut.tilt);
    let foot = Point::new(cut.fence, 0.0);
    let along = Point::new(sin, -cos);
    // A little above the work, and down through the table.
    let above = cut.height / cos.max(0.05) + 8.0 / paper.scale;
    let below = 34.0 / paper.scale;
    let across = Point::new(kerf / cos.max(0.05), 0.0);
    let corners = vec![
        foot + along * above,
        foot + along * above + across,
        foot - along * below + across,
        foot - along * below,
    ];
    let body = Polygon::clockwise(corners);
    to.append(
        shape(&body, paper, STEEL)
            .set("stroke", INK)
            .set("stroke-width", "1"),
    );
    let label = paper.at(foot - along * below + across);
    let beside = Point::new(label.x - 6.0, label.y + 2.0);
    to.append(words("blade", beside, "end"));
}

fn angles(to: &mut Document, cut: &Cut, paper: &Sheet) {
    let foot = paper.at(Point::new(cut.fence, 0.0));
    let high = cut.height * paper.scale + 30.0;
    if cut.job == Job::Slices {
        return;
    }
    to.append(
        line(foot, foot - Point::new(0.0, high))
            .set("stroke-dasharray", "5 4")
            .set("stroke", FAINT),
    );
    // Directions on the paper: up is 270 degrees, and the blade leans to the left of it.
    let radius = high - 12.0;
    if cut.tilt > 0.01 {
        arc(to, foot, radius, 270.0 - cut.tilt, 270.0);
    }
    let label = format!("blade {} from vertical", degrees(cut.tilt));
    let at = foot - Point::new(-8.0, high - 4.0);
    to.append(words(&label, at, "start"));
    // The edge angle in the piece, at its upper corner on the cut, where there is a top.
    let over = cut.height * angle::tan(cut.tilt);
    let corner = Point::new(cut.fence + over, -cut.height);
    let has_corner = cut
        .piece
        .corners()
        .iter()
        .any(|c| c.distance(corner) < 0.05);
    let room = cut.top() * paper.scale;
    if has_corner && room > 60.0 {
        let corner = paper.at(corner);
        let radius = 30.0_f64.min(room / 3.0);
        arc(to, corner, radius, 0.0, cut.edge());
        let out = Point::unit(cut.edge() / 2.0) * (radius + 8.0);
        let at = corner + out + Point::new(0.0, 4.0);
        to.append(words(&degrees(cut.edge()), at, "start").set("font-size", "12"));
    }
}

fn dimensions(to: &mut Document, cut: &Cut, paper: &Sheet, length: Length<'_>) {
    let foot = paper.at(Point::new(cut.fence, 0.0));
    let y = paper.table_y + 48.0;
    for x in [paper.fence_x, foot.x] {
        let from = Point::new(x, paper.table_y);
        to.append(line(from, Point::new(x, y + 6.0)).set("stroke", FAINT));
    }
    arrow(to, Point::new(foot.x, y), Point::new(paper.fence_x, y));
    let middle = Point::new(f64::midpoint(foot.x, paper.fence_x), y + 20.0);
    let name = if cut.job == Job::Slices {
        format!("slice {}", length(cut.fence))
    } else {
        format!("fence {}", length(cut.fence))
    };
    to.append(words(&name, middle, "middle").set("font-weight", "bold"));
    let left = cut.rest.as_ref().unwrap_or(&cut.piece).bounds();
    let x = paper.at(left.max).x - 26.0;
    let top = paper.table_y - cut.height * paper.scale;
    for y in [top, paper.table_y] {
        let from = Point::new(x - 6.0, y);
        to.append(line(from, Point::new(x + 20.0, y)).set("stroke", FAINT));
    }
    arrow(to, Point::new(x, top), Point::new(x, paper.table_y));
    let beside = Point::new(x - 8.0, f64::midpoint(top, paper.table_y) + 5.0);
    to.append(words(&length(cut.height), beside, "end"));
}

fn shape(polygon: &Polygon, paper: &Sheet, fill: &str) -> Shape {
    let corners: Vec<Point> = polygon.corners().iter().map(|&c| paper.at(c)).collect();
    Shape::new()
        .set("points", places(&corners))
        .set("fill", fill)
}

fn places(points: &[Point]) -> String {
    let each: Vec<String> = points
        .iter()
        .map(|p| format!("{},{}", px(p.x), px(p.y)))
        .collect();
    each.join(" ")
}

fn block(x: f64, y: f64, width: f64, height: f64, fill: &str) -> Rectangle {
    Rectangle::new()
        .set("x", px(x))
        .set("y", px(y))
        .set("width", px(width))
        .set("height", px(height))
        .set("fill", fill)
}

fn words(text: &str, at: Point, anchor: &str) -> Text {
    Text::new(text)
        .set("x", px(at.x))
        .set("y", px(at.y))
        .set("text-anchor", anchor)
}

fn line(from: Point, to: Point) -> Line {
    Line::new()
        .set("x1", px(from.x))
        .set("y1", px(from.y))
        .set("x2", px(to.x))
        .set("y2", px(to.y))
        .set("stroke", INK)
}

/// A dimension line with a head at either end, turned outward where there is no room inside.
fn arrow(to: &mut Document, a: Point, b: Point) {
    let way = b - a;
    let length = way.length();
    let unit = way * (1.0 / length.max(1e-9));
    let inside = length > 26.0;
    let mut group = Group::new().set("stroke", INK).set("fill", INK);
    let (from, end) = if inside {
        (a, b)
    } else {
        (a - unit * 16.0, b + unit * 16.0)
    };
    group.append(line(from, end));
    for (tip, sense) in [(a, 1.0), (b, -1.0)] {
        let sense = if inside { sense } else { -sense };
        let back = tip + unit * (8.0 * sense);
        let side = unit.left_hand() * 3.0;
        group.append(Shape::new().set("points", places(&[tip, back + side, back - side])));
    }
    to.append(group);
}

/// An arc clockwise on the paper between two directions in degrees (0 right, 90 down).
fn arc(to: &mut Document, centre: Point, radius: f64, from: f64, until: f64) {
    let (a, b) = (
        centre + Point::unit(from) * radius,
        centre + Point::unit(until) * radius,
    );
    let r = px(radius);
    let way = format!(
        "M {} {} A {r} {r} 0 0 1 {} {}",
        px(a.x),
        px(a.y),
        px(b.x),
        px(b.y)
    );
    to.append(
        Path::new()
            .set("d", way)
            .set("fill", "none")
            .set("stroke", INK),
    );
}

/// Pixels with two decimals, no trailing zeros, no minus zero.
fn px(value: f64) -> String {
    let hundredths = libm::round(value * 100.0) / 100.0 + 0.0;
    format!("{hundredths}")
}
