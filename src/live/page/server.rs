//! The server: which request gets which answer. It listens on the loopback address only.
//!
//! No part of a request is a path: names of files are looked up in a list, pictures go by number.
//! Work that takes the processor's time goes on threads of its own, a few at a time.

use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;

use axum::Router;
use axum::body::Body;
use axum::extract::{DefaultBodyLimit, Extension, Path, Query, Request, State};
use axum::http::{HeaderName, HeaderValue, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};

use super::answers::{json, of_picture, problem, typed};
use super::app_state::AppState;
use super::assets::{PAGE, SIGN, asset};
use super::connections::{self, Slot};
use super::error::PageError;
use super::events::events;
use super::guards::{HEADERS, check_key, check_origin};
use super::papers;
use super::{asking, shelf, steps, wall};
use crate::layout::panel::Panel;
use crate::session::drawing::{self, DrawingRequest, NoPicture};

/// The longest request in bytes.
const LONGEST_REQUEST: usize = 256 * 1024;
/// The longest request with a photo.
const LONGEST_PHOTO: usize = 4 * 1024 * 1024;
/// Stack of a drawing thread in bytes.
const STACK: usize = 16 * 1024 * 1024;

/// Takes a port of the loopback address.
///
/// # Errors
/// When it is taken, or the system refuses.
pub(super) fn listen(port: Option<u16>) -> Result<TcpListener, PageError> {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port.unwrap_or(0)));
    let listener = listener.map_err(|error| match (error.kind(), port) {
        (std::io::ErrorKind::AddrInUse, Some(port)) => PageError::Taken { port },
        _ => PageError::Listen(error),
    })?;
    listener.set_nonblocking(true).map_err(PageError::Listen)?;
    Ok(listener)
}

/// Answers requests until the program ends.
///
/// # Errors
/// When the system gives no threads.
pub(super) fn serve(listener: TcpListener, app: AppState) -> Result<(), PageError> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(8)
        .thread_stack_size(STACK)
        .enable_all()
        .build()
        .map_err(PageError::Listen)?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener).map_err(PageError::Listen)?;
        connections::serve(listener, router(app)).await;
        Ok(())
    })
}

fn router(app: AppState) -> Router {
    let guarded = Router::new()
        .route("/events", get(listening))
        .route("/tiles/{id}/{panel}", get(tiles))
        .route("/faces/{id}/{panel}", get(faces))
        .route("/drawing/{id}/{panel}", get(drawn))
        .route("/pixels/{id}/{panel}", get(pixels))
        .route("/plan/{id}/{panel}", get(papers::summary))
        .route("/tray/{id}/{panel}", get(asking::tray))
        .route(
            "/layers",
            post(asking::layers).layer(DefaultBodyLimit::max(LONGEST_PHOTO)),
        )
        .route("/words", get(asking::words))
        .route("/text", get(asking::text).post(asking::write))
        .route("/text/parameter", post(asking::parameter))
        .route("/hands/offers/{id}/{panel}", get(asking::go_on))
        .route("/hands/try", post(asking::try_hands))
        .route("/hands", post(asking::lay))
        .route("/outline/{id}/{panel}", get(asking::handles))
        .route("/outline/try", post(asking::try_drag))
        .route("/outline", post(asking::drag))
        .route("/values/{id}", get(steps::value_all))
        .route("/values", post(steps::value_put))
        .route("/values/parameter", post(steps::value_parameter))
        .route("/shelf", get(shelf::all))
        .route("/shelf/card", post(shelf::card))
        .route("/shelf/open", post(shelf::open))
        .route("/shelf/remix", post(shelf::remix))
        .route("/states", get(steps::all).post(steps::keep))
        .route("/states/go", post(steps::go))
        .route("/states/see", post(steps::see))
        .route("/states/forget", post(steps::forget))
        .route("/knobs", post(asking::knobs))
        .route("/keep", post(asking::keep))
        .route("/card", post(wall::card))
        .route("/shortlist", get(wall::shortlist))
        .route("/star", post(wall::star))
        .route("/unstar", post(wall::unstar))
        .layer(from_fn_with_state(app.clone(), key_needed));
    Router::new()
        .route(
            "/",
            get(|| async { typed("text/html; charset=utf-8", PAGE) }),
        )
        .route("/sign.svg", get(|| async { typed("image/svg+xml", SIGN) }))
        .route("/page/{name}", get(part))
        .route("/paper/{id}/{panel}/{sheet}", get(papers::paper))
        .nest("/api", guarded)
        .fallback(|| async { problem(StatusCode::NOT_FOUND, "there is nothing here") })
        .layer(DefaultBodyLimit::max(LONGEST_REQUEST))
        .layer(from_fn_with_state(app.clone(), origin_needed))
        .with_state(app)
}

/// Refuses strangers, and dresses every answer.
async fn origin_needed(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let checked = check_origin(request.method(), request.headers(), app.port);
    let mut response = match checked {
        Ok(()) => next.run(request).await,
        Err(refusal) => problem(StatusCode::FORBIDDEN, &refusal.to_string()),
    };
    for (name, value) in HEADERS {
        let headers = response.headers_mut();
        // A paper has a policy of its own.
        if let axum::http::header::Entry::Vacant(place) =
            headers.entry(HeaderName::from_static(name))
        {
            place.insert(HeaderValue::from_static(value));
        }
    }
    if !response.headers().contains_key("content-type") {
        response.headers_mut().insert(
            "content-type",
            HeaderValue::from_static("text/plain; charset=utf-8"),
        );
    }
    response
}

async fn key_needed(
    State(app): State<AppState>,
    Extension(slot): Extension<Arc<Slot>>,
    request: Request,
    next: Next,
) -> Response {
    match check_key(request.headers(), &app.key) {
        Ok(()) => {
            slot.keep();
            next.run(request).await
        }
        Err(refusal) => problem(StatusCode::FORBIDDEN, &refusal.to_string()),
    }
}

async fn part(Path(name): Path<String>) -> Response {
    match asset(&name) {
        Some((_, kind, text)) => typed(kind, *text),
        None => problem(StatusCode::NOT_FOUND, "the page has no such part"),
    }
}

async fn listening(State(app): State<AppState>) -> Response {
    match Arc::clone(&app.pages).try_acquire_owned() {
        Ok(place) => events(app.table, place).into_response(),
        Err(_) => problem(
            StatusCode::SERVICE_UNAVAILABLE,
            "too many pages are open on this recipe: close some",
        ),
    }
}

async fn tiles(State(app): State<AppState>, Path(at): Path<(u64, usize)>) -> Response {
    of_picture(&app, at, move |made| match made.tiles(at.1) {
        Some(tiles) => json(tiles.to_string()),
        None => problem(StatusCode::NOT_FOUND, "there is no such panel"),
    })
    .await
}

async fn faces(
    state: State<AppState>,
    place: Path<(u64, usize)>,
    asked: Query<DrawingRequest>,
) -> Response {
    picture(state, place, asked, "application/json", drawing::faces).await
}

async fn drawn(
    state: State<AppState>,
    place: Path<(u64, usize)>,
    asked: Query<DrawingRequest>,
) -> Response {
    picture(state, place, asked, "image/svg+xml", drawing::drawing).await
}

async fn pixels(
    state: State<AppState>,
    place: Path<(u64, usize)>,
    asked: Query<DrawingRequest>,
) -> Response {
    picture(state, place, asked, "image/png", drawing::pixels).await
}

async fn picture<B: Into<Body> + 'static>(
    State(app): State<AppState>,
    Path(at): Path<(u64, usize)>,
    Query(asked): Query<DrawingRequest>,
    kind: &'static str,
    draw: fn(&Panel, &DrawingRequest) -> Result<B, NoPicture>,
) -> Response {
    of_picture(&app, at, move |made| {
        match made.panel(at.1).map(|panel| draw(panel, &asked)) {
            Some(Ok(body)) => typed(kind, body),
            Some(Err(error)) => problem(StatusCode::UNPROCESSABLE_ENTITY, &error.to_string()),
            None => problem(StatusCode::NOT_FOUND, "there is no such panel"),
        }
    })
    .await
}
