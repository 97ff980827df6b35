//! Paths as SVG writes them (the attribute `d`), read into contours. Every subpath is closed.

use svgtypes::{PathParser, PathSegment};

use super::{
    Point,
    curve::{Arc, Contour, Curve},
};

/// Most commands of a path.
pub const MOST_COMMANDS: usize = 20_000;

/// Why a text is no path.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PathFault {
    /// Something that is no command.
    #[error("after {} a path may not go on {}", commands(*.after), with(.at))]
    Syntax {
        /// Commands that could be read.
        after: usize,
        /// What stands there; nothing where the text ends.
        at: String,
    },
    /// It draws nothing.
    #[error("the path draws nothing")]
    Empty,
    /// More than [`MOST_COMMANDS`].
    #[error("the path has more than {MOST_COMMANDS} commands")]
    TooMany,
}

fn commands(count: usize) -> String {
    match count {
        0 => "its beginning".to_owned(),
        1 => "1 command".to_owned(),
        more => format!("{more} commands"),
    }
}

fn with(at: &str) -> String {
    if at.is_empty() {
        "as it does".to_owned()
    } else {
        format!("with `{at}`")
    }
}

/// The word at which a text stops being a path; nothing where the parser does not say.
fn standing_at(text: &str, error: &svgtypes::Error) -> String {
    use svgtypes::Error as E;
    // Characters are counted from 1.
    let (E::UnexpectedData(at) | E::InvalidNumber(at) | E::InvalidChar(_, at)) = error else {
        return String::new();
    };
    let from = text.chars().skip(at.saturating_sub(1));
    let word = from.take_while(|letter| !letter.is_whitespace() && *letter != ',');
    word.filter(|letter| !letter.is_control())
        .take(12)
        .collect()
}

/// The contours of a path, one for each subpath that goes somewhere.
///
/// # Errors
/// When the text is no path, or one without any line.
pub fn contours(text: &str) -> Result<Vec<Contour>, PathFault> {
    let mut pen = Pen::default();
    for (after, segment) in PathParser::from(text).enumerate() {
        if after == MOST_COMMANDS {
            return Err(PathFault::TooMany);
        }
        pen.draw(segment.map_err(|error| PathFault::Syntax {
            after,
            at: standing_at(text, &error),
        })?);
    }
    pen.close();
    if pen.done.is_empty() {
        return Err(PathFault::Empty);
    }
    Ok(pen.done)
}

#[derive(Default)]
struct Pen {
    done: Vec<Contour>,
    curves: Vec<Curve>,
    start: Point,
    at: Point,
    /// The last handle of the curve before, and whether that was a cubic one.
    handle: Option<(Point, bool)>,
}

impl Pen {
    fn close(&mut self) {
        if !self.curves.is_empty() {
            self.done
                .push(Contour::of(std::mem::take(&mut self.curves)));
        }
        self.at = self.start;
    }

    fn line(&mut self, to: Point) {
        if to != self.at {
            self.curves.push(Curve::Line(self.at, to));
        }
        self.at = to;
    }

    fn cubic(&mut self, a: Point, b: Point, to: Point) {
        self.curves.push(Curve::Cubic([self.at, a, b, to]));
        self.at = to;
    }

    fn quadratic(&mut self, handle: Point, to: Point) {
        let third = 2.0 / 3.0;
        let (a, b) = (self.at.towards(handle, third), to.towards(handle, third));
        self.cubic(a, b, to);
        self.handle = Some((handle, false));
    }

    /// The handle of the curve before, mirrored; the point itself where that was of another kind.
    fn mirrored(&self, cubic: bool) -> Point {
        match self.handle {
            Some((handle, of_cubic)) if of_cubic == cubic => self.at * 2.0 - handle,
            _ => self.at,
        }
    }

    fn draw(&mut self, segment: PathSegment) {
        use PathSegment as S;
        let from = self.at;
        let place = move |abs: bool, x: f64, y: f64| {
            let p = Point::new(x, y);
            if abs { p } else { from + p }
        };
        match segment {
            S::MoveTo { abs, x, y } => {
                let to = place(abs, x, y);
                self.close();
                (self.start, self.at, self.handle) = (to, to, None);
            }
            S::LineTo { abs, x, y } => self.straight(place(abs, x, y)),
            S::HorizontalLineTo { abs, x } => {
                self.straight(Point::new(place(abs, x, 0.0).x, from.y));
            }
            S::VerticalLineTo { abs, y } => {
                self.straight(Point::new(from.x, place(abs, 0.0, y).y));
            }
            S::CurveTo {
                abs,
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => {
                let last = place(abs, x2, y2);
                self.cubic(place(abs, x1, y1), last, place(abs, x, y));
                self.handle = Some((last, true));
            }
            S::SmoothCurveTo { abs, x2, y2, x, y } => {
                let (first, last) = (self.mirrored(true), place(abs, x2, y2));
                self.cubic(first, last, place(abs, x, y));
                self.handle = Some((last, true));
            }
            S::Quadratic { abs, x1, y1, x, y } => {
                self.quadratic(place(abs, x1, y1), place(abs, x, y));
            }
            S::SmoothQuadratic { abs, x, y } => {
                self.quadratic(self.mirrored(false), place(abs, x, y));
            }
            S::EllipticalArc {
                abs,
                rx,
                ry,
                x_axis_rotation,
                large_arc,
                sweep,
                x,
                y,
            } => {
                let to = place(abs, x, y);
                let arc = Arc::between((from, to), (rx, ry), x_axis_rotation, (large_arc, sweep));
                match arc {
                    Some(arc) => {
                        self.curves.push(Curve::Arc(arc));
                        self.at = to;
                    }
                    None => self.line(to),
                }
                self.handle = None;
            }
            S::ClosePath { .. } => {
                self.close();
                self.handle = None;
            }
        }
    }

    fn straight(&mut self, to: Point) {
        self.line(to);
        self.handle = None;
    }
}
