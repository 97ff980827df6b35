//! The recipe's text beside the picture: read, written over what it was made from alone, and the words
//! that help with it.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::json as value;

use super::answers::{json, problem, worked_out};
use super::edit::{mark, write_over};
use super::keep::KeepError;
use super::sent::Sent;
use super::server::Desk;
use crate::files::read_text_file;
use crate::parcel::is_pack;
use crate::recipe::to_parameter::{ToParameterError, name_for, to_parameter};
use crate::recipe::words::words;
use crate::session::opened::is_choice;
use crate::session::visible::visible;

/// A text to be written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NewText {
    /// The mark of the text that it was made from, or of the one that it may replace.
    over: String,
    text: String,
}

/// A value that is to become a parameter.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ToParameter {
    text: String,
    /// Where the value stands, in the browser's units: 16-bit units of UTF-16.
    at: usize,
    /// Its name; where it is left out, one is proposed.
    name: Option<String>,
}

/// The text as it is in the file now.
pub(super) async fn text(State(desk): State<Desk>) -> Response {
    let inside = desk.clone();
    worked_out(&desk, move || match current(&inside) {
        Ok(text) => {
            let name = inside.table.given().recipe.display().to_string();
            json(value!({ "text": text, "mark": mark(&text), "name": visible(&name) }).to_string())
        }
        Err(message) => problem(StatusCode::CONFLICT, &visible(&message)),
    })
    .await
}

/// Writes a text into the recipe's file.
pub(super) async fn write(State(desk): State<Desk>, Sent(new): Sent<NewText>) -> Response {
    let inside = desk.clone();
    worked_out(&desk, move || match written(&inside, &new) {
        Ok(told) => json(told.to_string()),
        Err(message) => problem(StatusCode::CONFLICT, &visible(&message)),
    })
    .await
}

/// The text with a value as a parameter, for the editor to show; nothing is written.
pub(super) async fn parameter(
    State(desk): State<Desk>,
    Sent(asked): Sent<ToParameter>,
) -> Response {
    worked_out(&desk, move || {
        let at = byte_of(&asked.text, asked.at);
        let name = asked.name.or_else(|| name_for(&asked.text, at));
        let answer = match &name {
            Some(name) => to_parameter(&asked.text, at, name)
                .map(|text| value!({ "text": text, "name": name })),
            // Whether there is a value at all, before a name is asked for.
            None => to_parameter(&asked.text, at, "a").map(|_| value!({ "name": null })),
        };
        match answer {
            Ok(told) => json(told.to_string()),
            Err(ToParameterError::Taken(_)) if name.is_none() => {
                json(value!({ "name": null }).to_string())
            }
            Err(error) => problem(
                StatusCode::UNPROCESSABLE_ENTITY,
                &visible(&error.to_string()),
            ),
        }
    })
    .await
}

/// The words of recipes, for completion and help.
pub(super) async fn word_list(State(desk): State<Desk>) -> Response {
    worked_out(&desk, move || {
        let all: Vec<_> = words()
            .iter()
            .map(|word| {
                let forms: Vec<String> = word.forms.iter().map(|f| f.named(&word.name)).collect();
                value!({
                    "name": word.name,
                    "group": word.group,
                    "doc": word.doc,
                    "forms": forms,
                    "method": word.forms.iter().any(|form| form.method),
                    "property": word.forms.iter().any(|form| form.property),
                })
            })
            .collect();
        json(value!(all).to_string())
    })
    .await
}

fn current(desk: &Desk) -> Result<String, String> {
    let recipe = &desk.table.given().recipe;
    if is_choice(recipe) {
        return Err(KeepError::NoText.to_string());
    }
    let text = read_text_file(recipe)
        .0
        .map_err(|error| error.to_string())?;
    if is_pack(&text) {
        return Err(KeepError::NoText.to_string());
    }
    Ok(text)
}

fn written(desk: &Desk, new: &NewText) -> Result<serde_json::Value, String> {
    let now = current(desk)?;
    if now != new.text && mark(&now) != new.over {
        return Ok(value!({ "changed": { "text": now, "mark": mark(&now) } }));
    }
    let recipe = &desk.table.given().recipe;
    let copy = write_over(&desk.written, recipe, &now, &new.text).map_err(|e| e.to_string())?;
    Ok(value!({ "mark": mark(&new.text), "copy": copy }))
}

/// The byte of a text that a browser knows by its place in UTF-16.
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
