//! What a page asks for and does: turning knobs, the recipe's text, hands on the tiles, keeping what is
//! shown. How each is answered is worked out in `session`.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use serde_json::{Value, json as value};

use super::answers::{of_picture, told, worked_out};
use super::app_state::{AppState, bench};
use super::sent::Sent;
use crate::files::{DiskStore, from_folder};
use crate::session::bench::Bench;
use crate::session::edit::Written;
use crate::session::hands::{self, Hands};
use crate::session::keep::{Keep, keep as kept};
use crate::session::knobs::Turn;
use crate::session::own_text::{self, NewText, ToParameter};
use crate::session::photo::EdgePhoto;
use crate::session::rim::{self, Drag};
use crate::session::run_result::RunResult;

/// Works out an answer; where there is none, a sentence that says why.
pub(super) async fn answer(
    app: AppState,
    otherwise: StatusCode,
    work: impl FnOnce(&AppState, &DiskStore) -> Result<Value, String> + Send + 'static,
) -> Response {
    let inside = app.clone();
    worked_out(&app, move || {
        told(otherwise, work(&inside, &DiskStore::new()))
    })
    .await
}

/// Works out an answer from the state of the table; texts are written through the last two
/// arguments.
pub(super) async fn at_bench(
    app: AppState,
    work: impl FnOnce(Bench<'_>, &DiskStore, &Written) -> Result<Value, String> + Send + 'static,
) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, store| {
        let (given, now) = (app.table.given(), app.table.now());
        work(bench(&given, &now, store), store, &app.written)
    })
    .await
}

/// Works out what is told of a panel that is shown.
async fn of_panel(
    app: AppState,
    Path((id, panel)): Path<(u64, usize)>,
    work: impl FnOnce(Bench<'_>, &RunResult, usize) -> Result<Value, String> + Send + 'static,
) -> Response {
    let inside = app.clone();
    of_picture(&app, (id, panel), move |made| {
        let (given, now) = (inside.table.given(), inside.table.now());
        let store = DiskStore::new();
        let answer = work(bench(&given, &now, &store), made, panel);
        told(StatusCode::CONFLICT, answer)
    })
    .await
}

/// Turns knobs; the run that follows is told of by the events.
pub(super) async fn knobs(State(app): State<AppState>, Sent(turn): Sent<Turn>) -> Response {
    let number = app.table.turn(turn);
    let answer = number.map(|number| value!({ "turn": number }));
    told(StatusCode::UNPROCESSABLE_ENTITY, answer)
}

/// Keeps something in a file.
pub(super) async fn keep(State(app): State<AppState>, Sent(keep): Sent<Keep>) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, store| {
        let way = |home: &std::path::Path, recipe: &std::path::Path| {
            let here = home.as_os_str().is_empty();
            from_folder(if here { ".".as_ref() } else { home }, recipe)
        };
        let (given, now) = (app.table.given(), app.table.now());
        let done = kept(bench(&given, &now, store), store, way, keep)?;
        if let Some(turn) = done.turn {
            app.table.turn(turn)?;
        }
        Ok(done.told)
    })
    .await
}

/// The text as it is in the file now.
pub(super) async fn text(State(app): State<AppState>) -> Response {
    answer(app, StatusCode::CONFLICT, |app, store| {
        own_text::text(store, &app.table.given().recipe)
    })
    .await
}

/// Writes a text into the recipe's file.
pub(super) async fn write(State(app): State<AppState>, Sent(new): Sent<NewText>) -> Response {
    answer(app, StatusCode::CONFLICT, move |app, store| {
        own_text::write(store, &app.written, &app.table.given().recipe, &new)
    })
    .await
}

/// The text with a value as a parameter.
pub(super) async fn parameter(
    State(app): State<AppState>,
    Sent(asked): Sent<ToParameter>,
) -> Response {
    answer(app, StatusCode::UNPROCESSABLE_ENTITY, |_, _| {
        own_text::parameter(asked)
    })
    .await
}

/// The layers of a sheet from a photo of its edge.
pub(super) async fn layers(State(app): State<AppState>, Sent(photo): Sent<EdgePhoto>) -> Response {
    answer(app, StatusCode::UNPROCESSABLE_ENTITY, move |_, _| {
        photo.read()
    })
    .await
}

/// The words of recipes, for completion and help.
pub(super) async fn words(State(app): State<AppState>) -> Response {
    answer(app, StatusCode::CONFLICT, |_, _| Ok(own_text::word_list())).await
}

/// What can be laid on a panel.
pub(super) async fn tray(State(app): State<AppState>, at: Path<(u64, usize)>) -> Response {
    of_panel(app, at, |_, made, panel| hands::tray(made, panel)).await
}

/// The ways to go on from what was laid.
pub(super) async fn go_on(State(app): State<AppState>, at: Path<(u64, usize)>) -> Response {
    of_panel(app, at, hands::go_on).await
}

/// Says what edits would come to; nothing is written.
pub(super) async fn try_hands(State(app): State<AppState>, Sent(edits): Sent<Hands>) -> Response {
    at_bench(app, move |bench, _, _| hands::try_out(bench, &edits)).await
}

/// Writes edits by hand into the recipe; the run that follows is told of by the events.
pub(super) async fn lay(State(app): State<AppState>, Sent(edits): Sent<Hands>) -> Response {
    at_bench(app, move |bench, store, written| {
        hands::lay(bench, store, written, &edits)
    })
    .await
}

/// The handles of a panel's outline.
pub(super) async fn handles(State(app): State<AppState>, at: Path<(u64, usize)>) -> Response {
    of_panel(app, at, |_, made, panel| rim::told(made, panel)).await
}

/// Says what a drag would come to; nothing is written.
pub(super) async fn try_drag(State(app): State<AppState>, Sent(drag): Sent<Drag>) -> Response {
    at_bench(app, move |bench, _, _| rim::try_out(bench, &drag)).await
}

/// Writes the result of a drag into the recipe; the run that follows is told of by the events.
pub(super) async fn drag(State(app): State<AppState>, Sent(drag): Sent<Drag>) -> Response {
    at_bench(app, move |bench, store, written| {
        rim::put(bench, store, written, &drag)
    })
    .await
}
