//! The plain values in the recipe's text as knobs: listed, replaced by others, made parameters.

use std::path::Path;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::edit::{Written, mark, write_over};
use super::own_text::current;
use super::run_result::RunResult;
use crate::recipe::literals::{literals, with_value};
use crate::recipe::store::Shelf;
use crate::recipe::to_parameter::{ToParameterError, name_for, to_parameter};

/// Another value for the text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PutValue {
    /// The mark of the text that the page knows the recipe to have.
    pub over: String,
    /// The byte at which the value begins.
    pub at: usize,
    /// As it is written there.
    pub was: String,
    /// As a maker types it.
    pub new: String,
}

/// A value that is to become a parameter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ValueParameter {
    /// The mark of the text that the page knows the recipe to have.
    pub over: String,
    /// The byte at which the value begins.
    pub at: usize,
    /// Its name; where it is left out, that of its variable.
    pub name: Option<String>,
}

/// The plain values of a picture's recipe, and the mark of its text.
pub fn told(made: &RunResult) -> Value {
    let text = &made.opened.source.text;
    let values = if made.opened.is_plain() {
        literals(text)
    } else {
        Vec::new()
    };
    json!({ "mark": mark(text), "values": values })
}

/// Writes another value into the recipe.
///
/// # Errors
/// When the recipe has another text by now, or the value is of another kind.
pub fn put(
    shelf: &dyn Shelf,
    written: &Written,
    recipe: &Path,
    put: &PutValue,
) -> Result<Value, String> {
    write(shelf, written, recipe, &put.over, |now| {
        with_value(now, put.at, &put.was, &put.new).map_err(|error| error.to_string())
    })
}

/// Makes a value a parameter.
///
/// # Errors
/// When the recipe has another text by now, or the name does not do.
pub fn parameter(
    shelf: &dyn Shelf,
    written: &Written,
    recipe: &Path,
    to: &ValueParameter,
) -> Result<Value, String> {
    write(shelf, written, recipe, &to.over, |now| {
        let name = to.name.clone().or_else(|| name_for(now, to.at));
        let name = name.unwrap_or_default();
        match to_parameter(now, to.at, &name) {
            Err(ToParameterError::Name) if name.is_empty() => {
                Err("give the parameter a name".to_owned())
            }
            other => other.map_err(|error| error.to_string()),
        }
    })
}

fn write(
    shelf: &dyn Shelf,
    written: &Written,
    recipe: &Path,
    over: &str,
    new: impl FnOnce(&str) -> Result<String, String>,
) -> Result<Value, String> {
    let now = current(shelf, recipe)?;
    if mark(&now) != over {
        return Err("the recipe was saved meanwhile: look at what it makes now".to_owned());
    }
    let new = new(&now)?;
    let done = write_over(shelf, written, recipe, &now, &new);
    let copy = done.map_err(|error| error.to_string())?;
    Ok(json!({ "copy": copy, "changed": now != new }))
}
