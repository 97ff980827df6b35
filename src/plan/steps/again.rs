//! Strips that are ripped once more: a trapezoid halved, a corner taken off.
//!
//! The recipe gives the pieces without the kerf; here each is where the saw leaves it: what lies beyond a
//! cut is farther right by the width that the blade takes.

use super::{
    ledger::{Draft, Ledger, corners, of, settled, tally},
    model::{Becomes, OfBoards, Pass, Piece, PieceKind, RipFor, Round, Set, Work},
    passes_of_run::lie,
    rip::{Waiting, boards_of, cautions_of, uses},
};
use crate::watch;
use crate::{
    geom::{
        Point, Polygon, TOLERANCE,
        clip::{self, HalfPlane},
    },
    plan::{
        count::{
            CountBack,
            labels::strip_label,
            ripped::{FurtherRip, RippedSection},
            strips::Kinds,
        },
        saw::{
            SawLimits,
            again::Again,
            passes::Edge,
            rip::Up,
            set_up::{Ripped, again as set_up},
        },
    },
    stock::shapes::Shape,
};

/// A lot of strips that are ripped once more.
struct Open<'a> {
    lot: String,
    count: u64,
    node: &'a RippedSection,
    /// The section as it is, in the frame of `node`, and how far right of its place there it is.
    section: Polygon,
    shift: f64,
    /// The sections before, as the recipe has them.
    chain: Vec<Polygon>,
    level: usize,
}

/// Rips the strips of rip kind `rip` in `lot` again; the strips that bars take become lots of their own.
pub(super) fn again(
    ledger: &mut Ledger,
    count: &CountBack,
    rip: usize,
    lot: &str,
    limits: &SawLimits,
) -> Vec<Waiting> {
    let kinds = &count.kinds;
    let kind = &kinds.rips[rip];
    let mut bench = Bench {
        kinds,
        boards: boards_of(count, kind.sheet),
        rip,
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
    boards: Option<OfBoards>,
    rip: usize,
    limits: &'a SawLimits,
    open: Vec<Open<'a>>,
}

impl<'a> Bench<'a> {
    /// The cut that parts the strips of a lot; none where they stay as they are.
    fn cut(&mut self, ledger: &mut Ledger, job: &Open<'a>) -> Option<Waiting> {
        let cut = job.node.cut.as_ref()?;
        let kerf = self.limits.kerf;
        let taken = kerf * cut.slant().unwrap_or(0.0);
        let [left, right] = &cut.pieces;
        let line = Line::of(cut, job.shift, kerf);
        let again = Again::through(&job.section, (line.from, line.to), line.over)?;
        let [a, b] = line.pieces(&job.section);
        let a_led = again.kerf_is_beyond(line.over);
        let mut used_in = Vec::new();
        uses(self.kinds, self.rip, &mut used_in);
        let sheet = &self.kinds.sheets[self.kinds.rips[self.rip].sheet];
        let ripped = Ripped {
            shape: Shape::of(&job.node.section).name(),
            used_in: &used_in,
            for_kerf: if a_led { left } else { right }.widening(kerf),
            faces_differ: !sheet.same_both_ways,
        };
        let beyond = if a_led { &b } else { &a };
        let set_ups = vec![set_up(&again, &job.section, beyond.as_ref(), ripped)];
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
        let [a, b] = becomes;
        let (inboard, outboard) = if a_led { (a, b) } else { (b, a) };
        let up = if again.upside_down() {
            Up::Back
        } else {
            Up::Face
        };
        let mirrored = again.to_saw().flip;
        let edge = if mirrored == again.upside_down() {
            Edge::Left
        } else {
            Edge::Right
        };
        let pass = Pass {
            lie: lie(edge, up),
            set: Set::Fence(again.fence()),
            touches: again.touch().into(),
            inboard,
            outboard,
            work: corners(&job.section.moved(again.to_saw())),
            blade: again.fence(),
        };
        let tilt = again.tilt();
        let work = Work::Rip {
            purpose: RipFor::Again,
            shape: Shape::of(&left.section).name().to_owned(),
            tilt,
            bed: 0.0,
            kerf,
            boards: self.boards.clone(),
            work: job.lot.clone(),
            rounds: vec![Round {
                times: 1,
                passes: vec![pass],
            }],
            left: Becomes::Waste,
        };
        let draft = Draft {
            cautions: cautions_of(&set_ups),
            set_ups,
            ..Draft::of(work, vec![of(job.lot.clone(), job.count)], gives)
        };
        Some((job.level, tilt, draft))
    }

    /// The lot of a piece, which is cut on where the recipe asks for it.
    fn piece(
        &mut self,
        ledger: &mut Ledger,
        job: &Open<'a>,
        node: &'a RippedSection,
        section: Polygon,
        shift: f64,
        number: usize,
    ) -> Becomes {
        let sheet = self.kinds.rips[self.rip].sheet;
        let mut chain = job.chain.clone();
        chain.push(job.node.section.clone());
        let part = leaf(node, &chain).and_then(|chain| self.kinds.known_part(sheet, &chain));
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

/// Where the saw cuts: the left piece ends at the line, the right one begins where `over` leads.
struct Line {
    from: Point,
    to: Point,
    over: Point,
}

impl Line {
    fn of(cut: &FurtherRip, shift: f64, kerf: f64) -> Self {
        let (from, to) = (cut.from, cut.to);
        let left = cut.pieces[0].section.centroid();
        let (from, to) = if (to - from).cross(left - from) > 0.0 {
            (from, to)
        } else {
            (to, from)
        };
        let at = Point::new(shift, 0.0);
        let way = to - from;
        Self {
            from: from + at,
            to: to + at,
            over: Point::new(way.y, -way.x) * (kerf / way.length()),
        }
    }

    fn pieces(&self, section: &Polygon) -> [Option<Polygon>; 2] {
        let sides = [
            HalfPlane::right_of(self.from, self.to),
            HalfPlane::right_of(self.to + self.over, self.from + self.over),
        ];
        // Anything thinner is dust.
        let is_wood = |piece: &Polygon| clip::depth(piece) > TOLERANCE;
        sides.map(|side| clip::keep(section, side).filter(is_wood))
    }
}

/// The sections that lead to a piece that is cut no further; none where it is cut on.
fn leaf(node: &RippedSection, before: &[Polygon]) -> Option<Vec<Polygon>> {
    node.cut.is_none().then(|| {
        let mut chain = before.to_vec();
        chain.push(node.section.clone());
        chain
    })
}
