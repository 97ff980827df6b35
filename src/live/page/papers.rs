//! The plan of what is shown: a summary in the page, and whole papers to print.

use axum::extract::{Path, Query, State};
use axum::http::{HeaderValue, StatusCode};
use axum::response::Response;
use serde::Deserialize;

use super::answers::{of_picture, problem, told, typed};
use super::app_state::AppState;
use super::guards::{PAPER_POLICY, SHEET_POLICY};
use crate::session::Sliced;
use crate::session::planned::{self, Sheet, ShopFile};
use crate::session::visible::visible;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PaperKey {
    key: String,
    way: Option<Sliced>,
}

/// What is sliced, where that is asked for.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SlicingQuery {
    way: Option<Sliced>,
}

/// The plan as text, and where its papers are.
pub(super) async fn summary(
    State(app): State<AppState>,
    Path((id, panel)): Path<(u64, usize)>,
    Query(SlicingQuery { way }): Query<SlicingQuery>,
) -> Response {
    let inside = app.clone();
    of_picture(&app, (id, panel), move |made| {
        let key = inside.paper_key.text();
        let sliced = way.map_or(String::new(), |way| format!("&{}", way.asked()));
        let at = |sheet: Sheet| format!("/paper/{id}/{panel}/{}?key={key}{sliced}", sheet.name());
        let recipe = inside.table.given().recipe.display().to_string();
        let shop = ShopFile::clone(&inside.shop).slicing(way);
        let summary = planned::summary(&recipe, &shop, (&made.outcome, panel), at);
        told(StatusCode::UNPROCESSABLE_ENTITY, summary)
    })
    .await
}

/// A paper. A link cannot carry a header: papers have a key of their own, which opens nothing else.
pub(super) async fn paper(
    State(app): State<AppState>,
    Path((id, panel, name)): Path<(u64, usize, String)>,
    Query(given): Query<PaperKey>,
) -> Response {
    if !app.paper_key.is(&given.key) {
        return problem(StatusCode::FORBIDDEN, "the key is missing or wrong");
    }
    let Some(sheet) = Sheet::ALL.into_iter().find(|s| s.name() == name) else {
        return problem(StatusCode::NOT_FOUND, "there is no such paper");
    };
    let inside = app.clone();
    of_picture(&app, (id, panel), move |made| {
        let recipe = inside.table.given().recipe.display().to_string();
        let shop = ShopFile::clone(&inside.shop).slicing(given.way);
        match planned::paper(&recipe, &shop, (&made.outcome, panel), sheet) {
            Ok(paper) => {
                let policy = if paper.kind.starts_with("text/html") {
                    PAPER_POLICY
                } else {
                    SHEET_POLICY
                };
                let mut response = typed(paper.kind, paper.bytes);
                response
                    .headers_mut()
                    .insert("content-security-policy", HeaderValue::from_static(policy));
                response
            }
            Err(message) => problem(StatusCode::UNPROCESSABLE_ENTITY, &visible(&message)),
        }
    })
    .await
}
