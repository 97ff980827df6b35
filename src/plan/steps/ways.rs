//! All ways in which one cut can be made: which side of the work lies on the table, which end comes
//! first, what then lies between fence and blade.
//!
//! The blade leans away from the fence or stands upright, never towards it. Sections are convex, in
//! mm; the frame of the wood is that of [`super::model`], the saw's has x from the fence (0) towards
//! the blade and y DOWN onto the table (0).

use super::model::{Down, Lie, Set, Side, Touches};
use crate::{
    geom::{
        Isometry, Point, Polygon, TOLERANCE, angle,
        clip::{self, HalfPlane},
    },
    plan::saw::SawLimits,
};

/// What one cut takes of a section: on the right hand of the way `from` - `to` lies piece `A`, on
/// the other side of the kerf piece `B`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CutLine {
    pub(super) from: Point,
    pub(super) to: Point,
    pub(super) kerf: f64,
}

impl CutLine {
    fn way(self) -> Point {
        let way = self.to - self.from;
        way * (1.0 / way.length())
    }

    fn a(self) -> HalfPlane {
        HalfPlane::right_of(self.from, self.to)
    }

    fn b(self) -> HalfPlane {
        let over = self.over();
        HalfPlane::right_of(self.to + over, self.from + over)
    }

    /// From the line to the far side of the kerf.
    fn over(self) -> Point {
        let way = self.way();
        Point::new(way.y, -way.x) * self.kerf
    }

    /// Both pieces of a section.
    pub(super) fn pieces(self, section: &Polygon) -> [Option<Polygon>; 2] {
        [self.a(), self.b()].map(|side| clip::keep(section, side).filter(is_wood))
    }

    /// The same moved.
    pub(super) fn shifted(self, by: Point) -> Self {
        Self {
            from: self.from + by,
            to: self.to + by,
            ..self
        }
    }
}

/// Slivers thinner than this, in mm, are dust.
fn is_wood(piece: &Polygon) -> bool {
    clip::depth(piece) > TOLERANCE
}

/// One way to make a cut.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CutWay {
    pub(super) lie: Lie,
    pub(super) tilt: f64,
    /// Where the blade's near side comes through the table, from the fence.
    pub(super) near: f64,
    /// Where its far side does.
    pub(super) far: f64,
    /// Whether piece `A` lies between fence and blade.
    pub(super) a_inboard: bool,
    /// The work as it lies.
    pub(super) work: Polygon,
    pub(super) inboard: Option<Polygon>,
}

impl CutWay {
    /// Set against the fence.
    pub(super) fn fence(&self) -> Set {
        Set::Fence(self.near)
    }

    /// Set against a stop on the far side.
    pub(super) fn stop(&self) -> Set {
        Set::Stop(self.work.bounds().max.x - self.far)
    }

    pub(super) fn touches(&self) -> Touches {
        let at_fence = self.work.corners().iter().filter(|c| c.x < TOLERANCE);
        let low = at_fence.clone().any(|c| c.y > -TOLERANCE);
        let high = at_fence.clone().any(|c| c.y < -TOLERANCE);
        match (high, low) {
            (true, true) => Touches::Whole,
            (false, true) => Touches::LowCorner,
            _ => Touches::HighCorner,
        }
    }

    /// Foot on the table of what lies between fence and blade, in mm.
    pub(super) fn foot(&self) -> f64 {
        self.inboard.as_ref().map_or(0.0, foot)
    }

    /// What is wrong with leading the inboard piece along the fence: 0 where nothing is.
    pub(super) fn faults(&self, limits: &SawLimits) -> u32 {
        let beyond = self.tilt > limits.most_tilt + 1e-9;
        let narrow = self.foot() < limits.narrowest - 1e-9;
        let tips = !self.inboard.as_ref().is_some_and(stands);
        u32::from(beyond) * 4 + u32::from(narrow) * 2 + u32::from(tips)
    }
}

fn foot(piece: &Polygon) -> f64 {
    let on_table = piece.corners().iter().filter(|c| c.y > -TOLERANCE);
    let (low, high) = on_table.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), c| {
        (l.min(c.x), h.max(c.x))
    });
    (high - low).max(0.0)
}

/// Whether its weight is above its foot.
fn stands(piece: &Polygon) -> bool {
    let heavy = piece.centroid().x;
    let on_table = piece.corners().iter().filter(|c| c.y > -TOLERANCE);
    let (low, high) = on_table.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), c| {
        (l.min(c.x), h.max(c.x))
    });
    low < heavy && heavy < high
}

/// All ways to make a cut through a section in a sheet of some thickness.
pub(super) fn ways(section: &Polygon, thickness: f64, cut: CutLine) -> Vec<CutWay> {
    let mut all = Vec::new();
    for (a, b) in section.edges() {
        for end in [1, 2] {
            all.extend(way(section, thickness, cut, (a, b), end));
        }
    }
    all
}

fn way(
    section: &Polygon,
    thickness: f64,
    cut: CutLine,
    (a, b): (Point, Point),
    end: u8,
) -> Option<CutWay> {
    let along = b - a;
    // Corners go clockwise, so an edge looks to the left of its way.
    let looks = angle::tidied(angle::direction(along.y, -along.x));
    let turned = if end == 2 {
        Isometry::mirror(90.0)
    } else {
        Isometry::IDENTITY
    };
    let seen = if end == 2 { 180.0 - looks } else { looks };
    let lie = turned.then(Isometry::turn(90.0 - seen));
    let bounds = section.moved(lie).bounds();
    let to_saw = lie.then(Isometry::shift(Point::new(-bounds.min.x, -bounds.max.y)));
    let (from, to) = (to_saw.apply(cut.from), to_saw.apply(cut.to));
    let (low, high) = if from.y > to.y {
        (from, to)
    } else {
        (to, from)
    };
    let up = high - low;
    // Towards the fence, or so flat that no blade makes it.
    if up.x < -1e-9 * up.length() || -up.y < 1e-6 * up.length() {
        return None;
    }
    let tilt = angle::tidied(angle::direction(-up.y, up.x));
    let at_table = low.x - low.y * up.x / up.y;
    let wide = cut.kerf / angle::cos(tilt);
    // Which side of the line the kerf is on.
    let middle = to_saw.apply(cut.from + cut.over());
    let a_inboard = up.cross(middle - low) > 0.0;
    let (near, far) = if a_inboard {
        (at_table, at_table + wide)
    } else {
        (at_table - wide, at_table)
    };
    let [piece_a, piece_b] = cut.pieces(section);
    let inboard = if a_inboard { piece_a } else { piece_b };
    Some(CutWay {
        lie: Lie {
            down: Down {
                side: side((a, b), thickness),
                looks,
            },
            end,
        },
        tilt,
        near,
        far,
        a_inboard,
        work: section.moved(to_saw),
        inboard: inboard.map(|p| p.moved(to_saw)),
    })
}

/// What an edge of a section is of its sheet.
fn side((a, b): (Point, Point), thickness: f64) -> Side {
    let level = |y: f64| (a.y - y).abs() < TOLERANCE && (b.y - y).abs() < TOLERANCE;
    if level(0.0) {
        Side::Face
    } else if level(thickness) {
        Side::Back
    } else {
        Side::Sawn
    }
}
