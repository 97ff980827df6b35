//! The forms of answers, and the threads on which they are worked out.

use std::sync::Arc;
use std::time::Duration;

use axum::body::Body;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json as value};

use super::app_state::{AT_ONCE, AppState};
use crate::recipe::{self, settings::Budget};
use crate::session::run_result::RunResult;
use crate::session::visible::visible;
use crate::watch::{self, Alarm, Bounds, Stopped, Watch};

/// An answer of some media type.
pub(super) fn typed(kind: &'static str, body: impl Into<Body>) -> Response {
    let mut response = Response::new(body.into());
    response
        .headers_mut()
        .insert("content-type", HeaderValue::from_static(kind));
    response
}

/// An answer in JSON.
pub(super) fn json(text: impl Into<Body>) -> Response {
    typed("application/json", text)
}

/// An answer that says what is wrong.
pub(super) fn problem(status: StatusCode, message: &str) -> Response {
    let text = value!({ "message": message }).to_string();
    (status, json(text)).into_response()
}

/// The result in JSON; where there is none, a sentence that says why.
pub(super) fn told(otherwise: StatusCode, answer: Result<Value, String>) -> Response {
    match answer {
        Ok(told) => json(told.to_string()),
        Err(message) => problem(otherwise, &visible(&message)),
    }
}

/// Time between two looks at work for an answer.
const EVERY: Duration = Duration::from_millis(5);
/// How long after its bound work may still come to its own end, and how many bytes beyond its bound it may
/// take meanwhile.
const GRACE: Duration = Duration::from_secs(2);
const ROOM: usize = 48 * 1024 * 1024;
/// How many pieces of work take memory side by side: drawings, and a run for the panel.
const SIDE_BY_SIDE: usize = AT_ONCE + 1;

/// Does work for an answer on a thread of its own, a few at a time. When too many wait already, the
/// answer says so: nothing heaps up.
///
/// The work has a watch, with the bounds of a run. Work that outlasts its bounds is given up, and the
/// answer says so; work that does not answer to its watch is left to end by itself, as its input is
/// bounded.
pub(super) async fn worked_out(
    app: &AppState,
    work: impl FnOnce() -> Response + Send + 'static,
) -> Response {
    let busy = || {
        problem(
            StatusCode::SERVICE_UNAVAILABLE,
            "too many requests at once: try again",
        )
    };
    let Ok(_waiting) = Arc::clone(&app.waiting).try_acquire_owned() else {
        return busy();
    };
    let Ok(turn) = Arc::clone(&app.drawing).acquire_owned().await else {
        return busy();
    };
    let budget = &app.table.given().typed.budget;
    let watch = recipe::watch::begin(&Budget {
        memory: budget.memory.saturating_mul(SIDE_BY_SIDE),
        ..budget.clone()
    });
    let inside = watch.clone();
    // The permit is held by the work, so that a page that leaves does not let the next one in too
    // early.
    let mut done = tokio::task::spawn_blocking(move || {
        let response = watch::within(&inside, work);
        drop(turn);
        response
    });
    loop {
        match tokio::time::timeout(EVERY, &mut done).await {
            Ok(Ok(Ok(response))) => return response,
            Ok(Ok(Err(Stopped(alarm)))) => return given_up(&watch, alarm),
            Ok(Err(_)) => {
                return problem(
                    StatusCode::INTERNAL_SERVER_ERROR,
                    "the program failed here: please report it, with the recipe",
                );
            }
            Err(_) => {
                let excess = watch.look();
                if excess.time > GRACE {
                    return given_up(&watch, Alarm::Time);
                } else if excess.memory > ROOM {
                    return given_up(&watch, Alarm::Memory);
                }
            }
        }
    }
}

/// The answer for work that was given up.
fn given_up(watch: &Watch, alarm: Alarm) -> Response {
    let Bounds { time, memory } = watch.bounds();
    let took = match alarm {
        Alarm::Memory => format!("{} MiB of memory", memory / (1024 * 1024)),
        _ => format!("{} s", time.as_secs_f64()),
    };
    let message = format!(
        "this took more than {took} and was given up: make the panel smaller, or its tiles plainer"
    );
    problem(StatusCode::UNPROCESSABLE_ENTITY, &message)
}

/// Works out an answer from a picture that is on the table and has this panel.
pub(super) async fn of_picture(
    app: &AppState,
    (id, panel): (u64, usize),
    work: impl FnOnce(&RunResult) -> Response + Send + 'static,
) -> Response {
    let made = app.table.picture(id);
    match made.filter(|made| made.panel(panel).is_some()) {
        Some(made) => worked_out(app, move || work(&made)).await,
        None => problem(StatusCode::NOT_FOUND, "this picture is out of date"),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;

    use super::*;
    use crate::live::page::table::Table;
    use crate::live::watch;
    use crate::recipe::store::Reach;
    use crate::session::planned::ShopFile;
    use crate::session::{Given, Typed};

    fn app(time: Duration) -> AppState {
        let budget = Budget {
            time,
            ..Budget::default()
        };
        let given = Given {
            recipe: "none.rhai".into(),
            reach: Reach::OwnFolder,
            typed: Typed::within(budget),
        };
        let table = Arc::new(Table::new(given, watch::FileWatch::new().1));
        AppState::new(table, ShopFile::common(), 0).unwrap()
    }

    async fn told(response: Response) -> (StatusCode, String) {
        let status = response.status();
        let body = axum::body::to_bytes(response.into_body(), usize::MAX).await;
        (status, String::from_utf8(body.unwrap().to_vec()).unwrap())
    }

    #[test]
    fn what_outlasts_its_bound_is_answered_and_the_page_lives_on() {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .unwrap();
        let app = app(Duration::from_millis(20));
        let (release, held) = channel::<()>();
        runtime.block_on(async {
            // It asks.
            let asks = worked_out(&app, || {
                loop {
                    crate::watch::ask();
                }
            });
            let (status, text) = told(asks.await).await;
            assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
            assert!(
                text.contains("took more than 0.02 s and was given up"),
                "{text}"
            );
            // This work never asks its watch; the answer comes all the same.
            let hangs = worked_out(&app, move || {
                let _ = held.recv();
                json("{}")
            });
            let (status, text) = told(hangs.await).await;
            assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
            assert!(text.contains("given up"), "{text}");
            let (status, text) = told(worked_out(&app, || json("7")).await).await;
            assert_eq!((status, text.as_str()), (StatusCode::OK, "7"));
        });
        drop(release);
    }
}
