//! Blanks to strips: the passes of each run's method, one setting of the blade after the other.
//!
//! Which part of a cut is led and which falls free was decided with the method
//! ([`RipMethod::passes`](crate::plan::saw::rip_method::RipMethod::passes)); here each pass gets the wood that it is
//! made in and what becomes of it. Runs of a blank are ripped from its left edge to the right; what
//! a setting leaves of a board goes on to the next, and blanks that want a second edge come last.

use super::{
    ledger::{Draft, Ledger, corners, of, settled, tally},
    model::{Becomes, OfBoards, Pass, Piece, PieceKind, RipFor, Set, Work},
    passes_of_run::{lie, parts, placed, polygon_between, rounds},
    pieces::SAME,
};
use crate::watch;
use crate::{
    geom::{Point, Polygon, angle},
    plan::{
        cautions,
        count::{
            BoardLine, CountBack, RippedBlanks, RunAt,
            labels::{rip_label, sheet_label, strip_label},
            strips::Kinds,
        },
        saw::{
            Cut, SawLimits, UsedIn,
            passes::{self, Edge, On, Product, Stage},
            set_up::{Ripped, set_ups},
        },
    },
};

/// What is left of a blank is kept from this width on, in mm.
const KEPT: f64 = 1.0;

/// What stays the same for one lot of blanks.
struct Bench<'a> {
    kinds: &'a Kinds,
    boards: Option<OfBoards>,
    limits: &'a SawLimits,
    blank: &'a RippedBlanks,
    lot: &'a str,
}

/// A pass and the run that it is made for.
#[derive(Clone)]
struct OfRun {
    run: usize,
    stage: Stage,
    pass: passes::RunPass,
}

/// The settings of the blade for a board: each a tilt, and its passes.
type OnBoard = Vec<(f64, Vec<OfRun>)>;

/// The stages of the blanks of each run that has some.
type OnBlanks = Vec<(usize, Vec<Stage>)>;

/// Passes at one setting of the blade, in a board or in each blank of a lot.
#[derive(Default)]
struct PassesAtSetting {
    passes: Vec<Pass>,
    gives: Vec<super::model::Of>,
    /// Those whose wood is there, for the drawings.
    of_runs: Vec<OfRun>,
    strips: bool,
    blanks: bool,
    shape: String,
}

/// A step before all are put in order: how many settings come before it, the tilt, the step.
pub(super) type Waiting = (usize, f64, Draft);

/// Rips lots of blanks to strips; a lot for each that is ripped, in the order of the count.
pub(super) fn rip(ledger: &mut Ledger, count: &CountBack, lots: &[String], limits: &SawLimits) {
    let mut waiting: Vec<Waiting> = Vec::new();
    for (blank, lot) in count.ripped.iter().zip(lots) {
        let bench = Bench {
            kinds: &count.kinds,
            boards: boards_of(count, blank.sheet),
            limits,
            blank,
            lot,
        };
        bench.rip(ledger, &mut waiting);
    }
    in_order(ledger, waiting);
}

/// Books steps in order: the blade is set once for all steps that share a tilt, a step comes after those that make its
/// work, and the same work on one lot is one step.
pub(super) fn in_order(ledger: &mut Ledger, waiting: Vec<Waiting>) {
    let mut all: Vec<Waiting> = Vec::new();
    for (level, tilt, draft) in waiting {
        match all
            .iter_mut()
            .find(|(_, _, known)| known.work == draft.work)
        {
            Some((before, _, known)) => {
                *before = level.max(*before);
                known.add(&draft);
            }
            None => all.push((level, tilt, draft)),
        }
    }
    all.sort_by(|(a, s, _), (b, t, _)| a.cmp(b).then(s.total_cmp(t)));
    for (_, _, draft) in all {
        ledger.step(draft);
    }
}

impl Bench<'_> {
    fn rip(&self, ledger: &mut Ledger, waiting: &mut Vec<Waiting>) {
        let (board, later) = self.settings();
        let mut section = Some(ledger.get(self.lot).section.clone());
        let mut lot = self.lot.to_owned();
        // The blanks of each run: their lot, and how many.
        let mut blanks: Vec<Option<(String, u64)>> = vec![None; self.blank.runs.len()];
        let last = board.len();
        for (level, (tilt, passes)) in board.into_iter().enumerate() {
            let mut made = PassesAtSetting::default();
            for of_run in passes {
                watch::ask();
                let at = self.blank.runs[of_run.run].at;
                let Some(work) = section.take() else { break };
                section = self.in_board(ledger, &of_run, at, work, &mut made, &mut blanks);
            }
            let left = match &section {
                Some(rest) if level + 1 < last => {
                    let id = format!("{} ({})", self.lot, level + 2);
                    self.lot_of(ledger, id, PieceKind::Blank, rest)
                }
                Some(rest) if rest.bounds().width() > KEPT => {
                    let id = format!("rest of {}", self.lot);
                    self.lot_of(ledger, id, PieceKind::Rest, rest)
                }
                _ => Becomes::Waste,
            };
            tally(&mut made.gives, &left, self.blank.count);
            let next = match &left {
                Becomes::Piece(id) => id.clone(),
                _ => String::new(),
            };
            if !made.passes.is_empty() {
                let took = of(std::mem::replace(&mut lot, next), self.blank.count);
                waiting.push(self.step(level, (tilt, 0.0), took, made, left));
            }
        }
        for (level, (run, stages)) in later.into_iter().enumerate() {
            if let Some(Some(blanks)) = blanks.get(run).cloned() {
                self.in_blanks(ledger, (last + level, run), &stages, blanks, waiting);
            }
        }
    }

    /// The settings of the blade for the board, and the stages of each run's blanks.
    fn settings(&self) -> (OnBoard, OnBlanks) {
        let mut board: Vec<(f64, Vec<OfRun>)> = Vec::new();
        let mut later = Vec::new();
        for (run, at) in self.blank.runs.iter().enumerate() {
            let (on_board, on_blanks): (Vec<Stage>, Vec<Stage>) = (at.method.passes(at.count))
                .into_iter()
                .partition(|stage| stage.on == On::Board);
            for stage in on_board {
                let of_run = |pass: &passes::RunPass| OfRun {
                    run,
                    stage: stage.clone(),
                    pass: *pass,
                };
                let passes = stage.passes.iter().map(of_run);
                match board.last_mut() {
                    Some((tilt, known)) if (*tilt - stage.tilt).abs() < SAME => {
                        known.extend(passes);
                    }
                    _ => board.push((stage.tilt, passes.collect())),
                }
            }
            if !on_blanks.is_empty() {
                later.push((run, on_blanks));
            }
        }
        (board, later)
    }

    /// Makes one pass in what is left of a board; gives what the pass leaves of it.
    fn in_board(
        &self,
        ledger: &mut Ledger,
        of_run: &OfRun,
        at: f64,
        work: Polygon,
        made: &mut PassesAtSetting,
        blanks: &mut [Option<(String, u64)>],
    ) -> Option<Polygon> {
        let pass = placed(of_run.pass, at);
        let [left, right] = parts(&work, pass.cut, self.limits.kerf);
        let run = &self.blank.runs[of_run.run];
        let becomes = match pass.left {
            Product::Strip(i) => {
                made.strips = true;
                self.strip(ledger, run, i, made)
            }
            Product::Blank(_) => {
                made.blanks = true;
                let first = self.strip_name(run.rips[0]);
                let blank = left.as_ref().unwrap_or(&work);
                let id = format!("blank of {first}");
                let becomes = self.lot_of(ledger, id, PieceKind::Blank, blank);
                if let Becomes::Piece(id) = &becomes {
                    let known = &mut blanks[of_run.run];
                    let count = known.as_ref().map_or(0, |(_, count)| *count);
                    *known = Some((id.clone(), count + self.blank.count));
                }
                becomes
            }
            Product::Board | Product::Waste => Becomes::Waste,
        };
        let untouched = |rest: &Polygon| (rest.area() - work.area()).abs() < SAME * work.area();
        if becomes == Becomes::Waste && right.as_ref().is_some_and(untouched) {
            // The edge is as it should be: a cut of the same line left it.
            return Some(work);
        }
        tally(&mut made.gives, &becomes, self.blank.count);
        made.of_runs.push(of_run.clone());
        let goes_on = if right.is_some() {
            Becomes::Work
        } else {
            Becomes::Waste
        };
        let (inboard, outboard) = match pass.at_fence {
            Edge::Left => (becomes, goes_on),
            Edge::Right => (goes_on, becomes),
        };
        (made.passes).push(self.pass(&pass, &work, of_run.stage.tilt, inboard, outboard));
        right
    }

    /// The stages of a run's blanks.
    fn in_blanks(
        &self,
        ledger: &mut Ledger,
        (level, run): (usize, usize),
        stages: &[Stage],
        (mut lot, count): (String, u64),
        waiting: &mut Vec<Waiting>,
    ) {
        let at = &self.blank.runs[run];
        for (more, stage) in stages.iter().enumerate() {
            let Some(&pass) = stage.passes.first() else {
                continue;
            };
            let work = polygon_between(pass.from, pass.to, self.depth());
            let [left, right] = parts(&work, pass.cut, self.limits.kerf);
            let mut made = PassesAtSetting {
                of_runs: vec![OfRun {
                    run,
                    stage: stage.clone(),
                    pass,
                }],
                ..PassesAtSetting::default()
            };
            let mut next = String::new();
            let mut comes = |ledger: &mut Ledger,
                             made: &mut PassesAtSetting,
                             what,
                             section: Option<Polygon>| {
                let becomes = match (what, section) {
                    (Product::Strip(i), _) => self.strip(ledger, at, i, made),
                    (Product::Blank(_), Some(section)) => {
                        let id = format!("{lot}, one edge cut");
                        let becomes = self.lot_of(ledger, id, PieceKind::Blank, &section);
                        if let Becomes::Piece(id) = &becomes {
                            next.clone_from(id);
                        }
                        becomes
                    }
                    _ => Becomes::Waste,
                };
                tally(&mut made.gives, &becomes, count);
                becomes
            };
            let left = comes(ledger, &mut made, pass.left, left);
            let right = comes(ledger, &mut made, pass.right, right);
            let (inboard, outboard) = match pass.at_fence {
                Edge::Left => (left, right),
                Edge::Right => (right, left),
            };
            let bed = if stage.carriage {
                (stage.tilt - self.limits.most_tilt).max(0.0)
            } else {
                0.0
            };
            made.passes = vec![self.pass(&pass, &work, stage.tilt, inboard, outboard)];
            let took = of(std::mem::replace(&mut lot, next), count);
            let lean = (stage.tilt - bed, bed);
            waiting.push(self.step(level + more, lean, took, made, Becomes::Waste));
        }
    }

    fn step(
        &self,
        level: usize,
        (tilt, bed): (f64, f64),
        took: super::model::Of,
        made: PassesAtSetting,
        left: Becomes,
    ) -> Waiting {
        let parted =
            made.gives.len() + usize::from(made.gives.iter().any(|g| g.count > took.count));
        let purpose = match (made.strips, made.blanks, made.shape.is_empty()) {
            (true, ..) => RipFor::Strips,
            (_, true, _) => RipFor::Blanks,
            (_, _, true) if bed <= 0.0 && left != Becomes::Waste => RipFor::FirstEdge,
            _ if parted > 1 => RipFor::Parting,
            _ => RipFor::SecondEdge,
        };
        let set_ups = self.set_ups(&made.of_runs);
        let work = Work::Rip {
            purpose,
            shape: made.shape,
            tilt,
            bed,
            kerf: self.limits.kerf,
            boards: self.boards.clone(),
            work: took.piece.clone(),
            rounds: rounds(&made.passes),
            left,
        };
        let draft = Draft {
            cautions: cautions_of(&set_ups),
            set_ups,
            ..Draft::of(work, vec![took], made.gives)
        };
        (level, tilt, draft)
    }

    /// The set-ups of passes, run by run.
    fn set_ups(&self, of_runs: &[OfRun]) -> Vec<Cut> {
        let mut all: Vec<Cut> = Vec::new();
        for (run, at) in self.blank.runs.iter().enumerate() {
            let of_run = of_runs.iter().filter(|o| o.run == run);
            let passes: Vec<_> = of_run.map(|o| (&o.stage, o.pass)).collect();
            let mut used_in = Vec::new();
            for rip in at.rips {
                uses(self.kinds, rip, &mut used_in);
            }
            let kind = &self.kinds.rips[at.rips[0]];
            let ripped = Ripped {
                shape: kind.shape,
                used_in: &used_in,
                for_kerf: kind.widened,
                faces_differ: !self.kinds.sheets[kind.sheet].same_both_ways,
            };
            all.extend(set_ups(&at.method, &passes, ripped, self.limits));
        }
        all
    }

    fn pass(
        &self,
        pass: &passes::RunPass,
        work: &Polygon,
        tilt: f64,
        inboard: Becomes,
        outboard: Becomes,
    ) -> Pass {
        let depth = self.depth();
        let bounds = work.bounds();
        let table = passes::table_of(pass.up);
        let far = pass.cut[table] + self.limits.kerf / angle::cos(tilt);
        let near = match pass.at_fence {
            Edge::Left => pass.cut[table] - bounds.min.x,
            Edge::Right => bounds.max.x - far,
        };
        let x = |x: f64| match pass.at_fence {
            Edge::Left => x - bounds.min.x,
            Edge::Right => bounds.max.x - x,
        };
        let y = |y: f64| if table == 1 { y - depth } else { -y };
        let lying = work.corners().iter().map(|c| Point::new(x(c.x), y(c.y)));
        Pass {
            lie: lie(pass.at_fence, pass.up),
            set: match pass.set {
                passes::SetBy::ByEye => Set::ByEye(far - bounds.min.x),
                passes::SetBy::Fence(mm) => Set::Fence(mm),
                passes::SetBy::Stop(mm) => Set::Stop(mm),
                passes::SetBy::Ledge(mm) => Set::Ledge(mm),
            },
            touches: pass.touch.into(),
            inboard,
            outboard,
            work: corners(&Polygon::clockwise(lying.collect())),
            blade: near,
        }
    }

    fn depth(&self) -> f64 {
        self.kinds.sheets[self.blank.sheet].thickness
    }

    /// The lot of strip `i` of a run.
    fn strip(
        &self,
        ledger: &mut Ledger,
        run: &RunAt,
        i: u64,
        made: &mut PassesAtSetting,
    ) -> Becomes {
        let rip = run.rips[usize::from(i % 2 == 1)];
        let kind = &self.kinds.rips[rip];
        kind.shape.clone_into(&mut made.shape);
        // The strip may lie mirrored or rolled over here; its section is given as its kind is drawn.
        let section = kind.profile.section();
        self.lot_of(ledger, self.strip_name(rip), PieceKind::Strip, &section)
    }

    /// What strips of a rip are called: by the part that they are, or by the rip where they are to be
    /// ripped again.
    fn strip_name(&self, rip: usize) -> String {
        let kind = &self.kinds.rips[rip];
        match kind.yields.first() {
            Some(&(part, _)) if kind.pieces.cut.is_none() => strip_label(part),
            _ => rip_label(rip),
        }
    }

    fn lot_of(
        &self,
        ledger: &mut Ledger,
        id: String,
        kind: PieceKind,
        section: &Polygon,
    ) -> Becomes {
        let section = settled(section);
        let piece = Piece {
            id,
            kind,
            sheet: sheet_label(self.blank.sheet),
            section: corners(&section),
            layers: ledger.get(self.lot).piece.layers.clone(),
            length: self.blank.length,
        };
        Becomes::Piece(ledger.lot(piece, &section))
    }
}

/// The boards that a sheet is made of, where some of a plan are not as thick as the recipe draws them.
pub(super) fn boards_of(count: &CountBack, sheet: usize) -> Option<OfBoards> {
    let others = |line: &BoardLine| line.other_thickness.is_some();
    if !count.boards.iter().any(others) {
        return None;
    }
    let ripped = |at: &usize| count.ripped[*at].sheet == sheet;
    let blanks = count
        .blanks
        .iter()
        .filter(|blanks| blanks.sheets.iter().any(|(at, _)| ripped(at)));
    let mut names: Vec<String> = Vec::new();
    for (name, _) in blanks.flat_map(|blanks| &count.boards[blanks.board].boards) {
        if !names.contains(name) {
            names.push(name.clone());
        }
    }
    let thickness = count.kinds.sheets[sheet].plywood;
    Some(OfBoards { names, thickness })
}

/// Adds the bars and parts that strips of a rip go into.
pub(super) fn uses(kinds: &Kinds, rip: usize, all: &mut Vec<UsedIn>) {
    let kind = &kinds.rips[rip];
    for bar in &kinds.bars {
        let name = kinds.tiles[bar.tiles[0]].kind.name();
        for (i, part) in bar.bar.parts().iter().enumerate() {
            let of_rip = kinds.part_of(&part.strip);
            if of_rip.is_some_and(|(part, _)| kind.yields.iter().any(|(p, _)| *p == part)) {
                UsedIn::add(all, name, i + 1);
            }
        }
    }
}

/// The cautions of some set-ups, each once; of small feet only the smallest is named.
pub(super) fn cautions_of(set_ups: &[Cut]) -> Vec<cautions::Caution> {
    use cautions::Caution;
    let mut all: Vec<Caution> = Vec::new();
    for caution in set_ups.iter().flat_map(cautions::of_cut) {
        let smaller = all.iter_mut().find_map(|known| match (known, caution) {
            (Caution::SmallFoot(least), Caution::SmallFoot(foot)) => {
                *least = least.min(foot);
                Some(())
            }
            _ => None,
        });
        if smaller.is_none() && caution != Caution::Always && !all.contains(&caution) {
            all.push(caution);
        }
    }
    all.push(Caution::Always);
    all
}
