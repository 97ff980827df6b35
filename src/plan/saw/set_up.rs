//! Set-ups from the passes of a way: one for each kind of pass, with the polygons of its drawing.
//! Lengths in mm, angles in degrees; polygons in the saw frame (see [`crate::plan::saw`]).

use crate::geom::{Point, Polygon, TOLERANCE, angle};
use crate::plan::saw::{
    Cut, Job, Made, SawLimits, UsedIn,
    passes::{Becomes, Edge, On, Pass, Set, Stage, Turn, table_of},
    rip::Up,
    ways::{Handling, Way},
};
use crate::watch;

/// How much of a raw edge is drawn beyond the cut, in mm.
const RAW: f64 = 4.0;

/// Enough strips to see every kind of pass, and how the work is turned between them.
const STRIPS_SEEN: u64 = 4;

/// What is ripped.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ripped<'a> {
    /// The plain name of its section.
    pub(super) shape: &'static str,
    /// Where it goes.
    pub(super) used_in: &'a [UsedIn],
    /// How much wider it is for the kerfs of later cuts, in mm.
    pub(super) for_kerf: f64,
    /// Whether face and back of its sheet differ.
    pub(super) faces_differ: bool,
}

/// The set-ups of a way in working order, each with its number: those from the board are 0, those
/// of blanks count on.
pub(super) fn set_ups(way: &Way, ripped: Ripped<'_>, limits: &SawLimits) -> Vec<(usize, Cut)> {
    let mut number = 0;
    let mut passes: Vec<(usize, Stage, Pass)> = Vec::new();
    for stage in way.passes(STRIPS_SEEN) {
        watch::ask();
        if stage.on == On::Blanks {
            number += 1;
        }
        for &pass in &stage.passes {
            passes.push((number, stage.clone(), pass));
        }
    }
    let mut all: Vec<(usize, Cut)> = Vec::new();
    for (i, (number, stage, pass)) in passes.iter().enumerate() {
        let next = passes.get(i + 1).filter(|(n, ..)| n == number);
        let cut = Cut {
            turn: next.map(|(_, _, next)| Turn::between(pass, next)),
            ..set_up(way, stage, pass, ripped, limits)
        };
        let known = all
            .iter_mut()
            .find(|(n, known)| n == number && same_kind(known.job, cut.job));
        match known {
            Some((_, known)) => {
                if let Job::FirstEdge { each_time } = &mut known.job {
                    *each_time = true;
                }
            }
            // A square first edge is what the board's own edge is cleaned to.
            None if i == 0 && cut.tilt < 0.01 => {}
            None => all.push((*number, cut)),
        }
    }
    all
}

fn same_kind(a: Job, b: Job) -> bool {
    std::mem::discriminant(&a) == std::mem::discriminant(&b)
}

fn job(way: &Way, stage: &Stage, pass: &Pass) -> Job {
    match (pass.left, way.handling) {
        _ if stage.carriage => Job::InCarriage {
            first: pass.left == Becomes::Waste,
        },
        (Becomes::Waste, _) => Job::FirstEdge { each_time: false },
        (Becomes::Blank(_), handling) => Job::Blanks {
            pairs: handling == Handling::Pairs,
        },
        (_, Handling::Free) => Job::FreeStrips,
        (_, Handling::Pairs) => Job::Parting,
        (_, Handling::Singles) => Job::SecondEdge,
        _ => Job::Strips,
    }
}

fn set_up(way: &Way, stage: &Stage, pass: &Pass, ripped: Ripped<'_>, limits: &SawLimits) -> Cut {
    let depth = way.run.odd.depth;
    let kerf = limits.kerf / angle::cos(stage.tilt);
    let table = table_of(pass.up);
    let low = |line: [f64; 2]| line[0].min(line[1]);
    let high = |line: [f64; 2]| line[0].max(line[1]);
    let after = pass.cut.map(|x| x + kerf);
    let left_end = pass.from.unwrap_or_else(|| {
        let raw = low(pass.cut) - RAW;
        [raw, raw]
    });
    let right_end = pass.to.unwrap_or_else(|| {
        let far = high(after) + 1.5 * depth;
        [far, far]
    });
    // From the wood's frame to the saw's: the edge at the fence comes to 0.
    let x = |x: f64| match pass.at_fence {
        Edge::Left => x - low(left_end),
        Edge::Right => high(right_end) - x,
    };
    let y = |level: usize| if level == table { 0.0 } else { -depth };
    let part = |from: [f64; 2], to: [f64; 2]| {
        let corners = [(from, 0), (to, 0), (to, 1), (from, 1)];
        polygon(corners.map(|(line, level)| Point::new(x(line[level]), y(level))))
    };
    let (left, right) = (part(left_end, pass.cut), part(after, right_end));
    let (at_fence, beyond, blade) = match pass.at_fence {
        Edge::Left => (left, right, x(pass.cut[table])),
        Edge::Right => (right, left, x(after[table])),
    };
    let made = match (pass.left, pass.right, pass.at_fence) {
        (Becomes::Strip(_), Becomes::Strip(_), _) => Made::Both,
        (Becomes::Strip(_) | Becomes::Blank(_), _, Edge::Right) => Made::Beyond,
        _ => Made::AtFence,
    };
    let bed = if stage.carriage {
        (stage.tilt - limits.most_tilt).max(0.0)
    } else {
        0.0
    };
    Cut {
        job: job(way, stage, pass),
        shape: ripped.shape,
        used_in: ripped.used_in.to_vec(),
        tilt: stage.tilt,
        bed,
        set: pass.set,
        for_kerf: if pass.set == Set::ByEye {
            0.0
        } else {
            ripped.for_kerf
        },
        touch: pass.touch,
        up: Some(pass.up),
        far_edge: pass.at_fence == Edge::Right,
        turn: None,
        faces_differ: ripped.faces_differ,
        height: depth,
        blade,
        at_fence,
        beyond: (beyond.area() > TOLERANCE).then_some(beyond),
        made,
        goes_on: pass.to.is_none(),
    }
}

/// A polygon without corners that fall together.
pub(super) fn polygon(points: impl IntoIterator<Item = Point>) -> Polygon {
    let mut corners: Vec<Point> = Vec::new();
    for p in points {
        if corners.iter().all(|q| q.distance(p) > TOLERANCE) {
            corners.push(p);
        }
    }
    Polygon::clockwise(corners)
}

impl Cut {
    /// What looks up, in a word.
    #[must_use]
    pub fn up_word(&self) -> Option<&'static str> {
        self.up.map(|up| match up {
            Up::Face => "face",
            Up::Back => "back",
        })
    }
}
