//! Where the pattern can lie under its finished outline: for the fewest tiles, the fewest slivers, a joint through the
//! middle, or halves that mirror each other.
//!
//! Tried are shifts that bring the tiles that the trim cuts now just outside or just inside, that put a centre, a corner
//! or the middle of an edge of a tile on the middle of the outline, and parts of the lattice's step; to a hundredth of a
//! mm as a maker writes them. The pattern turned one way inside the outline is the outline turned the other way on the
//! pattern: so a turn is one of the outline.

use std::cmp::Ordering;

use serde::Serialize;

use super::{
    Lattice, Panel,
    extent::{Covering, trimmed},
    panel::LaidOn,
    trim::{Trim, TrimShape},
};
use crate::geom::{Point, Polygon, Rect, TOLERANCE};
use crate::watch;

/// A piece in which no circle of this diameter fits, in mm, is a sliver: hard to hold and to glue.
pub const SLIVER: f64 = 15.0;

/// Panels of more tiles than this are left as they are, so that the search stays short.
const MOST_TILES: usize = 20_000;
/// Most shifts that are tried in one direction.
const MOST_SHIFTS: usize = 24;
/// Most tiles that are looked at for all shifts together: in counting, and in clipping.
const MOST_COUNTED: f64 = 1e6;
const MOST_CUT: f64 = 4e4;
/// Into how many parts a step of the lattice goes.
const PARTS: usize = 16;
/// Places nearer than this, in mm, are one: each is rounded, and may be off by the tolerance.
const SAME: f64 = 2.0 * TOLERANCE;

/// A shift that takes fewer tiles than the panel's own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fewest {
    /// To the right, in mm: what the recipe's `shift` would say.
    pub right: f64,
    /// Down, in mm.
    pub down: f64,
    /// How many tiles cover the panel then.
    pub tiles: usize,
}

/// Across the middle one way or the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Middle {
    /// Of the upright line through it: a joint runs along it, or left and right mirror each other.
    pub upright: bool,
    /// Of the level line through it.
    pub level: bool,
}

impl Middle {
    fn count(self) -> usize {
        usize::from(self.upright) + usize::from(self.level)
    }
}

/// How the pattern lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// To the right, in mm.
    pub right: f64,
    /// Down, in mm.
    pub down: f64,
    /// By how many degrees the outline is turned, clockwise.
    pub turn: f64,
    /// How many tiles cover the outline.
    pub tiles: usize,
    /// How many of the pieces that the outline leaves are slivers.
    pub slivers: usize,
    /// Along which lines through the middle a joint runs.
    pub joint: Middle,
    /// About which lines through the middle the outlines of all pieces are mirrored.
    pub mirror: Middle,
}

/// What can be had by shifting the pattern, each where it is more than what is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Shifts {
    /// As it is.
    pub now: Shift,
    /// The fewest tiles.
    pub tiles: Option<Shift>,
    /// The fewest slivers.
    pub slivers: Option<Shift>,
    /// A joint through the middle.
    pub joint: Option<Shift>,
    /// Halves that mirror each other.
    pub mirror: Option<Shift>,
}

/// The shift that takes the fewest tiles of those tried; none where none of them takes fewer, and for panels
/// that are not a finished rectangle, or a shape that is called by a word, alone laid over a lattice.
pub fn fewest(panel: &Panel) -> Option<Fewest> {
    let trim = panel.trim.as_ref()?;
    let is_rectangle = trim.bounds().area() - trim.area() < TOLERANCE;
    if !(is_rectangle || matches!(trim.shape(), TrimShape::Named(_))) {
        return None;
    }
    let (field, now) = Field::of(panel)?;
    let mut least = panel.tiles.len();
    let mut best = None;
    for Point { x: right, y: down } in field.tries(now, least, None) {
        watch::ask();
        if let Some(covering) = field.covering(right, down, least - 1) {
            least = covering.cells.len();
            best = Some(Fewest {
                right,
                down,
                tiles: least,
            });
        }
    }
    best
}

/// What a panel could have by shifts of its pattern, and by turns of its outline in steps of so many degrees; none
/// for panels that are not a finished outline alone laid over a lattice.
pub fn shifts(panel: &Panel, turn_step: Option<f64>) -> Option<Shifts> {
    let (field, now) = Field::of(panel)?;
    let tiles = panel.tiles.len();
    let mut all = vec![field.shift(now.x, now.y, 0.0)?];
    let mut turns = vec![0.0];
    if let Some(step) = turn_step {
        let more = (1_u32..).map(|k| f64::from(k) * step);
        turns.extend(more.take_while(|turn| *turn < 360.0 - 1e-9));
    }
    for &turn in &turns {
        let field = field.turned(turn);
        let tries = field.tries(now, tiles, Some(field.middles(now)));
        all.extend((tries.iter()).filter_map(|by| field.shift(by.x, by.y, turn)));
    }
    let now_is = all[0];
    let far = |s: &Shift| Point::new(s.right, s.down).distance(now);
    let best = |key: &dyn Fn(&Shift) -> (usize, usize, usize)| {
        let order = |a: &&Shift, b: &&Shift| {
            (key(a).cmp(&key(b)))
                .then(a.turn.total_cmp(&b.turn))
                .then(far(a).total_cmp(&far(b)))
        };
        all.iter().min_by(order).copied()
    };
    let joint = |s: &Shift| 2 - s.joint.count();
    let mirror = |s: &Shift| 2 - s.mirror.count();
    Some(Shifts {
        now: now_is,
        tiles: best(&|s| (s.tiles, s.slivers, 0)).filter(|s| s.tiles < now_is.tiles),
        slivers: best(&|s| (s.slivers, s.tiles, 0)).filter(|s| s.slivers < now_is.slivers),
        joint: best(&|s| (joint(s), s.slivers, s.tiles)).filter(|s| joint(s) < joint(&now_is)),
        mirror: best(&|s| (mirror(s), s.slivers, s.tiles)).filter(|s| mirror(s) < mirror(&now_is)),
    })
}

/// An outline over a lattice.
struct Field<'a> {
    lattice: &'a Lattice,
    trim: Trim,
    /// From cell (0, 0)'s centre to the top left of its bounds.
    corner: Point,
    /// About which lines through its middle the outline itself is mirrored.
    mirror: Middle,
}

impl<'a> Field<'a> {
    /// Of a panel, with the shift that it has; none where it is laid in another way.
    fn of(panel: &'a Panel) -> Option<(Self, Point)> {
        let (LaidOn { lattice, shift }, trim) = (panel.laid_on.as_ref()?, panel.trim.as_ref()?);
        if panel.tiles.len() > MOST_TILES {
            return None;
        }
        let field = Self::over(lattice, trim.clone());
        let covering = field.covering(shift.x, shift.y, panel.tiles.len())?;
        // Else tiles were taken away or added by hand.
        (covering.cells.len() == panel.tiles.len()).then_some((field, *shift))
    }

    fn over(lattice: &'a Lattice, trim: Trim) -> Self {
        Self {
            lattice,
            corner: lattice.classes()[0].bounds.min,
            mirror: mirrored(&trim),
            trim,
        }
    }

    fn turned(&self, turn: f64) -> Self {
        let trim = (turn != 0.0).then(|| self.trim.turned(turn)).flatten();
        Self::over(self.lattice, trim.unwrap_or_else(|| self.trim.clone()))
    }

    fn covering(&self, right: f64, down: f64, limit: usize) -> Option<Covering> {
        let origin = Point::new(right, down) - self.corner;
        trimmed(self.lattice, &self.trim, origin, limit).ok()
    }

    /// Shifts to try, the shortest way across first; those that bring something to the middle among them, where they are given.
    fn tries(&self, now: Point, tiles: usize, middles: Option<Vec<Point>>) -> Vec<Point> {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "from 0 to 1000"
        )]
        let most = |looks: f64| ((looks / tiles as f64).sqrt() as usize).min(MOST_SHIFTS);
        let most = most(if middles.is_some() {
            MOST_CUT
        } else {
            MOST_COUNTED
        });
        let (column, course) = self.lattice.block_steps();
        let cut: Vec<Rect> = match self.covering(now.x, now.y, usize::MAX) {
            Some(covering) => (self.laid(&covering).into_iter())
                .map(|(at, class)| self.lattice.classes()[class].bounds.shifted(at))
                .filter(|bounds| !self.trim.bounds().holds(*bounds, TOLERANCE))
                .collect(),
            None => Vec::new(),
        };
        let outer = self.trim.bounds();
        let is_rectangle = middles.is_none() && outer.area() - self.trim.area() < TOLERANCE;
        // Counted alone, a curved outline takes only parts of the step: so many tiles come and go.
        let at_edges = if middles.is_some() || is_rectangle {
            cut
        } else {
            Vec::new()
        };
        let middles = middles.unwrap_or_default();
        let axis = |of: fn(&Point) -> f64| {
            let now = of(&now);
            let mut all = vec![now];
            let mut add = |at: f64| {
                let rounded = libm::round(at * 100.0) / 100.0;
                if !all.contains(&rounded) {
                    all.push(rounded);
                }
            };
            for p in &middles {
                add(of(p));
            }
            for (from, until) in at_edges.iter().map(|b| (of(&b.min), of(&b.max))) {
                let (low, high) = (of(&outer.min), of(&outer.max));
                let sides = [
                    (from < low).then_some([low - until, low - from]),
                    (until > high).then_some([high - from, high - until]),
                ];
                for by in sides.into_iter().flatten().flatten() {
                    for round in [libm::floor, libm::ceil] {
                        add(round((now + by) * 100.0) / 100.0);
                    }
                }
            }
            // Under a straight rim tiles come and go at those alone.
            let step = of(&column).abs().max(of(&course).abs());
            let parts = if is_rectangle { 1 } else { PARTS };
            for k in 1..parts {
                let part = k as f64 / PARTS as f64;
                add(now + step * if part > 0.5 { part - 1.0 } else { part });
            }
            // The middles first; of the others the nearest.
            let kept = (1 + middles.len()).min(all.len()).min(most);
            all[kept..].sort_by(|a, b| {
                (a - now)
                    .abs()
                    .total_cmp(&(b - now).abs())
                    .then(a.total_cmp(b))
            });
            all.truncate(most);
            all
        };
        let (across, down) = (axis(|p| p.x), axis(|p| p.y));
        let pairs = across
            .iter()
            .flat_map(|&x| down.iter().map(move |&y| Point::new(x, y)));
        let mut pairs: Vec<Point> = pairs.collect();
        let far = |p: &Point| [(p.x - now.x).abs(), (p.y - now.y).abs()];
        pairs.sort_by(|a, b| far(a).partial_cmp(&far(b)).unwrap_or(Ordering::Equal));
        pairs
    }

    /// The shifts nearest to `now` that bring centres, corners and middles of edges to the middle of the outline.
    fn middles(&self, now: Point) -> Vec<Point> {
        let (column, course) = self.lattice.block_steps();
        let middle = self.trim.bounds().centre();
        let points = self.lattice.classes().iter().flat_map(|class| {
            let edges = class.shape.outline.edges();
            let own = edges.flat_map(|(a, b)| [a, a.towards(b, 0.5)]);
            [Point::ZERO]
                .into_iter()
                .chain(own)
                .map(|p| class.centre + p)
        });
        let shift = |p: Point| {
            let shift = middle - p + self.corner;
            // As many steps back as bring it nearest.
            let (off, area) = (shift - now, column.cross(course));
            let steps = (off.cross(course) / area, column.cross(off) / area);
            shift - column * libm::round(steps.0) - course * libm::round(steps.1)
        };
        let mut all: Vec<Point> = Vec::new();
        for found in points.map(shift) {
            if !all.iter().any(|known| known.distance(found) < SAME) {
                all.push(found);
            }
        }
        all.sort_by(|a, b| a.distance(now).total_cmp(&b.distance(now)));
        all
    }

    /// Where each cell lies, and its class.
    fn laid(&self, covering: &Covering) -> Vec<(Point, usize)> {
        let of = |&cell: &_| {
            let at = self.lattice.centre(cell) + covering.origin;
            (at, self.lattice.class_of(cell))
        };
        covering.cells.iter().map(of).collect()
    }

    fn shift(&self, right: f64, down: f64, turn: f64) -> Option<Shift> {
        watch::ask();
        let covering = self.covering(right, down, MOST_TILES)?;
        let laid = self.laid(&covering);
        let classes = self.lattice.classes();
        let left = |&(at, class): &(Point, usize)| {
            let outline = || classes[class].shape.outline.shifted(at);
            let bounds = classes[class].bounds.shifted(at);
            if self.trim.holds(bounds, outline, TOLERANCE) {
                return 0;
            }
            let pieces = self.trim.of(&outline());
            pieces
                .iter()
                .filter(|piece| !piece.holds_circle(SLIVER))
                .count()
        };
        let middle = self.trim.bounds().centre();
        // Nothing lies on both sides of a line along which a joint runs.
        let free = |of: fn(&Point) -> f64| {
            laid.iter().all(|&(at, class)| {
                let bounds = classes[class].bounds.shifted(at);
                of(&bounds.min) > of(&middle) - SAME || of(&bounds.max) < of(&middle) + SAME
            })
        };
        Some(Shift {
            right,
            down,
            turn,
            tiles: laid.len(),
            slivers: laid.iter().map(left).sum(),
            joint: Middle {
                upright: free(|p| p.x),
                level: free(|p| p.y),
            },
            mirror: Middle {
                upright: self.mirror.upright && self.is_mirrored(&laid, true),
                level: self.mirror.level && self.is_mirrored(&laid, false),
            },
        })
    }

    /// Whether each cell's image about the upright or the level line through the middle is a cell.
    fn is_mirrored(&self, laid: &[(Point, usize)], upright: bool) -> bool {
        let middle = self.trim.bounds().centre();
        let mut sorted: Vec<(Point, usize)> = laid.to_vec();
        sorted.sort_by(|a, b| a.0.x.total_cmp(&b.0.x));
        let classes = self.lattice.classes();
        let alike = |a: usize, b: usize| {
            let [a, b] = [a, b].map(|class| &classes[class].shape.outline);
            image(a, Point::ZERO, upright).coincides(b, SAME)
        };
        laid.iter().all(|&(at, class)| {
            let to = about(at, middle, upright);
            let from = sorted.partition_point(|(p, _)| p.x < to.x - SAME);
            (sorted[from..].iter())
                .take_while(|(p, _)| p.x <= to.x + SAME)
                .any(|&(p, other)| p.distance(to) <= SAME && alike(class, other))
        })
    }
}

/// A point's image about the upright or the level line through another.
fn about(p: Point, middle: Point, upright: bool) -> Point {
    if upright {
        Point::new(2.0 * middle.x - p.x, p.y)
    } else {
        Point::new(p.x, 2.0 * middle.y - p.y)
    }
}

fn image(of: &Polygon, middle: Point, upright: bool) -> Polygon {
    let corners = of.corners().iter();
    Polygon::clockwise(corners.map(|&p| about(p, middle, upright)).collect())
}

/// About which lines through its middle an outline is mirrored: the images of its corners lie on its rims.
fn mirrored(trim: &Trim) -> Middle {
    let loops = trim.loops();
    let middle = trim.bounds().centre();
    let on_rim = |p: Point| {
        let edges = loops.iter().flat_map(Polygon::edges);
        edges.into_iter().any(|(a, b)| p.from_line(a, b) <= SAME)
    };
    let both = |upright: bool| {
        let corners = loops.iter().flat_map(Polygon::corners);
        corners.into_iter().all(|&p| {
            watch::ask();
            on_rim(about(p, middle, upright))
        })
    };
    Middle {
        upright: both(true),
        level: both(false),
    }
}
