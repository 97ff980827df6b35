//! Another text of the recipe that a page shows, carried out before it is written: so nothing is written that does
//! not work.

use std::sync::Arc;

use serde_json::{Value, json};

use super::bench::Bench;
use super::edit::{Written, write_text};
use super::run_result::RunResult;
use crate::recipe::evaluate;
use crate::recipe::outcome::Outcome;
use crate::recipe::source::Source;
use crate::recipe::store::Shelf;

/// Why nothing can be done by hand to a recipe that is no plain text.
pub(super) const CLOSED: &str =
    "this is a pinned choice or a packed recipe: open the recipe itself to change it by hand";

/// A text that was carried out.
pub(super) struct Done {
    /// The picture that it is to follow.
    pub(super) made: Arc<RunResult>,
    /// The text.
    pub(super) text: String,
    /// What it gives under the settings of the page.
    pub(super) outcome: Outcome,
}

/// Carries out the new text of a picture; it must have that panel before and after.
///
/// # Errors
/// When the page shows another picture by now, or the text does not work.
pub(super) fn redone(
    bench: Bench<'_>,
    (picture, panel): (u64, usize),
    new: impl FnOnce(&str, &Outcome) -> Result<String, String>,
) -> Result<Done, String> {
    let made = bench.state.newest()?;
    if made.id != picture {
        return Err("the picture has changed meanwhile: do it again on the new one".to_owned());
    }
    made.panel(panel).ok_or("there is no such panel")?;
    if !made.opened.is_plain() {
        return Err(CLOSED.to_owned());
    }
    let own = &made.opened.source;
    let text = new(&own.text, &made.outcome)?;
    let source = Arc::new(Source::new(own.name.clone(), text.as_str()));
    let settings = bench.given.settings(&made.opened, &bench.state.knobs);
    let host = made.opened.host(bench.store, Box::new(|_| ()));
    let outcome = evaluate(&source, &settings, host).map_err(|failure| {
        let help = failure.help.map(|help| format!(": {help}"));
        format!("{}{}", failure.message, help.unwrap_or_default())
    })?;
    if outcome.panels.len() <= panel {
        return Err("the recipe makes other panels after this: change it by hand".to_owned());
    }
    Ok(Done {
        made,
        text,
        outcome,
    })
}

impl Done {
    /// Writes it into the recipe.
    ///
    /// # Errors
    /// When the recipe holds another text by now, or cannot be written.
    pub(super) fn write(&self, shelf: &dyn Shelf, written: &Written) -> Result<Value, String> {
        let opened = &self.made.opened;
        let copy = write_text(shelf, written, opened, &self.text);
        let copy = copy.map_err(|error| error.to_string())?;
        Ok(json!({ "copy": copy, "changed": self.text != opened.source.text }))
    }
}
