//! A page's requests about the states of a recipe and the values in its text. The answers are worked out
//! in `session`.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::json as value;

use super::answers::{json, of_picture};
use super::app_state::{AppState, bench};
use super::asking::answer;
use super::sent::Sent;
use super::wall::one_at_a_time;
use crate::files::DiskStore;
use crate::session::fault::FaultReport;
use crate::session::states::Change;
use crate::session::steps::{self, Go};
use crate::session::values::{self, PutValue, ValueParameter};

/// A state to look at.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StateToShow {
    number: u64,
}

/// The states, and where they are kept.
pub(super) async fn all(State(desk): State<AppState>) -> Response {
    answer(desk, StatusCode::CONFLICT, |desk, store| {
        steps::told(store, &desk.table.given().recipe)
    })
    .await
}

/// Keeps states.
pub(super) async fn keep(State(desk): State<AppState>, Sent(new): Sent<Change>) -> Response {
    answer(desk, StatusCode::CONFLICT, move |desk, store| {
        steps::keep(store, &desk.table.given().recipe, &desk.table.now(), new)
    })
    .await
}

/// Forgets all of them.
pub(super) async fn forget(State(desk): State<AppState>) -> Response {
    answer(desk, StatusCode::CONFLICT, |desk, store| {
        steps::forget(store, &desk.table.given().recipe)
    })
    .await
}

/// Goes back to a state; the run that follows is told of by the events.
pub(super) async fn go(State(desk): State<AppState>, Sent(to): Sent<Go>) -> Response {
    answer(desk, StatusCode::CONFLICT, move |desk, store| {
        let gone = steps::go(store, &desk.written, &desk.table.given().recipe, to)?;
        let turn = gone.turn.clone().map(|turn| desk.table.turn(turn));
        Ok(gone.told(turn.transpose()?.unwrap_or_default()))
    })
    .await
}

/// Carries a state out beside what is shown, to be looked at; nothing is changed by that.
pub(super) async fn see(State(desk): State<AppState>, Sent(state): Sent<StateToShow>) -> Response {
    one_at_a_time(desk, move |desk| {
        let (now, store) = (desk.table.now(), DiskStore::new());
        match steps::carried_out(bench(&desk.table.given(), &now, &store), state.number)? {
            Ok((opened, outcome)) => {
                let made = desk.table.lay_aside(opened, outcome);
                Ok(value!({ "shown": made.id, "picture": made.told() }))
            }
            Err(error) => Ok(value!({ "fault": FaultReport::of(&error) })),
        }
    })
    .await
}

/// The plain values of a picture's recipe.
pub(super) async fn value_all(State(desk): State<AppState>, Path(id): Path<u64>) -> Response {
    of_picture(&desk, (id, 0), |made| json(values::told(made).to_string())).await
}

/// Writes another value into the recipe.
pub(super) async fn value_put(State(desk): State<AppState>, Sent(put): Sent<PutValue>) -> Response {
    answer(desk, StatusCode::CONFLICT, move |desk, store| {
        values::put(store, &desk.written, &desk.table.given().recipe, &put)
    })
    .await
}

/// Makes a value a parameter.
pub(super) async fn value_parameter(
    State(desk): State<AppState>,
    Sent(to): Sent<ValueParameter>,
) -> Response {
    answer(desk, StatusCode::CONFLICT, move |desk, store| {
        values::parameter(store, &desk.written, &desk.table.given().recipe, &to)
    })
    .await
}
