//! Ripping a strip once more along its length: a trapezoid halved, a corner taken off.
//!
//! The strip lies on a level edge of its section, or is turned upside down where only its top is
//! level. The blade leans away from the fence; so the side towards which the cut leans at the top
//! is the off-cut's, and the other piece lies at the fence.
//!
//! Lengths in mm, angles in degrees.

use crate::plan::saw::{
    foot,
    rip::{SAME, Touch},
    stands,
};
use crate::{
    geom::{
        Isometry, Point, Polygon, TOLERANCE, angle,
        clip::{self, HalfPlane},
    },
    stock::{Strip, strip::Origin},
};

/// One further rip. Saw frame: x runs from the fence towards the blade, y DOWN onto the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Again {
    /// From the wood's own frame to the saw frame, with the fence at x = 0 and the table at y = 0.
    to_saw: Isometry,
    /// The edge of the parent's section that lies on the table; none where no edge can.
    rest_edge: Option<usize>,
    upside_down: bool,
    tilt: f64,
    fence: f64,
    slant: Option<f64>,
    touch: Touch,
}

/// Corners of a strip's section in the wood's own frame, in the order in which it lies.
pub(super) fn wood_corners(strip: &Strip) -> Vec<Point> {
    let back = strip.lie().inverse();
    let corners = strip.section().corners();
    corners.iter().map(|&p| back.apply(p)).collect()
}

/// Whether a point lies on the line through two others.
pub(super) fn on_line(p: Point, a: Point, b: Point) -> bool {
    let way = b - a;
    (way.cross(p - a) / way.length()).abs() < TOLERANCE / 10.0
}

impl Again {
    /// The cut that parted a piece from its parent; none for a strip that came from the sheet.
    pub fn of(piece: &Strip) -> Option<Self> {
        let Origin::Strip { from: parent, .. } = piece.origin() else {
            return None;
        };
        let parent_corners = wood_corners(parent);
        let n = parent_corners.len();
        let corners = wood_corners(piece);
        let new_edge = (0..corners.len())
            .map(|i| (corners[i], corners[(i + 1) % corners.len()]))
            .find(|&(a, b)| {
                !(0..n).any(|i| {
                    let (p, q) = (parent_corners[i], parent_corners[(i + 1) % n]);
                    on_line(a.towards(b, 0.5), p, q)
                })
            })?;
        Self::best(&parent_corners, parent.lie(), new_edge, Point::ZERO)
    }

    /// The cut along a line through a section in the wood's own frame, face up as it lies; `over` leads
    /// from the line to the far side of the kerf.
    pub fn through(section: &Polygon, line: (Point, Point), over: Point) -> Option<Self> {
        Self::best(section.corners(), Isometry::IDENTITY, line, over)
    }

    /// Whether the kerf lies beyond the line, seen from the fence, for a cut [`through`](Self::through) a
    /// section: then the piece without the kerf's side is led.
    pub fn kerf_is_beyond(&self, over: Point) -> bool {
        self.to_saw.apply(over).x > self.to_saw.apply(Point::ZERO).x
    }

    /// Chooses how the strip is laid: so that the piece at the fence stands by itself, on the widest foot; where
    /// several are equal, as near as can be to how the recipe lays it.
    fn best(corners: &[Point], lie: Isometry, line: (Point, Point), over: Point) -> Option<Self> {
        let n = corners.len();
        let level = |wanted: f64| {
            (0..n).find(|&i| {
                let way = lie.apply(corners[(i + 1) % n]) - lie.apply(corners[i]);
                way.y.abs() < TOLERANCE / 10.0 * way.length().max(1.0) && way.x * wanted > 0.0
            })
        };
        // An edge below runs to the left, one on top to the right.
        let rests = [(level(-1.0), false), (level(1.0), true)];
        let flat = rests.iter().any(|(edge, _)| edge.is_some());
        let lies = rests
            .into_iter()
            .filter(|(edge, over)| edge.is_some() || !flat && !over)
            .flat_map(|(edge, over)| [(edge, over, false), (edge, over, true)]);
        let mut best: Option<((bool, f64), Self)> = None;
        for (rest_edge, upside_down, mirrored) in lies {
            let mut lie = lie;
            if upside_down {
                lie = lie.then(Isometry::turn(180.0));
            }
            if mirrored {
                lie = lie.then(Isometry::mirror(90.0));
            }
            let lies = (lie, rest_edge, upside_down);
            let Some(laid) = Self::laid(corners, line, over, lies) else {
                continue;
            };
            let piece = laid.at_fence(corners);
            let holds = piece.map_or((false, 0.0), |p| (stands(&p), foot(&p)));
            let better = best
                .as_ref()
                .is_none_or(|(known, _)| match (holds.0, known.0) {
                    (true, false) => true,
                    (false, true) => false,
                    _ => holds.1 > known.1 + TOLERANCE,
                });
            if better {
                best = Some((holds, laid));
            }
        }
        best.map(|(_, laid)| laid)
    }

    /// The cut with the strip laid like this; none where the blade would lean towards the fence.
    fn laid(
        corners: &[Point],
        (a, b): (Point, Point),
        over: Point,
        (lie, rest_edge, upside_down): (Isometry, Option<usize>, bool),
    ) -> Option<Self> {
        let towards_fence = lie.apply(over).x < lie.apply(Point::ZERO).x;
        let (a, b) = if towards_fence {
            (a + over, b + over)
        } else {
            (a, b)
        };
        let slant = {
            let rise = (b.y - a.y).abs();
            (rise > TOLERANCE).then(|| a.distance(b) / rise)
        };
        let placed = corners.iter().map(|&c| lie.apply(c));
        let (left, table) = placed.fold((f64::INFINITY, f64::NEG_INFINITY), |(x, y), c| {
            (x.min(c.x), y.max(c.y))
        });
        let to_saw = lie.then(Isometry::shift(Point::new(-left, -table)));
        let (p, q) = (to_saw.apply(a), to_saw.apply(b));
        let (low, high) = if p.y > q.y { (p, q) } else { (q, p) };
        let up = high - low;
        if up.x < -SAME * up.length() || -up.y < SAME * up.length() {
            return None;
        }
        let at_saw: Vec<Point> = corners.iter().map(|&c| to_saw.apply(c)).collect();
        let touching = || at_saw.iter().filter(|c| c.x < TOLERANCE);
        let low_touches = touching().any(|c| c.y > -TOLERANCE);
        let high_touches = touching().any(|c| c.y <= -TOLERANCE);
        Some(Self {
            to_saw,
            rest_edge,
            upside_down,
            tilt: angle::tidied(angle::direction(-up.y, up.x)),
            fence: low.x - low.y * up.x / up.y,
            slant,
            touch: match (high_touches, low_touches) {
                (true, true) => Touch::Whole,
                (false, true) => Touch::LowCorner,
                _ => Touch::HighCorner,
            },
        })
    }

    /// The piece between fence and blade, in the saw frame, of a section in the wood's own frame; none
    /// where nothing is there.
    pub fn at_fence(&self, corners: &[Point]) -> Option<Polygon> {
        let whole = corners.iter().map(|&c| self.to_saw.apply(c)).collect();
        let foot = Point::new(self.fence, 0.0);
        let (sin, cos) = angle::sin_cos(self.tilt);
        let led = HalfPlane::right_of(foot + Point::new(sin, -cos), foot);
        clip::keep(&Polygon::clockwise(whole), led)
    }

    /// Width of the sheet's strip that the cut takes for each mm of kerf; none for a cut along the
    /// sheet's faces.
    pub fn slant(&self) -> Option<f64> {
        self.slant
    }

    /// Blade tilt from vertical.
    pub fn tilt(&self) -> f64 {
        self.tilt
    }

    /// Fence distance in mm: on the table, from the fence to where the blade's near side comes
    /// through it.
    pub fn fence(&self) -> f64 {
        self.fence
    }

    /// Where the strip touches the fence.
    pub fn touch(&self) -> Touch {
        self.touch
    }

    /// How high a strip stands on the table, in mm.
    pub fn height(&self, strip: &Strip) -> f64 {
        let rise = |c: Point| -self.to_saw.apply(c).y;
        wood_corners(strip)
            .into_iter()
            .map(rise)
            .fold(0.0, f64::max)
    }

    /// Whether an edge of the section lies flat on the table.
    pub fn lies_flat(&self) -> bool {
        self.rest_edge.is_some()
    }

    /// Whether the strip lies the other way up than in the recipe.
    pub fn upside_down(&self) -> bool {
        self.upside_down
    }

    /// From the wood's own frame to the saw frame: x from the fence towards the blade, y down to
    /// the table at 0.
    pub fn to_saw(&self) -> Isometry {
        self.to_saw
    }

    /// Two points of the cut face in the wood's own frame, the one on the table first, when the
    /// parent has come out with the corners `parent` (in the wood's own frame, in the order in
    /// which it lies) and the settings are off: `tilt` degrees more from vertical, the fence
    /// `fence` mm farther away.
    pub fn cut_face(&self, parent: &[Point], tilt: f64, fence: f64) -> [Point; 2] {
        let corners: Vec<Point> = parent.iter().map(|&c| self.to_saw.apply(c)).collect();
        let n = corners.len();
        let (foot, along) = match self.rest_edge {
            Some(i) => {
                let way = corners[(i + 1) % n] - corners[i];
                let unit = way * (1.0 / way.length());
                (corners[i], if unit.x < 0.0 { -unit } else { unit })
            }
            None => (Point::ZERO, Point::new(1.0, 0.0)),
        };
        let up = along.left_hand();
        let at_fence = corners
            .iter()
            .map(|&c| (c - foot).dot(along))
            .fold(f64::INFINITY, f64::min);
        let low = foot + along * (at_fence + self.fence + fence);
        let (sin, cos) = angle::sin_cos(self.tilt + tilt);
        let high = low + (along * sin + up * cos) * 10.0;
        let back = self.to_saw.inverse();
        [back.apply(low), back.apply(high)]
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::stock::{Colour, Sheet, shapes};

    #[test]
    fn halving_is_a_square_cut_at_half_the_width() {
        let sheet = Arc::new(Sheet::plywood(13, 18.0, Colour::rgb(1, 1, 1)).unwrap());
        let half = shapes::half_hexagon(&sheet, 60.0).unwrap();
        let (left, right) = half.halve().unwrap();
        for piece in [&left, &right, &left.end_for_end(), &right.roll()] {
            let cut = Again::of(piece).unwrap();
            assert!(cut.tilt().abs() < 1e-9 && cut.lies_flat());
            // Wide face down, for the wider foot: half of 41.569 mm from the lower corner.
            assert!((cut.fence() - 20.784_609_7).abs() < 1e-6, "{cut:?}");
            assert!(cut.upside_down() && cut.touch() == Touch::LowCorner);
            let [low, high] = cut.cut_face(&wood_corners(&half), 0.0, 0.0);
            assert!((low.x - 20.784_609_7).abs() < 1e-6 && (high.x - low.x).abs() < 1e-9);
        }
        assert!(Again::of(&half).is_none());
    }

    #[test]
    fn the_piece_that_the_blade_leans_away_from_lies_at_the_fence() {
        let sheet = Arc::new(Sheet::plywood(13, 18.0, Colour::rgb(1, 1, 1)).unwrap());
        let lath = Strip::rip(&sheet, 60.0, 90.0, 90.0).unwrap();
        // From (40, 0) on top down to the left by 60 degrees: 10.392 mm nearer at the table.
        let (left, _) = lath.rip_again(40.0, 60.0).unwrap();
        let cut = Again::of(&left).unwrap();
        assert!((cut.tilt() - 30.0).abs() < 1e-9);
        assert!(
            (cut.fence() - (40.0 - 10.392_304_8)).abs() < 1e-6,
            "{cut:?}"
        );
        // Leaning the other way, it lies on its wider side, upside down: on 40 mm, where the right piece
        // would stand on 20 - 10.392.
        let (left, _) = lath.rip_again(40.0, 120.0).unwrap();
        let cut = Again::of(&left).unwrap();
        assert!((cut.tilt() - 30.0).abs() < 1e-9);
        assert!((cut.fence() - 40.0).abs() < 1e-6, "{cut:?}");
        assert!(cut.upside_down());
    }
}
