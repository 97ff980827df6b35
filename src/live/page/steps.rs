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
use crate::session::states::StatesChange;
use crate::session::steps::{self, Go};
use crate::session::values::{self, PutValue, ValueParameter};

/// A state to look at.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StateToShow {
    number: u64,
}

/// The states, and where they are kept.
pub(super) async fn all(State(app): State<AppState>) -> Response {
    answer(app, StatusCode::CONFLICT, |app, store| {
        steps::told(store, &app.table.given().recipe)
    })
    .await
}

/// Keeps states.
pub(super) async fn keep(State(app): State<AppState>, Sent(new): Sent<StatesChange>) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, store| {
        steps::keep(store, &app.table.given().recipe, &app.table.now(), new)
    })
    .await
}

/// Forgets all of them.
pub(super) async fn forget(State(app): State<AppState>) -> Response {
    answer(app, StatusCode::CONFLICT, |app, store| {
        steps::forget(store, &app.table.given().recipe)
    })
    .await
}

/// Goes back to a state; the run that follows is told of by the events.
pub(super) async fn go(State(app): State<AppState>, Sent(to): Sent<Go>) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, store| {
        let gone = steps::go(store, &app.written, &app.table.given().recipe, to)?;
        let turn = gone.turn.clone().map(|turn| app.table.turn(turn));
        Ok(gone.told(turn.transpose()?.unwrap_or_default()))
    })
    .await
}

/// Carries a state out beside what is shown, to be looked at; nothing is changed by that.
pub(super) async fn see(State(app): State<AppState>, Sent(state): Sent<StateToShow>) -> Response {
    one_at_a_time(app, move |app| {
        let (now, store) = (app.table.now(), DiskStore::new());
        match steps::carried_out(bench(&app.table.given(), &now, &store), state.number)? {
            Ok((opened, outcome)) => {
                let made = app.table.lay_aside(opened, outcome);
                Ok(value!({ "shown": made.id, "picture": made.told() }))
            }
            Err(error) => Ok(value!({ "fault": FaultReport::of(&error) })),
        }
    })
    .await
}

/// The plain values of a picture's recipe.
pub(super) async fn value_all(State(app): State<AppState>, Path(id): Path<u64>) -> Response {
    of_picture(&app, (id, 0), |made| json(values::told(made).to_string())).await
}

/// Writes another value into the recipe.
pub(super) async fn value_put(State(app): State<AppState>, Sent(put): Sent<PutValue>) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, store| {
        values::put(store, &app.written, &app.table.given().recipe, &put)
    })
    .await
}

/// Makes a value a parameter.
pub(super) async fn value_parameter(
    State(app): State<AppState>,
    Sent(to): Sent<ValueParameter>,
) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, store| {
        values::parameter(store, &app.written, &app.table.given().recipe, &to)
    })
    .await
}
