//! The safe method to rip strips of one kind: which of the pieces of a cut lies between blade and
//! fence, and how many strips a width then gives.
//!
//! The blade leans AWAY from the fence, so the piece at the fence stands on the narrower of its two
//! sides at the cut. Where a strip is too narrow there, or would tip, the board is led instead and
//! the strip falls free beyond the blade, on its wider side. A strip that no method can rip safely
//! has no numbers: yields, set-ups and drawings are made from a [`RipMethod`] only.
//!
//! Lengths in mm, angles in degrees. Never here: boards and lengths (`count`), words.

use crate::geom::{Point, Polygon, angle};
use crate::plan::{
    count::lay::{Nesting, Profile, Run},
    saw::{limits::SawLimits, warning::Warning},
};

/// Two tilts nearer than this, in degrees, are one setting.
const SAME_TILT: f64 = 1e-6;

/// The thinnest strip that is ripped, in mm, measured as the area of its section divided by its thickness: thin
/// strips that fall free beside a stop go down to about 3 (1/8 in, common practice).
pub const THINNEST_STRIP: f64 = 3.0;

/// Additional width of a blank for each edge that is cut later, beside the cut itself, in mm.
pub const BLANK_SPARE: f64 = 2.0;

/// A board whose far edge is square stands by itself where its foot is wider than its overhang on the other
/// side by 1 / sqrt 3 = 0.577: there its middle lies above the foot's end. A little more than that.
const STANDS: f64 = 0.6;

/// Thickness of a carriage's bed where the blade comes through, in mm (common practice).
const BED: f64 = 12.0;

/// What is led, and what falls free.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Handling {
    /// Strips between blade and fence, one fence for all.
    Led,
    /// The board between blade and fence; each strip falls free beyond the blade, set by a stop, and
    /// the fence is moved for the next.
    Free,
    /// Two tilts: blanks of two strips with edges at the lesser tilt, each parted by one cut at
    /// the greater.
    Pairs,
    /// Two tilts: blanks with edges at the lesser tilt, each cut to width at the greater.
    Singles,
    /// Tilts beyond the blade's: square blanks, their edges cut in a carriage with a leaning bed.
    Carriage,
}

/// The safe method to rip strips of one kind, or of two that are each other rolled over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RipMethod {
    /// How the strips lie in the board: what a width gives.
    pub run: Run,
    /// How they are cut.
    pub handling: Handling,
}

/// The safe method to rip a strip. `may_flip`: whether it is of the same kind rolled over in the board.
///
/// # Errors
/// Why there is none on this saw.
pub fn rip_method(
    strip: Profile,
    may_flip: bool,
    limits: &SawLimits,
) -> Result<RipMethod, Warning> {
    let [lesser, greater] = possible(strip, limits)?;
    if greater > limits.most_tilt + SAME_TILT {
        return in_carriage(strip, limits);
    }
    if greater - lesser <= SAME_TILT {
        return Ok(one_tilt(
            Run::of(face_up(strip), limits.kerf, may_flip),
            limits,
        ));
    }
    let strip = lesser_first(strip);
    Ok(if !leads(strip, limits) {
        free(Run::alike(strip, limits.kerf, Nesting::Apart), limits)
    } else if may_flip {
        RipMethod {
            run: Run {
                in_pairs: true,
                ..Run::pair(strip, limits.kerf)
            },
            handling: Handling::Pairs,
        }
    } else {
        from_blanks(strip, limits.kerf)
    })
}

/// The safe method to rip, in turn, strips of two kinds that are each other rolled over.
///
/// # Errors
/// Why there is none on this saw, or none in which they lie in turn.
pub fn pair_method(strip: Profile, limits: &SawLimits) -> Result<RipMethod, Warning> {
    let [lesser, greater] = possible(strip, limits)?;
    let beyond = Warning::TiltBeyond {
        tilt: greater,
        most: limits.most_tilt,
    };
    if greater > limits.most_tilt + SAME_TILT {
        return Err(beyond);
    }
    if greater - lesser <= SAME_TILT {
        return Ok(one_tilt(Run::pair(face_up(strip), limits.kerf), limits));
    }
    match rip_method(strip, true, limits)? {
        pairs if pairs.handling == Handling::Pairs => Ok(pairs),
        _ => Err(beyond),
    }
}

/// The tilts of both edges, the lesser first, where the blade reaches through the work at all.
fn possible(strip: Profile, limits: &SawLimits) -> Result<[f64; 2], Warning> {
    let width = strip.area() / strip.depth;
    if width < THINNEST_STRIP {
        return Err(Warning::ThinStrip {
            width,
            least: THINNEST_STRIP,
        });
    }
    let [left, right] = tilts(strip);
    let (lesser, greater) = (left.min(right), left.max(right));
    let by_blade = greater.min(limits.most_tilt);
    let most = limits.depth_at(by_blade);
    if strip.depth > most {
        return Err(Warning::TooDeep {
            height: strip.depth,
            tilt: by_blade,
            most,
        });
    }
    Ok([lesser, greater])
}

/// Tilts of the left and the right edge, from vertical.
pub(super) fn tilts(strip: Profile) -> [f64; 2] {
    [strip.angle_left(), strip.angle_right()].map(|edge| (90.0 - edge).abs())
}

fn one_tilt(run: Run, limits: &SawLimits) -> RipMethod {
    if run.nesting != Nesting::Apart && leads(run.odd, limits) && leads(run.even, limits) {
        RipMethod {
            run,
            handling: Handling::Led,
        }
    } else {
        free(run, limits)
    }
}

/// Strips that fall free: the board that is led must keep its foot to the last, and stand on it.
fn free(run: Run, limits: &SawLimits) -> RipMethod {
    let slant = run.odd.slant_right().max(run.even.slant_right());
    let over = |strip: Profile| (strip.right[0] - strip.right[1]).abs();
    let stands = STANDS * over(run.odd).max(over(run.even));
    RipMethod {
        run: Run {
            held: limits.kerf * slant + limits.narrowest.max(stands),
            ..run
        },
        handling: Handling::Free,
    }
}

/// Strips from blanks of their own, whose edges are parallel to the strip's left one.
fn from_blanks(strip: Profile, kerf: f64) -> RipMethod {
    let run = Run::alike(strip, kerf, Nesting::Apart);
    let [face, back] = strip.faces();
    let blank = face.max(back) + later_cut(strip.slant_right(), kerf);
    let lean = (strip.left[0] - strip.left[1]).abs();
    RipMethod {
        run: Run {
            spare: blank + kerf * strip.slant_left() - run.pitch(),
            held: blank + lean - strip.width(),
            ..run
        },
        handling: Handling::Singles,
    }
}

/// What a blank has beyond the strip for an edge that is cut later.
pub(super) fn later_cut(slant: f64, kerf: f64) -> f64 {
    kerf * slant + BLANK_SPARE
}

/// Square blanks, each bevel cut in a carriage.
fn in_carriage(strip: Profile, limits: &SawLimits) -> Result<RipMethod, Warning> {
    let [left, right] = tilts(strip);
    let greater = left.max(right);
    let blade = limits.most_tilt;
    let beyond = Warning::TiltBeyond {
        tilt: greater,
        most: blade,
    };
    if greater >= 89.0 || strip.depth / angle::cos(greater) + BED > limits.reach(blade) {
        return Err(beyond);
    }
    let strip = lesser_first(strip);
    if !leads(strip, limits) || (left.min(right) > SAME_TILT && !leads(strip.mirrored(), limits)) {
        return Err(beyond);
    }
    let later = |tilt: f64, slant: f64| {
        if tilt > SAME_TILT {
            later_cut(slant, limits.kerf)
        } else {
            0.0
        }
    };
    let (first, second) = (
        later(left.min(right), strip.slant_left()),
        later(greater, strip.slant_right()),
    );
    let run = Run::alike(strip, limits.kerf, Nesting::Apart);
    Ok(RipMethod {
        run: Run {
            spare: strip.width() + first + second + limits.kerf - run.pitch(),
            lead: first,
            held: second,
            ..run
        },
        handling: Handling::Carriage,
    })
}

/// Whether a strip can be led between blade and fence while its right edge is cut: it stands on a
/// foot that is wide enough, and does not tip.
fn leads(strip: Profile, limits: &SawLimits) -> bool {
    let table = on_table(strip.right);
    let (from, to) = (strip.left[table], strip.right[table]);
    let heavy = section(strip).centroid().x;
    to - from >= limits.narrowest && from < heavy && heavy < to
}

/// Which end of a cut lies on the table while its LEFT part is at the fence: 0 for the sheet's face,
/// 1 for its back. The part at the fence is wider on top.
pub(super) fn on_table(cut: [f64; 2]) -> usize {
    usize::from(cut[0] >= cut[1] - 1e-9)
}

fn section(strip: Profile) -> Polygon {
    let at = |x: f64, y: f64| Point::new(x, y);
    Polygon::clockwise(vec![
        at(strip.left[0], 0.0),
        at(strip.right[0], 0.0),
        at(strip.right[1], strip.depth),
        at(strip.left[1], strip.depth),
    ])
}

/// A parallelogram turned end for end where that lets the sheet's face look up while it is led.
fn face_up(strip: Profile) -> Profile {
    let [face, back] = strip.faces();
    if (face - back).abs() <= 1e-6 && on_table(strip.right) == 0 {
        strip.mirrored()
    } else {
        strip
    }
}

/// Turned end for end where that brings the lesser tilt to the left.
fn lesser_first(strip: Profile) -> Profile {
    let [left, right] = tilts(strip);
    if left > right + SAME_TILT {
        strip.mirrored()
    } else {
        strip
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIN: f64 = 0.866_025_403_784_438_6;

    /// A strip `face` wide on the sheet's face, its edges at these angles.
    fn strip(face: f64, left: f64, right: f64, depth: f64) -> Profile {
        let lean = |edge: f64| depth / angle::tan(edge);
        Profile::new(face, lean(left), lean(right), depth)
    }

    fn at_common(strip: Profile, may_flip: bool) -> Result<RipMethod, Warning> {
        rip_method(strip, may_flip, &SawLimits::default())
    }

    #[test]
    fn a_wide_rhombus_is_led_and_a_narrow_one_falls_free() {
        // Foot of a rhombus: T / sin 60 = 20.78 from 18 mm, 10.39 from 9 mm; the least is 12.
        let wide = at_common(strip(18.0 / SIN, 60.0, 120.0, 18.0), false).unwrap();
        assert_eq!(wide.handling, Handling::Led);
        // From the trimmed edge: bevel and side, then a pitch of 24.480 each.
        assert!((wide.run.extent(2) - 31.176_9 - 24.479_7).abs() < 1e-3);
        let narrow = at_common(strip(9.0 / SIN, 60.0, 120.0, 9.0), false).unwrap();
        assert_eq!(narrow.handling, Handling::Free);
        // Beside strip and bevel (10.392 + 5.196) the board keeps a foot of 12 beyond the cut.
        let alone = 10.392_3 + 5.196_2 + 3.2 / SIN + 12.0;
        assert!((narrow.run.extent(1) - alone).abs() < 1e-3);
    }

    /// The last of a board of 25.8 mm at 45 degrees overhangs by 25.8: on a foot f its middle is at
    /// (f^2 / 2 + 25.8 f + 25.8^2 / 6) / (f + 25.8 / 2) of the distance, at f only where f = 25.8 / sqrt 3.
    #[test]
    fn the_last_of_a_board_does_not_tip() {
        let method = at_common(strip(51.6, 45.0, 45.0, 25.8), true).unwrap();
        let held = method.run.held - 3.2 * 2.0_f64.sqrt();
        assert!(held > 25.8 / 3.0_f64.sqrt() && held < 16.0, "{held}");
    }

    #[test]
    fn a_triangle_falls_free_on_its_base() {
        let method = at_common(strip(36.0, 45.0, 45.0, 18.0), true).unwrap();
        assert_eq!(
            (method.handling, method.run.nesting),
            (Handling::Free, Nesting::Flipped)
        );
    }

    #[test]
    fn what_leans_too_far_to_stand_falls_free() {
        // Foot 13 from 0 to 13; the middle of a parallelogram leaning 18 lies at 13 / 2 + 9 = 15.5.
        let method = at_common(strip(13.0, 45.0, 135.0, 18.0), false).unwrap();
        assert_eq!(method.handling, Handling::Free);
    }

    /// The 285 mm board of a 40 / 22 strip with one square edge and one of 45 degrees: the pair takes
    /// 40 + 22 + 3.2 / sin 45 + 3.2 = 69.725, four of them 278.9 less the last cut; a single blank
    /// 40 + 3.2 / sin 45 + 2 = 46.525 and a cut of 3.2, five of them 248.6 less the last cut, six
    /// 298.4.
    #[test]
    fn mixed_edges_come_in_pairs_or_from_blanks() {
        let mixed = strip(40.0, 90.0, 45.0, 18.0);
        let pairs = at_common(mixed, true).unwrap();
        assert_eq!(pairs.handling, Handling::Pairs);
        assert_eq!(pairs.run.most(285.0), 8);
        assert_eq!((pairs.run.most(275.8), pairs.run.most(275.6)), (8, 6));
        assert!((pairs.run.extent(1) - pairs.run.extent(2)).abs() < 1e-9);
        let singles = at_common(mixed, false).unwrap();
        assert_eq!(singles.handling, Handling::Singles);
        assert_eq!(singles.run.most(285.0), 5);
        assert!((singles.run.extent(5) - (5.0 * 46.525_48 + 4.0 * 3.2)).abs() < 1e-3);
        // Turned end for end it is the same strip.
        let mirrored = at_common(mixed.mirrored(), false).unwrap();
        assert!((mirrored.run.extent(5) - singles.run.extent(5)).abs() < 1e-9);
    }

    #[test]
    fn what_no_way_serves_is_refused() {
        let why = |strip| at_common(strip, true).unwrap_err();
        assert!(matches!(
            why(strip(1.0, 90.0, 90.0, 18.0)),
            Warning::ThinStrip { .. }
        ));
        // A 10 in. blade cuts about 79 upright and 57 at 45 degrees.
        assert!(matches!(
            why(strip(100.0, 90.0, 90.0, 80.0)),
            Warning::TooDeep { .. }
        ));
        assert!(at_common(strip(200.0, 45.0, 45.0, 57.0), true).is_ok());
        assert!(matches!(
            why(strip(200.0, 45.0, 45.0, 58.0)),
            Warning::TooDeep { .. }
        ));
        // 60 degrees of tilt want a carriage, and a foot to clamp there.
        let lean = at_common(strip(120.0, 30.0, 30.0, 18.0), true).unwrap();
        assert_eq!(lean.handling, Handling::Carriage);
        assert!(matches!(
            why(strip(62.4, 30.0, 30.0, 18.0)),
            Warning::TiltBeyond { .. }
        ));
    }
}
