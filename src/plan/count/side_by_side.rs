//! Runs of strips side by side in one piece of board: where each strip lies, and what width they take.
//!
//! Lengths in mm, from the edge that the first strip lies at.

use super::lay::{Profile, Run};

/// A strip where it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lying {
    /// Which of the runs.
    pub run: usize,
    /// Its number in the run, from 0.
    pub number: u64,
    /// The strip.
    pub strip: Profile,
    /// Where its left bound lies.
    pub at: f64,
}

/// The width that runs side by side take so far.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WidthTaken {
    /// The last strip, where its left bound lies, and what its run takes beyond it.
    last: Option<(Profile, f64, f64)>,
    /// How far the board must reach, including what is led while the last strips fall free.
    reach: f64,
}

impl WidthTaken {
    /// Where a run begins that comes next.
    fn origin(&self, run: &Run) -> f64 {
        self.last.map_or(0.0, |(strip, at, spare)| {
            at + strip.pitch(run.odd, run.kerf) + spare
        })
    }

    /// With some strips of a run beside it.
    #[must_use]
    pub fn with(self, run: &Run, count: u64) -> Self {
        if count == 0 {
            return self;
        }
        let origin = self.origin(run);
        let (last, at) = run.strip(run.made(count) - 1);
        Self {
            last: Some((last, origin + at, run.spare)),
            reach: self.reach.max(origin + run.extent(count)),
        }
    }

    /// The least width of board that gives these strips.
    pub fn least(&self) -> f64 {
        self.reach
    }

    /// The width that they take with the cut that frees the last.
    pub fn freed(&self, kerf: f64) -> f64 {
        let end =
            |(strip, at, _): (Profile, f64, f64)| at + strip.width() + kerf * strip.slant_right();
        self.last.map_or(0.0, end).max(self.reach)
    }
}

/// All strips of some runs, from the left.
pub fn side_by_side(runs: &[(&Run, u64)]) -> (Vec<Lying>, WidthTaken) {
    let mut all = Vec::new();
    let mut filled = WidthTaken::default();
    for (index, &(run, count)) in runs.iter().enumerate() {
        let origin = filled.origin(run);
        for number in 0..count {
            let (strip, at) = run.strip(number);
            all.push(Lying {
                run: index,
                number,
                strip,
                at: origin + at,
            });
        }
        filled = filled.with(run, count);
    }
    (all, filled)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::count::lay::Nesting;

    fn square(side: f64) -> Run {
        Run::alike(Profile::new(side, 0.0, 0.0, 18.0), 3.0, Nesting::Parallel)
    }

    /// 20 + 3 + 20 + 3 + 30 = 76, and 3 more for the cut that frees the last.
    #[test]
    fn squares_of_two_widths_lie_side_by_side() {
        let (narrow, wide) = (square(20.0), square(30.0));
        let (strips, filled) = side_by_side(&[(&narrow, 2), (&wide, 1)]);
        for (strip, at) in strips.iter().zip([0.0, 23.0, 46.0]) {
            assert!((strip.at - at).abs() < 1e-9, "{strip:?}");
        }
        assert!((filled.least() - 76.0).abs() < 1e-9 && (filled.freed(3.0) - 79.0).abs() < 1e-9);
        assert_eq!(
            WidthTaken::default().with(&narrow, 0),
            WidthTaken::default()
        );
    }

    /// Rhombi of 60 degrees and two widths share the angle of their cuts: between them there is a cut
    /// and no wedge. 20.7846 + 3.6950 + 30 + 10.3923 of bevel.
    #[test]
    fn rhombi_of_two_widths_have_no_wedge_between() {
        let (sin, tan) = (0.866_025_403_784_438_6, 1.732_050_807_568_877_2);
        let lean = 18.0 / tan;
        let rhombus = |width| Run::of(Profile::new(width, lean, -lean, 18.0), 3.2, false);
        let (_, filled) = side_by_side(&[(&rhombus(18.0 / sin), 1), (&rhombus(30.0), 1)]);
        assert!((filled.least() - (18.0 / sin + 3.2 / sin + 30.0 + lean)).abs() < 1e-6);
    }

    /// A free strip's board is held by the strips beyond it, the last one's by board alone.
    #[test]
    fn what_is_led_may_be_strips_to_come() {
        let free = Run {
            held: 15.0,
            ..square(10.0)
        };
        let wide = square(40.0);
        let least = |runs: &[(&Run, u64)]| side_by_side(runs).1.least();
        assert!((least(&[(&free, 1), (&wide, 1)]) - 53.0).abs() < 1e-9);
        assert!((least(&[(&wide, 1), (&free, 1)]) - 68.0).abs() < 1e-9);
    }
}
