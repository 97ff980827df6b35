//! Strips side by side in a board: how far apart their cuts lie, and how many a width gives.
//!
//! A strip as it is ripped has its face up at depth 0 and its back at depth T; both cut faces run
//! straight from one to the other. It is given by where these meet the face and the back, in mm
//! from the left. The next strip lies beside it the same way up or rolled over (half a turn about
//! its length): rolled over, its cut face is always parallel to its neighbour's, so that one cut
//! parts the two.

use crate::geom::{Point, Polygon, TOLERANCE};
use crate::watch;

/// Corners this near to face or back, in mm, lie on it.
const ON_LEVEL: f64 = 1e-3;

/// The cut faces of a strip as ripped, in mm from its own left bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Profile {
    /// Where the left cut face meets the face and the back.
    pub left: [f64; 2],
    /// Where the right cut face meets them.
    pub right: [f64; 2],
    /// The sheet's thickness T.
    pub depth: f64,
}

/// How strips of a run lie beside one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Nesting {
    /// All the same way up, cut faces parallel: one blade setting, no flip.
    Parallel,
    /// Every second one rolled over: the board is turned over after each cut.
    Flipped,
    /// All the same way up, with a wedge of waste between them.
    Apart,
}

/// Strips of one kind, or of two kinds that are each other rolled over, ripped side by side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// Strips 1, 3, 5 and so on.
    pub odd: Profile,
    /// Strips 2, 4, 6 and so on.
    pub even: Profile,
    /// How they lie.
    pub nesting: Nesting,
    /// Width of the saw's cut.
    pub kerf: f64,
    /// Width that each strip takes beyond itself and one cut: a second cut, and something over for
    /// it.
    pub spare: f64,
    /// Width of board before the first strip, for a cut that is made later.
    pub lead: f64,
    /// Width of board that must be there beyond the last strip: to be led between blade and fence,
    /// or for a second cut.
    pub held: f64,
    /// Whether strips come two by two, from blanks of two.
    pub in_pairs: bool,
}

impl Profile {
    /// A strip `width` wide on the face, with the cut faces at edge angles whose cotangents times
    /// T are `lean_left` and `lean_right`: how much narrower the strip is at the back on each side.
    #[cfg(test)]
    pub(in crate::plan) fn new(width: f64, lean_left: f64, lean_right: f64, depth: f64) -> Self {
        Self {
            left: [0.0, lean_left],
            right: [width, width - lean_right],
            depth,
        }
        .settled()
    }

    /// Where the cut faces of a section as ripped meet the sheet's face (at 0) and back (at `depth`).
    pub fn of(section: &Polygon, depth: f64) -> Self {
        let at = |level: f64| {
            let on = section
                .corners()
                .iter()
                .filter(move |p| (p.y - level).abs() <= ON_LEVEL)
                .map(|p| p.x);
            let low = on.clone().fold(f64::INFINITY, f64::min);
            (low, on.fold(f64::NEG_INFINITY, f64::max))
        };
        let (face, back) = (at(0.0), at(depth));
        Self {
            left: [face.0, back.0],
            right: [face.1, back.1],
            depth,
        }
        .settled()
    }

    /// Turned by half a turn about its length.
    #[must_use]
    pub fn rolled(self) -> Self {
        Self {
            left: [-self.right[1], -self.right[0]],
            right: [-self.left[1], -self.left[0]],
            ..self
        }
        .settled()
    }

    /// Its mirror image, left for right: turned end for end.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self {
            left: [-self.right[0], -self.right[1]],
            right: [-self.left[0], -self.left[1]],
            ..self
        }
        .settled()
    }

    /// Wider by some mm, both cut faces at their angles.
    #[must_use]
    pub fn widened(self, by: f64) -> Self {
        Self {
            right: [self.right[0] + by, self.right[1] + by],
            ..self
        }
    }

    /// Farther right by some mm.
    #[must_use]
    pub fn shifted(self, by: f64) -> Self {
        let moved = |face: [f64; 2]| face.map(|x| x + by);
        Self {
            left: moved(self.left),
            right: moved(self.right),
            ..self
        }
    }

    /// Width from bound to bound.
    pub fn width(self) -> f64 {
        self.right[0].max(self.right[1]) - self.left[0].min(self.left[1])
    }

    /// The section, face up.
    pub fn section(self) -> Polygon {
        let (left, right, depth) = (self.left, self.right, self.depth);
        let mut corners: Vec<Point> = Vec::with_capacity(4);
        for (x, y) in [
            (left[0], 0.0),
            (right[0], 0.0),
            (right[1], depth),
            (left[1], depth),
        ] {
            let corner = Point::new(x, y);
            if corners.iter().all(|c| c.distance(corner) > TOLERANCE) {
                corners.push(corner);
            }
        }
        Polygon::clockwise(corners)
    }

    /// Width of the face and of the back.
    pub fn faces(self) -> [f64; 2] {
        [self.right[0] - self.left[0], self.right[1] - self.left[1]]
    }

    /// Area of the section, in square mm.
    pub fn area(self) -> f64 {
        let [face, back] = self.faces();
        f64::midpoint(face, back) * self.depth
    }

    /// How much of the width a cut along the right face takes for each mm of kerf: 1 / sin of the
    /// edge angle.
    pub fn slant_right(self) -> f64 {
        slant(self.right, self.depth)
    }

    /// The same for the left face.
    pub fn slant_left(self) -> f64 {
        slant(self.left, self.depth)
    }

    /// The edge angle of the right cut face, in degrees, measured in the wood at the face.
    pub fn angle_right(self) -> f64 {
        angle_of(self.right[0] - self.right[1], self.depth)
    }

    /// The edge angle of the left cut face.
    pub fn angle_left(self) -> f64 {
        angle_of(self.left[1] - self.left[0], self.depth)
    }

    /// Whether both are the same within `tolerance` mm.
    pub fn same(self, other: Self, tolerance: f64) -> bool {
        let near = |a: [f64; 2], b: [f64; 2]| {
            (a[0] - b[0]).abs() <= tolerance && (a[1] - b[1]).abs() <= tolerance
        };
        near(self.left, other.left) && near(self.right, other.right)
    }

    /// How far right of this strip's left bound the left bound of `next` comes, with a cut between
    /// them: the cut runs along this strip's right face, and `next` has all its wood beyond it.
    pub fn pitch(self, next: Self, kerf: f64) -> f64 {
        let at_face = self.right[0] - next.left[0];
        let at_back = self.right[1] - next.left[1];
        at_face.max(at_back) + kerf * self.slant_right()
    }

    fn settled(self) -> Self {
        let by = self.left[0].min(self.left[1]);
        Self {
            left: [self.left[0] - by, self.left[1] - by],
            right: [self.right[0] - by, self.right[1] - by],
            ..self
        }
    }
}

fn slant(cut: [f64; 2], depth: f64) -> f64 {
    let lean = (cut[1] - cut[0]) / depth;
    (1.0 + lean * lean).sqrt()
}

fn angle_of(lean: f64, depth: f64) -> f64 {
    crate::geom::angle::tidied(libm::atan2(depth, lean) * (180.0 / std::f64::consts::PI))
}

/// A strip with parallel cut faces needs no more than this difference between its two pitches.
const PARALLEL: f64 = 1e-6;

impl Run {
    /// Strips of one kind. `may_flip` says whether a strip rolled over in the board is of the same
    /// kind: its layers read the same from either face.
    pub fn of(strip: Profile, kerf: f64, may_flip: bool) -> Self {
        let [face, back] = strip.faces();
        let leans = strip.left[1] - strip.left[0] - (strip.right[1] - strip.right[0]);
        if (face - back).abs() <= PARALLEL && leans.abs() <= PARALLEL {
            Self::alike(strip, kerf, Nesting::Parallel)
        } else if may_flip {
            Self::pair(strip, kerf)
        } else {
            Self::alike(strip, kerf, Nesting::Apart)
        }
    }

    /// Strips that all lie the same way up.
    pub fn alike(strip: Profile, kerf: f64, nesting: Nesting) -> Self {
        Self {
            odd: strip,
            even: strip,
            nesting,
            kerf,
            spare: 0.0,
            lead: 0.0,
            held: 0.0,
            in_pairs: false,
        }
    }

    /// Strips and the same rolled over, in turn.
    pub fn pair(strip: Profile, kerf: f64) -> Self {
        Self {
            even: strip.rolled(),
            ..Self::alike(strip, kerf, Nesting::Flipped)
        }
    }

    /// From the left bound of an odd strip to that of the even one after it, and on to the next
    /// odd one.
    pub fn pitches(&self) -> [f64; 2] {
        [
            self.odd.pitch(self.even, self.kerf) + self.spare,
            self.even.pitch(self.odd, self.kerf) + self.spare,
        ]
    }

    /// Width of board that one strip more takes, on average.
    pub fn pitch(&self) -> f64 {
        let [a, b] = self.pitches();
        f64::midpoint(a, b)
    }

    /// Width of board that `count` strips need: from the left bound of the first to the right bound
    /// of the last, including what lies [before](Self::lead) and
    /// [beyond](Self::held) them; 0 for none. The cut that frees the last strip is not included.
    pub fn extent(&self, count: u64) -> f64 {
        if count == 0 {
            return 0.0;
        }
        self.lead + self.bare_extent(self.made(count)) + self.held
    }

    /// How many strips are made where `count` are wanted: an even number where they come in pairs.
    pub fn made(&self, count: u64) -> u64 {
        if self.in_pairs {
            count.next_multiple_of(2)
        } else {
            count
        }
    }

    fn bare_extent(&self, count: u64) -> f64 {
        let [a, b] = self.pitches();
        let pairs = ((count - 1) / 2) as f64;
        if count % 2 == 1 {
            pairs * (a + b) + self.odd.width()
        } else {
            pairs * (a + b) + a + self.even.width()
        }
        .max(self.odd.width())
    }

    /// Strip `i` of the run, counted from 0, and where its left bound lies.
    pub fn strip(&self, i: u64) -> (Profile, f64) {
        let [a, b] = self.pitches();
        let pairs = (i / 2) as f64 * (a + b);
        if i.is_multiple_of(2) {
            (self.odd, self.lead + pairs)
        } else {
            (self.even, self.lead + pairs + a)
        }
    }

    /// How many strips a width gives.
    pub fn most(&self, width: f64) -> u64 {
        // A millionth of a millimetre more, so that rounding loses no strip that fits just so.
        let width = width + 1e-6;
        let guess = ((width - self.odd.width()) / self.pitch()).floor();
        if guess.is_nan() || guess < 0.0 {
            return u64::from(self.extent(1) <= width);
        }
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative; boards are bounded and a pitch is above the kerf"
        )]
        let mut most = guess as u64 + 2;
        while most > 0 && self.extent(most) > width {
            watch::ask();
            most -= 1;
        }
        if self.in_pairs { most & !1 } else { most }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64) {
        assert!((a - b).abs() < 1e-6, "{a} is not {b}");
    }

    /// sin and tan of 60 degrees.
    const SIN: f64 = 0.866_025_403_784_438_6;
    const TAN: f64 = 1.732_050_807_568_877_2;

    #[test]
    fn rhombi_of_60_degrees_from_18_mm() {
        // Side 18 / sin 60 = 20.7846; pitch 20.7846 + 3.2 / sin 60 = 20.7846 + 3.6950 = 24.4796.
        // One takes its side and the bevel, 20.7846 + 18 / tan 60 = 31.1769.
        // 1220 mm: floor((1220 - 31.1769) / 24.4796) + 1 = floor(48.56) + 1 = 49.
        let strip = Profile::new(18.0 / SIN, 18.0 / TAN, -18.0 / TAN, 18.0);
        let run = Run::of(strip, 3.2, true);
        assert_eq!(run.nesting, Nesting::Parallel);
        near(run.pitch(), 18.0 / SIN + 3.2 / SIN);
        near(run.extent(1), 31.176_914_5);
        near(run.extent(2), 31.176_914_5 + 24.479_651_4);
        assert_eq!(run.most(1220.0), 49);
        near(strip.angle_left(), 60.0);
        near(strip.angle_right(), 120.0);
    }

    #[test]
    fn squares_take_their_side_and_a_kerf() {
        // floor((100 + 3) / (17 + 3)) = floor(5.15) = 5; 5 x 17 + 4 x 3 = 97.
        let run = Run::of(Profile::new(17.0, 0.0, 0.0, 17.0), 3.0, false);
        near(run.pitch(), 20.0);
        near(run.extent(5), 97.0);
        assert_eq!((run.most(100.0), run.most(97.0), run.most(96.9)), (5, 5, 4));
        assert_eq!(
            (
                run.most(17.0),
                run.most(16.9),
                run.most(0.0),
                run.most(-5.0)
            ),
            (1, 0, 0, 0)
        );
    }

    #[test]
    fn trapezoids_nest_flipped() {
        // Wide face 40, leans 10 on each side (45 degrees, T = 10), narrow face 20.
        // Half-sum 30, kerf 3 / sin 45 = 4.2426: pitch 34.2426.
        // 5 strips: 40 + 4 x 34.2426 = 176.9706 flipped; not flipped each takes 40 + 4.2426, so
        // 40 + 4 x 44.2426 = 216.9706.
        let strip = Profile::new(40.0, 10.0, 10.0, 10.0);
        let kerf = 3.0 * 2.0_f64.sqrt();
        let flipped = Run::of(strip, 3.0, true);
        assert_eq!(flipped.nesting, Nesting::Flipped);
        near(flipped.pitch(), 30.0 + kerf);
        near(flipped.extent(5), 40.0 + 4.0 * (30.0 + kerf));
        near(flipped.extent(4), 40.0 + 3.0 * (30.0 + kerf));
        let apart = Run::of(strip, 3.0, false);
        assert_eq!(apart.nesting, Nesting::Apart);
        near(apart.extent(5), 40.0 + 4.0 * (40.0 + kerf));
        // What the strips, the cuts between them and the two outer wedges take is the whole.
        let cuts = 4.0 * kerf * 10.0;
        let wedges = 2.0 * 10.0 * 10.0 / 2.0;
        near(flipped.extent(5) * 10.0, 5.0 * strip.area() + cuts + wedges);
    }

    #[test]
    fn lopsided_strips_nest_flipped_with_two_pitches() {
        // One cut square, the other at 45 degrees.
        let strip = Profile::new(30.0, 0.0, 10.0, 10.0);
        let run = Run::of(strip, 2.0, true);
        let [a, b] = run.pitches();
        // Bevel between 1 and 2; then two square faces side by side.
        near(a, 20.0 + 2.0 * 2.0_f64.sqrt());
        near(b, 30.0 + 2.0);
        near(run.extent(3), 30.0 + a + b);
        for count in 1..8 {
            let (last, at) = run.strip(count - 1);
            near(run.extent(count), at + last.width());
        }
        assert_eq!(strip.rolled().rolled(), strip);
        assert_eq!(strip.mirrored().mirrored(), strip);
    }
}
