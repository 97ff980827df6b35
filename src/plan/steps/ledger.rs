//! The lots of a plan in the order in which they are made, and the steps that make them.

use super::{
    model::{Becomes, Of, Piece, PieceKind, Step, Steps, Work},
    pieces::SAME,
};
use crate::geom::{Point, Polygon};
use crate::plan::{cautions::Caution, figure::Figure, saw::Cut};

/// A step before it has its number.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub(super) work: Work,
    pub(super) takes: Vec<Of>,
    pub(super) gives: Vec<Of>,
    pub(super) cautions: Vec<Caution>,
    pub(super) why: Vec<(&'static str, Figure)>,
    pub(super) set_ups: Vec<Cut>,
}

impl Draft {
    /// A step without cautions, sums and set-ups.
    pub(super) fn of(work: Work, takes: Vec<Of>, gives: Vec<Of>) -> Self {
        Self {
            work,
            takes,
            gives,
            cautions: Vec::new(),
            why: Vec::new(),
            set_ups: Vec::new(),
        }
    }

    /// The same work on more pieces.
    pub(super) fn add(&mut self, more: &Self) {
        for (list, others) in [
            (&mut self.takes, &more.takes),
            (&mut self.gives, &more.gives),
        ] {
            for of in others {
                tally(list, &Becomes::Piece(of.piece.clone()), of.count);
            }
        }
    }
}

/// Pieces that are alike, and how many there are at this point of the plan.
#[derive(Debug, Clone)]
pub(super) struct PieceLot {
    pub(super) piece: Piece,
    /// Its section.
    pub(super) section: Polygon,
    /// How many there are.
    pub(super) count: u64,
}

/// All lots that there are so far, and the steps that have been done.
#[derive(Debug, Default)]
pub(super) struct Ledger {
    lots: Vec<PieceLot>,
    fetch: Vec<Of>,
    steps: Vec<Step>,
}

impl Ledger {
    /// A lot of that name at that length, new or known. Where the name is taken by pieces of
    /// another length, the length goes into the name.
    pub(super) fn lot(&mut self, piece: Piece, section: &Polygon) -> String {
        let alike = |lot: &PieceLot| {
            lot.piece.kind == piece.kind
                && lot.piece.sheet == piece.sheet
                && lot.piece.layers == piece.layers
                && (lot.piece.length - piece.length).abs() < SAME
                && (lot.section.area() - section.area()).abs() < SAME * section.area().max(1.0)
        };
        let named = |lot: &PieceLot, name: &str| lot.piece.id == name;
        let mut name = piece.id.clone();
        for number in 2_u32.. {
            match self.lots.iter().find(|lot| named(lot, &name)) {
                None => break,
                Some(lot) if alike(lot) => return name,
                Some(_) => name = format!("{}.{number}", piece.id),
            }
        }
        self.lots.push(PieceLot {
            piece: Piece {
                id: name.clone(),
                ..piece
            },
            section: section.clone(),
            count: 0,
        });
        name
    }

    /// A lot of what is glued of several sheets, or sliced or ripped from that.
    pub(super) fn glued_lot(
        &mut self,
        id: String,
        kind: PieceKind,
        section: &Polygon,
        length: f64,
    ) -> String {
        let piece = Piece {
            id,
            kind,
            sheet: String::new(),
            section: corners(section),
            layers: Vec::new(),
            length,
        };
        self.lot(piece, section)
    }

    /// The lot of a name, where there is one.
    pub(super) fn find(&self, id: &str) -> Option<&PieceLot> {
        self.lots.iter().find(|lot| lot.piece.id == id)
    }

    pub(super) fn get(&self, id: &str) -> &PieceLot {
        self.find(id)
            .expect("invariant: steps name lots that are there")
    }

    /// Lots of one kind that are at hand, in the order in which they came to be.
    pub(super) fn at_hand(&self, kind: PieceKind) -> Vec<&PieceLot> {
        let there = |lot: &&PieceLot| lot.piece.kind == kind && lot.count > 0;
        self.lots.iter().filter(there).collect()
    }

    /// Pieces that the stock gives.
    pub(super) fn fetch(&mut self, of: Of) {
        self.add(&of);
        match self.fetch.iter_mut().find(|f| f.piece == of.piece) {
            Some(known) => known.count += of.count,
            None => self.fetch.push(of),
        }
    }

    fn add(&mut self, of: &Of) {
        self.get_mut(of).count += of.count;
    }

    fn get_mut(&mut self, of: &Of) -> &mut PieceLot {
        let lot = self.lots.iter_mut().find(|lot| lot.piece.id == of.piece);
        lot.expect("invariant: steps name lots that are there")
    }

    /// Sets pieces aside for a step to come.
    pub(super) fn reserve(&mut self, pieces: &[Of]) {
        for of in pieces {
            let lot = self.get_mut(of);
            lot.count = lot.count.saturating_sub(of.count);
        }
    }

    /// Gives back what was set aside.
    pub(super) fn release(&mut self, pieces: &[Of]) {
        for of in pieces {
            self.add(of);
        }
    }

    /// Adds a step and books what it takes and gives.
    pub(super) fn step(&mut self, draft: Draft) {
        self.reserve(&draft.takes);
        self.release(&draft.gives);
        self.steps.push(Step {
            number: self.steps.len() + 1,
            work: draft.work,
            takes: draft.takes,
            gives: draft.gives,
            cautions: draft.cautions,
            why: draft.why,
            set_ups: draft.set_ups,
        });
    }

    /// Cleans pieces that were glued, or are to be sliced as they are, and marks their corners.
    pub(super) fn clean_and_mark(&mut self, pieces: &Of, glued: bool, corners: [usize; 2]) {
        for work in [Work::Clean { glued }, Work::Mark { corners }] {
            self.step(Draft::of(work, vec![pieces.clone()], vec![pieces.clone()]));
        }
    }

    pub(super) fn done(self) -> Steps {
        Steps {
            pieces: self.lots.into_iter().map(|lot| lot.piece).collect(),
            fetch: self.fetch,
            steps: self.steps,
        }
    }
}

/// Some pieces of a lot.
pub(super) fn of(piece: impl Into<String>, count: u64) -> Of {
    Of {
        piece: piece.into(),
        count,
    }
}

/// Adds to a list of lots, each once.
pub(super) fn tally(list: &mut Vec<Of>, what: &Becomes, count: u64) {
    let Becomes::Piece(id) = what else { return };
    match list.iter_mut().find(|o| o.piece == *id) {
        Some(known) => known.count += count,
        None => list.push(of(id.clone(), count)),
    }
}

/// A section with its left bound at 0.
pub(super) fn settled(section: &Polygon) -> Polygon {
    section.shifted(Point::new(-section.bounds().min.x, 0.0))
}

/// Corners as data.
pub(super) fn corners(section: &Polygon) -> Vec<[f64; 2]> {
    section.corners().iter().map(|c| [c.x, c.y]).collect()
}
