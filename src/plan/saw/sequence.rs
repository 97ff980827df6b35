//! All set-ups of the saw for some bars, in cutting order, and the parts that no safe way leads to.
//!
//! Strips come before what is ripped from them again, and slices last. Within a step the set-ups
//! go by tilt, so that the blade is set once for all cuts that share it, and then from wide to
//! narrow. Cuts that are alike are one set-up.
//!
//! A second rip takes its kerf out of a strip that a recipe draws without: so the strip is ripped
//! wider by kerf / sin(angle of the cut to the sheet's face), and the pieces come out as drawn.
//!
//! Lengths in mm, angles in degrees.

use std::sync::Arc;

use crate::plan::{
    count::lay::Profile,
    count::sheets::same_both_ways,
    saw::again::{Again, wood_corners},
    saw::passes::Set,
    saw::rip::{SAME, Touch},
    saw::set_up::{Ripped, polygon, set_ups},
    saw::ways::{Way, way},
    saw::{Cut, Job, Made, Refused, SawLimits, UsedIn, Warning},
};
use crate::watch;
use crate::{
    geom::{
        Point, Polygon, TOLERANCE, angle,
        clip::{self, HalfPlane},
    },
    layout::panel::Panel,
    stock::{Bar, Sheet, Strip, strip::Origin},
};

/// A bar with its name.
#[derive(Debug, Clone, Copy)]
pub struct NamedBar<'a> {
    /// The name.
    pub name: &'a str,
    /// The bar.
    pub bar: &'a Bar,
}

/// A way that a plan takes to rip a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct ChosenWay {
    /// The sheet.
    pub sheet: Arc<Sheet>,
    /// The way.
    pub way: Way,
}

/// The set-ups for some bars.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sequence {
    /// In cutting order; each is safe.
    pub cuts: Vec<Cut>,
    /// Parts that no safe way leads to.
    pub refused: Vec<Refused>,
}

/// The set-ups for some bars, in cutting order, with slices of `slice` mm where bars are sliced.
/// `chosen` are the ways that a plan takes; a strip that none of them gives is ripped its own way.
#[must_use]
pub fn cut_sequence(
    bars: &[NamedBar<'_>],
    limits: &SawLimits,
    slice: Option<f64>,
    chosen: &[ChosenWay],
) -> Sequence {
    let mut needs: Vec<Need> = Vec::new();
    for named in bars {
        for (i, part) in named.bar.parts().iter().enumerate() {
            watch::ask();
            need(&mut needs, &part.strip, named.name, i + 1);
        }
    }
    let mut steps: Vec<(usize, usize, Cut)> = Vec::new();
    let mut refused: Vec<Refused> = Vec::new();
    for one in &needs {
        let cuts = match one.strip.origin() {
            Origin::Sheet => one.ripped(&needs, limits, chosen),
            Origin::Strip { from, .. } => one.ripped_again(from, &needs, limits),
        };
        match cuts {
            Ok(cuts) => steps.extend(
                cuts.into_iter()
                    .map(|(number, cut)| (steps_before(&one.strip), number, cut)),
            ),
            Err(why) => refused.push(Refused {
                shape: one.strip.shape(),
                used_in: one.used_in.clone(),
                why,
            }),
        }
    }
    // What is alike becomes one set-up; the first of them gives the drawing.
    let mut merged: Vec<(usize, usize, Cut)> = Vec::new();
    for (step, number, cut) in steps {
        watch::ask();
        match merged
            .iter_mut()
            .find(|(s, n, c)| *s == step && *n == number && alike(c, &cut))
        {
            Some((.., same)) => add_uses(&mut same.used_in, &cut.used_in),
            None => merged.push((step, number, cut)),
        }
    }
    let strips_after_edges = |cut: &Cut| !matches!(cut.job, Job::FirstEdge { .. });
    let distance = |cut: &Cut| cut.distance().unwrap_or(0.0);
    merged.sort_by(|(s, n, a), (t, m, b)| {
        (s, n)
            .cmp(&(t, m))
            .then(a.tilt.total_cmp(&b.tilt))
            .then(strips_after_edges(a).cmp(&strips_after_edges(b)))
            .then(distance(b).total_cmp(&distance(a)))
    });
    let mut cuts: Vec<Cut> = merged.into_iter().map(|(.., cut)| cut).collect();
    if let Some(thickness) = slice {
        for bar in bars {
            match slices(*bar, thickness, limits) {
                Ok(cut) => cuts.push(cut),
                Err(no) => refused.push(no),
            }
        }
    }
    Sequence { cuts, refused }
}

/// The parts of some panels that no safe way leads to.
#[must_use]
pub fn refused(panels: &[&Panel], limits: &SawLimits) -> Vec<Refused> {
    let mut bars: Vec<NamedBar<'_>> = Vec::new();
    for kind in panels.iter().flat_map(|p| &p.faces).map(|f| &f.kind) {
        if !bars.iter().any(|b| *b.bar == **kind.bar()) {
            bars.push(NamedBar {
                name: kind.name(),
                bar: kind.bar(),
            });
        }
    }
    // How thick slices are does not matter to whether they can be cut.
    cut_sequence(&bars, limits, Some(1.0), &[]).refused
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

impl Need {
    /// The set-ups of a strip from the sheet.
    fn ripped(
        &self,
        needs: &[Need],
        limits: &SawLimits,
        chosen: &[ChosenWay],
    ) -> Result<Vec<(usize, Cut)>, Warning> {
        let sheet = self.strip.sheet();
        let wider = widening(needs, &self.strip, limits.kerf);
        let profile = Profile::of(&self.strip.as_ripped(), sheet.thickness()).widened(wider);
        let alike = same_both_ways(sheet);
        let own = |c: &&ChosenWay| c.sheet == *sheet && c.way.gives(profile, alike);
        let mut ways: Vec<Way> = chosen.iter().filter(own).map(|c| c.way).collect();
        if ways.is_empty() {
            ways.push(way(profile, alike, limits)?);
        }
        let ripped = Ripped {
            shape: self.strip.shape(),
            used_in: &self.used_in,
            for_kerf: wider,
            faces_differ: !alike,
        };
        Ok(ways
            .iter()
            .flat_map(|way| set_ups(way, ripped, limits))
            .collect())
    }

    /// The set-up of a strip that is ripped from another.
    fn ripped_again(
        &self,
        parent: &Strip,
        needs: &[Need],
        limits: &SawLimits,
    ) -> Result<Vec<(usize, Cut)>, Warning> {
        let Some(again) = Again::of(&self.strip) else {
            return Ok(Vec::new());
        };
        let cut = again_cut(self, parent, &again, needs, limits);
        if !again.lies_flat() {
            return Err(Warning::NoFlat);
        }
        if cut.tilt > limits.most_tilt + SAME {
            return Err(Warning::TiltBeyond {
                tilt: cut.tilt,
                most: limits.most_tilt,
            });
        }
        let most = limits.depth_at(cut.tilt);
        if cut.height > most {
            return Err(Warning::TooDeep {
                height: cut.height,
                tilt: cut.tilt,
                most,
            });
        }
        let foot = cut.foot();
        if foot < limits.narrowest || !stands(&cut.at_fence) {
            return Err(Warning::Narrow {
                foot,
                least: limits.narrowest,
            });
        }
        Ok(vec![(0, cut)])
    }
}

/// Whether a piece stands on its foot by itself.
fn stands(piece: &Polygon) -> bool {
    let heavy = piece.centroid().x;
    let on_table = |p: &&Point| p.y.abs() < TOLERANCE;
    let feet = piece.corners().iter().filter(on_table);
    let (low, high) = feet.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| {
        (l.min(p.x), h.max(p.x))
    });
    low < heavy && heavy < high
}

/// How much wider a strip must leave the sheet for all cuts in it, in mm.
fn widening(needs: &[Need], strip: &Strip, kerf: f64) -> f64 {
    let pieces: Vec<&Strip> = (needs.iter().map(|n| &n.strip))
        .filter(|s| is_parent(strip, s))
        .collect();
    let own = pieces.first().and_then(|piece| Again::of(piece));
    let own = own
        .and_then(|cut| cut.slant())
        .map_or(0.0, |slant| kerf * slant);
    own + pieces
        .iter()
        .map(|piece| widening(needs, piece, kerf))
        .sum::<f64>()
}

fn alike(a: &Cut, b: &Cut) -> bool {
    let distance = |cut: &Cut| cut.distance().unwrap_or(0.0);
    (a.tilt - b.tilt).abs() <= SAME
        && (distance(a) - distance(b)).abs() <= SAME
        && a.job == b.job
        && a.up == b.up
        && a.turn == b.turn
        && a.piece().coincides(b.piece(), TOLERANCE)
}

fn again_cut(
    need: &Need,
    parent: &Strip,
    again: &Again,
    needs: &[Need],
    limits: &SawLimits,
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
        .filter_map(|n| Again::of(&n.strip))
        .map(|cut| limits.kerf / angle::cos(cut.tilt()))
        .fold(0.0, f64::max);
    let gap = Point::new(limits.kerf / cos, 0.0);
    let fence = again.fence() + further;
    Cut {
        job: Job::Again {
            upside_down: again.upside_down(),
        },
        shape: parent.shape(),
        used_in: need.used_in.clone(),
        tilt: again.tilt(),
        bed: 0.0,
        set: Set::Fence(fence),
        for_kerf: further,
        touch: again.touch(),
        up: None,
        far_edge: false,
        turn: None,
        faces_differ: false,
        height: whole.bounds().height(),
        blade: fence,
        at_fence: clip::keep(&whole, led).unwrap_or_else(|| Polygon::clockwise(Vec::new())),
        beyond: clip::keep(&whole, led.other_side()).map(|r| r.shifted(gap)),
        made: Made::AtFence,
        goes_on: false,
    }
}

fn slices(named: NamedBar<'_>, thickness: f64, limits: &SawLimits) -> Result<Cut, Refused> {
    let bounds = named.bar.outline().bounds();
    let used_in = vec![UsedIn {
        bar: named.name.to_owned(),
        parts: Vec::new(),
    }];
    // A bar that is too high as the recipe draws it is laid on its side.
    let on_side = bounds.height() > limits.slicing_height;
    let height = if on_side {
        bounds.width()
    } else {
        bounds.height()
    };
    if height > limits.slicing_height {
        return Err(Refused {
            shape: "bar",
            used_in,
            why: Warning::TooHigh {
                height: height.min(bounds.height()),
                most: limits.slicing_height,
            },
        });
    }
    let block = |from: f64, to: f64| {
        polygon([
            Point::new(from, 0.0),
            Point::new(to, 0.0),
            Point::new(to, -height),
            Point::new(from, -height),
        ])
    };
    let from = thickness + limits.kerf;
    Ok(Cut {
        job: Job::Slices { on_side },
        shape: "slice",
        used_in,
        tilt: 0.0,
        bed: 0.0,
        set: Set::Fence(thickness),
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
        made: Made::AtFence,
        goes_on: true,
    })
}
