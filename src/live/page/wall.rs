//! The wall of variations: one card at a time, and the stars that some of them get.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::Deserialize;
use serde_json::json as value;

use super::answers::{json, problem, worked_out};
use super::asking::newest;
use super::drawing::{Asked, Seen, drawing, pixels};
use super::error::RunError;
use super::fault::Fault;
use super::keep::Values;
use super::knobs::{Knobs, seed};
use super::made::Made;
use super::recall::Recallable;
use super::sent::Sent;
use super::server::Desk;
use super::shortlist;
use crate::explore::index::ParameterValue;
use crate::explore::pinned::digest;
use crate::files::DiskStore;
use crate::layout::panel::Panel;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::{Parameter, Value};
use crate::session::visible::visible;
use crate::sight::relit::Look;

/// Up to this many tiles a card is a drawing; beyond, it is made of pixels.
const MOST_DRAWN: usize = 600;
/// Width of a card's picture in pixels.
const CARD_WIDTH: u32 = 480;

/// What a card is to show, as the page sends it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Card {
    /// Parameters that differ from the knobs.
    #[serde(default)]
    set: BTreeMap<String, String>,
    /// The seed, where it differs.
    seed: Option<String>,
    /// Which panel is shown.
    #[serde(default)]
    panel: usize,
    /// The star that it is a card of, in place of parameters and seed.
    star: Option<u64>,
    /// How it is looked at.
    #[serde(default)]
    look: Seen,
}

/// The number of a star.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Unstar {
    number: u64,
}

/// A variation, checked.
#[derive(Debug, Clone)]
struct Wanted {
    set: BTreeMap<String, String>,
    seed: Option<u64>,
}

impl Wanted {
    /// # Errors
    /// When the seed is none.
    fn new(set: BTreeMap<String, String>, typed: Option<&str>) -> Result<Self, String> {
        Ok(Self {
            set,
            seed: typed.map(seed).transpose()?,
        })
    }
}

/// Carries out a variation to its end: the text of the picture that is shown, its knobs, and what
/// differs.
fn tried(desk: &Desk, made: &Made, wanted: &Wanted) -> Result<Outcome, RunError> {
    let store = DiskStore::new();
    let host = made.opened.host(&store, Box::new(|_| ()));
    carried_out(desk, made, knobs_with(desk, wanted), &host)
}

/// The knobs as the last run had them, and what differs.
fn knobs_with(desk: &Desk, wanted: &Wanted) -> Knobs {
    let mut knobs = desk.table.now().knobs.clone();
    knobs.set.extend(wanted.set.clone());
    knobs.seed = wanted.seed.or(knobs.seed);
    knobs
}

fn carried_out(
    desk: &Desk,
    made: &Made,
    mut knobs: Knobs,
    door: &Arc<dyn Host>,
) -> Result<Outcome, RunError> {
    // What is to be known of the recipe is told with the panel.
    let given = desk.table.given();
    given.carry_out(&made.opened, &mut knobs, door, &mut Vec::new())
}

/// A value as it would be typed: a bare number counts in inches where the recipe does.
fn typed(value: &Value, parameter: Option<&Parameter>) -> String {
    match value {
        Value::Number(mm) if parameter.is_some_and(Parameter::is_in_inches) => format!("{mm} mm"),
        other => other.to_string(),
    }
}

/// The parameter of this name in a picture's recipe.
fn known<'m>(made: &'m Made, name: &str) -> Option<&'m Parameter> {
    made.outcome.parameters.iter().find(|p| p.name == name)
}

/// The knobs of a star, for the recipe that made a picture.
fn knobs_of(star: &shortlist::Star, made: &Made) -> Knobs {
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

/// One card. Its run is recalled when a run for the panel begins, and tried again with what that
/// leaves on the table; when the page that asked has left, nothing is tried any more.
pub(super) async fn card(State(desk): State<Desk>, Sent(card): Sent<Card>) -> Response {
    let card = Arc::new(card);
    // The server drops this with the whole answer when the page closes the line.
    let asker = Arc::new(());
    loop {
        desk.table.settled().await;
        let recalled = Arc::new(AtomicBool::new(false));
        let (again, card, waits) = (
            Arc::clone(&recalled),
            Arc::clone(&card),
            Arc::downgrade(&asker),
        );
        let response = one_at_a_time(desk.clone(), move |desk| {
            let overtaken = desk.table.overtaken();
            let unwanted = move || waits.strong_count() == 0 || overtaken();
            match of_card(desk, &card, unwanted)? {
                Ok(outcome) => Ok(shown(&outcome, card.panel, &card.look)),
                Err(error) => {
                    again.store(error.is_recall(), Ordering::SeqCst);
                    Ok(value!({ "fault": Fault::of(&error) }))
                }
            }
        })
        .await;
        if !recalled.load(Ordering::SeqCst) {
            return response;
        }
    }
}

/// What a card comes to, unless it is `unwanted` before that.
fn of_card(
    desk: &Desk,
    card: &Card,
    unwanted: impl Fn() -> bool + Send + Sync + 'static,
) -> Result<Result<Outcome, RunError>, String> {
    card.look.look()?;
    let made = newest(desk)?;
    let knobs = if let Some(number) = card.star {
        let stars = stars(desk)?;
        let star = stars.iter().find(|s| s.number == number);
        knobs_of(
            star.ok_or("this star is no longer on the shortlist")?,
            &made,
        )
    } else {
        let wanted = Wanted::new(card.set.clone(), card.seed.as_deref())?;
        knobs_with(desk, &wanted)
    };
    let store = Arc::new(DiskStore::new());
    let host = made.opened.host(&*store, Box::new(|_| ()));
    let door = Recallable::new(host, store, unwanted).door();
    Ok(carried_out(desk, &made, knobs, &door))
}

/// What a card shows of an outcome.
fn shown(outcome: &Outcome, number: usize, look: &Seen) -> serde_json::Value {
    let panel = outcome.panels.get(number).or(outcome.panels.first());
    let tiles: usize = outcome.panels.iter().map(|p| p.tiles.len()).sum();
    let joints: u64 = outcome.panels.iter().map(|p| p.joints.all).sum();
    let matched: u64 = outcome.panels.iter().map(|p| p.joints.matched).sum();
    let parameters = outcome.parameters.iter();
    let values = parameters.map(|p| value!({ "name": p.name, "shown": visible(&p.shown()) }));
    let set: BTreeMap<String, String> = outcome
        .parameters
        .iter()
        .map(|p| {
            (
                p.name.clone(),
                typed(&ParameterValue::from(p).value, Some(p)),
            )
        })
        .collect();
    value!({
        "seed": outcome.seed.to_string(),
        "values": values.collect::<Vec<_>>(),
        "set": set,
        "tiles": tiles,
        "joints": joints,
        "matched": matched,
        "width": panel.map(|p| p.bounds.width()),
        "height": panel.map(|p| p.bounds.height()),
        "picture": panel.map(|panel| picture(panel, look)),
    })
}

fn picture(panel: &Panel, look: &Seen) -> serde_json::Value {
    let asked = Asked::of_width(CARD_WIDTH, look);
    if panel.tiles.len() <= MOST_DRAWN
        && let Ok(svg) = drawing(panel, &asked)
    {
        return value!({ "kind": "image/svg+xml", "text": svg });
    }
    match pixels(panel, &asked) {
        Ok(png) => value!({ "kind": "image/png", "base64": STANDARD.encode(png) }),
        Err(_) => serde_json::Value::Null,
    }
}

/// The shortlist.
pub(super) async fn shortlist(State(desk): State<Desk>) -> Response {
    let inside = desk.clone();
    worked_out(&desk, move || {
        let now = inside.table.now();
        let known = |name: &str| now.good.as_ref().and_then(|made| known(made, name));
        let digest = now
            .good
            .as_ref()
            .map(|made| digest(made.outcome.sources.iter().map(AsRef::as_ref)));
        match stars(&inside) {
            Ok(stars) => {
                let told = stars.iter().map(|star| {
                    let named = star.parameters.iter();
                    let values: Vec<_> = named
                        .map(|p| {
                            let known = known(&p.name);
                            let shown = known.map_or_else(
                                || p.value.to_string(),
                                |known| known.in_words(&p.value),
                            );
                            value!({ "name": p.name, "shown": visible(&shown) })
                        })
                        .collect();
                    let set = now.good.as_ref().map(|made| knobs_of(star, made).set);
                    value!({
                        "number": star.number,
                        "seed": star.seed.to_string(),
                        "values": values,
                        "set": set,
                        "changed": digest.as_ref().is_some_and(|d| *d != star.recipe_sha256),
                    })
                });
                json(value!({ "stars": told.collect::<Vec<_>>() }).to_string())
            }
            Err(message) => problem(StatusCode::CONFLICT, &visible(&message)),
        }
    })
    .await
}

/// Gives a variation a star.
pub(super) async fn star(State(desk): State<Desk>, Sent(card): Sent<Card>) -> Response {
    one_at_a_time(desk, move |desk| {
        let made = newest(desk)?;
        let wanted = Wanted::new(card.set, card.seed.as_deref())?;
        let outcome = tried(desk, &made, &wanted).map_err(|e| e.to_string())?;
        let values = Values::of(&outcome, Look::default());
        let number = shortlist::add(
            &desk.table.given().recipe,
            values.seed,
            values.parameters,
            values.recipe_sha256,
        )
        .map_err(|e| e.to_string())?;
        desk.table.shortlist_changed();
        Ok(value!({ "number": number }))
    })
    .await
}

/// Takes a star away.
pub(super) async fn unstar(
    State(desk): State<Desk>,
    Sent(Unstar { number }): Sent<Unstar>,
) -> Response {
    one_at_a_time(desk, move |desk| {
        shortlist::remove(&desk.table.given().recipe, number).map_err(|e| e.to_string())?;
        desk.table.shortlist_changed();
        Ok(value!({ "number": number }))
    })
    .await
}

fn stars(desk: &Desk) -> Result<Vec<shortlist::Star>, String> {
    shortlist::stars(&desk.table.given().recipe).map_err(|e| e.to_string())
}

/// Does what may carry out a recipe, one after the other: bounds on time and memory count for each.
async fn one_at_a_time(
    desk: Desk,
    work: impl FnOnce(&Desk) -> Result<serde_json::Value, String> + Send + 'static,
) -> Response {
    let Ok(turn) = Arc::clone(&desk.trying).acquire_owned().await else {
        return problem(StatusCode::SERVICE_UNAVAILABLE, "the program is ending");
    };
    let inside = desk.clone();
    worked_out(&desk, move || {
        let result = work(&inside);
        drop(turn);
        match result {
            Ok(told) => json(told.to_string()),
            Err(message) => problem(StatusCode::CONFLICT, &visible(&message)),
        }
    })
    .await
}
