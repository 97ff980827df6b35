//! Stars for variations: how they are given, taken away and listed, and the values that a card of
//! one is made with.

use serde_json::{Value, json};

use super::bench::Bench;
use super::card::{Card, typed};
use super::kept::Values;
use super::knobs::Knobs;
use super::run_result::RunResult;
use super::shortlist::{self, Star};
use super::visible::visible;
use crate::appearance::Look;
use crate::explore::pinned::digest;
use crate::recipe::parameter::Parameter;
use crate::recipe::store::Shelf;

/// The parameter of this name in a picture's recipe.
fn known<'m>(made: &'m RunResult, name: &str) -> Option<&'m Parameter> {
    made.outcome.parameters.iter().find(|p| p.name == name)
}

/// The knobs of a star, for the recipe that made a picture.
fn knobs_of(star: &Star, made: &RunResult) -> Knobs {
    Knobs {
        set: star
            .parameters
            .iter()
            .map(|p| (p.name.clone(), typed(&p.value, known(made, &p.name))))
            .collect(),
        seed: Some(star.seed),
        locked: false,
    }
}

/// The knobs that a card is made with: those of its star, or those of the state with what differs.
///
/// # Errors
/// When the star is gone, or the seed is none.
pub fn knobs_for(bench: Bench<'_>, card: &Card) -> Result<Knobs, String> {
    let Some(number) = card.star else {
        return card.knobs(&bench.state.knobs);
    };
    let made = bench.state.newest()?;
    Ok(knobs_of(&numbered(bench, number)?, &made))
}

/// The star of this number.
///
/// # Errors
/// When it is gone, or the shortlist cannot be read.
pub fn numbered(bench: Bench<'_>, number: u64) -> Result<Star, String> {
    let stars = all(bench)?;
    let star = stars.into_iter().find(|s| s.number == number);
    star.ok_or_else(|| "this star is no longer on the shortlist".to_owned())
}

fn all(bench: Bench<'_>) -> Result<Vec<Star>, String> {
    shortlist::stars(bench.store, &bench.given.recipe).map_err(|e| e.to_string())
}

/// The shortlist, each star with its values in words.
///
/// # Errors
/// When it cannot be read.
pub fn told(bench: Bench<'_>) -> Result<Value, String> {
    let good = bench.state.good.as_ref();
    let digest = good.map(|made| digest(made.outcome.sources.iter().map(AsRef::as_ref)));
    let stars = all(bench)?;
    let told = stars.iter().map(|star| {
        let values = star.parameters.iter().map(|p| {
            let shown = match good.and_then(|made| known(made, &p.name)) {
                Some(known) => known.in_words(&p.value),
                None => p.value.to_string(),
            };
            json!({ "name": p.name, "shown": visible(&shown) })
        });
        json!({
            "number": star.number,
            "seed": star.seed.to_string(),
            "values": values.collect::<Value>(),
            "set": good.map(|made| knobs_of(star, made).set),
            "changed": digest.as_ref().is_some_and(|d| *d != star.recipe_sha256),
        })
    });
    Ok(json!({ "stars": told.collect::<Value>() }))
}

/// Gives a variation a star.
///
/// # Errors
/// When it cannot be made, or the shortlist cannot be written.
pub fn add(bench: Bench<'_>, shelf: &dyn Shelf, card: &Card) -> Result<Value, String> {
    let made = bench.state.newest()?;
    let host = made.opened.host(bench.store, Box::new(|_| ()));
    let mut knobs = card.knobs(&bench.state.knobs)?;
    let given = bench.given;
    let outcome = given.carry_out(&made.opened, &mut knobs, &host, &mut Vec::new());
    let outcome = outcome.map_err(|e| e.to_string())?;
    let values = Values::of(&outcome, Look::default());
    let (seed, parameters) = (values.seed, values.parameters);
    let number = shortlist::add(shelf, &given.recipe, seed, parameters, values.recipe_sha256);
    Ok(json!({ "number": number.map_err(|e| e.to_string())? }))
}

/// Takes a star away.
///
/// # Errors
/// When the shortlist cannot be read or written.
pub fn remove(bench: Bench<'_>, shelf: &dyn Shelf, number: u64) -> Result<Value, String> {
    shortlist::remove(shelf, &bench.given.recipe, number).map_err(|e| e.to_string())?;
    Ok(json!({ "number": number }))
}
