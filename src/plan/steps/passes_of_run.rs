//! The passes of a run in the wood that they are made in: where they cut it, how it lies for them, and which repeat.

use super::{
    model::{Down, Lie, Pass, Round, Set, Side},
    pieces::SAME,
};
use crate::{
    geom::{
        Point, Polygon, TOLERANCE,
        clip::{self, HalfPlane},
    },
    plan::saw::{
        passes::{self, Edge},
        rip::Up,
        set_up::polygon,
    },
};

/// A pass of a run, where the run begins at `at` from the blank's left edge.
pub(super) fn placed(pass: passes::RunPass, at: f64) -> passes::RunPass {
    passes::RunPass {
        cut: pass.cut.map(|x| x + at),
        ..pass
    }
}

/// The pieces left and right of a cut and its kerf.
pub(super) fn parts(work: &Polygon, cut: [f64; 2], kerf: f64) -> [Option<Polygon>; 2] {
    let depth = work.bounds().height();
    let ends = cut.map(|x| Point::new(x, 0.0));
    let (from, to) = (ends[0], ends[1] + Point::new(0.0, depth));
    let way = to - from;
    let wide = Point::new(kerf * way.length() / depth, 0.0);
    let sides = [
        HalfPlane::right_of(from, to),
        HalfPlane::right_of(to + wide, from + wide),
    ];
    // Anything thinner is dust.
    let is_wood = |piece: &Polygon| clip::depth(piece) > TOLERANCE;
    sides.map(|side| clip::keep(work, side).filter(is_wood))
}

/// The section between two cut faces, both of which are known for a pass in a blank.
pub(super) fn polygon_between(from: Option<[f64; 2]>, to: Option<[f64; 2]>, depth: f64) -> Polygon {
    let (left, right) = (from.unwrap_or_default(), to.unwrap_or_default());
    polygon([
        Point::new(left[0], 0.0),
        Point::new(right[0], 0.0),
        Point::new(right[1], depth),
        Point::new(left[1], depth),
    ])
}

/// How the work lies for a pass.
pub(super) fn lie(at_fence: Edge, up: Up) -> Lie {
    let (side, looks) = match up {
        Up::Face => (Side::Back, 90.0),
        Up::Back => (Side::Face, 270.0),
    };
    let end = match (at_fence, up) {
        (Edge::Left, Up::Face) | (Edge::Right, Up::Back) => 1,
        _ => 2,
    };
    Lie {
        down: Down { side, looks },
        end,
    }
}

/// Passes as rounds: passes that repeat are listed once, with how often they are made.
pub(super) fn rounds(passes: &[Pass]) -> Vec<Round> {
    const LONGEST: usize = 4;
    let mut all = Vec::new();
    let mut at = 0;
    while at < passes.len() {
        let repeats = |period: usize| {
            let mut times = 1;
            while at + (times + 1) * period <= passes.len()
                && (0..period).all(|i| alike(&passes[at + i], &passes[at + times * period + i]))
            {
                times += 1;
            }
            times
        };
        let (period, times) = (1..=LONGEST.min(passes.len() - at))
            .map(|period| (period, repeats(period)))
            .max_by_key(|&(period, times)| {
                (if times > 1 { period * times } else { 0 }, LONGEST - period)
            })
            .expect("invariant: a pass is left");
        all.push(Round {
            times: times as u64,
            passes: passes[at..at + period].to_vec(),
        });
        at += period * times;
    }
    all
}

fn alike(a: &Pass, b: &Pass) -> bool {
    let same_set = match (a.set, b.set) {
        (Set::Fence(a), Set::Fence(b))
        | (Set::Stop(a), Set::Stop(b))
        | (Set::ByEye(a), Set::ByEye(b)) => (a - b).abs() < SAME,
        _ => false,
    };
    same_set
        && a.lie == b.lie
        && a.touches == b.touches
        && a.inboard == b.inboard
        && a.outboard == b.outboard
}
