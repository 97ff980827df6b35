//! All set-ups of the saw for some bars, in cutting order.
//!
//! Strips come before what is ripped from them again, and slices last. Within a step the set-ups
//! go by tilt, so that the blade is set once for all cuts that share it, and then from wide to
//! narrow. Cuts that are alike are one set-up.
//!
//! A second rip takes its kerf out of a strip that a recipe draws without: so the strip is ripped
//! wider by kerf / cos(tilt), and the pieces come out as drawn.
//!
//! Lengths in mm, angles in degrees.

use crate::plan::{
    saw::again::{Again, wood_corners},
    saw::rip::{Rip, RipOff, SAME, Touch, Up},
    saw::{Cut, Job, SawLimits, UsedIn, Warning},
};
use crate::{
    geom::{
        Point, Polygon, TOLERANCE, angle,
        clip::{self, HalfPlane},
    },
    stock::{Bar, Layer, Sheet, Strip, strip::Origin},
};

/// Blanks are ripped this much wider than the second cut takes, in mm.
const BLANK_SPARE: f64 = 2.0;

/// A bar with its name.
#[derive(Debug, Clone, Copy)]
pub struct NamedBar<'a> {
    /// The name.
    pub name: &'a str,
    /// The bar.
    pub bar: &'a Bar,
}

/// What is cut, apart from the bars.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Work {
    /// Length of the bars and strips, in mm, where it is known.
    pub length: Option<f64>,
    /// Thickness of the slices, in mm, where bars are sliced.
    pub slice: Option<f64>,
}

/// The set-ups for some bars, in cutting order.
#[must_use]
pub fn cut_sequence(bars: &[NamedBar<'_>], limits: &SawLimits, work: Work) -> Vec<Cut> {
    let mut needs: Vec<Need> = Vec::new();
    for named in bars {
        for (i, part) in named.bar.parts().iter().enumerate() {
            need(&mut needs, &part.strip, named.name, i + 1);
        }
    }
    let mut steps: Vec<(usize, Cut)> = Vec::new();
    for one in &needs {
        let depth = steps_before(&one.strip);
        let parent = match one.strip.origin() {
            Origin::Sheet => None,
            Origin::Strip { from, .. } => Some(from),
        };
        match parent.zip(Again::of(&one.strip)) {
            None => {
                let widening = needs
                    .iter()
                    .filter(|n| is_parent(&one.strip, &n.strip))
                    .map(|n| widening(&needs, &n.strip, limits.kerf))
                    .fold(0.0, f64::max);
                rip_cuts(one, widening, limits, work, &mut steps);
            }
            Some((parent, again)) => {
                let cut = again_cut(one, parent, &again, &needs, limits, work);
                steps.push((depth, cut));
            }
        }
    }
    // What is alike becomes one set-up; the first of them gives the drawing.
    let mut merged: Vec<(usize, Cut)> = Vec::new();
    for (step, cut) in steps {
        match merged
            .iter_mut()
            .find(|(s, c)| *s == step && alike(c, &cut))
        {
            Some((_, same)) => add_uses(&mut same.used_in, &cut.used_in),
            None => merged.push((step, cut)),
        }
    }
    merged.sort_by(|(s, a), (t, b)| {
        s.cmp(t)
            .then(a.tilt.total_cmp(&b.tilt))
            .then(b.fence.total_cmp(&a.fence))
    });
    let mut all: Vec<Cut> = merged.into_iter().map(|(_, cut)| cut).collect();
    if let Some(thickness) = work.slice {
        all.extend(bars.iter().map(|b| slices(*b, thickness, limits)));
    }
    all
}

/// A strip and what wants it.
struct Need {
    strip: Strip,
    used_in: Vec<UsedIn>,
}

fn need(needs: &mut Vec<Need>, strip: &Strip, bar: &str, part: usize) {
    if let Origin::Strip { from, .. } = strip.origin() {
        need(needs, from, bar, part);
    }
    let used = UsedIn {
        bar: bar.to_owned(),
        parts: vec![part],
    };
    let same = |n: &&mut Need| {
        n.strip.sheet() == strip.sheet()
            && n.strip.origin() == strip.origin()
            && n.strip.as_ripped().coincides(&strip.as_ripped(), TOLERANCE)
    };
    match needs.iter_mut().find(same) {
        Some(n) => add_uses(&mut n.used_in, &[used]),
        None => needs.push(Need {
            strip: strip.clone(),
            used_in: vec![used],
        }),
    }
}

fn add_uses(uses: &mut Vec<UsedIn>, more: &[UsedIn]) {
    for new in more {
        match uses.iter_mut().find(|u| u.bar == new.bar) {
            Some(u) => {
                u.parts.extend(&new.parts);
                u.parts.sort_unstable();
                u.parts.dedup();
            }
            None => uses.push(new.clone()),
        }
    }
}

fn steps_before(strip: &Strip) -> usize {
    match strip.origin() {
        Origin::Sheet => 0,
        Origin::Strip { from, .. } => 1 + steps_before(from),
    }
}

fn is_parent(parent: &Strip, piece: &Strip) -> bool {
    matches!(piece.origin(), Origin::Strip { from, .. } if **from == *parent)
}

/// How much wider a strip must be for the cut that parts `piece` from it and all later ones.
fn widening(needs: &[Need], piece: &Strip, kerf: f64) -> f64 {
    let own = Again::of(piece).map_or(0.0, |cut| kerf / angle::cos(cut.tilt()));
    let further = needs.iter().filter(|n| is_parent(piece, &n.strip));
    own + further
        .map(|n| widening(needs, &n.strip, kerf))
        .fold(0.0, f64::max)
}

fn alike(a: &Cut, b: &Cut) -> bool {
    (a.tilt - b.tilt).abs() <= SAME
        && (a.fence - b.fence).abs() <= SAME
        && a.job == b.job
        && a.up == b.up
        && a.piece.coincides(&b.piece, TOLERANCE)
}

/// Whether a sheet is the same from its face and from its back.
fn same_from_both_sides(sheet: &Sheet) -> bool {
    let layers = sheet.layers();
    let like = |a: &Layer, b: &Layer| {
        a.kind == b.kind
            && a.colour == b.colour
            && a.grain == b.grain
            && (a.thickness - b.thickness).abs() < 1e-9
    };
    layers
        .iter()
        .zip(layers.iter().rev())
        .all(|(a, b)| like(a, b))
}

/// From distances above the table to the saw frame, whose y runs down.
fn down(points: impl IntoIterator<Item = Point>) -> Polygon {
    let mut corners: Vec<Point> = Vec::new();
    for p in points {
        let p = Point::new(p.x, -p.y);
        if corners.iter().all(|q| q.distance(p) > TOLERANCE) {
            corners.push(p);
        }
    }
    Polygon::clockwise(corners)
}

fn rip_cuts(
    need: &Need,
    widening: f64,
    limits: &SawLimits,
    work: Work,
    steps: &mut Vec<(usize, Cut)>,
) {
    let rip = Rip::of(&need.strip);
    let wider = RipOff {
        fence: widening,
        ..RipOff::default()
    };
    let [[lead_top, lead_foot], [top, foot]] = rip.at_the_saw(wider);
    let height = rip.depth();
    let piece = down([lead_foot, foot, top, lead_top]);
    let gap = limits.kerf / angle::cos(rip.second_tilt());
    let beyond = top.x.max(foot.x) + gap + 1.5 * height;
    let shift = Point::new(gap, 0.0);
    let rest = |end: f64| {
        let corners = [
            foot + shift,
            Point::new(end, 0.0),
            Point::new(end, height),
            top + shift,
        ];
        down(corners)
    };
    let mut cut = Cut {
        job: Job::SecondEdge,
        shape: need.strip.shape(),
        used_in: need.used_in.clone(),
        tilt: rip.second_tilt(),
        fence: rip.fence() + widening,
        for_kerf: widening,
        touch: rip.touch(),
        up: Some(rip.up()),
        height,
        piece,
        rest: Some(rest(beyond)),
        rest_goes_on: true,
        warnings: Vec::new(),
    };
    if rip.one_tilt() {
        let turned_over = rip.turned_over();
        cut.job = Job::Strips {
            turned_over,
            faces_differ: turned_over && !same_from_both_sides(need.strip.sheet()),
        };
        cut.warnings = Warning::of_rip(&cut, limits, true, work.length);
        steps.push((0, cut));
        return;
    }
    // The blank reaches as far as the second cut, with what that takes.
    let end = top.x.max(foot.x) + gap + BLANK_SPARE;
    cut.rest = Some(rest(end));
    cut.rest_goes_on = false;
    cut.warnings = Warning::of_rip(&cut, limits, true, work.length);
    steps.push((0, blanks(need, &rip, end, limits, work)));
    // The lesser tilt is the blank's: in the order of tilts it comes first by itself.
    steps.push((0, cut));
}

/// The first of two tilts: the strip's first edge, on a piece `reach` mm wide over all.
fn blanks(need: &Need, rip: &Rip, reach: f64, limits: &SawLimits, work: Work) -> Cut {
    let (tilt, height) = (rip.first_tilt(), rip.depth());
    let over = height * angle::tan(tilt);
    let gap = limits.kerf / angle::cos(tilt);
    let foot = reach - over;
    let piece = [
        Point::ZERO,
        Point::new(foot, 0.0),
        Point::new(reach, height),
        Point::new(0.0, height),
    ];
    let end = reach + gap + 1.5 * height;
    let rest = [
        Point::new(foot + gap, 0.0),
        Point::new(end, 0.0),
        Point::new(end, height),
        Point::new(reach + gap, height),
    ];
    let up = if rip.first() <= 90.0 {
        Up::Face
    } else {
        Up::Back
    };
    let mut cut = Cut {
        job: Job::Blanks,
        shape: need.strip.shape(),
        used_in: need.used_in.clone(),
        tilt,
        fence: foot,
        for_kerf: 0.0,
        touch: Touch::Whole,
        up: Some(up),
        height,
        piece: down(piece),
        rest: Some(down(rest)),
        rest_goes_on: true,
        warnings: Vec::new(),
    };
    cut.warnings = Warning::of_rip(&cut, limits, true, work.length);
    cut
}

fn again_cut(
    need: &Need,
    parent: &Strip,
    again: &Again,
    needs: &[Need],
    limits: &SawLimits,
    work: Work,
) -> Cut {
    let to_saw = again.to_saw();
    let placed = |strip: &Strip| {
        let corners = wood_corners(strip);
        Polygon::clockwise(corners.iter().map(|&c| to_saw.apply(c)).collect())
    };
    let whole = placed(parent);
    let foot = Point::new(again.fence(), 0.0);
    let (sin, cos) = angle::sin_cos(again.tilt());
    let led = HalfPlane::right_of(foot + Point::new(sin, -cos), foot);
    // Of the pieces of this cut, the one at the fence may be cut further and must be wider then.
    let at_fence = needs.iter().map(|n| &n.strip).filter(|s| {
        is_parent(parent, s)
            && Again::of(s).as_ref() == Some(again)
            && clip::keep(&placed(s), led).is_some()
    });
    let further = at_fence
        .flat_map(|piece| needs.iter().filter(|n| is_parent(piece, &n.strip)))
        .map(|n| widening(needs, &n.strip, limits.kerf))
        .fold(0.0, f64::max);
    let gap = Point::new(limits.kerf / cos, 0.0);
    let empty = || Polygon::clockwise(Vec::new());
    let mut cut = Cut {
        job: Job::Again {
            upside_down: again.upside_down(),
        },
        shape: parent.shape(),
        used_in: need.used_in.clone(),
        tilt: again.tilt(),
        fence: again.fence() + further,
        for_kerf: further,
        touch: again.touch(),
        up: None,
        height: whole.bounds().height(),
        piece: clip::keep(&whole, led).unwrap_or_else(empty),
        rest: clip::keep(&whole, led.other_side()).map(|r| r.shifted(gap)),
        rest_goes_on: false,
        warnings: Vec::new(),
    };
    cut.warnings = Warning::of_rip(&cut, limits, again.lies_flat(), work.length);
    cut
}

fn slices(named: NamedBar<'_>, thickness: f64, limits: &SawLimits) -> Cut {
    let bounds = named.bar.outline().bounds();
    let height = bounds.height();
    let block = |from: f64, to: f64| {
        down([
            Point::new(from, 0.0),
            Point::new(to, 0.0),
            Point::new(to, height),
            Point::new(from, height),
        ])
    };
    let from = thickness + limits.kerf;
    let warnings = if thickness < limits.thinnest_slice {
        vec![Warning::ThinSlice {
            thickness,
            least: limits.thinnest_slice,
        }]
    } else {
        Vec::new()
    };
    Cut {
        job: Job::Slices,
        shape: "slice",
        used_in: vec![UsedIn {
            bar: named.name.to_owned(),
            parts: Vec::new(),
        }],
        tilt: 0.0,
        fence: thickness,
        for_kerf: 0.0,
        touch: Touch::Whole,
        up: None,
        height,
        piece: block(0.0, thickness),
        rest: Some(block(from, from + 2.0 * height)),
        rest_goes_on: true,
        warnings,
    }
}
