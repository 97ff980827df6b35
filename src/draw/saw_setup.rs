//! The drawing of one saw set-up, seen from the end that the work is fed in: table, fence, blade,
//! the piece and what lies beyond the blade, with dimensions.
//!
//! The blade leans to the side to which the saw tilts, and the fence stands on the other one.
//! Millimetres of the work are scaled to fit; labels keep their size. Units of
//! the drawing: CSS pixels.

use svg::{
    Document, Node,
    node::element::{Group, Path, Polygon as Shape, Polyline, Rectangle, Title},
};

use super::{
    bench::{
        FAINT, INK, MADE, REST, WASTE as STEEL, block, line, paper as sheet, places, px,
        shape as outlined, words,
    },
    words::clean,
};
use crate::watch;
use crate::{
    geom::{Isometry, Point, Polygon, Rect, angle},
    plan::{
        saw::number::{Length, degrees},
        saw::passes::{SetBy, Turn},
        saw::words as saw_words,
        saw::{Cut, Job, Keeps, SawLimits, TiltsTo},
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

const BENCH: &str = "#8d949b";
const BED: &str = "#d6dade";

/// Where things are in the drawing.
struct Sheet {
    /// Pixels a millimetre.
    scale: f64,
    fence_x: f64,
    /// Where the table is, or the low end of a carriage's bed.
    table_y: f64,
    /// From the fence towards the blade on the paper: 1 to the right, -1 to the left.
    way: f64,
    /// The lean of a carriage's bed.
    bed: f64,
    kerf: f64,
}

impl Sheet {
    fn of(cut: &Cut, limits: &SawLimits) -> Self {
        let kerf = limits.kerf;
        let bounds: Vec<Rect> = [Some(&cut.at_fence), cut.beyond.as_ref()]
            .into_iter()
            .flatten()
            .map(|p| p.moved(Isometry::turn(-cut.bed)).bounds())
            .collect();
        let reach = bounds.iter().map(|b| b.max.x).fold(0.0, f64::max);
        let high = bounds.iter().map(|b| -b.min.y).fold(0.0, f64::max);
        let reach = match cut.set {
            SetBy::Stop(mm) => reach.max(cut.far_side(kerf) + mm + 6.0),
            _ => reach,
        };
        let room = WIDTH - LEFT - RIGHT;
        let scale = (room / reach.max(1.0))
            .min(LARGEST)
            .min(HIGHEST / high.max(1.0));
        // What is narrower than the paper stands in its middle.
        let from_rim = RIGHT + (room - reach * scale) / 2.0;
        // The blade leans away from the fence, to the side to which this saw tilts.
        let (fence_x, way) = match limits.tilts_to {
            TiltsTo::Left => (WIDTH - from_rim, -1.0),
            TiltsTo::Right => (from_rim, 1.0),
        };
        Self {
            scale,
            fence_x,
            table_y: TOP + high * scale,
            way,
            bed: cut.bed,
            kerf,
        }
    }

    /// From the saw frame (x from the fence, y down to the table) to the paper.
    fn at(&self, p: Point) -> Point {
        let p = Isometry::turn(-self.bed).apply(p);
        Point::new(
            self.fence_x + self.way * p.x * self.scale,
            self.table_y + p.y * self.scale,
        )
    }

    /// A place beside the fence, some pixels away from the work.
    fn beside_fence(&self, pixels: f64, y: f64) -> Point {
        Point::new(self.fence_x - self.way * pixels, y)
    }

    /// How text is anchored that runs away from the fence, or towards the blade.
    fn anchors(&self) -> (&'static str, &'static str) {
        if self.way < 0.0 {
            ("start", "end")
        } else {
            ("end", "start")
        }
    }

    /// How far below the bed's low end the table is.
    fn below_bed(&self) -> f64 {
        if self.bed > 0.0 { 16.0 } else { 0.0 }
    }
}

/// Draws a set-up on a saw; `length` writes a length in the plan's units.
pub fn saw_setup(cut: &Cut, limits: &SawLimits, length: Length<'_>) -> String {
    let paper = Sheet::of(cut, limits);
    let height = paper.table_y + BELOW + paper.below_bed();
    let mut document = sheet(WIDTH, height).add(Title::new(clean(&saw_words::title(cut))));
    bench(&mut document, cut, &paper);
    wood(&mut document, cut, &paper);
    blade(&mut document, cut, &paper);
    angles(&mut document, cut, &paper);
    dimensions(&mut document, cut, &paper, length);
    notes(&mut document, cut, height);
    document.to_string()
}

fn bench(to: &mut Document, cut: &Cut, paper: &Sheet) {
    let table = paper.table_y + paper.below_bed();
    to.append(block(10.0, table, WIDTH - 20.0, 10.0, BENCH));
    let (out, _) = paper.anchors();
    if cut.bed > 0.0 {
        let (low, high) = (paper.at(Point::ZERO), paper.at(Point::new(cut.blade, 0.0)));
        let corners = [
            low,
            high,
            Point::new(high.x, table),
            Point::new(low.x - paper.way * 22.0, table),
            Point::new(low.x - paper.way * 22.0, low.y - 12.0),
            Point::new(low.x, low.y - 12.0),
        ];
        to.append(
            Shape::new()
                .set("points", places(&corners))
                .set("fill", BED)
                .set("stroke", FAINT),
        );
        let at = paper.beside_fence(28.0, low.y - 4.0);
        to.append(words("carriage", at, out));
    } else {
        let top = (paper.table_y - cut.height * paper.scale - 14.0).max(TOP - 20.0);
        let slices = matches!(cut.job, Job::Slices { .. });
        let post = upright(paper, 0.0, 26.0, top);
        // A stop beside the blade would jam the slice: it stands where the cut has not begun.
        to.append(if slices { ahead(post) } else { post });
        let names: &[&str] = if slices {
            &["stop, ahead of", "the blade"]
        } else {
            &["fence"]
        };
        for (name, y) in names.iter().zip([14.0, 30.0]) {
            to.append(words(name, paper.beside_fence(34.0, top + y), out));
        }
        if let SetBy::Stop(mm) = cut.set {
            let x = cut.far_side(paper.kerf) + mm;
            to.append(ahead(upright(paper, x, -14.0, top)));
            let at = Point::new(paper.at(Point::new(x, 0.0)).x, top - 8.0);
            to.append(words("stop, ahead of the blade", at, "middle"));
        }
    }
    let name = Point::new(WIDTH - 14.0, table + 26.0);
    to.append(words("table", name, "end").set("fill", FAINT));
}

/// A post on the table at `x` mm from the fence, some pixels thick away from the blade.
fn upright(paper: &Sheet, x: f64, thick: f64, top: f64) -> Rectangle {
    let near = paper.at(Point::new(x, 0.0)).x;
    let far = near - paper.way * thick;
    let (left, width) = (near.min(far), thick.abs());
    block(left, top, width, paper.table_y - top, BENCH)
}

fn ahead(post: Rectangle) -> Rectangle {
    post.set("fill", "#fff")
        .set("stroke", FAINT)
        .set("stroke-dasharray", "5 4")
}

fn wood(to: &mut Document, cut: &Cut, paper: &Sheet) {
    let made = |at_fence: bool| match cut.keeps {
        Keeps::Both => true,
        Keeps::AtFence => at_fence,
        Keeps::Beyond => !at_fence,
    };
    let both = [(Some(&cut.at_fence), true), (cut.beyond.as_ref(), false)];
    for (polygon, at_fence) in both {
        let Some(polygon) = polygon else { continue };
        let (fill, ink, wide) = if made(at_fence) {
            (MADE, INK, "1.5")
        } else {
            (REST, FAINT, "1")
        };
        to.append(
            shape(polygon, paper, fill)
                .set("stroke", ink)
                .set("stroke-width", wide),
        );
        if cut.goes_on && at_fence == cut.far_edge {
            broken_end(to, polygon, paper, at_fence);
        }
        let name = match (cut.job, made(at_fence)) {
            (Job::Slices { .. }, true) => "slice",
            (Job::Slices { loaf, .. }, false) => saw_words::sliced(loaf),
            (Job::FirstEdge { .. }, true)
            | (Job::Strips | Job::FreeStrips | Job::Blanks { .. }, false) => "board",
            (Job::Blanks { .. } | Job::InCarriage { first: true }, true) => "blank",
            (Job::Again { .. }, false) | (_, true) => "strip",
            (_, false) => "waste",
        };
        let wide = polygon.bounds().width() * paper.scale;
        if wide > 60.0 && cut.height * paper.scale > 34.0 {
            let middle = paper.at(polygon.centroid()) + Point::new(0.0, 5.0);
            to.append(words(name, middle, "middle"));
        }
    }
}

/// The text that must be read before the figures: how the work lies.
fn notes(to: &mut Document, cut: &Cut, height: f64) {
    if let Some(up) = cut.up_word() {
        let turned = match cut.turn {
            Some(Turn::TurnedOver) => "; turned over, end for end, after this pass",
            Some(Turn::RolledOver) => "; rolled over after this pass",
            Some(Turn::TurnedRound) => "; turned round after this pass",
            _ => "",
        };
        let lies = format!("{up} up{turned}");
        to.append(words(&lies, Point::new(14.0, 22.0), "start"));
    }
    let guard = "Guard and riving knife are left out of the drawing only: keep them in place.";
    let at = Point::new(14.0, height - 8.0);
    to.append(words(guard, at, "start").set("font-size", "11"));
}

/// A zigzag where what is drawn is cut short: over its far end, or through its middle where it lies
/// at the fence.
fn broken_end(to: &mut Document, rest: &Polygon, paper: &Sheet, at_fence: bool) {
    let bounds = rest.bounds();
    let x = if at_fence {
        bounds.width() * 0.3
    } else {
        bounds.max.x
    };
    let top = paper.at(Point::new(x, bounds.min.y));
    let foot = paper.at(Point::new(x, bounds.max.y));
    let steps = 6;
    let teeth: Vec<Point> = (0..=steps)
        .map(|i| {
            let y = top.y - 2.0 + (foot.y - top.y + 3.0) * f64::from(i) / f64::from(steps);
            let into = if i % 2 == 0 { 0.0 } else { 7.0 };
            Point::new(top.x - paper.way * into, y)
        })
        .collect();
    let gap = paper.way * if at_fence { 6.0 } else { 3.0 };
    let mut cover: Vec<Point> = teeth.clone();
    if at_fence {
        let other = |p: &Point| Point::new(p.x + gap, p.y);
        cover.extend(teeth.iter().rev().map(other));
    } else {
        cover.push(foot + Point::new(gap, 1.0));
        cover.push(top + Point::new(gap, -2.0));
    }
    to.append(
        Shape::new()
            .set("points", places(&cover))
            .set("fill", "#fff"),
    );
    let shifts: &[f64] = if at_fence { &[0.0, 1.0] } else { &[0.0] };
    for shift in shifts {
        watch::ask();
        let line: Vec<Point> = teeth
            .iter()
            .map(|p| *p + Point::new(gap * shift, 0.0))
            .collect();
        to.append(
            Polyline::new()
                .set("points", places(&line))
                .set("fill", "none")
                .set("stroke", FAINT),
        );
    }
}

fn blade(to: &mut Document, cut: &Cut, paper: &Sheet) {
    let (sin, cos) = angle::sin_cos(cut.tilt);
    let foot = Point::new(cut.blade, 0.0);
    let along = Point::new(sin, -cos);
    // A little above the work, and down through the table.
    let above = cut.height / cos.max(0.05) + 8.0 / paper.scale;
    let below = (34.0 + paper.below_bed()) / paper.scale;
    let across = Point::new(paper.kerf / cos.max(0.05), 0.0);
    let body = Polygon::clockwise(vec![
        foot + along * above,
        foot + along * above + across,
        foot - along * below + across,
        foot - along * below,
    ]);
    to.append(
        shape(&body, paper, STEEL)
            .set("stroke", INK)
            .set("stroke-width", "1"),
    );
    let label = paper.at(foot - along * below + across);
    let beside = Point::new(label.x + paper.way * 6.0, label.y + 2.0);
    let (_, beyond) = paper.anchors();
    to.append(words("blade", beside, beyond));
}

fn angles(to: &mut Document, cut: &Cut, paper: &Sheet) {
    if matches!(cut.job, Job::Slices { .. }) {
        return;
    }
    let foot = paper.at(Point::new(cut.blade, 0.0));
    let top = paper.at(Point::new(cut.blade, -cut.height)).y.min(foot.y);
    let high = foot.y - top + 30.0;
    to.append(
        line(foot, foot - Point::new(0.0, high))
            .set("stroke-dasharray", "5 4")
            .set("stroke", FAINT),
    );
    // Directions on the paper: up is 270 degrees, and the blade leans away from the fence.
    let radius = high - 12.0;
    let tilt = cut.blade_tilt();
    if tilt > 0.01 {
        let leaning = 270.0 + paper.way * tilt;
        arc(to, foot, radius, leaning.min(270.0), leaning.max(270.0));
    }
    let label = if tilt > 0.01 {
        format!(
            "blade {} from vertical (gauge {})",
            degrees(tilt),
            degrees(90.0 - tilt)
        )
    } else {
        "blade square to the table".to_owned()
    };
    to.append(words(&label, Point::new(WIDTH - 14.0, 42.0), "end"));
    let (_, beyond) = paper.anchors();
    if cut.bed > 0.0 {
        let label = format!("bed leaning {}", degrees(cut.bed));
        let at = Point::new(foot.x + paper.way * 16.0, paper.table_y + 6.0);
        to.append(words(&label, at, beyond));
        return;
    }
    // The edge angle in the piece at the fence, at its upper corner on the cut.
    let over = cut.height * angle::tan(cut.tilt);
    let corner = Point::new(cut.blade + over, -cut.height);
    let has_corner = (cut.at_fence.corners().iter()).any(|c| c.distance(corner) < 0.05);
    let room = cut.at_fence.bounds().width() * paper.scale;
    if has_corner && room > 60.0 && cut.keeps != Keeps::Beyond {
        let corner = paper.at(corner);
        let radius = 30.0_f64.min(room / 3.0);
        let edge = cut.edge();
        let (from, until) = if paper.way < 0.0 {
            (0.0, edge)
        } else {
            (180.0 - edge, 180.0)
        };
        arc(to, corner, radius, from, until);
        let middle = f64::midpoint(from, until);
        let out = Point::unit(middle) * (radius + 8.0);
        let at = corner + out + Point::new(0.0, 4.0);
        let (inward, _) = paper.anchors();
        to.append(words(&degrees(edge), at, inward).set("font-size", "12"));
    }
}

fn dimensions(to: &mut Document, cut: &Cut, paper: &Sheet, length: Length<'_>) {
    if let Some(mm) = cut.distance() {
        let (from, until) = match cut.set {
            SetBy::Stop(stop) => {
                let far = cut.far_side(paper.kerf);
                (far, far + stop)
            }
            _ => (0.0, cut.blade),
        };
        let down = Point::new(0.0, 48.0 + paper.below_bed());
        let ends = [from, until].map(|x| paper.at(Point::new(x, 0.0)));
        for end in ends {
            to.append(line(end, end + down + Point::new(0.0, 6.0)).set("stroke", FAINT));
        }
        let [a, b] = ends.map(|end| end + down);
        arrow(to, b, a);
        let middle = a.towards(b, 0.5) + Point::new(0.0, 20.0);
        let what = match cut.job {
            Job::Slices { .. } => "slice",
            _ => saw_words::distance_name(cut),
        };
        let name = format!("{what} {}", length(mm));
        to.append(words(&name, middle, "middle").set("font-weight", "bold"));
    }
    let bounds = cut.beyond.as_ref().unwrap_or(&cut.at_fence).bounds();
    let beyond_stop = match cut.set {
        SetBy::Stop(mm) => cut.far_side(paper.kerf) + mm + 16.0 / paper.scale,
        _ => 0.0,
    };
    let x = bounds.max.x.max(beyond_stop);
    let [top, foot] = [-cut.height, 0.0].map(|y| paper.at(Point::new(x, y)));
    let out = Point::new(paper.way * 26.0, 0.0);
    for end in [top, foot] {
        let tick = Point::new(paper.way * 6.0, 0.0);
        to.append(line(end + tick, end + out + tick).set("stroke", FAINT));
    }
    arrow(to, top + out, foot + out);
    let beside = (top + out).towards(foot + out, 0.5) + Point::new(paper.way * 8.0, 5.0);
    let (_, beyond) = paper.anchors();
    to.append(words(&length(cut.height), beside, beyond));
}

fn shape(polygon: &Polygon, paper: &Sheet, fill: &str) -> Shape {
    let corners: Vec<Point> = polygon.corners().iter().map(|&c| paper.at(c)).collect();
    outlined(&corners, fill)
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
