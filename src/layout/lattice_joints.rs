//! Joints on a lattice: how many, and through how many of them lines run on.

use std::{num::NonZeroUsize, ops::Range};

use rayon::prelude::*;

use super::{
    Cells,
    cells::CourseNumbers,
    edges::Shared,
    faces::Faces,
    lattice::Neighbour,
    panel::{JointCount, PlacedTile},
};
use crate::watch;

/// How a tile of the palette sits in a class of cells.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seat {
    /// The class of cells, as an index into the lattice's classes.
    pub(super) class: usize,
    /// The face that it shows.
    pub(super) face: u32,
    /// Edge e of the cell's outline is edge `e + first`, counted round, of the face's outline.
    pub(super) first: usize,
}

/// Up to this many pairs of seats and sides, a table remembers which agree; with more, few pairs come twice.
const REMEMBERED: usize = 4_000_000;

/// From this many tiles on, counting on several threads pays.
const WORTHWHILE: usize = 20_000;

/// Counts each joint inside the finished outline once, on some threads. `seated` has the seat of each
/// tile, as an index into `seats`.
pub(super) fn count(
    cells: &Cells,
    faces: &Faces,
    seats: &[Seat],
    seated: &[u32],
    tiles: &[PlacedTile],
    threads: NonZeroUsize,
) -> JointCount {
    let of = |numbers| count_some(cells, faces, seats, seated, tiles, numbers);
    if threads.get() == 1 || tiles.len() < WORTHWHILE {
        return of(0..tiles.len());
    }
    let share = tiles.len().div_ceil(threads.get());
    let handed = watch::handed();
    (0..threads.get())
        .into_par_iter()
        .map(|i| handed.over(|| of(i * share..tiles.len().min((i + 1) * share))))
        .reduce(JointCount::default, |a, b| JointCount {
            all: a.all + b.all,
            matched: a.matched + b.matched,
        })
}

/// Counts the joints of some tiles, by number, with those that come after.
fn count_some(
    cells: &Cells,
    faces: &Faces,
    seats: &[Seat],
    seated: &[u32],
    tiles: &[PlacedTile],
    numbers: Range<usize>,
) -> JointCount {
    let lattice = cells.lattice();
    // Each joint is found from both sides; it is counted from the side that comes first in reading order. Each
    // neighbour is kept with the number of courses that it lies below.
    let after = |n: &Neighbour| (n.courses, n.columns) > (0, 0);
    let later: Vec<Vec<(usize, &Neighbour)>> = lattice
        .classes()
        .iter()
        .map(|class| {
            let after = class.neighbours.iter().filter(|n| after(n));
            after
                .map(|n| (usize::try_from(n.courses).unwrap_or(0), n))
                .collect()
        })
        .collect();
    let deepest = later.iter().flatten().map(|(_, n)| n.courses).max();
    let deepest = deepest.unwrap_or(0);
    let agree = |mine: Seat, theirs: Seat, n: &Neighbour, piece: Shared| {
        let edge = |seat: Seat, edge: usize| {
            let sides = faces.face(seat.face).outline().corners().len();
            faces.profile(seat.face, (edge + seat.first) % sides)
        };
        piece.matches(edge(mine, n.edge), edge(theirs, n.other_edge))
    };
    let mut known = Agreed::new(seats.len(), later.iter().map(Vec::len).max().unwrap_or(0));
    let mut sum = JointCount::default();
    let mut number = numbers.start;
    for course in tiles[numbers].chunk_by(|a, b| a.cell.course == b.cell.course) {
        let below: Vec<CourseNumbers<'_>> = (0..=deepest)
            .map(|down| cells.course(course[0].cell.course.saturating_add(down)))
            .collect();
        for tile in course {
            watch::ask();
            let mine = seats[seated[number] as usize];
            for (side, &(down, n)) in later[mine.class].iter().enumerate() {
                let column = tile.cell.column.checked_add(n.columns);
                let Some(other) = column.and_then(|column| below[down].number(column)) else {
                    continue;
                };
                let theirs = seats[seated[other] as usize];
                if let Some(trim) = cells.trim()
                    && !(tile.whole && tiles[other].whole)
                {
                    let outline = &lattice.classes()[mine.class].shape.outline;
                    let (a, b) = outline.edge(n.edge);
                    for piece in n.piece.within((a + tile.at, b + tile.at), trim) {
                        sum.all += 1;
                        sum.matched += u64::from(agree(mine, theirs, n, piece));
                    }
                    continue;
                }
                let matched = known.or_find(seated[number], side, seated[other], || {
                    agree(mine, theirs, n, n.piece)
                });
                sum.all += 1;
                sum.matched += u64::from(matched);
            }
            number += 1;
        }
    }
    sum
}

/// Which seats agree across which side: a table, as hashing would take most of the time.
struct Agreed {
    seats: usize,
    sides: usize,
    known: Vec<Option<bool>>,
}

impl Agreed {
    fn new(seats: usize, sides: usize) -> Self {
        let pairs = seats.saturating_mul(seats).saturating_mul(sides);
        let remembered = if pairs <= REMEMBERED { pairs } else { 0 };
        Self {
            seats,
            sides,
            known: vec![None; remembered],
        }
    }

    fn or_find(
        &mut self,
        mine: u32,
        side: usize,
        theirs: u32,
        find: impl FnOnce() -> bool,
    ) -> bool {
        let pair = (mine as usize * self.sides + side) * self.seats + theirs as usize;
        match self.known.get_mut(pair) {
            Some(known) => *known.get_or_insert_with(find),
            None => find(),
        }
    }
}
