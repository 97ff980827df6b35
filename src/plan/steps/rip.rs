//! Blanks to strips: the cuts that a blank's strips ask for, in passes, one setting of the blade
//! after the other.
//!
//! Cuts of the least tilt come first, from left to right. What lies between two of them is a strip,
//! waste, or a blank that a later setting cuts on. A strip lies between fence and blade where it
//! stands there safely; else it falls on the far side, set by a stop, and so does waste always.

use super::{
    ledger::{Draft, Ledger, corners, of, settled, tally},
    model::{Becomes, Pass, Piece, PieceKind, RipFor, Round, Set, Side, Touches, Work},
    ways::{CutLine, CutWay, ways},
};
use crate::watch;
use crate::{
    geom::{Point, Polygon},
    plan::{
        cautions::{self, Caution},
        count::{
            RippedBlanks,
            labels::{rip_label, sheet_label, strip_label},
            lay::Profile,
            strips::Kinds,
        },
        saw::SawLimits,
    },
};

/// Lengths (mm) or angles (degrees) nearer than this are one setting.
const SAME: f64 = 1e-6;

/// What lies between two cuts.
#[derive(Debug, Clone, PartialEq)]
enum Between {
    /// The strip of a rip.
    Strip(usize),
    Waste,
    /// What is left of the blank.
    Rest,
}

/// A blank that is to be cut: what lies in it from the left, with the cuts between.
#[derive(Debug, Clone)]
struct Job {
    /// Its lot.
    lot: String,
    count: u64,
    section: Polygon,
    between: Vec<Between>,
    cuts: Vec<CutLine>,
    level: usize,
}

/// What stays the same for all jobs of a sheet.
struct Bench<'a> {
    kinds: &'a Kinds,
    limits: &'a SawLimits,
    sheet: usize,
    length: f64,
    /// What the blank is called.
    name: &'a str,
}

/// Rips lots of blanks to strips; a lot for each of `blanks`, in their order.
pub(super) fn rip(
    ledger: &mut Ledger,
    kinds: &Kinds,
    blanks: &[RippedBlanks],
    lots: &[String],
    limits: &SawLimits,
) {
    let mut drafts: Vec<(usize, f64, Draft)> = Vec::new();
    for (blank, lot) in blanks.iter().zip(lots) {
        let bench = Bench {
            kinds,
            limits,
            sheet: blank.sheet,
            length: blank.length,
            name: lot,
        };
        let section = ledger.get(lot).section.clone();
        let mut open = vec![job(blank, lot, section, limits.kerf)];
        while let Some(job) = open.pop() {
            watch::ask();
            bench.set_up(ledger, job, &mut drafts, &mut open);
        }
    }
    // The blade is set once for all that share a tilt; what an earlier setting gives comes later.
    drafts.sort_by(|(a, s, _), (b, t, _)| a.cmp(b).then(s.total_cmp(t)));
    for (_, _, draft) in drafts {
        ledger.step(draft);
    }
}

/// The line of a cut face with piece `A` on its left.
fn line_right(face: [f64; 2], depth: f64, kerf: f64) -> CutLine {
    CutLine {
        from: Point::new(face[0], 0.0),
        to: Point::new(face[1], depth),
        kerf,
    }
}

/// The line of a cut face with piece `A` on its right.
fn line_left(face: [f64; 2], depth: f64, kerf: f64) -> CutLine {
    CutLine {
        from: Point::new(face[1], depth),
        to: Point::new(face[0], 0.0),
        kerf,
    }
}

/// What lies in a blank, and the cuts.
fn job(blank: &RippedBlanks, lot: &str, section: Polygon, kerf: f64) -> Job {
    let depth = section.bounds().height();
    let width = section.bounds().width();
    let (mut between, mut cuts) = (Vec::new(), Vec::new());
    let mut before: Option<Profile> = None;
    for strip in &blank.strips {
        watch::ask();
        let profile = strip.profile;
        let gap = match before {
            None => profile.left,
            Some(b) => [profile.left[0] - b.right[0], profile.left[1] - b.right[1]],
        };
        let at_one = before.is_some_and(|b| {
            let wide = kerf * b.slant_right();
            gap.iter().all(|g| (g - wide).abs() < SAME)
        });
        if let Some(b) = before {
            cuts.push(line_right(b.right, depth, kerf));
        }
        if !at_one && gap.iter().any(|g| *g > SAME) {
            between.push(Between::Waste);
            cuts.push(line_left(profile.left, depth, kerf));
        }
        between.push(Between::Strip(strip.rip));
        before = Some(profile);
    }
    if let Some(last) = before
        && last.right.iter().any(|x| *x < width - SAME)
    {
        cuts.push(line_right(last.right, depth, kerf));
        between.push(Between::Rest);
    }
    Job {
        lot: lot.to_owned(),
        count: blank.count,
        section,
        between,
        cuts,
        level: 0,
    }
}

fn tilt_of(cut: &CutLine) -> f64 {
    let way = cut.to - cut.from;
    crate::geom::angle::direction(way.y.abs(), way.x.abs())
}

impl Bench<'_> {
    /// One setting of the blade for a lot; what is to be cut on goes to `open`.
    fn set_up(
        &self,
        ledger: &mut Ledger,
        job: Job,
        drafts: &mut Vec<(usize, f64, Draft)>,
        open: &mut Vec<Job>,
    ) {
        let Some(tilt) = job.cuts.iter().map(tilt_of).min_by(f64::total_cmp) else {
            return;
        };
        let now = |cut: &CutLine| (tilt_of(cut) - tilt).abs() < SAME;
        let mut passes = Vec::new();
        let mut gives = Vec::new();
        let mut cautions: Vec<Caution> = Vec::new();
        let mut work = job.section.clone();
        let mut shape = String::new();
        let mut on = false;
        let mut gone = false;
        let mut from = 0;
        let chunks: Vec<usize> = (0..job.cuts.len()).filter(|&i| now(&job.cuts[i])).collect();
        for &at in &chunks {
            let x = work.bounds().min.x;
            let left = settled(&work);
            let cut = job.cuts[at].shifted(Point::new(-x, 0.0));
            let chunk = self.chunk(ledger, &job, from..at + 1, &work, Some(job.cuts[at]), open);
            on |= chunk.goes_on;
            if let Some(name) = chunk.shape {
                shape = name;
            }
            let depth = left.bounds().height();
            let wants_waste = chunk.becomes == Becomes::Waste;
            let (way, led) = self.choose(&ways(&left, depth, cut), &job.cuts[at], wants_waste);
            let rest_kept = right_of(&work, &job.cuts[at]).is_some();
            tally(&mut gives, &chunk.becomes, job.count);
            let going = if rest_kept {
                Becomes::Work
            } else {
                Becomes::Waste
            };
            let (inboard, outboard, set) = if led {
                (chunk.becomes, going, way.fence())
            } else if wants_waste && from == 0 {
                (going, chunk.becomes, way.fence())
            } else {
                (going, chunk.becomes, way.stop())
            };
            add_cautions(
                &mut cautions,
                &way,
                matches!(set, Set::Stop(_)),
                self.limits,
            );
            passes.push(Pass {
                lie: way.lie,
                set,
                touches: way.touches(),
                safe: way.faults(self.limits) == 0,
                inboard,
                outboard,
                work: corners(&way.work),
                blade: way.near,
            });
            let right = right_of(&work, &job.cuts[at]);
            from = at + 1;
            let Some(right) = right else {
                gone = true;
                break;
            };
            work = right;
        }
        let left = if !gone && from < job.between.len() {
            self.chunk(ledger, &job, from..job.between.len(), &work, None, open)
                .becomes
        } else {
            Becomes::Waste
        };
        tally(&mut gives, &left, job.count);
        cautions.extend([Caution::OffCut, Caution::Always]);
        let purpose = match (on, job.level) {
            (true, _) => RipFor::Blanks,
            (false, 0) => RipFor::Strips,
            (false, _) => RipFor::SecondEdge,
        };
        drafts.push((
            job.level,
            tilt,
            Draft {
                work: Work::Rip {
                    purpose,
                    shape,
                    tilt,
                    kerf: self.limits.kerf,
                    work: job.lot.clone(),
                    rounds: rounds(&passes),
                    left,
                },
                takes: vec![of(job.lot, job.count)],
                gives,
                cautions,
                why: Vec::new(),
            },
        ));
    }

    /// The way to make a cut, and whether what is left of it is led along the fence.
    fn choose(&self, all: &[CutWay], cut: &CutLine, waste: bool) -> (CutWay, bool) {
        let a_is_left = cut.from.y < cut.to.y;
        let led = |way: &&CutWay| way.a_inboard == a_is_left;
        let least = |led_wanted: bool| {
            all.iter()
                // A board lies flat: it is never stood on a sawn edge.
                .filter(|way| way.lie.down.side != Side::Sawn && led(way) == led_wanted)
                .min_by_key(|way| {
                    let face_down = way.lie.down.side != Side::Back;
                    (way.faults(self.limits), face_down, way.lie.end)
                })
        };
        let (strip_led, work_led) = (least(true), least(false));
        let faults = |way: Option<&CutWay>| way.map_or(u32::MAX, |w| w.faults(self.limits));
        let take_strip = !waste && faults(strip_led) <= faults(work_led) || work_led.is_none();
        let way = if take_strip { strip_led } else { work_led };
        let way = way.expect("invariant: a sheet lies on its face or its back");
        (way.clone(), take_strip)
    }

    /// What a run of neighbours becomes: a strip, waste, the rest, or a blank to cut on.
    fn chunk(
        &self,
        ledger: &mut Ledger,
        job: &Job,
        range: std::ops::Range<usize>,
        work: &Polygon,
        cut: Option<CutLine>,
        open: &mut Vec<Job>,
    ) -> Chunk {
        let section = match cut {
            Some(cut) => sides(work, &cut)[0].clone(),
            None => Some(work.clone()),
        };
        let between = &job.between[range.clone()];
        let Some(section) = section else {
            return Chunk::gone();
        };
        let x = section.bounds().min.x;
        let section = settled(&section);
        let piece = |id: String, kind| Piece {
            id,
            kind,
            sheet: sheet_label(self.sheet),
            section: corners(&section),
            layers: ledger.get(&job.lot).piece.layers.clone(),
            length: self.length,
        };
        match between {
            [Between::Strip(rip)] => {
                // Mirrored or rolled over as it may lie here: it is told as its kind is drawn.
                let kind = &self.kinds.rips[*rip];
                let section = kind.profile.section();
                let strip = Piece {
                    section: corners(&section),
                    ..piece(strip_name(self.kinds, *rip), PieceKind::Strip)
                };
                let id = ledger.lot(strip, &section);
                Chunk {
                    becomes: Becomes::Piece(id),
                    goes_on: false,
                    shape: Some(self.kinds.rips[*rip].shape.to_owned()),
                }
            }
            [Between::Waste] => Chunk::gone(),
            [Between::Rest] => {
                let id = format!("rest of {}", self.name);
                let id = ledger.lot(piece(id, PieceKind::Rest), &section);
                Chunk {
                    becomes: Becomes::Piece(id),
                    ..Chunk::gone()
                }
            }
            _ => {
                let id = format!("{}-{}", job.lot, range.start + 1);
                let alike = open.iter_mut().find(|o| {
                    o.level == job.level + 1
                        && o.between == between
                        && o.section.coincides(&section, SAME)
                        && o.lot.starts_with(&format!("{}-", job.lot))
                });
                if let Some(known) = alike {
                    known.count += job.count;
                    return Chunk {
                        becomes: Becomes::Piece(known.lot.clone()),
                        goes_on: true,
                        shape: None,
                    };
                }
                let id = ledger.lot(piece(id, PieceKind::Blank), &section);
                let within = range.start..range.end - 1;
                open.push(Job {
                    lot: id.clone(),
                    count: job.count,
                    section,
                    between: between.to_vec(),
                    cuts: (job.cuts[within].iter())
                        .map(|c| c.shifted(Point::new(-x, 0.0)))
                        .collect(),
                    level: job.level + 1,
                });
                Chunk {
                    becomes: Becomes::Piece(id),
                    goes_on: true,
                    shape: None,
                }
            }
        }
    }
}

/// What strips of a rip are called: by the part that they are, or by the rip where they are to be
/// ripped again.
fn strip_name(kinds: &Kinds, rip: usize) -> String {
    let kind = &kinds.rips[rip];
    match kind.yields.first() {
        Some(&(part, _)) if kind.pieces.cut.is_none() => strip_label(part),
        _ => rip_label(rip),
    }
}

/// What lies right of a cut and its kerf.
fn right_of(work: &Polygon, cut: &CutLine) -> Option<Polygon> {
    let [_, right] = sides(work, cut);
    right
}

/// The pieces left and right of a cut.
fn sides(work: &Polygon, cut: &CutLine) -> [Option<Polygon>; 2] {
    let [a, b] = cut.pieces(work);
    if cut.from.y < cut.to.y {
        [a, b]
    } else {
        [b, a]
    }
}

struct Chunk {
    becomes: Becomes,
    goes_on: bool,
    shape: Option<String>,
}

impl Chunk {
    fn gone() -> Self {
        Self {
            becomes: Becomes::Waste,
            goes_on: false,
            shape: None,
        }
    }
}

/// The cautions of a pass, each once.
pub(super) fn add_cautions(
    all: &mut Vec<Caution>,
    way: &CutWay,
    by_stop: bool,
    limits: &SawLimits,
) {
    let mut add = |caution| {
        // Of small feet the smallest speaks for all.
        let known = all.iter_mut().find_map(|known| match (known, caution) {
            (Caution::SmallFoot(least), Caution::SmallFoot(foot)) => {
                *least = least.min(foot);
                Some(())
            }
            _ => None,
        });
        if known.is_none() && !all.contains(&caution) {
            all.push(caution);
        }
    };
    if way.tilt > 0.01 {
        add(Caution::LeansAway);
        add(Caution::GuardClears);
    }
    add(if way.faults(limits) == 0 {
        cautions::of_foot(way.foot())
    } else {
        Caution::NotLed
    });
    match way.touches() {
        Touches::LowCorner => add(Caution::LowCorner),
        Touches::HighCorner => add(Caution::HighCorner),
        Touches::Whole => {}
    }
    if by_stop {
        add(Caution::StopAhead);
    }
}

/// Passes as rounds: what repeats is told once, with how often.
fn rounds(passes: &[Pass]) -> Vec<Round> {
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
        (Set::Fence(a), Set::Fence(b)) | (Set::Stop(a), Set::Stop(b)) => (a - b).abs() < SAME,
        _ => false,
    };
    same_set
        && a.lie == b.lie
        && a.touches == b.touches
        && a.safe == b.safe
        && a.inboard == b.inboard
        && a.outboard == b.outboard
}
