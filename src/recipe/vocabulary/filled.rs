//! What fills the cells of a panel: a tile, a rule, conditions, or a function that is asked for each.

use std::sync::Arc;

use rhai::plugin::*;
use rhai::{Dynamic, DynamicReadLock, FnPtr};

use super::wood::{self, Conditions, Rule};
use crate::layout::{self, Filling, Palette};
use crate::recipe::args;
use crate::recipe::call::Caller;
use crate::recipe::diagnostics::types;
use crate::recipe::fault::Fault;
use crate::recipe::parallel_calls;
use crate::recipe::run::Run;
use crate::recipe::script_types::{Cell, Kept, Panel};
use crate::recipe::steps;
use crate::stock::Tile;

/// Cells between two looks at the clock.
const PULSE_EVERY: usize = 256;

/// What fills cells.
enum Fill {
    Rule(layout::Rule),
    Kept(Arc<Kept>),
    Function(FnPtr),
}

impl Fill {
    fn of(value: &Dynamic) -> Result<Self, Fault> {
        if let Some(rule) = value.read_lock::<Rule>() {
            return Ok(Self::Rule((*rule.0).clone()));
        }
        if let Some(kept) = value.read_lock::<Conditions>() {
            return Ok(Self::Kept(Arc::clone(&kept.0)));
        }
        if value.is::<wood::Tile>() {
            return Ok(Self::Rule(layout::Rule::One(wood::tile(value, FILL)?)));
        }
        if value.is_fnptr() {
            return Ok(Self::Function(args::function(value, FILL)?));
        }
        let got = types::of_value(value);
        let how = steps::made_from("rule", &got).or_else(|| steps::made_from("tile", &got));
        Err(args::unexpected(FILL, ONE_OF, value)
            .maybe_help(how.map(str::to_owned))
            .argument(0))
    }
}

const FILL: &str = "what fills the cells";
const ONE_OF: &str = "a tile, a rule or a function that gives a tile";

/// Fills the cells of a panel, or those for which a condition holds.
pub(super) fn fill(
    context: &NativeCallContext,
    panel: &Panel,
    only: Option<&FnPtr>,
    with: &Dynamic,
) -> Result<Panel, Box<EvalAltResult>> {
    let run = Run::of(context)?;
    let with = Fill::of(with)?;
    panel.with_filling(&run, |filling| {
        let cells = filling.cells().clone();
        let mut chosen = None;
        if let Some(only) = only {
            let mut yes = Vec::with_capacity(cells.list().len());
            let mut only = Caller::new(context, only);
            for cell in Cell::all(&cells) {
                look_now_and_then(&run, cell.number())?;
                let place = cell.place();
                let answer = only.call([Dynamic::from(cell)])?;
                let what = || format!("what the condition of `fill_where` returns for {place}");
                yes.push(answer.as_bool().map_err(|_| {
                    args::unexpected(&what(), "yes or no (true or false)", &answer)
                        .help("write a comparison, such as `cell.column > 2`")
                })?);
            }
            if !yes.contains(&true) {
                run.held_nowhere(context);
            }
            chosen = Some(yes);
        }
        match &with {
            Fill::Rule(rule) => {
                let seed = if rule.by_chance() { run.seed() } else { 0 };
                filling
                    .fill(rule, chosen.as_deref(), seed)
                    .map_err(Fault::from)?;
            }
            Fill::Kept(kept) => *filling = kept.fill(&run, &cells, chosen.is_some())?,
            Fill::Function(function)
                if chosen.is_none() && fill_side_by_side(&run, filling, function) => {}
            Fill::Function(function) => {
                let mut function = Caller::new(context, function);
                for cell in Cell::all(&cells) {
                    let number = cell.number();
                    look_now_and_then(&run, number)?;
                    if chosen.as_ref().is_some_and(|yes| !yes[number]) {
                        continue;
                    }
                    let place = cell.place();
                    let given = function.call([Dynamic::from(cell)])?;
                    if let Some(tile) = tile_or_nothing(&given, place)? {
                        filling.put(number, &tile.0);
                    }
                }
            }
        }
        Ok(())
    })?;
    Ok(panel.clone())
}

/// Fills all cells by a pure function, on as many threads as the run has; whether it did. If not,
/// nothing has changed.
fn fill_side_by_side(run: &Run, filling: &mut Filling, function: &FnPtr) -> bool {
    let cells = Arc::clone(filling.cells());
    let given = parallel_calls::shared_out(run, function, cells.list().len(), |worker, numbers| {
        let mut palette = Palette::default();
        let mut picks = Vec::with_capacity(numbers.len());
        for cell in Cell::some(&cells, numbers) {
            let place = cell.place();
            let given = worker.call(Dynamic::from(cell))?;
            let tile = tile_or_nothing(&given, place).ok()?;
            picks.push(tile.map(|tile| palette.number(&tile.0)));
        }
        let tiles: Vec<Tile> = palette.tiles().iter().map(|t| worker.original(t)).collect();
        Some((tiles, picks))
    });
    let Some(given) = given else {
        return false;
    };
    let mut number = 0;
    for (tiles, picks) in given {
        filling.put_some(number, &tiles, &picks);
        number += picks.len();
    }
    true
}

fn look_now_and_then(run: &Run, number: usize) -> Result<(), Fault> {
    if number.is_multiple_of(PULSE_EVERY) {
        run.pulse()?;
    }
    Ok(())
}

fn tile_or_nothing(
    given: &Dynamic,
    cell: layout::Cell,
) -> Result<Option<DynamicReadLock<'_, wood::Tile>>, Fault> {
    if given.is_unit() {
        return Ok(None);
    }
    if let Some(tile) = given.read_lock::<wood::Tile>() {
        return Ok(Some(tile));
    }
    let what = format!("what the function of `fill` returns for {cell}");
    let got = types::of_value(given);
    let how = match got.as_str() {
        "rule" => Some(
            "a rule fills many cells: give it to `fill` itself, as in `.fill(random(\"name\", tiles))`; for one cell, `cell.pick(\"name\", tiles)` picks a tile",
        ),
        "list" => Some(
            "take one entry of the list: `tiles[cell.number % tiles.len()]`, or `cell.pick(\"name\", tiles)`",
        ),
        "whole number" => {
            Some("take the tile of this number out of a list: `tiles[cell.column % 2]`")
        }
        "yes-or-no" => Some("say which tile: `if cell.column % 2 == 0 { light } else { dark }`"),
        "cell" => Some(
            "the function gets a cell and is to give a tile: ask the cell which one, `if cell.edge { dark } else { light }`",
        ),
        "function" => Some("carry out the function: `name.call(cell)`"),
        other => steps::made_from("tile", other),
    };
    Err(args::unexpected(
        &what,
        "a tile, or nothing to leave the cell as it is",
        given,
    )
    .maybe_help(how.map(str::to_owned)))
}
