//! How the symmetries of a tiling act on arrangements of one of its repeats.

use super::{repeat::Repeat, shifts::Shifts, symmetries::Symmetries};
use crate::geom::Isometry;

/// Which arrangements count as the same; those that differ by a shift always do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Same {
    /// Shifted.
    Shifts,
    /// Shifted and turned.
    Turns,
    /// Shifted, turned and mirrored: the panel seen from its back as well.
    TurnsAndMirrors,
}

/// One turn or mirror of the tiling, with the shift that it takes.
#[derive(Debug, Clone)]
pub(crate) struct Move {
    /// The move itself.
    pub(crate) by: Isometry,
    /// For each cell, the cell that the move brings there.
    pub(crate) source: Vec<usize>,
    /// What each look becomes.
    pub(crate) looks: Vec<u16>,
    /// The number of each shift after the move (see [`Shifts::turned`]).
    pub(crate) shifts: Vec<usize>,
    /// Shifts that an arrangement must have, so that the moved one has the repeat's: none where the
    /// move keeps the repeat's shifts.
    pub(crate) needs: Vec<usize>,
}

/// The symmetries of a repeat's tiling that count.
#[derive(Debug, Clone)]
pub(crate) struct Moves {
    pub(crate) shifts: Shifts,
    /// For each shift: for each cell the one that comes to lie there.
    pub(crate) shifted: Vec<Vec<usize>>,
    /// One move for each turn and mirror; the identity first.
    pub(crate) points: Vec<Move>,
}

impl Moves {
    /// The symmetries of the cells of a repeat. Those that would give a cell a look that it may not
    /// take (a mirror, where tiles may only be turned) are left out.
    pub(crate) fn of(repeat: &Repeat, same: Same) -> Self {
        let symmetries = Symmetries::of(&repeat.outlines())
            .expect("invariant: outlines of tiles meet in points");
        let shifts = Shifts::new(symmetries.periods, repeat.periods());
        let shifted = (0..shifts.count())
            .map(|n| sources(repeat, Isometry::shift(shifts.vector(n))))
            .collect();
        let points = symmetries
            .moves
            .iter()
            .filter(|g| match same {
                Same::Shifts => **g == Isometry::IDENTITY,
                Same::Turns => !g.flip,
                Same::TurnsAndMirrors => true,
            })
            .filter_map(|&by| Move::new(repeat, &shifts, by))
            .collect();
        Self {
            shifts,
            shifted,
            points,
        }
    }
}

impl Move {
    fn new(repeat: &Repeat, shifts: &Shifts, by: Isometry) -> Option<Self> {
        let source = sources(repeat, by);
        let looks = looks(repeat, by)?;
        let allowed = source.iter().enumerate().all(|(to, &from)| {
            let may = &repeat.options()[to];
            repeat.options()[from]
                .iter()
                .all(|&l| may.contains(&looks[usize::from(l)]))
        });
        let needs = if repeat.periods().kept_by(by) {
            Vec::new()
        } else {
            shifts.image_of_coarse(by.linear().inverse()).to_vec()
        };
        allowed.then(|| Self {
            by,
            source,
            looks,
            shifts: shifts.turned(by),
            needs,
        })
    }
}

/// For each cell the one that a symmetry of the tiling brings there.
fn sources(repeat: &Repeat, by: Isometry) -> Vec<usize> {
    let back = by.inverse();
    repeat
        .cells()
        .iter()
        .map(|c| repeat.cell_at(back.apply(c.at)))
        .collect()
}

/// The number of each look after the move; none where a look becomes one that no tile has.
fn looks(repeat: &Repeat, by: Isometry) -> Option<Vec<u16>> {
    if by.linear() == Isometry::IDENTITY {
        return (0..repeat.looks().len())
            .map(|n| u16::try_from(n).ok())
            .collect();
    }
    repeat
        .looks()
        .iter()
        .map(|l| {
            let face = l.face.posed(by);
            let number = repeat
                .looks()
                .iter()
                .position(|o| o.face.looks_like(&face))?;
            u16::try_from(number).ok()
        })
        .collect()
}
