//! Strips that are ripped once more: a trapezoid halved, a corner taken off.
//!
//! The pieces are told in the recipe without the kerf; here each stands where the saw leaves it:
//! what lies beyond a cut is farther right by what the blade takes of the width.

use super::{
    ledger::{Draft, Ledger, corners, of, settled, tally},
    model::{Becomes, Pass, Piece, PieceKind, RipFor, Round, Work},
    rip::add_cautions,
    ways::{CutLine, CutWay, ways},
};
use crate::watch;
use crate::{
    geom::{Point, Polygon},
    plan::{
        cautions::Caution,
        count::{
            labels::strip_label,
            ripped::{Cut, Piece as Node},
            strips::Kinds,
        },
        saw::SawLimits,
    },
    stock::shapes::Shape,
};

/// A lot of strips that are ripped once more.
struct Open<'a> {
    lot: String,
    count: u64,
    node: &'a Node,
    /// The section as it is, in the frame of `node`, and how far right of its place there it is.
    section: Polygon,
    shift: f64,
    /// The sections before, as the recipe has them.
    chain: Vec<Polygon>,
    level: usize,
}

/// Rips the strips of rip kind `rip` in `lot` again; those that bars take are lots of their own then.
pub(super) fn again(
    ledger: &mut Ledger,
    kinds: &Kinds,
    rip: usize,
    lot: &str,
    limits: &SawLimits,
) -> Vec<(usize, f64, Draft)> {
    let kind = &kinds.rips[rip];
    let mut bench = Bench {
        kinds,
        sheet: kind.sheet,
        limits,
        open: vec![Open {
            lot: lot.to_owned(),
            count: ledger.get(lot).count,
            node: &kind.pieces,
            section: kind.profile.section(),
            shift: 0.0,
            chain: Vec::new(),
            level: 0,
        }],
    };
    let mut drafts = Vec::new();
    while let Some(job) = bench.open.pop() {
        watch::ask();
        drafts.extend(bench.cut(ledger, &job));
    }
    drafts
}

/// What stays the same for all cuts in a strip, and what is still to be cut.
struct Bench<'a> {
    kinds: &'a Kinds,
    sheet: usize,
    limits: &'a SawLimits,
    open: Vec<Open<'a>>,
}

impl<'a> Bench<'a> {
    /// The cut that parts the strips of a lot; none where they stay as they are.
    fn cut(&mut self, ledger: &mut Ledger, job: &Open<'a>) -> Option<(usize, f64, Draft)> {
        let cut = job.node.cut.as_ref()?;
        let kerf = self.limits.kerf;
        let taken = kerf * cut.slant().unwrap_or(0.0);
        let [left, right] = &cut.pieces;
        let line = line(cut, job.shift, kerf);
        let [a, b] = line.pieces(&job.section);
        let thickness = self.kinds.sheets[self.sheet].thickness;
        let way = best(&ways(&job.section, thickness, line), self.limits)?;
        let becomes = [(left, a, job.shift, 1), (right, b, job.shift + taken, 2)].map(
            |(node, section, shift, number)| match section {
                Some(section) => self.piece(ledger, job, node, section, shift, number),
                None => Becomes::Waste,
            },
        );
        let mut gives = Vec::new();
        for what in &becomes {
            tally(&mut gives, what, job.count);
        }
        let mut cautions = Vec::new();
        add_cautions(&mut cautions, &way, false, self.limits);
        cautions.extend([Caution::OffCut, Caution::Always]);
        let [a, b] = becomes;
        let (inboard, outboard) = if way.a_inboard { (a, b) } else { (b, a) };
        let pass = Pass {
            lie: way.lie,
            set: way.fence(),
            touches: way.touches(),
            safe: way.faults(self.limits) == 0,
            inboard,
            outboard,
            work: corners(&way.work),
            blade: way.near,
        };
        let work = Work::Rip {
            purpose: RipFor::Again,
            shape: Shape::of(&left.section).name().to_owned(),
            tilt: way.tilt,
            kerf,
            work: job.lot.clone(),
            rounds: vec![Round {
                times: 1,
                passes: vec![pass],
            }],
            left: Becomes::Waste,
        };
        let draft = Draft {
            work,
            takes: vec![of(job.lot.clone(), job.count)],
            gives,
            cautions,
            why: Vec::new(),
        };
        Some((job.level, way.tilt, draft))
    }

    /// The lot of a piece, which is cut on where the recipe asks for it.
    fn piece(
        &mut self,
        ledger: &mut Ledger,
        job: &Open<'a>,
        node: &'a Node,
        section: Polygon,
        shift: f64,
        number: usize,
    ) -> Becomes {
        let mut chain = job.chain.clone();
        chain.push(job.node.section.clone());
        let part = leaf(node, &chain).and_then(|chain| self.kinds.known_part(self.sheet, &chain));
        let (id, kind) = match part {
            Some(part) => (strip_label(part), PieceKind::Strip),
            None if node.cut.is_some() => (format!("{}-{number}", job.lot), PieceKind::Strip),
            None => (format!("rest of {}", job.lot), PieceKind::Rest),
        };
        let lying = settled(&section);
        let piece = Piece {
            id,
            kind,
            section: corners(&lying),
            ..ledger.get(&job.lot).piece.clone()
        };
        let id = ledger.lot(piece, &lying);
        if node.cut.is_some() {
            self.open.push(Open {
                lot: id.clone(),
                count: job.count,
                node,
                section,
                shift,
                chain,
                level: job.level + 1,
            });
        }
        Becomes::Piece(id)
    }
}

/// Where the saw cuts, with the left piece on the line's own side.
fn line(cut: &Cut, shift: f64, kerf: f64) -> CutLine {
    let (from, to) = (cut.from, cut.to);
    let left = cut.pieces[0].section.centroid();
    let (from, to) = if (to - from).cross(left - from) > 0.0 {
        (from, to)
    } else {
        (to, from)
    };
    let at = Point::new(shift, 0.0);
    CutLine {
        from: from + at,
        to: to + at,
        kerf,
    }
}

/// The sections that lead to a piece that is cut no further; none where it is cut on.
fn leaf(node: &Node, before: &[Polygon]) -> Option<Vec<Polygon>> {
    node.cut.is_none().then(|| {
        let mut chain = before.to_vec();
        chain.push(node.section.clone());
        chain
    })
}

/// The way with the fewest faults, then the least tilt, then the widest foot.
fn best(all: &[CutWay], limits: &SawLimits) -> Option<CutWay> {
    all.iter()
        .min_by(|a, b| {
            a.faults(limits)
                .cmp(&b.faults(limits))
                .then(a.tilt.total_cmp(&b.tilt))
                .then(b.foot().total_cmp(&a.foot()))
        })
        .cloned()
}
