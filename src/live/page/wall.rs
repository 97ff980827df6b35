//! The wall of variations: one card at a time, and the stars that some of them get.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::json as value;
use tokio::sync::OwnedSemaphorePermit;

use super::answers::{problem, told, worked_out};
use super::app_state::{AppState, bench};
use super::asking::at_bench;
use super::cancel::Recallable;
use super::sent::Sent;
use crate::files::DiskStore;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::session::RunError;
use crate::session::Snapshot;
use crate::session::card::{Card, MadeCard};
use crate::session::fault::FaultReport;
use crate::session::knobs::Knobs;
use crate::session::run_result::RunResult;
use crate::session::stars;

/// The number of a star.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Unstar {
    number: u64,
}

fn carried_out(
    app: &AppState,
    made: &RunResult,
    knobs: &mut Knobs,
    door: &Arc<dyn Host>,
) -> Result<Outcome, RunError> {
    // Notices about the recipe are sent with the panel.
    let given = app.table.given();
    given.carry_out(&made.opened, knobs, door, &mut Vec::new())
}

/// One card. It is made of the table as it stands while no run for the panel is at work. Once such a
/// run has begun, the card is given up, or its own run cancelled, and it is made again from the table
/// afterwards; when the page that asked has left, it is not made any more.
pub(super) async fn card(State(app): State<AppState>, Sent(card): Sent<Card>) -> Response {
    let card = Arc::new(card);
    // The server drops this with the whole answer when the page closes the line.
    let asker = Arc::new(());
    loop {
        let state = app.table.settled().await;
        let Some(turn) = turn(&app).await else {
            return ending();
        };
        if app.table.overtook(&state) {
            continue;
        }
        let recalled = Arc::new(AtomicBool::new(false));
        let (again, card, waits) = (
            Arc::clone(&recalled),
            Arc::clone(&card),
            Arc::downgrade(&asker),
        );
        let response = in_turn(&app, turn, move |app| {
            let (table, from) = (Arc::clone(&app.table), Arc::clone(&state));
            let unwanted = move || waits.strong_count() == 0 || table.overtook(&from);
            match of_card(app, &state, &card, unwanted)? {
                Ok(outcome) => Ok(value!(MadeCard::of(&outcome, card.panel, &card.look))),
                Err(error) => {
                    again.store(error.is_recall(), Ordering::SeqCst);
                    Ok(value!({ "fault": FaultReport::of(&error) }))
                }
            }
        })
        .await;
        if !recalled.load(Ordering::SeqCst) {
            return response;
        }
    }
}

/// The answer for a card, unless it is `unwanted` before that.
fn of_card(
    app: &AppState,
    state: &Snapshot,
    card: &Card,
    unwanted: impl Fn() -> bool + Send + Sync + 'static,
) -> Result<Result<Outcome, RunError>, String> {
    let made = state.newest()?;
    let store = Arc::new(DiskStore::new());
    let knobs = stars::knobs_for(bench(&app.table.given(), state, &store), card)?;
    let host = made.opened.host(&*store, Box::new(|_| ()));
    let door = Recallable::new(host, store, unwanted).door();
    let mut used = knobs.clone();
    let outcome = carried_out(app, &made, &mut used, &door);
    // Otherwise a picture of other values would be taken for this one.
    let lost = knobs.set.keys().find(|name| !used.set.contains_key(*name));
    match lost {
        Some(name) => Err(format!("the recipe no longer has the parameter `{name}`")),
        None => Ok(outcome),
    }
}

/// The shortlist.
pub(super) async fn shortlist(State(app): State<AppState>) -> Response {
    at_bench(app, |bench, _, _| stars::told(bench)).await
}

/// Gives a variation a star.
pub(super) async fn star(State(app): State<AppState>, Sent(card): Sent<Card>) -> Response {
    one_at_a_time(app, move |app| {
        let store = DiskStore::new();
        let (given, now) = (app.table.given(), app.table.now());
        let told = stars::add(bench(&given, &now, &store), &store, &card)?;
        app.table.shortlist_changed();
        Ok(told)
    })
    .await
}

/// Takes a star away.
pub(super) async fn unstar(
    State(app): State<AppState>,
    Sent(Unstar { number }): Sent<Unstar>,
) -> Response {
    one_at_a_time(app, move |app| {
        let store = DiskStore::new();
        let (given, now) = (app.table.given(), app.table.now());
        let told = stars::remove(bench(&given, &now, &store), &store, number)?;
        app.table.shortlist_changed();
        Ok(told)
    })
    .await
}

/// Does work that may carry out a recipe, one piece after the other, as the bounds on time and
/// memory count for each.
pub(super) async fn one_at_a_time(
    app: AppState,
    work: impl FnOnce(&AppState) -> Result<serde_json::Value, String> + Send + 'static,
) -> Response {
    match turn(&app).await {
        Some(turn) => in_turn(&app, turn, work).await,
        None => ending(),
    }
}

/// Waits for one's turn; none when the program is ending.
async fn turn(app: &AppState) -> Option<OwnedSemaphorePermit> {
    Arc::clone(&app.trying).acquire_owned().await.ok()
}

fn ending() -> Response {
    problem(StatusCode::SERVICE_UNAVAILABLE, "the program is ending")
}

async fn in_turn(
    app: &AppState,
    turn: OwnedSemaphorePermit,
    work: impl FnOnce(&AppState) -> Result<serde_json::Value, String> + Send + 'static,
) -> Response {
    let inside = app.clone();
    worked_out(app, move || {
        let result = work(&inside);
        drop(turn);
        told(StatusCode::CONFLICT, result)
    })
    .await
}

#[cfg(test)]
mod tests {
    use std::future::poll_fn;
    use std::path::PathBuf;
    use std::sync::mpsc::channel;
    use std::task::Poll;

    use super::*;
    use crate::live::page::table::Table;
    use crate::live::watch::FileWatch;
    use crate::recipe::store::Reach;
    use crate::session::Given;
    use crate::session::Typed;
    use crate::session::knobs::Turn;
    use crate::session::planned::ShopFile;

    /// While `long` is 0, a panel of 9 courses is never ready.
    const RECIPE: &str = r#"
let long = param("long", 0, #{ from: 0, to: 1 });
let rows = param("rows", 2, #{ from: 1, to: 9 });
if long == 1 { print("at work"); }
while long == 0 && rows == 9 { }
let sheet = plywood(5, 12, "birch");
let tile = bar(sheet.rip(sheet.thickness)).slice("square");
panel("Lid", squares(tile)).finished(24, rows * 12).fill(tile);
"#;

    fn app(recipe: PathBuf) -> AppState {
        let given = Given {
            recipe,
            reach: Reach::OwnFolder,
            typed: Typed::default(),
        };
        let table = Arc::new(Table::new(given, FileWatch::new().1));
        AppState::new(table, ShopFile::common(), 0).unwrap()
    }

    fn of_9_courses() -> Card {
        serde_json::from_value(value!({ "set": { "rows": "9" } })).unwrap()
    }

    /// The order is forced: the card looks at the table, then a run for the panel begins and is held
    /// in its middle, then it is the card's turn.
    #[test]
    fn a_card_does_not_begin_with_what_a_run_at_work_replaces() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("lid.rhai");
        std::fs::write(&path, RECIPE).unwrap();
        let app = app(path);
        app.table.carry_out(|_| ()).0.unwrap().unwrap();
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .unwrap();

        let turn = app.trying.try_acquire().unwrap();
        let mut card = Box::pin(card(State(app.clone()), Sent(of_9_courses())));
        let mut is_waiting = || {
            let polled = poll_fn(|context| Poll::Ready(card.as_mut().poll(context)));
            runtime.block_on(polled).is_pending()
        };
        assert!(is_waiting());

        let (at_work, until_at_work) = channel();
        let (go_on, until_told) = channel();
        let until_told = std::sync::Mutex::new(until_told);
        let long = value!({ "set": { "long": "1" } });
        let wish: Turn = serde_json::from_value(long).unwrap();
        app.table.turn(wish).unwrap();
        let table = Arc::clone(&app.table);
        let run = std::thread::spawn(move || {
            table.carry_out(move |_| {
                at_work.send(()).unwrap();
                until_told.lock().unwrap().recv().unwrap();
            })
        });
        until_at_work.recv().unwrap();
        drop(turn);
        assert!(is_waiting());
        assert_eq!(app.trying.available_permits(), 1, "a run of former knobs");

        go_on.send(()).unwrap();
        run.join().unwrap().0.unwrap().unwrap();
        let told = runtime.block_on(async {
            let body = card.await.into_body();
            axum::body::to_bytes(body, usize::MAX).await.unwrap()
        });
        let told: serde_json::Value = serde_json::from_slice(&told).unwrap();
        assert_eq!(told["height"], 108.0, "{told}");
    }
}
