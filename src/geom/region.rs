//! A region of the plane: outer rims with holes, concave or not, its curves kept.
//!
//! In mm. What must be straight uses chords within [`SAGITTA`](super::curve::SAGITTA) of the curves. Rims and
//! holes neither cross nor touch one another. Boolean operations go through `i_overlay`, which computes
//! in whole numbers: to about a millionth of a mm on a panel, and with the same outcome on every machine.

mod chain;
mod cross;
mod grid;
mod piece;
mod quarters;
mod squares;

use std::sync::OnceLock;

use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::outline::offset::OutlineOffset;
use i_overlay::mesh::style::{LineJoin, OutlineStyle};

pub use self::piece::Piece;

use self::quarters::Quarters;
use self::squares::{Coverage, Squares};
use super::{
    Point, Polygon, Rect, TOLERANCE,
    curve::{Affine, Contour},
    polygon::signed_area,
};

/// Most chords of a region: a circle of 10 m takes 3,200.
pub const MOST_CHORDS: usize = 20_000;
/// The widest step of an offset, in mm: bends go into chords of 1.8 degrees, which leave them by no more than
/// [`SAGITTA`](super::curve::SAGITTA).
const WIDEST_STEP: f64 = 40.0;
/// A contour with less area, in mm^2, has none.
const LEAST_AREA: f64 = 1e-3;

/// Why contours bound no region.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RegionFault {
    /// Something is no number, or farther away than a kilometre.
    #[error("it must be made of numbers within a kilometre")]
    NotFinite,
    /// More chords than [`MOST_CHORDS`].
    #[error("it would take more than {MOST_CHORDS} straight pieces to follow it")]
    TooMany,
    /// A contour without area.
    #[error("it encloses no area")]
    NoArea,
    /// Two of its lines meet.
    #[error("its lines cross or touch at {:.1} mm from the left and {:.1} mm from the top", at.x, at.y)]
    Crosses {
        /// Where, as it was drawn.
        at: Point,
    },
}

/// A region.
#[derive(Debug, Clone)]
pub struct Region {
    /// Each rim followed by its holes, all clockwise.
    contours: Vec<Contour>,
    /// The same with chords.
    pieces: Vec<Piece>,
    bounds: Rect,
    /// Made when it is first needed.
    squares: OnceLock<Squares>,
    quarters: Quarters,
}

impl PartialEq for Region {
    fn eq(&self, other: &Self) -> bool {
        self.contours == other.contours && self.pieces == other.pieces
    }
}

impl Region {
    /// What contours enclose: where one lies within another it is a hole, and a rim again within that.
    ///
    /// # Errors
    /// When the contours enclose nothing, cross or touch, or are beyond all bounds.
    pub fn of(contours: &[Contour]) -> Result<Self, RegionFault> {
        if !contours.iter().all(Contour::is_finite) {
            return Err(RegionFault::NotFinite);
        }
        let chords = contours.iter().map(Contour::chord_count);
        if chords.fold(0, usize::saturating_add) > MOST_CHORDS {
            return Err(RegionFault::TooMany);
        }
        let mut rims: Vec<(Contour, Polygon)> = Vec::new();
        for contour in contours {
            let contour = contour.clone().clockwise();
            let rim = contour.chords();
            if rim.len() < 3 {
                return Err(RegionFault::NoArea);
            }
            rims.push((contour, Polygon::clockwise(rim)));
        }
        if rims.is_empty() {
            return Err(RegionFault::NoArea);
        }
        if let Some(at) = cross::first(rims.iter().map(|(_, rim)| rim)) {
            return Err(RegionFault::Crosses { at });
        }
        if rims.iter().any(|(_, rim)| rim.area() < LEAST_AREA) {
            return Err(RegionFault::NoArea);
        }
        Ok(Self::nested(&rims))
    }

    /// The region of contours that neither cross nor touch, sorted by which lies in which.
    fn nested(rims: &[(Contour, Polygon)]) -> Self {
        let around = |inner: usize| -> Vec<usize> {
            let p = rims[inner].1.corners()[0];
            let others = (0..rims.len()).filter(|&i| i != inner);
            others.filter(|&i| rims[i].1.holds(p)).collect()
        };
        let around: Vec<Vec<usize>> = (0..rims.len()).map(around).collect();
        let mut contours = Vec::new();
        let mut pieces = Vec::new();
        for outer in (0..rims.len()).filter(|&i| around[i].len().is_multiple_of(2)) {
            let depth = around[outer].len() + 1;
            let holes =
                (0..rims.len()).filter(|&i| around[i].len() == depth && around[i].contains(&outer));
            let holes: Vec<usize> = holes.collect();
            contours.push(rims[outer].0.clone());
            contours.extend(holes.iter().map(|&i| rims[i].0.clone()));
            pieces.push(Piece {
                rim: rims[outer].1.clone(),
                holes: holes.into_iter().map(|i| rims[i].1.clone()).collect(),
            });
        }
        Self::with(contours, pieces)
    }

    fn with(contours: Vec<Contour>, pieces: Vec<Piece>) -> Self {
        let all = pieces.iter().map(|p| p.rim.bounds());
        let bounds = all.reduce(Rect::join).unwrap_or(Rect::sized(0.0, 0.0));
        Self {
            contours,
            pieces,
            bounds,
            squares: OnceLock::new(),
            quarters: Quarters::of(bounds),
        }
    }

    /// What is left of pieces; none without any.
    fn of_pieces(pieces: Vec<Piece>) -> Option<Self> {
        let loops = pieces.iter().flat_map(Piece::loops);
        let contours = loops.map(|p| Contour::corners(p.corners())).collect();
        (!pieces.is_empty()).then(|| Self::with(contours, pieces))
    }

    /// What is left when a region is cut out of it that lies inside, clear of all its lines; none where only a boolean
    /// operation can tell.
    pub fn without(&self, other: &Self) -> Option<Self> {
        let ([own], 0) = (&self.pieces[..], other.holes()) else {
            return None;
        };
        let chords = |region: &Self| -> usize {
            let loops = region.pieces.iter().flat_map(Piece::loops);
            loops.map(|rim| rim.corners().len()).sum()
        };
        let near = other.bounds.grown(1.0);
        let clear = |(a, b): (Point, Point)| Rect::around([a, b]).is_some_and(|r| !r.meets(near));
        let fits = chords(self) + chords(other) <= MOST_CHORDS
            && own.loops().flat_map(Polygon::edges).all(clear)
            && own.holds(other.bounds.centre());
        fits.then(|| {
            let contours = self.contours.iter().chain(&other.contours).cloned();
            let cut = other.pieces.iter().map(|piece| piece.rim.clone());
            let piece = Piece {
                rim: own.rim.clone(),
                holes: own.holes.iter().cloned().chain(cut).collect(),
            };
            Self::with(contours.collect(), vec![piece])
        })
    }

    /// The smallest upright rectangle around it.
    pub fn bounds(&self) -> Rect {
        self.bounds
    }

    /// Each rim followed by its holes, with their curves.
    pub fn contours(&self) -> &[Contour] {
        &self.contours
    }

    /// Its rims and holes with chords.
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// How many holes it has.
    pub fn holes(&self) -> usize {
        self.pieces.iter().map(|p| p.holes.len()).sum()
    }

    /// Its area in mm^2, with chords.
    pub fn area(&self) -> f64 {
        self.pieces.iter().map(Piece::area).sum()
    }

    /// The region after a map that keeps shapes or mirrors them.
    #[must_use]
    pub fn moved(&self, by: Affine) -> Self {
        let contours: Vec<Contour> = (self.contours.iter())
            .map(|c| c.moved(by).clockwise())
            .collect();
        let mut rims = contours.iter().map(|c| Polygon::clockwise(c.chords()));
        let pieces = self.pieces.iter().filter_map(|piece| {
            let rim = rims.next()?;
            let holes = rims.by_ref().take(piece.holes.len()).collect();
            Some(Piece { rim, holes })
        });
        let pieces = pieces.collect();
        Self::with(contours, pieces)
    }

    /// Whether a point lies inside; on the rim it may be either.
    pub fn holds_point(&self, p: Point) -> bool {
        self.squares().holds(p)
    }

    fn squares(&self) -> &Squares {
        (self.squares).get_or_init(|| Squares::of(&self.pieces, self.bounds))
    }

    fn look(&self, rect: Rect) -> Near {
        match self.squares().look(rect) {
            Coverage::Inside => Near::All(true),
            Coverage::Outside => Near::All(false),
            Coverage::Either => Near::All(self.holds_point(rect.centre())),
            Coverage::Rim(edges) => Near::Rim(edges),
        }
    }

    /// Whether all of a polygon with these bounds lies inside, or sticks out by no more than `slack` mm;
    /// a slack below 0 asks for so much room on every side.
    pub fn holds(&self, bounds: Rect, polygon: impl FnOnce() -> Polygon, slack: f64) -> bool {
        let edges = match self.look(bounds.grown(TOLERANCE - slack.min(0.0))) {
            Near::All(inside) => return inside,
            Near::Rim(edges) => edges,
        };
        let polygon = polygon();
        if !polygon.is_convex() {
            let left: f64 = self.parts(&polygon).iter().map(Piece::area).sum();
            return slack >= 0.0 && polygon.area() - left <= slack * polygon.perimeter();
        }
        let enters = |&(a, b): &(Point, Point)| {
            run_within(a, b, &polygon, slack).is_some_and(|(from, to)| (to - from) > 1e-6)
        };
        !edges.iter().any(enters) && self.holds_point(polygon.centroid())
    }

    /// What it leaves of a polygon.
    pub fn parts(&self, polygon: &Polygon) -> Vec<Piece> {
        match self.look(polygon.bounds()) {
            Near::All(true) => vec![polygon.clone().into()],
            Near::All(false) => Vec::new(),
            Near::Rim(_) => {
                // Of a rim with thousands of chords only those near the polygon are compared with it.
                let near = (self.quarters).around(&self.pieces, polygon.bounds().grown(1.0));
                let clip = loops(near.iter(), |rim| Some(rim.clone()));
                shared(
                    &vec![path(polygon.corners())],
                    &clip,
                    OverlayRule::Intersect,
                )
            }
        }
    }

    /// What of it lies in an upright rectangle; none where nothing does.
    pub fn cut(&self, rect: Rect) -> Option<Self> {
        Self::of_pieces(self.parts(&rect.polygon()))
    }

    /// Whether more of a polygon lies inside than dust along the rim.
    pub fn reaches(&self, polygon: &Polygon) -> bool {
        self.surely_reaches(polygon)
            .unwrap_or_else(|| self.reaches_by_parts(polygon))
    }

    /// The same, where the edges near a convex polygon are enough to tell.
    fn surely_reaches(&self, polygon: &Polygon) -> Option<bool> {
        let edges = match self.look(polygon.bounds()) {
            Near::All(inside) => return Some(inside),
            Near::Rim(edges) if polygon.is_convex() => edges,
            Near::Rim(_) => return None,
        };
        let middle = polygon.centroid();
        if !(edges.iter()).any(|&(a, b)| run_within(a, b, polygon, 0.0).is_some()) {
            return Some(self.holds_point(middle));
        }
        // A round that no edge passes lies in what is left, whose rim is no longer than all these edges.
        let all = || edges.iter().copied().chain(polygon.edges());
        let around: f64 = all().map(|(a, b)| a.distance(b)).sum();
        let least = (TOLERANCE * around / (2.0 * std::f64::consts::PI)).sqrt();
        let wide =
            |at: Point| all().all(|(a, b)| at.from_line(a, b) > least) && self.holds_point(at);
        let nearer = |&corner: &Point| wide(corner.towards(middle, 0.25));
        if wide(middle) || polygon.corners().iter().any(nearer) {
            return Some(true);
        }
        let (at, [one, other]) = chain::sides(&edges, polygon)?;
        let inside = if self.holds_point(at) { one } else { other };
        Some(Piece::from(inside).width() > TOLERANCE)
    }

    fn reaches_by_parts(&self, polygon: &Polygon) -> bool {
        (self.parts(polygon).iter()).any(|piece| piece.width() > TOLERANCE)
    }

    /// From where to where a line runs inside, not only on a rim, in mm from its start; in order.
    pub fn runs(&self, (a, b): (Point, Point)) -> Vec<(f64, f64)> {
        let length = a.distance(b);
        let Some(bounds) = Rect::around([a, b]) else {
            return Vec::new();
        };
        let edges = match self.look(bounds.grown(TOLERANCE)) {
            Near::All(true) => return vec![(0.0, length)],
            Near::All(false) => return Vec::new(),
            Near::Rim(edges) => edges,
        };
        let unit = (b - a) * (1.0 / length);
        let mut stops = vec![0.0, length];
        for &(p, q) in &edges {
            let (dp, dq) = (unit.cross(p - a), unit.cross(q - a));
            let (sp, sq) = (unit.dot(p - a), unit.dot(q - a));
            if (dp > 0.0) != (dq > 0.0) {
                stops.push(sp + (sq - sp) * dp / (dp - dq));
            }
            for (d, s) in [(dp, sp), (dq, sq)] {
                if d.abs() <= TOLERANCE {
                    stops.push(s);
                }
            }
        }
        stops.retain(|s| (0.0..=length).contains(s));
        stops.sort_by(f64::total_cmp);
        let mut runs: Vec<(f64, f64)> = Vec::new();
        for pair in stops.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let middle = a + unit * f64::midpoint(from, to);
            let on_rim = |&(p, q): &(Point, Point)| middle.from_line(p, q) <= TOLERANCE / 2.0;
            if to - from < 1e-9 || !self.holds_point(middle) || edges.iter().any(on_rim) {
                continue;
            }
            match runs.last_mut() {
                Some(last) if from - last.1 < 1e-9 => last.1 = to,
                _ => runs.push((from, to)),
            }
        }
        runs.retain(|(from, to)| to - from > TOLERANCE);
        runs
    }

    /// The region grown by so many mm on all sides, its holes smaller; smaller for a negative one. The
    /// new rim is made of chords; outer corners become round. None where nothing is left.
    pub fn grown(&self, by: f64) -> Option<Self> {
        // One wide bend would be made of chords that are too long, so the offset is made in several steps.
        let steps = libm::ceil(by.abs() / WIDEST_STEP).max(1.0);
        let mut pieces = self.pieces.clone();
        let mut left = by;
        while left.abs() > 1e-9 {
            crate::watch::ask();
            let step = by / steps;
            left -= step;
            let style = OutlineStyle::new(step).line_join(LineJoin::Round(0.0));
            let own = loops(pieces.iter(), |rim| Some(rim.clone()));
            pieces = as_pieces(&own.outline(&style));
            pieces.retain(|p| p.width() > TOLERANCE);
            for piece in &mut pieces {
                (piece.holes).retain(|hole| Piece::from(hole.clone()).width() > TOLERANCE);
            }
        }
        Self::of_pieces(pieces)
    }
}

/// What lies near a rectangle: the inside or the outside alone, or these edges.
enum Near {
    All(bool),
    Rim(Vec<(Point, Point)>),
}

type Path = Vec<[f64; 2]>;

/// A path that runs clockwise.
fn path(corners: &[Point]) -> Path {
    let mut path: Path = corners.iter().map(|p| [p.x, p.y]).collect();
    if signed_area(corners) < 0.0 {
        path.reverse();
    }
    path
}

/// Rims clockwise and holes the other way round, after something was done to each.
fn loops<'a>(
    pieces: impl Iterator<Item = &'a Piece>,
    each: impl Fn(&Polygon) -> Option<Polygon>,
) -> Vec<Path> {
    let mut paths = Vec::new();
    for piece in pieces {
        paths.extend(each(&piece.rim).map(|rim| path(rim.corners())));
        for hole in piece.holes.iter().filter_map(&each) {
            let mut hole = path(hole.corners());
            hole.reverse();
            paths.push(hole);
        }
    }
    paths
}

/// A boolean operation on paths.
fn shared(subject: &Vec<Path>, clip: &Vec<Path>, rule: OverlayRule) -> Vec<Piece> {
    crate::watch::ask();
    as_pieces(&subject.overlay(clip, rule, FillRule::NonZero))
}

fn as_pieces(shapes: &[Vec<Path>]) -> Vec<Piece> {
    let polygon = |path: &Path| {
        let mut corners: Vec<Point> = path.iter().map(|&[x, y]| Point::new(x, y)).collect();
        corners.dedup();
        Polygon::clockwise(corners)
    };
    let pieces = shapes.iter().filter_map(|shape| {
        let mut loops = shape.iter().map(polygon).filter(|p| p.area() > 1e-9);
        let rim = loops.next()?;
        Some(Piece {
            rim,
            holes: loops.collect(),
        })
    });
    pieces.collect()
}

/// From which to which share of it a line runs through a convex polygon, at least `depth` mm deep.
fn run_within(a: Point, b: Point, polygon: &Polygon, depth: f64) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (p, q) in polygon.edges() {
        let along = (q - p) * (1.0 / p.distance(q));
        let (da, db) = (along.cross(a - p) - depth, along.cross(b - p) - depth);
        if da <= 0.0 && db <= 0.0 {
            return None;
        }
        if da < 0.0 {
            from = from.max(da / (da - db));
        } else if db < 0.0 {
            to = to.min(da / (da - db));
        }
    }
    let length = a.distance(b);
    (to > from).then_some((from * length, to * length))
}
