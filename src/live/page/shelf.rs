//! Other recipes to open on the page: those of the recipe's own folder, and the patterns that come along.
//!
//! No part of a request is a path: names are looked up in lists, and a new recipe goes beside the one that is open,
//! under a plain name.

use std::path::{Path, PathBuf};

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::{Value, json as value};

use super::app_state::AppState;
use super::asking::answer;
use super::patterns::PATTERNS;
use super::sent::Sent;
use super::wall::one_at_a_time;
use crate::files::{DiskStore, recipes_of};
use crate::recipe::memory_store::MemoryStore;
use crate::recipe::store::{Shelf as _, Store, WriteError};
use crate::session::card::Short;
use crate::session::fault::FaultReport;
use crate::session::kept::{LONGEST_NAME, is_choice_name};
use crate::session::visible::visible;
use crate::session::{Given, Opened};

/// How many recipes of a folder are listed.
const MOST: usize = 500;

/// A recipe on the shelf.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Wanted {
    /// Its name: that of its file, or of a pattern.
    name: String,
    /// Whether it is a pattern that comes along.
    pattern: bool,
}

/// A recipe to begin from another.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Remix {
    from: Wanted,
    /// The name of the new one, without an ending.
    name: String,
}

fn folder(given: &Given) -> PathBuf {
    given.recipe.parent().unwrap_or(Path::new("")).to_owned()
}

fn name(path: &Path) -> String {
    path.file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

/// The recipes of the open one's folder.
fn beside(given: &Given) -> Vec<PathBuf> {
    let mut all = recipes_of(&folder(given)).unwrap_or_default();
    all.truncate(MOST);
    all
}

const GONE: &str = "there is no such recipe any more";

/// The recipe of a name, with its text.
fn found(given: &Given, wanted: &Wanted) -> Result<(PathBuf, String), String> {
    if wanted.pattern {
        let pattern = PATTERNS.iter().find(|(name, _)| *name == wanted.name);
        let (name, text) = pattern.ok_or(GONE)?;
        return Ok((format!("{name}.rhai").into(), (*text).to_owned()));
    }
    let path = beside(given)
        .into_iter()
        .find(|path| name(path) == wanted.name);
    let path = path.ok_or(GONE)?;
    let text = DiskStore::new()
        .read(&path)
        .map_err(|error| error.to_string())?;
    Ok((path, text))
}

/// What there is to open.
pub(super) async fn all(State(app): State<AppState>) -> Response {
    answer(app, StatusCode::CONFLICT, |app, _| {
        let given = app.table.given();
        let own: Vec<String> = beside(&given)
            .iter()
            .map(|path| visible(&name(path)))
            .collect();
        let patterns: Vec<&str> = PATTERNS.iter().map(|(name, _)| *name).collect();
        Ok(value!({ "here": visible(&name(&given.recipe)), "recipes": own, "patterns": patterns }))
    })
    .await
}

/// A recipe in short: what its author says, and a picture.
pub(super) async fn card(State(app): State<AppState>, Sent(wanted): Sent<Wanted>) -> Response {
    one_at_a_time(app, move |app| {
        let now = app.table.given();
        let (path, text) = found(&now, &wanted)?;
        let given = now.another(path.clone());
        let memory = MemoryStore::new().with(path.clone(), text);
        let disk = DiskStore::new();
        let store: &dyn Store = if wanted.pattern { &memory } else { &disk };
        let opened = Opened::read(&path, given.reach, store).map_err(|error| error.to_string())?;
        let host = opened.host(store, Box::new(|_| ()));
        let mut knobs = crate::session::knobs::Knobs::default();
        Ok(
            match given.carry_out(&opened, &mut knobs, &host, &mut Vec::new()) {
                Ok(outcome) => value!(Short::of(&outcome)),
                Err(error) => value!({ "fault": FaultReport::of(&error) }),
            },
        )
    })
    .await
}

/// Opens a recipe of the folder in the place of the one that is shown.
pub(super) async fn open(State(app): State<AppState>, Sent(wanted): Sent<Wanted>) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, _| {
        if wanted.pattern {
            return Err("a pattern that comes along is opened as a recipe of your own".to_owned());
        }
        let (path, _) = found(&app.table.given(), &wanted)?;
        Ok(opened(app, path))
    })
    .await
}

/// Writes a recipe anew under another name, and opens that.
pub(super) async fn remix(State(app): State<AppState>, Sent(remix): Sent<Remix>) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, store| {
        if !is_choice_name(&remix.name) {
            return Err(format!(
                "a recipe's name is made of letters, digits, `-` and `_`, {LONGEST_NAME} at most, \
                 and begins with a letter or digit"
            ));
        }
        let given = app.table.given();
        let (_, text) = found(&given, &remix.from)?;
        let path = folder(&given).join(format!("{}.rhai", remix.name));
        match store.write_new(&path, &text) {
            Ok(()) => Ok(opened(app, path)),
            Err(WriteError::Exists { .. }) => Err(format!(
                "there is a recipe `{}` already: choose another name",
                visible(&name(&path))
            )),
            Err(error) => Err(error.to_string()),
        }
    })
    .await
}

fn opened(app: &AppState, path: PathBuf) -> Value {
    let file = visible(&name(&path));
    app.table.open(path);
    value!({ "file": file })
}
