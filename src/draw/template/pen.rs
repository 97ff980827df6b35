//! A pen that draws in mm on a PDF's page, y down from the upper left corner.

use pdf_writer::{Content, Name, Str};

use super::{paper::POINTS, typeface::Typeface};
use crate::{
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

pub(super) struct Pen<'a> {
    content: Content,
    typeface: &'a mut Typeface,
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "a place on paper is rounded to what the PDF holds: far below 0.001 mm"
)]
fn short(value: f64) -> f32 {
    value as f32
}

impl<'a> Pen<'a> {
    /// A pen for a page of this height in mm.
    pub(super) fn new(height: f64, typeface: &'a mut Typeface) -> Self {
        let mut content = Content::new();
        let scale = short(POINTS);
        content.transform([scale, 0.0, 0.0, -scale, 0.0, short(height * POINTS)]);
        Self { content, typeface }
    }

    /// The page's content.
    pub(super) fn finish(self) -> Vec<u8> {
        self.content.finish().into_vec()
    }

    pub(super) fn lines(&mut self, corners: &[Point], closed: bool, line: Line) {
        self.pencil(line);
        for (i, p) in corners.iter().enumerate() {
            if i == 0 {
                self.content.move_to(short(p.x), short(p.y));
            } else {
                self.content.line_to(short(p.x), short(p.y));
            }
        }
        if closed {
            self.content.close_path();
        }
        self.content.stroke();
    }

    pub(super) fn rectangle(&mut self, rect: Rect, line: Line) {
        self.lines(&corners(rect), true, line);
    }

    pub(super) fn filled(&mut self, rect: Rect, grey: u8) {
        self.content.set_fill_gray(share(grey));
        self.boxed(rect);
        self.content.fill_nonzero();
    }

    pub(super) fn dot(&mut self, at: Point, radius: f64, colour: Colour) {
        self.content
            .set_fill_rgb(share(colour.red), share(colour.green), share(colour.blue));
        self.circle(at, radius);
        self.content.fill_nonzero();
    }

    pub(super) fn ring(&mut self, at: Point, radius: f64, line: Line) {
        self.pencil(line);
        self.circle(at, radius);
        self.content.stroke();
    }

    pub(super) fn text(&mut self, text: &str, at: Point, size: f64, grey: u8, side: Side) {
        let runs = self.typeface.runs(text);
        let width = runs.iter().map(|run| run.width).sum::<f64>() * size;
        let mut x = match side {
            Side::Start => at.x,
            Side::Middle => at.x - width / 2.0,
            Side::End => at.x - width,
        };
        self.content.set_fill_gray(share(grey));
        self.content.begin_text();
        for run in runs {
            let tall = short(size);
            self.content
                .set_font(Name(font_name(run.font).as_bytes()), 1.0)
                .set_text_matrix([tall, 0.0, 0.0, -tall, short(x), short(at.y)]);
            let mut line = self.content.show_positioned();
            let mut items = line.items();
            for (code, kerning) in run.codes {
                items.show(Str(&[code]));
                if kerning != 0.0 {
                    items.adjust(kerning);
                }
            }
            x += run.width * size;
        }
        self.content.end_text();
    }

    /// Draws only what lies within a rectangle.
    pub(super) fn within(&mut self, rect: Rect, draw: impl FnOnce(&mut Self)) {
        self.content.save_state();
        self.boxed(rect);
        self.content.clip_nonzero().end_path();
        draw(self);
        self.content.restore_state();
    }

    fn pencil(&mut self, line: Line) {
        self.content
            .set_stroke_gray(share(line.grey))
            .set_line_width(short(line.width))
            .set_dash_pattern(line.dashes.into_iter().flatten().map(short), 0.0);
    }

    fn boxed(&mut self, rect: Rect) {
        self.content.rect(
            short(rect.min.x),
            short(rect.min.y),
            short(rect.width()),
            short(rect.height()),
        );
    }

    /// Four curves that are off a circle by 0.03 % of the radius (the usual constant, 4/3 (sqrt 2 - 1)).
    fn circle(&mut self, at: Point, radius: f64) {
        let handle = radius * 4.0 / 3.0 * (std::f64::consts::SQRT_2 - 1.0);
        self.content.move_to(short(at.x + radius), short(at.y));
        let quarters = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        for (x, y) in quarters {
            let (from, to) = (Point::new(x, y) * radius, Point::new(-y, x) * radius);
            let (a, b) = (
                at + from + Point::new(-y, x) * handle,
                at + to + Point::new(x, y) * handle,
            );
            let to = at + to;
            self.content.cubic_to(
                short(a.x),
                short(a.y),
                short(b.x),
                short(b.y),
                short(to.x),
                short(to.y),
            );
        }
        self.content.close_path();
    }
}

/// What a page calls one of the fonts.
pub(super) fn font_name(number: usize) -> String {
    format!("F{number}")
}

/// A part of 255 as a PDF has it, from 0 to 1.
fn share(level: u8) -> f32 {
    f32::from(level) / 255.0
}

fn corners(rect: Rect) -> [Point; 4] {
    [
        rect.min,
        Point::new(rect.max.x, rect.min.y),
        rect.max,
        Point::new(rect.min.x, rect.max.y),
    ]
}
