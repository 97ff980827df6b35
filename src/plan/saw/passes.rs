//! A rip method as passes of the saw, one after the other.
//!
//! The wood's own frame of a run: x across the strips from the run's own start, y from the sheet's
//! face (0) to its back (T), seen with end 1 towards who feeds it. For one cut there are two passes:
//! its left part at the fence, or, rolled over, its right part. The part at the fence is the wider
//! one on top, as the blade leans away from the fence; so which part is at the fence tells which
//! side looks up.
//!
//! First edges and edges cut anew are cut with the board at the fence and the waste outboard: no
//! narrow waste is ever between blade and fence. Lengths in mm, angles in degrees.

use crate::plan::{
    count::lay::{Nesting, Profile},
    saw::rip::{Touch, Up},
    saw::rip_method::{Handling, RipMethod, later_cut, on_table, tilts},
};
use crate::watch;

pub use super::pass::{Edge, On, Product, RunPass, SetBy, Stage, Turn};

impl RipMethod {
    /// The passes for `count` strips of the run, in working order.
    pub fn passes(&self, count: u64) -> Vec<Stage> {
        match self.handling {
            Handling::Led => self.led(count),
            Handling::Free => self.free(count),
            Handling::Pairs => self.pairs(count),
            Handling::Singles => self.singles(count),
            Handling::Carriage => self.carriage(count),
        }
    }

    fn kerf(&self, slant: f64) -> f64 {
        self.run.kerf * slant
    }

    fn placed(&self, i: u64) -> Profile {
        let (strip, at) = self.run.strip(i);
        let by = |cut: [f64; 2]| cut.map(|x| x + at);
        Profile {
            left: by(strip.left),
            right: by(strip.right),
            ..strip
        }
    }

    /// The board's first edge: the left face of the first strip or blank.
    fn first_edge(&self, face: [f64; 2], slant: f64) -> RunPass {
        trim(face.map(|x| x - self.kerf(slant)), None)
    }

    fn led(&self, count: u64) -> Vec<Stage> {
        let first = self.placed(0);
        let mut passes = vec![self.first_edge(first.left, first.slant_left())];
        passes.extend((0..count).map(|i| {
            let strip = self.placed(i);
            led(strip.left, strip.right, [Product::Strip(i), Product::Board])
        }));
        vec![on_board(tilts(first)[0], passes)]
    }

    fn free(&self, count: u64) -> Vec<Stage> {
        let first = self.placed(0);
        let [edge, cut] = tilts(first);
        let mut stages = vec![on_board(
            edge,
            vec![self.first_edge(first.left, first.slant_left())],
        )];
        let mut add = |tilt: f64, pass: RunPass| match stages.last_mut() {
            Some(stage) if (stage.tilt - tilt).abs() < 1e-9 => stage.passes.push(pass),
            _ => stages.push(on_board(tilt, vec![pass])),
        };
        for i in 0..count {
            watch::ask();
            let strip = self.placed(i);
            if self.run.nesting == Nesting::Apart && i > 0 {
                let before = self.placed(i - 1);
                let from = before.right.map(|x| x + self.kerf(before.slant_right()));
                let line = strip.left.map(|x| x - self.kerf(strip.slant_left()));
                add(edge, trim(line, Some(from)));
            }
            add(
                cut,
                RunPass {
                    at_fence: Edge::Right,
                    up: right_up(strip.right),
                    cut: strip.right,
                    set: SetBy::Stop(stop(strip.left, strip.right)),
                    touch: Touch::Whole,
                    left: Product::Strip(i),
                    right: Product::Board,
                    from: Some(strip.left),
                    to: None,
                },
            );
        }
        stages
    }

    fn pairs(&self, count: u64) -> Vec<Stage> {
        let first = self.placed(0);
        let [edge, parting] = tilts(first);
        let mut passes = vec![self.first_edge(first.left, first.slant_left())];
        for pair in 0..count.div_ceil(2) {
            watch::ask();
            let (from, to) = (self.placed(2 * pair).left, self.placed(2 * pair + 1).right);
            passes.push(led(from, to, [Product::Blank(pair), Product::Board]));
        }
        let parts = RunPass {
            to: Some(self.placed(1).right),
            ..led(
                first.left,
                first.right,
                [Product::Strip(0), Product::Strip(1)],
            )
        };
        vec![on_board(edge, passes), on_blanks(parting, false, parts)]
    }

    fn singles(&self, count: u64) -> Vec<Stage> {
        let first = self.placed(0);
        let [edge, second] = tilts(first);
        let [face, back] = first.faces();
        let width = face.max(back) + later_cut(first.slant_right(), self.run.kerf);
        let mut passes = vec![self.first_edge(first.left, first.slant_left())];
        passes.extend((0..count).map(|i| {
            let from = self.placed(i).left;
            let to = from.map(|x| x + width);
            led(from, to, [Product::Blank(i), Product::Board])
        }));
        let to_width = RunPass {
            to: Some(first.left.map(|x| x + width)),
            ..led(first.left, first.right, [Product::Strip(0), Product::Waste])
        };
        vec![on_board(edge, passes), on_blanks(second, false, to_width)]
    }

    fn carriage(&self, count: u64) -> Vec<Stage> {
        let first = self.placed(0);
        let [edge, second] = tilts(first);
        let width = self.run.lead + first.width() + self.run.held;
        let pitch = width + self.run.kerf;
        let square = |x: f64| [x, x];
        let mut passes = vec![self.first_edge([0.0, 0.0], 1.0)];
        passes.extend((0..count).map(|i| {
            let from = i as f64 * pitch;
            let parts = [Product::Blank(i), Product::Board];
            led(square(from), square(from + width), parts)
        }));
        let mut stages = vec![on_board(0.0, passes)];
        if self.run.lead > 0.0 {
            let cut = first.left.map(|x| x - self.kerf(first.slant_left()));
            let up = right_up(cut);
            let table = table_of(up);
            let from_cut = cut[table] + self.kerf(first.slant_left());
            let pass = RunPass {
                at_fence: Edge::Right,
                up,
                cut,
                set: SetBy::Ledge(width - from_cut),
                touch: Touch::Whole,
                left: Product::Waste,
                right: Product::Blank(0),
                from: Some(square(0.0)),
                to: Some(square(width)),
            };
            stages.push(on_blanks(edge, true, pass));
        }
        let mut pass = RunPass {
            to: Some(square(width)),
            ..led(first.left, first.right, [Product::Strip(0), Product::Waste])
        };
        if let SetBy::Fence(mm) = pass.set {
            pass.set = SetBy::Ledge(mm);
        }
        stages.push(on_blanks(second, true, pass));
        stages
    }
}

fn on_board(tilt: f64, passes: Vec<RunPass>) -> Stage {
    Stage {
        on: On::Board,
        tilt,
        carriage: false,
        passes,
    }
}

fn on_blanks(tilt: f64, carriage: bool, pass: RunPass) -> Stage {
    Stage {
        on: On::Blanks,
        tilt,
        carriage,
        passes: vec![pass],
    }
}

/// The left part between blade and fence.
fn led(from: [f64; 2], cut: [f64; 2], [left, right]: [Product; 2]) -> RunPass {
    let table = on_table(cut);
    let touches = from[0].min(from[1]);
    let off = from[table] - touches;
    let lean = (from[0] - from[1]).abs();
    RunPass {
        at_fence: Edge::Left,
        up: if table == 1 { Up::Face } else { Up::Back },
        cut,
        set: SetBy::Fence(cut[table] - touches),
        touch: if lean < 1e-9 {
            Touch::Whole
        } else if off < 1e-9 {
            Touch::LowCorner
        } else {
            Touch::HighCorner
        },
        left,
        right,
        from: Some(from),
        to: None,
    }
}

/// The board between blade and fence, waste outboard.
fn trim(cut: [f64; 2], from: Option<[f64; 2]>) -> RunPass {
    RunPass {
        at_fence: Edge::Right,
        up: right_up(cut),
        cut,
        set: SetBy::ByEye,
        touch: Touch::Whole,
        left: Product::Waste,
        right: Product::Board,
        from,
        to: None,
    }
}

/// What looks up while the right part of a cut is at the fence.
fn right_up(cut: [f64; 2]) -> Up {
    if cut[0] <= cut[1] + 1e-9 {
        Up::Face
    } else {
        Up::Back
    }
}

/// Which end of a cut lies on the table: 0 for the sheet's face, 1 for its back.
pub(in crate::plan) fn table_of(up: Up) -> usize {
    match up {
        Up::Face => 1,
        Up::Back => 0,
    }
}

/// From where the blade's far side meets the table to the outermost point of a strip outboard.
fn stop(from: [f64; 2], cut: [f64; 2]) -> f64 {
    cut[table_of(right_up(cut))] - from[0].min(from[1])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::angle;
    use crate::plan::saw::{SawLimits, rip_method::rip_method};

    fn strip(face: f64, left: f64, right: f64, depth: f64) -> Profile {
        let lean = |edge: f64| depth / angle::tan(edge);
        Profile::new(face, lean(left), lean(right), depth)
    }

    fn stages(strip: Profile, may_flip: bool, count: u64) -> Vec<Stage> {
        let method = rip_method(strip, may_flip, &SawLimits::default()).unwrap();
        method.passes(count)
    }

    fn near(set: SetBy, wanted: SetBy) {
        let (a, b) = (set.distance().unwrap(), wanted.distance().unwrap());
        let same = std::mem::discriminant(&set) == std::mem::discriminant(&wanted);
        assert!(same && (a - b).abs() < 1e-4, "{set:?} is not {wanted:?}");
    }

    /// Fence 18 / sin 60 = 20.7846: the strip touches it with the lower corner. The first bevel is cut
    /// from the far edge with the back up, then the board is rolled over.
    #[test]
    fn rhombi_after_a_first_bevel_with_the_waste_outboard() {
        let stages = stages(strip(20.784_61, 60.0, 120.0, 18.0), false, 2);
        let [stage] = &stages[..] else {
            panic!("{stages:#?}")
        };
        assert!((stage.tilt - 30.0).abs() < 1e-6);
        let [first, one, two] = &stage.passes[..] else {
            panic!("{stage:#?}")
        };
        assert_eq!(
            (first.at_fence, first.up, first.left, first.set),
            (Edge::Right, Up::Back, Product::Waste, SetBy::ByEye)
        );
        assert_eq!(Turn::between(first, one), Turn::RolledOver);
        assert_eq!((one.at_fence, one.up), (Edge::Left, Up::Face));
        assert_eq!((one.touch, one.left), (Touch::LowCorner, Product::Strip(0)));
        near(one.set, SetBy::Fence(20.784_61));
        assert_eq!(Turn::between(one, two), Turn::AsItLies);
        // The second cut a pitch of 24.480 farther.
        assert!((two.cut[0] - one.cut[0] - 24.479_65).abs() < 1e-4);
    }

    /// Foot 10.392, overhang 5.196: an upright stop touches the overhang.
    #[test]
    fn a_narrow_rhombus_is_set_by_a_stop_at_its_overhang() {
        let stages = stages(strip(10.392_305, 60.0, 120.0, 9.0), false, 2);
        let [first, one, two] = &stages[0].passes[..] else {
            panic!("{stages:#?}")
        };
        near(one.set, SetBy::Stop(15.588_457));
        assert_eq!((one.at_fence, one.left), (Edge::Right, Product::Strip(0)));
        assert_eq!(one.right, Product::Board);
        // The far edge stays at the fence, and the board lies as it lies.
        assert_eq!(Turn::between(first, one), Turn::AsItLies);
        assert_eq!(Turn::between(one, two), Turn::AsItLies);
    }

    /// A triangle of 45 degrees from 18 mm falls on its base of 36; the board's far edge stays at the
    /// fence while the board is turned over after each cut.
    #[test]
    fn triangles_fall_free_and_the_cut_edge_is_never_at_the_fence() {
        let stages = stages(strip(36.0, 45.0, 45.0, 18.0), true, 3);
        let passes = &stages[0].passes;
        assert!(passes.iter().all(|p| p.at_fence == Edge::Right));
        for pass in &passes[1..] {
            near(pass.set, SetBy::Stop(36.0));
        }
        for two in passes[1..].windows(2) {
            assert_eq!(Turn::between(&two[0], &two[1]), Turn::TurnedOver);
        }
    }

    #[test]
    fn unlike_faces_take_a_fresh_edge_before_each_strip() {
        let stages = stages(strip(41.569, 60.0, 60.0, 18.0), false, 2);
        let [first, one, fresh, two] = &stages[0].passes[..] else {
            panic!("{stages:#?}")
        };
        assert!(stages[0].passes.iter().all(|p| p.at_fence == Edge::Right));
        assert_eq!((first.left, fresh.left), (Product::Waste, Product::Waste));
        assert_eq!((one.up, two.up), (Up::Back, Up::Back));
        assert_eq!((first.up, fresh.up), (Up::Face, Up::Face));
    }

    /// Pairs of 40 / 22: blanks of 40 + 22 + 3.2 / sin 45 = 66.525, parted with the fence at 22.
    #[test]
    fn pairs_are_parted_in_the_middle() {
        let pairs = stages(strip(40.0, 90.0, 45.0, 18.0), true, 8);
        assert_eq!(pairs.len(), 2);
        assert_eq!(pairs[0].passes.len(), 5);
        near(pairs[0].passes[1].set, SetBy::Fence(66.525_48));
        assert_eq!((pairs[1].on, pairs[1].passes.len()), (On::Blanks, 1));
        let parting = &pairs[1].passes[0];
        near(parting.set, SetBy::Fence(22.0));
        assert_eq!(
            (parting.left, parting.right),
            (Product::Strip(0), Product::Strip(1))
        );
        let singles = stages(strip(40.0, 90.0, 45.0, 18.0), false, 5);
        near(singles[0].passes[1].set, SetBy::Fence(46.525_48));
        near(singles[1].passes[0].set, SetBy::Fence(22.0));
    }

    /// Whatever is cut, each part keeps its full width: the pieces do not overlap, and waste is never
    /// at the fence.
    #[test]
    fn no_pass_takes_wood_of_a_strip() {
        for (face, left, right, depth, flip) in [
            (20.784_61, 60.0, 120.0, 18.0, true),
            (36.0, 45.0, 45.0, 18.0, true),
            (36.0, 45.0, 45.0, 18.0, false),
            (40.0, 90.0, 45.0, 18.0, true),
            (40.0, 75.0, 50.0, 18.0, false),
            (40.0, 75.0, 50.0, 18.0, true),
            (25.0, 110.0, 50.0, 18.0, false),
            (120.0, 30.0, 30.0, 18.0, true),
            (120.0, 90.0, 30.0, 18.0, true),
        ] {
            for stage in stages(strip(face, left, right, depth), flip, 4) {
                for pass in stage.passes {
                    let inboard = match pass.at_fence {
                        Edge::Left => pass.left,
                        Edge::Right => pass.right,
                    };
                    assert_ne!(inboard, Product::Waste, "{pass:?}");
                    assert!(pass.set.distance().is_none_or(|mm| mm > 0.0), "{pass:?}");
                    let tilt = angle::direction(depth, (pass.cut[0] - pass.cut[1]).abs());
                    assert!((tilt - stage.tilt).abs() < 1e-6, "{pass:?} {}", stage.tilt);
                }
            }
        }
    }
}
