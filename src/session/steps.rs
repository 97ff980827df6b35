//! Going back and forth over the states of a recipe, which are kept in a text beside it.
//!
//! `NAME.rhai.states.json` is written once there is a step to go back. It is read again before every
//! change; a file that is damaged, or of a later form, is reported and never written over.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::bench::Bench;
use super::edit::{Written, mark, write_over};
use super::knobs::{Knobs, Turn};
use super::own_text::current;
use super::run_error::RunError;
use super::states::{States, StatesChange, Step};
use super::visible::visible;
use super::{Opened, Snapshot};
use crate::recipe::outcome::Outcome;
use crate::recipe::store::{ReadError, Shelf, Store};

/// The lock by which one change is made at a time in this process.
static CHANGING: Mutex<()> = Mutex::new(());

/// A state to go back to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Go {
    /// Its number.
    pub number: u64,
    /// The mark of the text that the page knows the recipe to have.
    pub over: Option<String>,
    /// States that are left by that.
    pub ahead: Vec<u64>,
}

/// What going back comes to.
#[derive(Debug)]
pub struct Gone {
    /// The knobs to turn; none where the recipe has a text that the page does not know of.
    pub turn: Option<Turn>,
    /// The copy that was made of the former text, where one was.
    pub copy: Option<String>,
}

fn beside(recipe: &Path) -> PathBuf {
    let own = recipe.file_name().unwrap_or_default().to_string_lossy();
    recipe.with_file_name(format!("{own}.states.json"))
}

fn name(path: &Path) -> String {
    visible(&path.file_name().unwrap_or_default().to_string_lossy())
}

fn read(store: &dyn Store, path: &Path) -> Result<States, String> {
    match store.read(path) {
        Ok(text) => States::read(&text, &name(path)).map_err(|error| error.to_string()),
        Err(ReadError::Missing { .. }) => Ok(States::default()),
        Err(error) => Err(error.to_string()),
    }
}

fn change(
    shelf: &dyn Shelf,
    recipe: &Path,
    change: impl FnOnce(&mut States) -> Result<(), String>,
) -> Result<(), String> {
    let _one = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let path = beside(recipe);
    let mut states = read(shelf, &path)?;
    let before = states.clone();
    change(&mut states)?;
    if states != before {
        let written = shelf.write(&path, &states.text());
        written.map_err(|error| error.to_string())?;
    }
    Ok(())
}

/// The states, and where they are kept.
///
/// # Errors
/// When that cannot be read, or is something else.
pub fn told(store: &dyn Store, recipe: &Path) -> Result<Value, String> {
    let path = beside(recipe);
    let states = read(store, &path)?;
    Ok(json!({
        "file": name(&path),
        "at": states.at,
        "ahead": states.ahead,
        "states": states.states,
    }))
}

/// Keeps states. Texts of the recipe are those that runs read of late.
///
/// # Errors
/// When a state is no such thing, or cannot be kept.
pub fn keep(
    shelf: &dyn Shelf,
    recipe: &Path,
    state: &Snapshot,
    new: StatesChange,
) -> Result<Value, String> {
    change(shelf, recipe, |states| {
        let kept = states.change(new, |mark| state.text(mark));
        kept.map_err(|error| error.to_string())
    })?;
    Ok(json!({ "file": name(&beside(recipe)) }))
}

/// Forgets all of them.
///
/// # Errors
/// When what is there is something else, or cannot be written.
pub fn forget(shelf: &dyn Shelf, recipe: &Path) -> Result<Value, String> {
    change(shelf, recipe, |states| {
        *states = States::default();
        Ok(())
    })?;
    Ok(json!({}))
}

const GONE: &str = "this state is no longer kept";

/// Goes back to a state: the recipe's text is written, where it was another. The knobs are still to be
/// turned.
///
/// # Errors
/// When the state is not kept any more, or the text cannot be written.
pub fn go(shelf: &dyn Shelf, written: &Written, recipe: &Path, to: Go) -> Result<Gone, String> {
    let states = read(shelf, &beside(recipe))?;
    let step = states.step(to.number).ok_or(GONE)?;
    let mut copy = None;
    if let Some(text) = states.text_of(step) {
        let now = current(shelf, recipe)?;
        if now != text {
            if to.over.is_none_or(|over| over != mark(&now)) {
                return Ok(Gone { turn: None, copy });
            }
            let done = write_over(shelf, written, recipe, &now, text);
            copy = done.map_err(|error| error.to_string())?;
        }
    }
    let turn = Some(turn(step));
    change(shelf, recipe, |states| {
        states.at = Some(to.number);
        states.ahead = to.ahead;
        Ok(())
    })?;
    Ok(Gone { turn, copy })
}

impl Gone {
    /// The answer to a page, with the number of the turn of the knobs.
    pub fn told(&self, turn: u64) -> Value {
        match self.turn {
            Some(_) => json!({ "turn": turn, "copy": self.copy }),
            None => json!({ "changed": true }),
        }
    }
}

fn turn(step: &Step) -> Turn {
    let knobs = step.set.knobs.iter();
    Turn {
        fresh: true,
        own_seed: true,
        set: knobs.map(|(n, v)| (n.clone(), Some(v.clone()))).collect(),
        seed: step.set.seed.clone(),
        ..Turn::default()
    }
}

/// Carries a state out beside what is shown.
///
/// # Errors
/// When the state is not kept any more, or there is no picture yet.
pub fn carried_out(
    bench: Bench<'_>,
    number: u64,
) -> Result<Result<(Opened, Outcome), RunError>, String> {
    let states = read(bench.store, &beside(&bench.given.recipe))?;
    let step = states.step(number).ok_or(GONE)?;
    let made = bench.state.newest()?;
    let opened = match states.text_of(step) {
        Some(text) => made.opened.with_text(text),
        None => made.opened.clone(),
    };
    let mut knobs = Knobs::default().turned(turn(step))?;
    let host = opened.host(bench.store, Box::new(|_| ()));
    let result = bench
        .given
        .carry_out(&opened, &mut knobs, &host, &mut Vec::new());
    Ok(result.map(|outcome| (opened, outcome)))
}
