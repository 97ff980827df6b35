//! A pen that draws in mm on a PDF's page, y down from the upper left corner.

use krilla::{
    color::{luma, rgb},
    geom::{Path, PathBuilder, Point as Spot, Rect as Box2, Transform},
    num::NormalizedF32,
    paint::{Fill, FillRule, Stroke, StrokeDash},
    surface::Surface,
    text::TextDirection,
};

use super::{paper::POINTS, typeface::Typeface};
use crate::{
    draw::words,
    geom::{Point, Rect},
    stock::Colour,
};

/// How a line looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    /// Width in mm.
    pub(super) width: f64,
    /// From black (0) to white (255).
    pub(super) grey: u8,
    /// How long its dashes and gaps are, in mm, where it is dashed.
    pub(super) dashes: Option<[f64; 2]>,
}

/// Where a text stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    /// From here to the right.
    Start,
    /// About here.
    Middle,
    /// Up to here.
    End,
}

pub(super) struct Pen<'a, 'b> {
    surface: &'a mut Surface<'b>,
    typeface: &'a mut Typeface,
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "a place on paper is rounded to what the PDF holds: far below 0.001 mm"
)]
fn short(value: f64) -> f32 {
    value as f32
}

impl<'a, 'b> Pen<'a, 'b> {
    pub(super) fn new(surface: &'a mut Surface<'b>, typeface: &'a mut Typeface) -> Self {
        let scale = short(POINTS);
        surface.push_transform(&Transform::from_scale(scale, scale));
        Self { surface, typeface }
    }

    pub(super) fn lines(&mut self, corners: &[Point], closed: bool, line: Line) {
        let mut path = PathBuilder::new();
        for (i, p) in corners.iter().enumerate() {
            if i == 0 {
                path.move_to(short(p.x), short(p.y));
            } else {
                path.line_to(short(p.x), short(p.y));
            }
        }
        if closed {
            path.close();
        }
        self.stroke(path.finish(), line);
    }

    pub(super) fn rectangle(&mut self, rect: Rect, line: Line) {
        self.lines(&corners(rect), true, line);
    }

    pub(super) fn filled(&mut self, rect: Rect, grey: u8) {
        let mut path = PathBuilder::new();
        if let Some(rect) = boxed(rect) {
            path.push_rect(rect);
        }
        self.fill(path.finish(), luma::Color::new(grey).into());
    }

    pub(super) fn dot(&mut self, at: Point, radius: f64, colour: Colour) {
        let ink = rgb::Color::new(colour.red, colour.green, colour.blue);
        self.fill(circle(at, radius), ink.into());
    }

    pub(super) fn ring(&mut self, at: Point, radius: f64, line: Line) {
        self.stroke(circle(at, radius), line);
    }

    pub(super) fn text(&mut self, text: &str, at: Point, size: f64, grey: u8, side: Side) {
        let width = words::width(text) * size;
        let x = match side {
            Side::Start => at.x,
            Side::Middle => at.x - width / 2.0,
            Side::End => at.x - width,
        };
        self.surface.set_stroke(None);
        self.surface
            .set_fill(Some(ink(luma::Color::new(grey).into())));
        self.surface.draw_text(
            Spot::from_xy(short(x), short(at.y)),
            self.typeface.for_text(text),
            short(size),
            text,
            false,
            TextDirection::Auto,
        );
    }

    /// Draws only what lies within a rectangle.
    pub(super) fn within(&mut self, rect: Rect, draw: impl FnOnce(&mut Self)) {
        let mut path = PathBuilder::new();
        if let Some(rect) = boxed(rect) {
            path.push_rect(rect);
        }
        let Some(path) = path.finish() else { return };
        self.surface.push_clip_path(&path, &FillRule::NonZero);
        draw(self);
        self.surface.pop();
    }

    fn stroke(&mut self, path: Option<Path>, line: Line) {
        let Some(path) = path else { return };
        self.surface.set_fill(None);
        self.surface.set_stroke(Some(Stroke {
            paint: luma::Color::new(line.grey).into(),
            width: short(line.width),
            dash: line.dashes.map(|dashes| StrokeDash {
                array: dashes.map(short).to_vec(),
                offset: 0.0,
            }),
            ..Stroke::default()
        }));
        self.surface.draw_path(&path);
    }

    fn fill(&mut self, path: Option<Path>, paint: krilla::paint::Paint) {
        let Some(path) = path else { return };
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(ink(paint)));
        self.surface.draw_path(&path);
    }
}

impl Drop for Pen<'_, '_> {
    fn drop(&mut self) {
        self.surface.pop();
    }
}

fn ink(paint: krilla::paint::Paint) -> Fill {
    Fill {
        paint,
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn boxed(rect: Rect) -> Option<Box2> {
    Box2::from_ltrb(
        short(rect.min.x),
        short(rect.min.y),
        short(rect.max.x),
        short(rect.max.y),
    )
}

fn corners(rect: Rect) -> [Point; 4] {
    [
        rect.min,
        Point::new(rect.max.x, rect.min.y),
        rect.max,
        Point::new(rect.min.x, rect.max.y),
    ]
}

/// Four curves that are off a circle by 0.03 % of the radius (the usual constant, 4/3 (sqrt 2 - 1)).
fn circle(at: Point, radius: f64) -> Option<Path> {
    let handle = radius * 4.0 / 3.0 * (std::f64::consts::SQRT_2 - 1.0);
    let mut path = PathBuilder::new();
    path.move_to(short(at.x + radius), short(at.y));
    let quarters = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
    for (x, y) in quarters {
        let (from, to) = (Point::new(x, y) * radius, Point::new(-y, x) * radius);
        let (a, b) = (
            at + from + Point::new(-y, x) * handle,
            at + to + Point::new(x, y) * handle,
        );
        let to = at + to;
        path.cubic_to(
            short(a.x),
            short(a.y),
            short(b.x),
            short(b.y),
            short(to.x),
            short(to.y),
        );
    }
    path.close();
    path.finish()
}
