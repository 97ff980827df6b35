//! The handles of a panel's outline: listed, tried while one is dragged, and written into the
//! recipe.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::bench::Bench;
use super::edit::Written;
use super::redone::{CLOSED, Done, redone};
use super::run_result::RunResult;
use super::visible::visible;
use crate::draw::{corners, micrometres};
use crate::geom::Point;
use crate::layout::Trim;
use crate::recipe::handles::{HandleError, dragged, handles};
use crate::recipe::store::Shelf;

/// A handle that is dragged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drag {
    /// The picture that the page shows.
    pub picture: u64,
    /// The panel, by number.
    pub panel: usize,
    /// The handle, by number.
    pub handle: usize,
    /// How far to the right, in mm.
    pub right: f64,
    /// How far down.
    pub down: f64,
    /// Lengths become multiples of this.
    pub step: f64,
}

/// The handles of a panel; or why it has none.
///
/// # Errors
/// When there is no such panel.
pub fn told(made: &RunResult, panel: usize) -> Result<Value, String> {
    made.panel(panel).ok_or("there is no such panel")?;
    if !made.opened.is_plain() {
        return Ok(json!({ "handles": [], "why": CLOSED }));
    }
    Ok(
        match handles(&made.opened.source.text, &made.outcome, panel) {
            Ok(found) => {
                let each = found.iter().map(|handle| {
                    let (across, down) = handle.ways();
                    let (x, y) = (micrometres(handle.at.x), micrometres(handle.at.y));
                    json!({ "name": visible(&handle.name), "x": x, "y": y, "across": across, "down": down })
                });
                json!({ "handles": each.collect::<Value>() })
            }
            Err(error) => json!({ "handles": [], "why": visible(&error.to_string()) }),
        },
    )
}

/// The result of a drag: the outline, and where the handle would lie on it; nothing is written.
///
/// # Errors
/// When it does not work.
pub fn try_out(bench: Bench<'_>, drag: &Drag) -> Result<Value, String> {
    let done = done(bench, drag)?;
    let found =
        handles(&done.text, &done.outcome, drag.panel).map_err(|error| error.to_string())?;
    let handle = found
        .get(drag.handle)
        .ok_or_else(|| HandleError::Gone.to_string())?;
    let panel = &done.outcome.panels[drag.panel];
    let pieces = panel.pieces.list.iter().map(|piece| &piece.outline);
    let rims = panel.trim.iter().chain(pieces);
    Ok(json!({
        "rims": rims.flat_map(Trim::loops).map(|rim| corners(&rim)).collect::<Vec<_>>(),
        "x": micrometres(handle.at.x),
        "y": micrometres(handle.at.y),
        "width": panel.bounds.width(),
        "height": panel.bounds.height(),
        "tiles": panel.tiles.len(),
    }))
}

/// Writes the result of a drag into the recipe.
///
/// # Errors
/// When it does not work, or the recipe holds another text by now.
pub fn put(
    bench: Bench<'_>,
    shelf: &dyn Shelf,
    written: &Written,
    drag: &Drag,
) -> Result<Value, String> {
    done(bench, drag)?.write(shelf, written)
}

fn done(bench: Bench<'_>, drag: &Drag) -> Result<Done, String> {
    redone(bench, (drag.picture, drag.panel), |text, outcome| {
        let by = Point::new(drag.right, drag.down);
        dragged(text, outcome, drag.panel, (drag.handle, by, drag.step))
            .map_err(|error| error.to_string())
    })
}
