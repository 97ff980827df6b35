//! The forms of answers, and the place where work for one is done.

use std::sync::Arc;

use axum::body::Body;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde_json::json as value;

use super::server::Desk;

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

/// Does work for an answer on a thread of its own, a few at a time. When too many wait already, the
/// answer says so: nothing heaps up.
pub(super) async fn worked_out(
    desk: &Desk,
    work: impl FnOnce() -> Response + Send + 'static,
) -> Response {
    let busy = || {
        problem(
            StatusCode::SERVICE_UNAVAILABLE,
            "too many requests at once: try again",
        )
    };
    let Ok(_waiting) = Arc::clone(&desk.waiting).try_acquire_owned() else {
        return busy();
    };
    let Ok(turn) = Arc::clone(&desk.drawing).acquire_owned().await else {
        return busy();
    };
    // The turn goes with the work: a page that leaves does not let the next one in early.
    let done = tokio::task::spawn_blocking(move || {
        let response = work();
        drop(turn);
        response
    });
    done.await.unwrap_or_else(|_| {
        problem(
            StatusCode::INTERNAL_SERVER_ERROR,
            "the program failed here: please report it, with the recipe",
        )
    })
}
