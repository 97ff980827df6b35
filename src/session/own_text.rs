//! The recipe's text beside the picture: read, written over what it was made from alone, and the words
//! that help with it.

use std::path::Path;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::edit::{Written, mark, write_over};
use super::keep_error::KeepError;
use super::opened::is_choice;
use super::visible::visible;
use crate::bundle::is_pack;
use crate::recipe::store::{Shelf, Store};
use crate::recipe::to_parameter::{ToParameterError, name_for, to_parameter};
use crate::recipe::words::words;

/// A text to be written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NewText {
    /// The mark of the text that it was made from, or of the one that it may replace.
    pub over: String,
    /// The text.
    pub text: String,
}

/// A value that is to become a parameter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToParameter {
    /// The text.
    pub text: String,
    /// Where the value stands, in the browser's units: 16-bit units of UTF-16.
    pub at: usize,
    /// Its name; where it is left out, one is proposed.
    pub name: Option<String>,
}

/// The recipe's text as it is kept now, with its mark.
///
/// # Errors
/// When it cannot be read, or is a choice or a pack.
pub fn text(store: &dyn Store, recipe: &Path) -> Result<Value, String> {
    let text = current(store, recipe)?;
    let name = recipe.display().to_string();
    Ok(json!({ "text": text, "mark": mark(&text), "name": visible(&name) }))
}

/// Writes a text in the place of the one that it was made from. Where another stands there by now, tells
/// that one instead.
///
/// # Errors
/// When it cannot be written.
pub fn write(
    shelf: &dyn Shelf,
    written: &Written,
    recipe: &Path,
    new: &NewText,
) -> Result<Value, String> {
    let now = current(shelf, recipe)?;
    if now != new.text && mark(&now) != new.over {
        return Ok(json!({ "changed": { "text": now, "mark": mark(&now) } }));
    }
    let copy = write_over(shelf, written, recipe, &now, &new.text).map_err(|e| e.to_string())?;
    Ok(json!({ "mark": mark(&new.text), "copy": copy }))
}

/// The text with a value as a parameter, for the editor to show; nothing is written.
///
/// # Errors
/// When there is no value at that place, or the name is taken.
pub fn parameter(asked: ToParameter) -> Result<Value, String> {
    let at = byte_of(&asked.text, asked.at);
    let name = asked.name.or_else(|| name_for(&asked.text, at));
    let answer = match &name {
        Some(name) => {
            to_parameter(&asked.text, at, name).map(|text| json!({ "text": text, "name": name }))
        }
        // Whether there is a value at all, before a name is asked for.
        None => to_parameter(&asked.text, at, "a").map(|_| json!({ "name": null })),
    };
    match answer {
        Err(ToParameterError::Taken(_)) if name.is_none() => Ok(json!({ "name": null })),
        other => other.map_err(|error| error.to_string()),
    }
}

/// The words of recipes, for completion and help.
pub fn word_list() -> Value {
    let words = words();
    let all = words.iter().map(|word| {
        let forms: Vec<String> = word.forms.iter().map(|f| f.named(&word.name)).collect();
        json!({
            "name": word.name,
            "group": word.group,
            "doc": word.doc,
            "forms": forms,
            "method": word.forms.iter().any(|form| form.method),
            "property": word.forms.iter().any(|form| form.property),
        })
    });
    all.collect()
}

/// The recipe's text as it is kept now.
///
/// # Errors
/// When it cannot be read, or is a choice or a pack.
pub(super) fn current(store: &dyn Store, recipe: &Path) -> Result<String, String> {
    if is_choice(recipe) {
        return Err(KeepError::NoText.to_string());
    }
    let text = store.read(recipe).map_err(|error| error.to_string())?;
    if is_pack(&text) {
        return Err(KeepError::NoText.to_string());
    }
    Ok(text)
}

/// The byte of a text at a browser's position, which counts UTF-16 units.
fn byte_of(text: &str, units: usize) -> usize {
    let mut passed = 0;
    for (byte, c) in text.char_indices() {
        if passed >= units {
            return byte;
        }
        passed += c.len_utf16();
    }
    text.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_of_a_browser_are_counted_in_utf16() {
        let text = "a\u{e9}\u{1f600}b";
        assert_eq!(byte_of(text, 0), 0);
        assert_eq!(byte_of(text, 2), 3);
        assert_eq!(byte_of(text, 4), 7);
        assert_eq!(byte_of(text, 99), text.len());
    }
}
