//! Curves and closed contours of them: straight lines, arcs of circles and ellipses, cubic Beziers.
//!
//! In mm; y runs down, and a positive sweep is clockwise as seen. A contour keeps its curves; whoever
//! needs straight lines takes `chords`, which lie within [`SAGITTA`] of them.

use std::f64::consts::PI;

use super::{Point, TOLERANCE, angle, polygon::signed_area};

/// How far a chord may lie from its curve, in mm: half of what counts as one place.
pub const SAGITTA: f64 = TOLERANCE / 2.0;
/// The widest sweep of a chord, in degrees.
pub const WIDEST_CHORD: f64 = 22.5;
/// Places nearer than this, in mm, are one.
const SAME: f64 = 1e-6;

/// An affine map: where the axes and the origin go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Affine {
    /// Where one mm to the right goes.
    pub right: Point,
    /// Where one mm down goes.
    pub down: Point,
    /// Where the origin goes.
    pub shift: Point,
}

impl Affine {
    /// What leaves everything where it is.
    pub const IDENTITY: Self = Self {
        right: Point::new(1.0, 0.0),
        down: Point::new(0.0, 1.0),
        shift: Point::ZERO,
    };

    /// A shift.
    pub const fn shift(by: Point) -> Self {
        Self {
            shift: by,
            ..Self::IDENTITY
        }
    }

    /// Scaled about the origin, by one factor across and one down; a negative one mirrors.
    pub const fn scale(across: f64, down: f64) -> Self {
        Self {
            right: Point::new(across, 0.0),
            down: Point::new(0.0, down),
            shift: Point::ZERO,
        }
    }

    /// Turned about the origin, clockwise as seen.
    pub fn turn(degrees: f64) -> Self {
        Self {
            right: Point::unit(degrees),
            down: Point::unit(degrees + 90.0),
            shift: Point::ZERO,
        }
    }

    /// Where a point goes.
    pub fn apply(self, p: Point) -> Point {
        self.along(p) + self.shift
    }

    /// This one, then another.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        Self {
            right: next.along(self.right),
            down: next.along(self.down),
            shift: next.apply(self.shift),
        }
    }

    /// Where a vector goes.
    fn along(self, v: Point) -> Point {
        self.right * v.x + self.down * v.y
    }
}

/// An arc of an ellipse by two of its half diameters, each of which halves the chords along the other:
/// `centre + right cos t + down sin t` for t from `from` over `sweep`, in degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// The middle.
    pub centre: Point,
    /// The half diameter at 0 degrees.
    pub right: Point,
    /// The half diameter at 90 degrees.
    pub down: Point,
    /// Where it begins.
    pub from: f64,
    /// How far it runs, at most 360.
    pub sweep: f64,
}

impl Arc {
    /// An arc of a circle.
    pub const fn circle(centre: Point, radius: f64, from: f64, sweep: f64) -> Self {
        Self {
            centre,
            right: Point::new(radius, 0.0),
            down: Point::new(0.0, radius),
            from,
            sweep,
        }
    }

    /// An arc as SVG 1.1 writes it, by its ends, half diameters, their turn and two flags; none where it
    /// is a straight line. By appendix F.6 of that standard.
    pub fn between(
        (start, end): (Point, Point),
        (rx, ry): (f64, f64),
        turn: f64,
        (large, clockwise): (bool, bool),
    ) -> Option<Self> {
        let (mut rx, mut ry) = (rx.abs(), ry.abs());
        if rx < SAME || ry < SAME || start.distance(end) < SAME {
            return None;
        }
        let (right, down) = (Point::unit(turn), Point::unit(turn + 90.0));
        let half = (start - end) * 0.5;
        let (x, y) = (half.dot(right), half.dot(down));
        let reach = (x / rx).powi(2) + (y / ry).powi(2);
        // Too small to reach from end to end: as large as needed, about the middle between them.
        let off = if reach > 1.0 {
            (rx, ry) = (rx * reach.sqrt(), ry * reach.sqrt());
            0.0
        } else {
            (1.0 / reach - 1.0).sqrt()
        };
        let off = if large == clockwise { -off } else { off };
        // On the unit circle: the middle, the start and the end.
        let (mx, my) = (off * y / ry, -off * x / rx);
        let from = angle::direction(x / rx - mx, y / ry - my);
        let to = angle::direction(-x / rx - mx, -y / ry - my);
        let sweep = if clockwise {
            angle::normalised(to - from)
        } else {
            -angle::normalised(from - to)
        };
        Some(Self {
            centre: start.towards(end, 0.5) + right * (mx * rx) + down * (my * ry),
            right: right * rx,
            down: down * ry,
            from,
            sweep,
        })
    }

    /// Its longest and shortest half diameters: across each other.
    pub fn axes(&self) -> (Point, Point) {
        let (u, v) = (self.right, self.down);
        let skew = u.dot(v);
        if skew.abs() <= 1e-12 * u.length() * v.length() {
            return (u, v);
        }
        let turn = angle::direction(u.dot(u) - v.dot(v), 2.0 * skew) / 2.0;
        let (sin, cos) = angle::sin_cos(turn);
        (u * cos + v * sin, v * cos - u * sin)
    }

    /// The radius, where it is an arc of a circle.
    pub fn radius(&self) -> Option<f64> {
        let (u, v) = (self.right, self.down);
        let radius = u.length();
        let round = (radius - v.length()).abs() < SAME && u.dot(v).abs() < SAME * radius;
        round.then_some(radius)
    }

    /// Whether it runs clockwise as seen.
    pub fn is_clockwise(&self) -> bool {
        self.sweep * self.right.cross(self.down) > 0.0
    }

    /// The point at an angle of its own.
    pub fn at(&self, degrees: f64) -> Point {
        let (sin, cos) = angle::sin_cos(degrees);
        self.centre + self.right * cos + self.down * sin
    }

    /// Beziers along it, each over at most so many degrees: by the usual handles of 4/3 tan(t / 4), which leave a
    /// circle by 2e-6 of its radius at 30 degrees.
    pub fn beziers(&self, widest: f64) -> impl Iterator<Item = [Point; 4]> + '_ {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most 360 degrees"
        )]
        let count = libm::ceil(self.sweep.abs() / widest - 1e-9).max(1.0) as u32;
        let step = self.sweep / f64::from(count);
        let handle = angle::tan(step / 4.0) * 4.0 / 3.0;
        (0..count).map(move |i| {
            let (from, to) = (
                self.from + step * f64::from(i),
                self.from + step * f64::from(i + 1),
            );
            let (a, b) = (self.at(from), self.at(to));
            let along = |t: f64| self.at(t + 90.0) - self.centre;
            [a, a + along(from) * handle, b - along(to) * handle, b]
        })
    }

    fn moved(self, by: Affine) -> Self {
        Self {
            centre: by.apply(self.centre),
            right: by.along(self.right),
            down: by.along(self.down),
            ..self
        }
    }

    /// Into how many chords it goes. A chord over the angle t leaves its circle by r (1 - cos(t / 2)),
    /// and an ellipse by no more, with its longest half diameter as r.
    fn chords(&self, sagitta: f64) -> f64 {
        let (a, b) = self.axes();
        let longest = a.length().max(b.length());
        let half = libm::acos((1.0 - sagitta / longest).max(0.0)) * (180.0 / PI);
        let quarter = libm::ceil(45.0 / half).max(90.0 / WIDEST_CHORD);
        libm::ceil(self.sweep.abs() * quarter / 90.0 - 1e-9).max(1.0)
    }
}

/// One curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Curve {
    /// From one point to another.
    Line(Point, Point),
    /// Along an ellipse.
    Arc(Arc),
    /// A cubic Bezier: start, two handles, end.
    Cubic([Point; 4]),
}

impl Curve {
    /// Where it begins.
    pub fn start(&self) -> Point {
        match self {
            Self::Line(a, _) => *a,
            Self::Arc(arc) => arc.at(arc.from),
            Self::Cubic(p) => p[0],
        }
    }

    /// Where it ends.
    pub fn end(&self) -> Point {
        match self {
            Self::Line(_, b) => *b,
            Self::Arc(arc) => arc.at(arc.from + arc.sweep),
            Self::Cubic(p) => p[3],
        }
    }

    /// The curve after an affine map.
    #[must_use]
    pub fn moved(&self, by: Affine) -> Self {
        match self {
            Self::Line(a, b) => Self::Line(by.apply(*a), by.apply(*b)),
            Self::Arc(arc) => Self::Arc(arc.moved(by)),
            Self::Cubic(p) => Self::Cubic(p.map(|p| by.apply(p))),
        }
    }

    /// Into how many chords it goes; of a Bezier, by the greatest second difference of its points
    /// (Wang's formula).
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at least 1, and saturates"
    )]
    fn chord_count(&self, sagitta: f64) -> u32 {
        match self {
            Self::Line(..) => 1,
            Self::Arc(arc) => arc.chords(sagitta) as u32,
            Self::Cubic([a, b, c, d]) => {
                let bend = (*a - *b * 2.0 + *c)
                    .length()
                    .max((*b - *c * 2.0 + *d).length());
                libm::ceil((0.75 * bend / sagitta).sqrt()).max(1.0) as u32
            }
        }
    }

    /// The points along it that chords join, without the last.
    fn points(&self, chords: u32) -> impl Iterator<Item = Point> + '_ {
        let share = move |i: u32| f64::from(i) / f64::from(chords);
        (0..chords).map(move |i| match self {
            Self::Line(a, _) => *a,
            Self::Arc(arc) => arc.at(arc.from + arc.sweep * share(i)),
            Self::Cubic([a, b, c, d]) => {
                let (t, s) = (share(i), 1.0 - share(i));
                *a * (s * s * s)
                    + *b * (3.0 * s * s * t)
                    + *c * (3.0 * s * t * t)
                    + *d * (t * t * t)
            }
        })
    }

    /// The points that chords within [`SAGITTA`] of it join, without the last.
    pub fn chords(&self) -> Vec<Point> {
        self.points(self.chord_count(SAGITTA)).collect()
    }

    fn is_finite(&self) -> bool {
        let ok = |p: &Point| p.x.abs() < MOST_MM && p.y.abs() < MOST_MM;
        match self {
            Self::Line(a, b) => ok(a) && ok(b),
            Self::Arc(arc) => {
                [arc.centre, arc.right, arc.down].iter().all(ok)
                    && arc.from.is_finite()
                    && arc.sweep.abs() <= 360.0
            }
            Self::Cubic(p) => p.iter().all(ok),
        }
    }
}

/// Farther out, in mm, nothing is drawn.
const MOST_MM: f64 = 1e6;

/// A closed row of curves: each begins where the one before ends, the first where the last ends.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Contour {
    curves: Vec<Curve>,
}

impl Contour {
    /// A contour of curves; where one does not begin at the end of the one before, a straight line leads
    /// there.
    pub fn of(curves: impl IntoIterator<Item = Curve>) -> Self {
        let mut joined: Vec<Curve> = Vec::new();
        for curve in curves {
            let from = joined.last().map(Curve::end);
            joined.extend(from.and_then(|from| gap(from, curve.start())));
            joined.push(curve);
        }
        let ends = joined.last().zip(joined.first());
        let close = ends.and_then(|(last, first)| gap(last.end(), first.start()));
        joined.extend(close);
        Self { curves: joined }
    }

    /// Straight lines from corner to corner, and back to the first.
    pub fn corners(corners: &[Point]) -> Self {
        let next = corners.iter().cycle().skip(1);
        Self::of(corners.iter().zip(next).map(|(&a, &b)| Curve::Line(a, b)))
    }

    /// An ellipse in these half diameters.
    pub fn ellipse(centre: Point, rx: f64, ry: f64) -> Self {
        Self::of((0_u8..4).map(|quarter| {
            Curve::Arc(Arc {
                centre,
                right: Point::new(rx, 0.0),
                down: Point::new(0.0, ry),
                from: 90.0 * f64::from(quarter),
                sweep: 90.0,
            })
        }))
    }

    /// An upright rectangle from (0, 0) with its corners rounded by a radius.
    pub fn rounded_rectangle(width: f64, height: f64, radius: f64) -> Self {
        let (right, low) = (width - radius, height - radius);
        let middles = [
            (right, low),
            (radius, low),
            (radius, radius),
            (right, radius),
        ];
        Self::of((0_u8..4).zip(middles).map(|(quarter, (x, y))| {
            let from = 90.0 * f64::from(quarter);
            Curve::Arc(Arc::circle(Point::new(x, y), radius, from, 90.0))
        }))
    }

    /// The curves.
    pub fn curves(&self) -> &[Curve] {
        &self.curves
    }

    /// The contour after an affine map.
    #[must_use]
    pub fn moved(&self, by: Affine) -> Self {
        Self {
            curves: self.curves.iter().map(|c| c.moved(by)).collect(),
        }
    }

    /// How many chords it goes into.
    pub fn chord_count(&self) -> usize {
        let each = self.curves.iter().map(|c| c.chord_count(SAGITTA) as usize);
        each.fold(0, usize::saturating_add)
    }

    /// The corners of the chords that lie within [`SAGITTA`] of it, none twice in one place.
    pub fn chords(&self) -> Vec<Point> {
        let each = self.curves.iter();
        let mut corners: Vec<Point> = each.flat_map(Curve::chords).collect();
        corners.dedup_by(|a, b| a.distance(*b) < SAME);
        while corners.len() > 1 && corners[0].distance(corners[corners.len() - 1]) < SAME {
            corners.pop();
        }
        corners
    }

    /// The same run backwards.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let back = |c: &Curve| match c {
            Curve::Line(a, b) => Curve::Line(*b, *a),
            Curve::Arc(arc) => Curve::Arc(Arc {
                from: arc.from + arc.sweep,
                sweep: -arc.sweep,
                ..*arc
            }),
            Curve::Cubic([a, b, c, d]) => Curve::Cubic([*d, *c, *b, *a]),
        };
        Self {
            curves: self.curves.iter().rev().map(back).collect(),
        }
    }

    /// The same run clockwise.
    #[must_use]
    pub fn clockwise(self) -> Self {
        if signed_area(&self.chords()) < 0.0 {
            self.reversed()
        } else {
            self
        }
    }

    /// Whether all its numbers are numbers, and within a kilometre.
    pub fn is_finite(&self) -> bool {
        self.curves.iter().all(Curve::is_finite)
    }
}

fn gap(from: Point, to: Point) -> Option<Curve> {
    (from.distance(to) >= SAME).then_some(Curve::Line(from, to))
}
