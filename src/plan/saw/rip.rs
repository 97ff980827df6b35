//! Ripping a strip off a sheet: how the sheet lies, what the saw is set to, and what the strip
//! becomes when a setting is off.
//!
//! The rip as it is done: the sheet lies flat on the table with one edge against the fence; the
//! blade leans AWAY from the fence; what lies between blade and fence is the strip. So the edge
//! that the blade leaves on the strip always has its acute angle on top. The strip's other edge,
//! the one at the fence, was left by a cut before: seen on the rest of the sheet it leans the
//! other way. Left as it lies, the next strip is a parallelogram; with the sheet turned over
//! between cuts (end for end, so that the same edge stays at the fence), it is a trapezoid.
//!
//! A strip that falls free lies beyond the blade instead: the board is at the fence, the strip's
//! first edge at a stop, and the edge that the blade leaves on it has its acute angle on the table
//! ([`Rip::falling_free`]).
//!
//! How errors of the settings come out follows from this alone, whatever the shape: a blade that leans too
//! much leaves the two faces of a parallelogram parallel, and turns those of a trapezoid both
//! inward or both outward.
//!
//! Lengths in mm, angles in degrees. Never here: the order of cuts, words.

use crate::{
    geom::{Point, TOLERANCE, angle},
    stock::Strip,
};

/// Two angles (degrees) or lengths (mm) closer than this are one setting of the saw.
pub(super) const SAME: f64 = 1e-6;

/// Which side of the sheet looks up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Up {
    /// Its face.
    Face,
    /// Its back.
    Back,
}

impl Up {
    /// The other one.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Face => Self::Back,
            Self::Back => Self::Face,
        }
    }
}

/// Where the edge at the fence touches it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Touch {
    /// With its sharp lower corner, down on the table.
    LowCorner,
    /// With its sharp upper corner, as high as the work is thick.
    HighCorner,
    /// With its whole height.
    Whole,
}

/// The two cuts that make a strip from a sheet. `first` is the edge that lies at the fence while
/// the saw cuts the `second` one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rip {
    depth: f64,
    width: f64,
    left: f64,
    right: f64,
    first_is_right: bool,
    falls_free: bool,
}

/// How far the settings are off while a strip is ripped.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RipOff {
    /// Tilt beyond the nominal one when the first edge was cut, in degrees.
    pub first_tilt: f64,
    /// The same for the second edge.
    pub second_tilt: f64,
    /// Fence farther from the blade, in mm.
    pub fence: f64,
    /// Sheet thicker, in mm.
    pub depth: f64,
}

impl Rip {
    /// The rip that a strip came from: the strip as it left the sheet, before any further cut.
    pub fn of(root: &Strip) -> Self {
        let depth = root.sheet().thickness();
        let section = root.as_ripped();
        let span = |level: f64| {
            let on = |p: &&Point| (p.y - level).abs() < TOLERANCE;
            let xs = section.corners().iter().filter(on).map(|p| p.x);
            xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(x), high.max(x))
            })
        };
        let (face, back) = (span(0.0), span(depth));
        let edge = |inward: f64| angle::tidied(angle::direction(inward, depth));
        let mut rip = Self {
            depth,
            width: face.1 - face.0,
            left: edge(back.0 - face.0),
            right: edge(face.1 - back.1),
            first_is_right: true,
            falls_free: false,
        };
        let (l, r) = ((rip.left - 90.0).abs(), (rip.right - 90.0).abs());
        // The lesser tilt comes first; of a parallelogram, the edge that lets the face stay up.
        rip.first_is_right = if (l - r).abs() <= SAME {
            rip.left <= 90.0 || rip.right >= 90.0
        } else {
            r < l
        };
        rip
    }

    /// The same for a strip that falls free beyond the blade, with a stop at its first edge.
    #[must_use]
    pub fn falling_free(self) -> Self {
        Self {
            falls_free: true,
            ..self
        }
    }

    /// Whether a sawn edge of the strip (by its number, as the strip lies) is the one that lay at
    /// the fence when the strip was cut free.
    ///
    /// # Panics
    /// When the strip has no such edge.
    pub fn is_first(&self, strip: &Strip, edge: usize) -> bool {
        let (a, b) = strip.section().edge(edge);
        let middle = strip.lie().inverse().apply(a.towards(b, 0.5));
        let is_right = middle.x > strip.as_ripped().centroid().x;
        is_right == self.first_is_right
    }

    /// Sheet thickness in mm.
    pub fn depth(&self) -> f64 {
        self.depth
    }

    /// Edge angle of the first edge, inside the wood at the sheet's face.
    pub fn first(&self) -> f64 {
        if self.first_is_right {
            self.right
        } else {
            self.left
        }
    }

    /// Edge angle of the second edge, inside the wood at the sheet's face.
    pub fn second(&self) -> f64 {
        if self.first_is_right {
            self.left
        } else {
            self.right
        }
    }

    /// Blade tilt from vertical for the first edge.
    pub fn first_tilt(&self) -> f64 {
        (90.0 - self.first()).abs()
    }

    /// Blade tilt from vertical for the second edge.
    pub fn second_tilt(&self) -> f64 {
        (90.0 - self.second()).abs()
    }

    /// Whether both edges are cut at one tilt.
    pub fn one_tilt(&self) -> bool {
        (self.first_tilt() - self.second_tilt()).abs() <= SAME
    }

    /// What looks up while the second edge is cut.
    pub fn up(&self) -> Up {
        let led = if self.second() <= 90.0 {
            Up::Face
        } else {
            Up::Back
        };
        if self.falls_free && self.second_tilt() > SAME {
            led.other()
        } else {
            led
        }
    }

    /// What looked up while the first edge was cut by the same kind of cut, on the rest's side.
    fn first_up(&self) -> Up {
        if self.first_tilt() <= SAME {
            self.up()
        } else if (self.first() < 90.0) == self.falls_free {
            Up::Face
        } else {
            Up::Back
        }
    }

    /// Whether the sheet is turned over between the two cuts.
    pub fn turned_over(&self) -> bool {
        self.first_up() != self.up()
    }

    /// Angle of the first edge on top, while it lies at the fence.
    fn lead(&self) -> f64 {
        match self.up() {
            Up::Face => self.first(),
            Up::Back => 180.0 - self.first(),
        }
    }

    /// Width of the strip's side that looks up, and of the one on the table, in mm.
    pub fn widths(&self) -> (f64, f64) {
        let back =
            self.width - self.depth / angle::tan(self.left) - self.depth / angle::tan(self.right);
        let back = if back.abs() < TOLERANCE { 0.0 } else { back };
        match self.up() {
            Up::Face => (self.width, back),
            Up::Back => (back, self.width),
        }
    }

    /// Fence distance in mm: on the table, from the fence to where the blade's near side comes
    /// through it. For a strip that falls free, from the stop to the blade's far side.
    pub fn fence(&self) -> f64 {
        let (_, table) = self.widths();
        table + (self.depth / angle::tan(self.lead())).max(0.0)
    }

    /// The first and the second cut face as the saw leaves them, each from the top of the work
    /// down to the table: how far from the fence (or the stop), and how high above the table, in mm.
    pub fn at_the_saw(&self, off: RipOff) -> [[Point; 2]; 2] {
        let depth = self.depth + off.depth;
        // Too much tilt makes a sharp corner on top sharper, and a blunt one blunter.
        let sense = if self.lead() < 90.0 - SAME { -1.0 } else { 1.0 };
        let lead = self.lead() + sense * off.first_tilt;
        let inward = depth / angle::tan(lead);
        let top = (-inward).max(0.0);
        let cut = self.fence() + off.fence;
        let over = depth * angle::tan(self.second_tilt() + off.second_tilt);
        let over = if self.falls_free { -over } else { over };
        [
            [Point::new(top, depth), Point::new(top + inward, 0.0)],
            [Point::new(cut + over, depth), Point::new(cut, 0.0)],
        ]
    }

    /// The left and the right cut face in the wood's own frame (face at y = 0, back at y = T, x
    /// from the face's left corner), each from the face to the back.
    pub fn cut_faces(&self, off: RipOff) -> [[Point; 2]; 2] {
        let depth = self.depth + off.depth;
        let inward = |edge: f64| self.depth / angle::tan(edge);
        let x = |from_fence: f64| {
            if self.first_is_right {
                self.width.max(self.width - inward(self.right)) - from_fence
            } else {
                inward(self.left).min(0.0) + from_fence
            }
        };
        let faces = self.at_the_saw(off).map(|[top, table]| match self.up() {
            Up::Face => [Point::new(x(top.x), 0.0), Point::new(x(table.x), depth)],
            Up::Back => [Point::new(x(table.x), 0.0), Point::new(x(top.x), depth)],
        });
        if self.first_is_right {
            [faces[1], faces[0]]
        } else {
            faces
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::stock::{Colour, Sheet, shapes};

    fn sheet() -> Arc<Sheet> {
        Arc::new(Sheet::plywood(13, 18.0, Colour::rgb(1, 1, 1)).unwrap())
    }

    #[test]
    fn without_errors_the_saw_leaves_the_strip() {
        let s = sheet();
        for (width, left, right) in [
            (20.0, 60.0, 120.0),
            (20.0, 120.0, 60.0),
            (50.0, 60.0, 60.0),
            (50.0, 120.0, 120.0),
            (50.0, 90.0, 60.0),
            (50.0, 45.0, 90.0),
            (50.0, 75.0, 130.0),
            (50.0, 90.0, 90.0),
        ] {
            let strip = Strip::rip(&s, width, left, right).unwrap();
            for laid in [strip.clone(), strip.end_for_end(), strip.roll()] {
                let led = Rip::of(&laid);
                let free = led.falling_free().cut_faces(RipOff::default());
                let faces = led.cut_faces(RipOff::default());
                let (l, r) = (18.0 / angle::tan(left), 18.0 / angle::tan(right));
                let wanted = [
                    [Point::ZERO, Point::new(l, 18.0)],
                    [Point::new(width, 0.0), Point::new(width - r, 18.0)],
                ];
                for faces in [faces, free] {
                    for (a, b) in faces.iter().flatten().zip(wanted.iter().flatten()) {
                        assert!(a.distance(*b) < 1e-9, "{width} {left} {right}: {faces:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_rhombus_stays_up_and_a_trapezoid_is_turned_over() {
        let rhombus = Rip::of(&shapes::rhombus(&sheet(), 60.0).unwrap());
        assert!(!rhombus.turned_over() && rhombus.up() == Up::Face);
        let half = Rip::of(&shapes::half_hexagon(&sheet(), 60.0).unwrap());
        assert!(half.turned_over());
        // Half the sum of its faces, 20.785 and 41.569 mm.
        assert!((half.fence() - 31.176_914_5).abs() < 1e-6);
    }

    /// Rhombus of 9 mm: foot 10.392, overhang 5.196; an upright stop touches the overhang.
    #[test]
    fn a_stop_stands_at_the_overhang() {
        let thin = Arc::new(Sheet::plywood(7, 9.0, Colour::rgb(1, 1, 1)).unwrap());
        let rip = Rip::of(&shapes::rhombus(&thin, 60.0).unwrap()).falling_free();
        assert!((rip.fence() - 15.588_457).abs() < 1e-6 && !rip.turned_over());
        let triangle = Rip::of(&shapes::triangle(&sheet(), 45.0).unwrap()).falling_free();
        assert!((triangle.fence() - 36.0).abs() < 1e-9 && triangle.turned_over());
    }

    #[test]
    fn an_error_of_the_blade_keeps_a_rhombus_parallel_and_counts_twice_in_a_trapezoid() {
        let off = RipOff {
            first_tilt: 0.25,
            second_tilt: 0.25,
            ..RipOff::default()
        };
        let lean = |[a, b]: [Point; 2]| angle::direction(b.x - a.x, b.y - a.y);
        let [left, right] = Rip::of(&shapes::rhombus(&sheet(), 60.0).unwrap()).cut_faces(off);
        assert!((lean(left) - lean(right)).abs() < 1e-9);
        assert!((lean(left) - 59.75).abs() < 1e-9);
        let [left, right] = Rip::of(&shapes::half_hexagon(&sheet(), 60.0).unwrap()).cut_faces(off);
        assert!((lean(left) - 59.75).abs() < 1e-9 && (lean(right) - 120.25).abs() < 1e-9);
    }
}
