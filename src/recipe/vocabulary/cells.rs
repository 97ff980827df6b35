//! A cell as a recipe's function sees it: where it lies, and draws of its own.

use crate::recipe::misuse::Misuse;
use std::ops::Range;
use std::sync::{Arc, Mutex, PoisonError};

use rhai::plugin::*;

use super::group::Group;
use crate::layout::colouring::MOST_COLOURS;
use crate::layout::{self, Cells, random::CellDraws};
use crate::recipe::args;
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::recipe::script_types::{Cell, CellShared};

impl Cell {
    /// All cells of a panel in reading order.
    pub(super) fn all(cells: &Arc<Cells>) -> impl Iterator<Item = Self> + use<> {
        Self::some(cells, 0..cells.list().len())
    }

    /// Some cells of a panel, by number.
    pub(super) fn some(
        cells: &Arc<Cells>,
        numbers: Range<usize>,
    ) -> impl Iterator<Item = Self> + use<> {
        let shared = Arc::new(CellShared {
            cells: Arc::clone(cells),
            draws: Mutex::default(),
        });
        numbers.map(move |number| Self {
            shared: Arc::clone(&shared),
            number,
        })
    }

    /// Its number in reading order.
    pub(super) fn number(&self) -> usize {
        self.number
    }

    /// Its column and course.
    pub(super) fn place(&self) -> layout::Cell {
        self.shared.cells.list()[self.number]
    }

    /// A draw of this cell under a name.
    pub(super) fn draw<T>(
        &self,
        run: &Run,
        name: &str,
        draw: impl FnOnce(&mut CellDraws, layout::Cell) -> T,
    ) -> T {
        let mut draws = self
            .shared
            .draws
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if !draws.contains_key(name) {
            draws.insert(name.to_owned(), CellDraws::new(run.seed(), name));
        }
        let named = draws.get_mut(name).expect("invariant: just put there");
        draw(named, self.place())
    }
}

/// The group.
pub fn group() -> Group {
    Group {
        name: "cells",
        about: "What a function given to `fill` or `fill_where` can ask about the cell.",
        module: exported_module!(words),
    }
}

/// The fault that neighbours would have the same colour, with so many colours or with any number.
fn uncoloured(colours: Option<i64>) -> Fault {
    Misuse::Uncoloured { colours }.into()
}

#[export_module]
mod words {
    /// Which column a cell lies in, from 0 at the left. Where a finished size cuts the pattern,
    /// there can be negative ones.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("columns", squares(block)).size(8, 5)
    ///     .fill(|cell| if cell.column % 2 == 0 { block } else { block.rotate(90) });
    /// ```
    #[rhai_fn(get = "column", pure)]
    pub fn column(cell: &mut Cell) -> i64 {
        i64::from(cell.place().column)
    }

    /// Which course a cell lies in, from 0 at the top. Where a finished size cuts the pattern, there
    /// can be negative ones.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("courses", squares(block)).size(8, 5)
    ///     .fill(|cell| if cell.course < 2 { block } else { block.rotate(90) });
    /// ```
    #[rhai_fn(get = "course", pure)]
    pub fn course(cell: &mut Cell) -> i64 {
        i64::from(cell.place().course)
    }

    /// How many columns the panel has, from the leftmost cell to the rightmost.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("halves", squares(block)).size(8, 5)
    ///     .fill(|cell| if cell.column < cell.columns / 2 { block } else { block.rotate(90) });
    /// ```
    #[rhai_fn(get = "columns", pure)]
    pub fn columns(cell: &mut Cell) -> i64 {
        i64::from(cell.shared.cells.columns())
    }

    /// How many courses the panel has.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("base", squares(block)).size(8, 5)
    ///     .fill(|cell| if cell.course == cell.courses - 1 { block.rotate(90) } else { block });
    /// ```
    #[rhai_fn(get = "courses", pure)]
    pub fn courses(cell: &mut Cell) -> i64 {
        i64::from(cell.shared.cells.courses())
    }

    /// The number of a cell in reading order, from 0.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// let turns = [0, 90, 180];
    /// panel("in turn", squares(block)).size(8, 5)
    ///     .fill(|cell| block.rotate(turns[cell.number % 3]));
    /// ```
    #[rhai_fn(get = "number", pure)]
    pub fn number(cell: &mut Cell) -> i64 {
        i64::try_from(cell.number).expect("invariant: panels have a limit")
    }

    /// Which ring round the middle of the panel a cell lies in. Ring 0 is the cell nearest the
    /// middle, or all that are equally near; each next ring touches the one before.
    ///
    /// # Example
    /// ```rhai
    /// let dyed = veneer(0.6, "navy");
    /// let r = laminate([dyed, plywood(13, 17.7)]).rhombus(60);
    /// let block = hexagon([r, r, r]).slice("block");
    /// panel("target", hexagons(block)).size(9, 9)
    ///     .fill(|cell| block.rotate(60 * cell.ring));
    /// ```
    #[rhai_fn(get = "ring", pure)]
    pub fn ring(cell: &mut Cell) -> i64 {
        i64::from(cell.shared.cells.rings()[cell.number])
    }

    /// How far the centre of a cell lies from the middle of the panel, in mm.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("disc", squares(block)).finished(200, 200)
    ///     .fill(|cell| if cell.distance < 60 { block } else { block.rotate(90) });
    /// ```
    #[rhai_fn(get = "distance", pure)]
    pub fn distance(cell: &mut Cell) -> f64 {
        cell.shared.cells.distance(cell.place())
    }

    /// The way from the middle of the panel to the centre of a cell, in degrees clockwise from the right:
    /// 0 is right, 90 down, 180 left, 270 up.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("windmill", squares(block)).size(12, 12)
    ///     .fill(|cell| if cell.direction % 90 < 45 { block } else { block.rotate(90) });
    /// ```
    #[rhai_fn(get = "direction", pure)]
    pub fn direction(cell: &mut Cell) -> f64 {
        cell.shared.cells.direction(cell.place())
    }

    /// How many columns to the right of the middle a cell lies; below 0 on the left. Halves where the
    /// number of columns is even.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("cross", squares(block)).size(9, 9)
    ///     .fill(|cell| if cell.across == 0 || cell.down == 0 { block.rotate(90) } else { block });
    /// ```
    #[rhai_fn(get = "across", pure)]
    pub fn across(cell: &mut Cell) -> f64 {
        cell.shared.cells.from_middle(cell.place()).0
    }

    /// How many courses below the middle a cell lies; below 0 above it. Halves where the number of courses
    /// is even.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("diamond", squares(block)).size(9, 9)
    ///     .fill(|cell| if abs(cell.across) + abs(cell.down) <= 3 { block.rotate(90) } else { block });
    /// ```
    #[rhai_fn(get = "down", pure)]
    pub fn down(cell: &mut Cell) -> f64 {
        cell.shared.cells.from_middle(cell.place()).1
    }

    /// The colour of a cell, as a number from 0, where no two cells that share an edge have the same: 0
    /// and 1 by turns as on a checkerboard where two colours are enough, up to 2 where it takes three, as
    /// on hexagons and in a running bond.
    ///
    /// # Example
    /// ```rhai
    /// fn block(name, colour) {
    ///     let r = plywood(13, 17.7, colour).rhombus(60);
    ///     hexagon([r, r, r]).slice(name)
    /// }
    /// let blocks = [block("light", "maple"), block("red", "cherry"), block("dark", "walnut")];
    /// panel("three woods", hexagons(blocks[0])).size(8, 7)
    ///     .fill(|cell| blocks[cell.checkered]);
    /// ```
    #[rhai_fn(get = "checkered", pure, return_raw)]
    pub fn checkered(cell: &mut Cell) -> Result<i64, Box<EvalAltResult>> {
        let colour = cell.shared.cells.checkered(cell.place());
        Ok(colour.map(i64::from).ok_or_else(|| uncoloured(None))?)
    }

    /// The same with so many colours, from 2 to 6: numbers from 0, each for as many cells, and none like
    /// that of a cell over an edge.
    ///
    /// # Example
    /// ```rhai
    /// fn piece(name, colour) { bar(plywood(13, 17.7, colour).triangle(60)).slice(name) }
    /// let pieces = [piece("light", "maple"), piece("red", "cherry"), piece("dark", "walnut")];
    /// panel("three woods", triangles(pieces[0])).size(16, 7)
    ///     .fill(|cell| pieces[cell.coloured(3)]);
    /// ```
    #[rhai_fn(name = "coloured", pure, return_raw)]
    pub fn coloured(cell: &mut Cell, colours: Dynamic) -> Result<i64, Box<EvalAltResult>> {
        let most = i64::from(MOST_COLOURS);
        let colours = args::whole(&colours, "the number of colours", 2, most)?;
        let few = i32::try_from(colours).expect("invariant: at most six");
        let colour = cell.shared.cells.coloured(cell.place(), few);
        Ok(colour
            .map(i64::from)
            .ok_or_else(|| uncoloured(Some(colours)))?)
    }

    /// How many cells lie between a cell and the rim: 0 on the rim itself.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("frames", squares(block)).size(9, 9)
    ///     .fill(|cell| block.rotate(90 * cell.from_edge));
    /// ```
    #[rhai_fn(get = "from_edge", pure)]
    pub fn from_edge(cell: &mut Cell) -> i64 {
        i64::from(cell.shared.cells.from_edge()[cell.number])
    }

    /// How far the centre of a cell lies from the finished outline or the nearest hole in it, in mm. It is for
    /// borders that follow any outline; panels that are not trimmed have none.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).square()).slice("light");
    /// let dark = bar(plywood(9, 12, "walnut").square()).slice("dark");
    /// panel("tray", squares(light)).finished_outline(ellipse(300, 200))
    ///     .fill(|cell| if cell.from_outline < 25 { dark } else { light });
    /// ```
    #[rhai_fn(get = "from_outline", pure, return_raw)]
    pub fn from_outline(cell: &mut Cell) -> Result<f64, Box<EvalAltResult>> {
        let far = cell.shared.cells.from_outline();
        let mm = far.get(cell.number).copied().map(args::measured);
        Ok(mm.ok_or(Misuse::NoOutline).map_err(Fault::from)?)
    }

    /// Whether a cell lies on the rim: with an open edge, or reaching the rim of the finished size.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("border", squares(block)).size(9, 9)
    ///     .fill(block).fill_where(|cell| cell.edge, block.rotate(90));
    /// ```
    #[rhai_fn(get = "edge", pure)]
    pub fn edge(cell: &mut Cell) -> bool {
        cell.shared.cells.from_edge()[cell.number] == 0
    }

    /// Where the centre of a cell lies, in mm from the panel's left end.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("left", squares(block)).finished(200, 100)
    ///     .fill(|cell| if cell.x < 100 { block } else { block.rotate(90) });
    /// ```
    #[rhai_fn(get = "x", pure)]
    pub fn x(cell: &mut Cell) -> f64 {
        cell.shared.cells.centre(cell.place()).x
    }

    /// Where the centre of a cell lies, in mm from the panel's top.
    ///
    /// # Example
    /// ```rhai
    /// let block = bar(plywood(9, 12).square()).slice("block");
    /// panel("wave", squares(block)).finished(200, 100)
    ///     .fill(|cell| if cell.y < 50 + 20 * sin(cell.x * 3) { block } else { block.rotate(90) });
    /// ```
    #[rhai_fn(get = "y", pure)]
    pub fn y(cell: &mut Cell) -> f64 {
        cell.shared.cells.centre(cell.place()).y
    }
}
