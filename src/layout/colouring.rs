//! Colours for the cells of a lattice, so that no two cells that share an edge have the same.
//!
//! The colour of a cell is (a * column + b * course + c) mod n, where c belongs to the cell's class in the
//! repeated block. The first such numbers that give every colour as many cells are taken, in a fixed order of
//! search; so a colouring belongs to the lattice alone and is the same for every panel. That two colours do
//! for squares, and three for hexagons, is common knowledge of the mathematics of tilings.

use super::lattice::Lattice;
use super::panel::Cell;

/// The most colours that are tried: any map in the plane can do with four.
pub const MOST_COLOURS: i32 = 6;
/// Size of a table with an entry for each colour.
pub(super) const ROOM: usize = 7;
/// Steps of the search for one pair of a and b, before it is given up.
const MOST_STEPS: usize = 200_000;

/// A colouring of a lattice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Colouring {
    colours: i32,
    across: i32,
    down: i32,
    of_class: Vec<i32>,
}

/// A neighbour over an edge: how far it lies, and its class.
struct Beside {
    columns: i32,
    courses: i32,
    class: usize,
}

impl Colouring {
    /// A colouring of a lattice with this number of colours; none where there is none of this form.
    pub fn of(lattice: &Lattice, colours: i32) -> Option<Self> {
        let beside = neighbours(lattice);
        (0..colours)
            .flat_map(|across| (0..colours).map(move |down| (across, down)))
            .find_map(|(across, down)| {
                let of_class = classes(&beside, colours, across, down)?;
                let found = Self {
                    colours,
                    across,
                    down,
                    of_class,
                };
                found.is_even(lattice).then_some(found)
            })
    }

    /// The colouring with the fewest colours.
    pub fn with_fewest(lattice: &Lattice) -> Option<Self> {
        (2..=MOST_COLOURS).find_map(|colours| Self::of(lattice, colours))
    }

    /// The colour of a cell of the lattice, from 0.
    pub fn colour(&self, lattice: &Lattice, cell: Cell) -> i32 {
        let part = |step: i32, at: i32| step * at.rem_euclid(self.colours);
        let class = self.of_class[lattice.class_of(cell)];
        (part(self.across, cell.column) + part(self.down, cell.course) + class)
            .rem_euclid(self.colours)
    }

    /// Whether each colour has as many cells.
    fn is_even(&self, lattice: &Lattice) -> bool {
        let (columns, courses) = lattice.block();
        let mut counts = [0_usize; ROOM];
        // The class is the same in every block, and colours repeat after as many blocks as there are colours.
        for across in 0..self.colours {
            for down in 0..self.colours {
                for course in 0..courses {
                    for column in 0..columns {
                        let cell = Cell {
                            column: across * columns + column,
                            course: down * courses + course,
                        };
                        let colour = usize::try_from(self.colour(lattice, cell));
                        counts[colour.expect("invariant: a remainder is not negative")] += 1;
                    }
                }
            }
        }
        let used = usize::try_from(self.colours).expect("invariant: colours are few");
        counts[..used].iter().all(|count| *count == counts[0])
    }
}

/// Each class's neighbours over an edge, each once.
fn neighbours(lattice: &Lattice) -> Vec<Vec<Beside>> {
    let (columns, courses) = lattice.block();
    let mut all: Vec<Vec<Beside>> = lattice.classes().iter().map(|_| Vec::new()).collect();
    for course in 0..courses {
        for column in 0..columns {
            let class = lattice.class_of(Cell { column, course });
            for n in &lattice.classes()[class].neighbours {
                let there = Cell {
                    column: column + n.columns,
                    course: course + n.courses,
                };
                let known = all[class]
                    .iter()
                    .any(|b| (b.columns, b.courses) == (n.columns, n.courses));
                if !known {
                    all[class].push(Beside {
                        columns: n.columns,
                        courses: n.courses,
                        class: lattice.class_of(there),
                    });
                }
            }
        }
    }
    all
}

/// The offset c of each class for these steps; none where neighbours would have the same colour.
fn classes(beside: &[Vec<Beside>], colours: i32, across: i32, down: i32) -> Option<Vec<i32>> {
    let alike = |chosen: &[i32], class: usize| {
        beside[class].iter().any(|b| {
            let Some(there) = chosen.get(b.class) else {
                return false;
            };
            (across * b.columns + down * b.courses + there - chosen[class]).rem_euclid(colours) == 0
        })
    };
    let mut chosen = vec![0];
    for _ in 0..MOST_STEPS {
        let class = chosen.len() - 1;
        if !alike(&chosen, class) {
            if chosen.len() == beside.len() {
                return Some(chosen);
            }
            chosen.push(0);
            continue;
        }
        // Backtracks: the last class that has an offset left takes its next one; the first class keeps 0.
        while chosen.last().is_some_and(|number| number + 1 == colours) {
            chosen.pop();
        }
        if chosen.len() < 2 {
            return None;
        }
        *chosen.last_mut()? += 1;
    }
    None
}
