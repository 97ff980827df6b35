//! Who lies beside whom in a lattice, and whether its cells fill the plane.

use super::{CellClass, Lattice, Neighbour, steps_into};
use crate::{
    geom::{Isometry, Rect, TOLERANCE},
    layout::{
        LayoutError,
        edges::{shared, touch},
    },
};

/// What lies around a cell.
struct Around {
    neighbours: Vec<Neighbour>,
    touching: Vec<(i32, i32)>,
}

impl Lattice {
    /// Checks that the cells fill the plane, and finds the neighbours of each class.
    pub(super) fn with_neighbours(mut self) -> Result<Self, LayoutError> {
        let block = self.across.cross(self.down).abs();
        let area: f64 = self.classes.iter().map(|c| c.shape.outline.area()).sum();
        let rim: f64 = self
            .classes
            .iter()
            .map(|c| c.shape.outline.perimeter())
            .sum();
        if area - block > rim * TOLERANCE {
            return Err(LayoutError::LatticeOverlap {
                lattice: self.name,
                area: area - block,
            });
        }
        let found = (0..self.classes.len())
            .map(|i| self.around(i))
            .collect::<Result<Vec<_>, _>>()?;
        if block - area > rim * TOLERANCE {
            return Err(LayoutError::LatticeHole {
                lattice: self.name,
                area: block - area,
            });
        }
        for (class, around) in self.classes.iter_mut().zip(found) {
            class.neighbours = around.neighbours;
            class.touching = around.touching;
        }
        Ok(self)
    }

    fn around(&self, index: usize) -> Result<Around, LayoutError> {
        let me = &self.classes[index];
        let (mut neighbours, mut touching) = (Vec::new(), Vec::new());
        for (other, class) in self.classes.iter().enumerate() {
            for (a, b) in steps_into(
                self.across,
                self.down,
                class.centre - me.centre,
                reach(me, class),
            ) {
                if other == index && (a, b) == (0, 0) {
                    continue;
                }
                let at = class.centre - me.centre
                    + self.across * f64::from(a)
                    + self.down * f64::from(b);
                let theirs = class.shape.moved(Isometry::shift(at));
                if let Some(depth) = me.shape.overlap(&theirs) {
                    return Err(LayoutError::CellsOverlap {
                        lattice: self.name,
                        depth,
                    });
                }
                if !touch(&me.shape.outline, &theirs.outline) {
                    continue;
                }
                let (columns, courses) = self.offset(index, other, a, b);
                touching.push((columns, courses));
                for (edge, mine) in me.shape.outline.edges().enumerate() {
                    for (other_edge, its) in theirs.outline.edges().enumerate() {
                        neighbours.extend(shared(mine, its).map(|piece| Neighbour {
                            columns,
                            courses,
                            edge,
                            other_edge,
                            piece,
                        }));
                    }
                }
            }
        }
        neighbours.sort_by(|x, y| {
            (x.edge, x.courses, x.columns)
                .cmp(&(y.edge, y.courses, y.columns))
                .then(x.piece.from.total_cmp(&y.piece.from))
        });
        touching.sort_unstable_by_key(|&(columns, courses)| (courses, columns));
        Ok(Around {
            neighbours,
            touching,
        })
    }

    /// How many columns and courses lie between class `from` and class `to` of the block (a, b)
    /// blocks further.
    fn offset(&self, from: usize, to: usize, a: i32, b: i32) -> (i32, i32) {
        let place = |class: usize| {
            let class = i32::try_from(class).expect("invariant: a block has few cells");
            (class % self.columns, class / self.columns)
        };
        let ((c0, r0), (c1, r1)) = (place(from), place(to));
        (a * self.columns + c1 - c0, b * self.courses + r1 - r0)
    }
}

/// Where the centre of `other` can lie when its bounds touch those of `me`.
fn reach(me: &CellClass, other: &CellClass) -> Rect {
    Rect {
        min: me.bounds.min - other.bounds.max,
        max: me.bounds.max - other.bounds.min,
    }
    .grown(TOLERANCE)
}
