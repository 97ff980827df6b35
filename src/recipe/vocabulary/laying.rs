//! Words for tiles that are laid one by one, over what the fills gave.

use crate::recipe::misuse::Misuse;
use std::ops::{Range, RangeInclusive};

use rhai::plugin::*;
use rhai::{Array, Dynamic, Map};

use super::group::{Group, looping};
use super::wood::{self, Tile};
use crate::layout::Cell;
use crate::layout::laying::{Entry, LaidTiles, Repeat};
use crate::recipe::args::{self, Options};
use crate::recipe::diagnostics::nearest::nearest;
use crate::recipe::fault::Fault;
use crate::recipe::run::Run;
use crate::recipe::script_types::Panel;
use crate::stock;

/// The group.
pub fn group() -> Group {
    Group {
        name: "laid by hand",
        about: "Tiles laid one by one, over what the fills give: by a list in the recipe, which the live page writes too when tiles are turned and swapped there.",
        module: looping(exported_manifest!(words)),
    }
}

/// The message on laid tiles for which the panel has no cell: how many, and the first few.
pub fn outside(panel: &str, (count, first): &(u64, Vec<Cell>)) -> String {
    let named: Vec<String> = first.iter().map(Cell::to_string).collect();
    let more = if *count > first.len() as u64 {
        "; ..."
    } else {
        ""
    };
    let tiles = if *count == 1 {
        "1 laid tile lies outside the panel and is".to_owned()
    } else {
        format!("{count} laid tiles lie outside the panel and are")
    };
    format!(
        "{panel}: {tiles} kept in the recipe: {}{more}",
        named.join("; ")
    )
}

const SHAPE: &str = "write [column, course, tile] or [first..=last, course, tile]";

/// Columns: a number, or a range of numbers.
fn columns(value: &Dynamic, what: &str) -> Result<RangeInclusive<i64>, Fault> {
    if let Some(range) = value.read_lock::<RangeInclusive<i64>>() {
        return Ok(range.clone());
    }
    if let Some(range) = value.read_lock::<Range<i64>>() {
        return Ok(range.start..=range.end.saturating_sub(1));
    }
    let column = args::any_whole(value, what)
        .map_err(|_| args::unexpected(what, "a column or a range of columns", value).help(SHAPE))?;
    Ok(column..=column)
}

/// A column or course, of which there are never more than fit 32 bits.
fn place(value: i64, what: &str) -> Result<i32, Fault> {
    const FAR: i32 = 1_000_000;
    i32::try_from(value)
        .ok()
        .filter(|n| (-FAR..=FAR).contains(n))
        .ok_or_else(|| {
            Fault::wrong_value(format!(
                "{what} must lie between -{FAR} and {FAR}, not {value}"
            ))
        })
}

fn entry(value: &Dynamic, what: &str) -> Result<Entry, Fault> {
    let parts = value.read_lock::<Array>();
    let Some([across, course, tile]) = parts.as_deref().map(Vec::as_slice) else {
        let expected = "a list of a column, a course and a tile";
        return Err(args::unexpected(what, expected, value).help(SHAPE));
    };
    let columns = columns(across, &format!("the column in {what}"))?;
    let course_named = format!("the course in {what}");
    let course = args::any_whole(course, &course_named)?;
    if columns.is_empty() {
        return Err(
            Fault::wrong_value(format!("the columns in {what} are none"))
                .help("write the smaller column first: [2..=5, 0, tile]"),
        );
    }
    let column_named = format!("the column in {what}");
    Ok(Entry {
        from: place(*columns.start(), &column_named)?,
        to: place(*columns.end(), &column_named)?,
        course: place(course, &course_named)?,
        tile: wood::tile(tile, &format!("the tile in {what}"))?,
    })
}

const OPTIONS: &str = "the options of `lay`";

fn repeat(options: Map) -> Result<Option<Repeat>, Fault> {
    let mut options = Options::read(options, OPTIONS, &["repeat", "shift", "mirror"])?;
    let size = options.with("repeat", |value, what| {
        let size = args::list(value, what, |v, what| args::whole(v, what, 1, 10_000))?;
        match size.as_slice() {
            &[columns, courses] => Ok((columns, courses)),
            other => Err(Fault::wrong_value(format!(
                "{what} must be 2 numbers, not {}",
                other.len()
            ))
            .help("write columns and courses of the repeat: #{ repeat: [4, 2] }")),
        }
    })?;
    let shift = options.with("shift", |v, what| args::whole(v, what, -10_000, 10_000))?;
    let ways = ["across", "down", "both"];
    let mirror = options.with("mirror", |v, what| args::choice(v, what, &ways))?;
    let Some((columns, courses)) = size else {
        if shift.is_some() || mirror.is_some() {
            return Err(Fault::wrong_value(
                "`shift` and `mirror` say how a repeat is laid, and there is no `repeat`",
            )
            .help("say its columns and courses: #{ repeat: [4, 2], mirror: \"across\" }"));
        }
        return Ok(None);
    };
    Ok(Some(Repeat {
        columns: place(columns, "the columns of a repeat")?,
        courses: place(courses, "the courses of a repeat")?,
        shift: place(shift.unwrap_or(0), "the shift of a repeat")?,
        mirror_across: matches!(mirror, Some(0 | 2)),
        mirror_down: matches!(mirror, Some(1 | 2)),
    }))
}

fn lay_by(
    context: &NativeCallContext,
    panel: &Panel,
    entries: Array,
    options: Map,
) -> Result<(), Fault> {
    let run = Run::of(context)?;
    let repeat = repeat(options)?;
    let entries = args::list(&Dynamic::from(entries), "the laid tiles", entry)?;
    panel.lay(LaidTiles { entries, repeat }, run.place(context))
}

/// A panel by its name.
fn panel_named(context: &NativeCallContext, name: &str) -> Result<Panel, Fault> {
    let run = Run::of(context)?;
    let found = run.panel_named(name).map(|panel| panel.shared());
    found.and_then(Dynamic::try_cast::<Panel>).ok_or_else(|| {
        let known = run.panel_names();
        let close = nearest(name, known.iter().map(String::as_str));
        Fault::from(Misuse::NoSuchPanel {
            name: name.to_owned(),
        })
        .maybe_help(close.map(|close| format!("did you mean {close:?}?")))
    })
}

#[export_module(manifest)]
mod words {
    /// Lays tiles by hand, over whatever the fills give, wherever in the recipe it is written.
    ///
    /// An entry is a column (or a range of columns), a course and a tile; columns and courses count
    /// from 0 at the top left, as `cell.column` and `cell.course` do. A cell of the lattice turns a
    /// laid tile as it turns any other. Of two entries for one cell the later holds. Cells that the
    /// panel does not have are told and stay in the recipe: a larger panel has them again. Tiles
    /// from a bag are swapped, so that the bag gives just what it holds.
    ///
    /// Options lay a small repeat over the whole panel: `repeat` has its columns and courses, `shift`
    /// says by how many columns each repeat lies further right than the one above it, `mirror` turns
    /// every other one into its mirror image: `"across"`, `"down"` or `"both"`. What is laid outside
    /// the first repeat is laid there alone.
    ///
    /// A panel that is begun inside a function is called by its name: `lay("tray", [...])`.
    ///
    /// # Example
    /// ```rhai
    /// let light = bar(plywood(9, 12).square()).slice("light");
    /// let dark = bar(plywood(9, 12, "walnut").square()).slice("dark");
    /// panel("signed", squares(light)).size(8, 5).fill(light).lay([
    ///     [0..=7, 0, dark],
    ///     [6, 3, dark.rotate(90)],
    ///     [6, 4, light.flip()],
    /// ]);
    /// panel("tiled", squares(light)).size(8, 6).fill(light).lay([
    ///     [0, 0, dark],
    ///     [1, 1, light.rotate(90)],
    /// ], #{ repeat: [2, 2], shift: 1 });
    /// ```
    #[rhai_fn(name = "lay", pure, return_raw)]
    pub fn lay_on(
        context: NativeCallContext,
        panel: &mut Panel,
        laid: Array,
    ) -> Result<Panel, Box<EvalAltResult>> {
        lay_by(&context, panel, laid, Map::new())?;
        Ok(panel.clone())
    }

    #[rhai_fn(name = "lay", pure, return_raw)]
    pub fn lay_on_with_options(
        context: NativeCallContext,
        panel: &mut Panel,
        laid: Array,
        options: Map,
    ) -> Result<Panel, Box<EvalAltResult>> {
        lay_by(&context, panel, laid, options)?;
        Ok(panel.clone())
    }

    #[rhai_fn(name = "lay", volatile, return_raw)]
    pub fn lay_by_name(
        context: NativeCallContext,
        panel: &str,
        laid: Array,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let panel = panel_named(&context, panel)?;
        lay_by(&context, &panel, laid, Map::new())?;
        Ok(panel)
    }

    #[rhai_fn(name = "lay", volatile, return_raw)]
    pub fn lay_by_name_with_options(
        context: NativeCallContext,
        panel: &str,
        laid: Array,
        options: Map,
    ) -> Result<Panel, Box<EvalAltResult>> {
        let panel = panel_named(&context, panel)?;
        lay_by(&context, &panel, laid, options)?;
        Ok(panel)
    }

    /// The tile that was sliced under a name, as its bar stands: for tiles that no variable holds.
    ///
    /// # Example
    /// ```rhai
    /// let blocks = ["birch", "walnut"].map(|wood| bar(plywood(9, 12, wood).square()).slice(wood));
    /// panel("two", squares(blocks[0])).size(6, 4).fill(blocks[0]).lay([[2, 1, tile("walnut")]]);
    /// ```
    #[rhai_fn(name = "tile", volatile, return_raw)]
    pub fn tile(context: NativeCallContext, name: &str) -> Result<Tile, Box<EvalAltResult>> {
        let kinds = Run::of(&context)?.kinds();
        if let Some(kind) = kinds.iter().find(|kind| kind.name() == name) {
            return Ok(Tile(stock::Tile::new(std::sync::Arc::clone(kind))));
        }
        let close = nearest(name, kinds.iter().map(|kind| kind.name()));
        let fault = Fault::from(Misuse::NoSuchTile {
            name: name.to_owned(),
        });
        Err(fault
            .maybe_help(close.map(|close| format!("did you mean {close:?}?")))
            .into())
    }
}
