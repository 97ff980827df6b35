//! Set-ups from passes: one for each kind of pass, with the polygons of its drawing.
//! Lengths in mm, angles in degrees; polygons in the saw frame (see [`crate::plan::saw`]).

use crate::geom::{Point, Polygon, TOLERANCE, angle};
use crate::plan::saw::{
    Cut, Job, Keeps, SawLimits, UsedIn,
    again::Again,
    passes::{Edge, Product, RunPass, SetBy, Stage, Turn, table_of},
    refusals::slicing_side,
    rip::{Touch, Up},
    rip_method::{Handling, RipMethod},
};
use crate::watch;

/// How much of a raw edge is drawn beyond the cut, in mm.
const RAW: f64 = 4.0;

/// What is ripped.
#[derive(Debug, Clone, Copy)]
pub(in crate::plan) struct Ripped<'a> {
    /// The plain name of its section.
    pub(in crate::plan) shape: &'static str,
    /// Where it goes.
    pub(in crate::plan) used_in: &'a [UsedIn],
    /// How much wider it is for the kerfs of later cuts, in mm.
    pub(in crate::plan) for_kerf: f64,
    /// Whether face and back of its sheet differ.
    pub(in crate::plan) faces_differ: bool,
}

/// The set-ups of the passes of a rip method, in order. A square first edge has none: the board's own edge is
/// cleaned to that.
pub(in crate::plan) fn set_ups(
    method: &RipMethod,
    passes: &[(&Stage, RunPass)],
    ripped: Ripped<'_>,
    limits: &SawLimits,
) -> Vec<Cut> {
    let mut all: Vec<Cut> = Vec::new();
    for (i, (stage, pass)) in passes.iter().enumerate() {
        watch::ask();
        let cut = Cut {
            turn: passes.get(i + 1).map(|(_, next)| Turn::between(pass, next)),
            ..set_up(method, stage, pass, ripped, limits)
        };
        match all.iter_mut().find(|known| same_kind(known.job, cut.job)) {
            Some(known) => {
                if let Job::FirstEdge { each_time } = &mut known.job {
                    *each_time = true;
                }
            }
            None if matches!(cut.job, Job::FirstEdge { .. }) && cut.tilt < 0.01 => {}
            None => all.push(cut),
        }
    }
    all
}

/// The set-up that rips a strip once more. `section` is the strip's, in the frame of its wood, and
/// `beyond` the piece beyond the blade.
pub(in crate::plan) fn again(
    again: &Again,
    section: &Polygon,
    beyond: Option<&Polygon>,
    ripped: Ripped<'_>,
) -> Cut {
    let to_saw = again.to_saw();
    let at_fence = again.at_fence(section.corners());
    Cut {
        job: Job::Again {
            upside_down: again.upside_down(),
        },
        shape: ripped.shape,
        used_in: ripped.used_in.to_vec(),
        tilt: again.tilt(),
        bed: 0.0,
        set: SetBy::Fence(again.fence()),
        for_kerf: ripped.for_kerf,
        touch: again.touch(),
        up: Some(if again.upside_down() {
            Up::Back
        } else {
            Up::Face
        }),
        far_edge: false,
        turn: None,
        faces_differ: ripped.faces_differ,
        height: section.bounds().height(),
        blade: again.fence(),
        at_fence: at_fence.unwrap_or_else(|| Polygon::clockwise(Vec::new())),
        beyond: beyond.map(|p| p.moved(to_saw)),
        keeps: if beyond.is_some() {
            Keeps::Both
        } else {
            Keeps::AtFence
        },
        goes_on: false,
    }
}

/// The set-up that slices a bar or a loaf of some name and outline; none where it is too high.
pub(in crate::plan) fn slices(
    name: &str,
    outline: &Polygon,
    loaf: bool,
    thickness: f64,
    limits: &SawLimits,
) -> Option<Cut> {
    let (on_side, height) = slicing_side(outline, limits).ok()?;
    let block = |from: f64, to: f64| {
        polygon([
            Point::new(from, 0.0),
            Point::new(to, 0.0),
            Point::new(to, -height),
            Point::new(from, -height),
        ])
    };
    let from = thickness + limits.kerf;
    Some(Cut {
        job: Job::Slices { on_side, loaf },
        shape: "slice",
        used_in: vec![UsedIn {
            bar: name.to_owned(),
            parts: Vec::new(),
        }],
        tilt: 0.0,
        bed: 0.0,
        set: SetBy::Fence(thickness),
        for_kerf: 0.0,
        touch: Touch::Whole,
        up: None,
        far_edge: false,
        turn: None,
        faces_differ: false,
        height,
        blade: thickness,
        at_fence: block(0.0, thickness),
        beyond: Some(block(from, from + 2.0 * height)),
        keeps: Keeps::AtFence,
        goes_on: true,
    })
}

fn same_kind(a: Job, b: Job) -> bool {
    std::mem::discriminant(&a) == std::mem::discriminant(&b)
}

fn job(method: &RipMethod, stage: &Stage, pass: &RunPass) -> Job {
    match (pass.left, method.handling) {
        _ if stage.carriage => Job::InCarriage {
            first: pass.left == Product::Waste,
        },
        (Product::Waste, _) => Job::FirstEdge { each_time: false },
        (Product::Blank(_), handling) => Job::Blanks {
            pairs: handling == Handling::Pairs,
        },
        (_, Handling::Free) => Job::FreeStrips,
        (_, Handling::Pairs) => Job::Parting,
        (_, Handling::Singles) => Job::SecondEdge,
        _ => Job::Strips,
    }
}

fn set_up(
    method: &RipMethod,
    stage: &Stage,
    pass: &RunPass,
    ripped: Ripped<'_>,
    limits: &SawLimits,
) -> Cut {
    let depth = method.run.odd.depth;
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
    let keeps = match (pass.left, pass.right, pass.at_fence) {
        (Product::Strip(_), Product::Strip(_), _) => Keeps::Both,
        (Product::Strip(_) | Product::Blank(_), _, Edge::Right) => Keeps::Beyond,
        _ => Keeps::AtFence,
    };
    let bed = if stage.carriage {
        (stage.tilt - limits.most_tilt).max(0.0)
    } else {
        0.0
    };
    Cut {
        job: job(method, stage, pass),
        shape: ripped.shape,
        used_in: ripped.used_in.to_vec(),
        tilt: stage.tilt,
        bed,
        set: pass.set,
        for_kerf: if pass.set == SetBy::ByEye {
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
        keeps,
        goes_on: pass.to.is_none(),
    }
}

/// A polygon without corners that fall together.
pub(in crate::plan) fn polygon(points: impl IntoIterator<Item = Point>) -> Polygon {
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
    pub fn up_word(&self) -> Option<&'static str> {
        self.up.map(|up| match up {
            Up::Face => "face",
            Up::Back => "back",
        })
    }
}
