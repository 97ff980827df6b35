//! The plan of what is shown: a summary in the page, and whole papers to print.
//!
//! Wording a plan is not the page's business: whoever starts the page hands that in.

use axum::extract::{Path, Query, State};
use axum::http::{HeaderValue, StatusCode};
use axum::response::Response;
use serde::Deserialize;
use serde_json::json as value;

use super::answers::{json, problem, typed, worked_out};
use super::guards::{PAPER_POLICY, SHEET_POLICY};
use super::server::{Desk, found};
use crate::recipe::outcome::Outcome;
use crate::session::visible::visible;

/// A finished paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paper {
    /// Its media type.
    pub kind: &'static str,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Which papers there are of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sheet {
    /// The whole plan, to read.
    Plan,
    /// The template at true scale, to print.
    Template,
}

/// Words plans. The panel counts from 0 among those of the outcome.
pub trait Papers: Send + Sync {
    /// The plan as plain text.
    ///
    /// # Errors
    /// Why there is none, in a sentence.
    fn text(&self, outcome: &Outcome, panel: usize) -> Result<String, String>;

    /// A paper; none where it is not made for this panel.
    ///
    /// # Errors
    /// Why there is none, in a sentence.
    fn paper(&self, outcome: &Outcome, panel: usize, sheet: Sheet)
    -> Result<Option<Paper>, String>;

    /// The papers that there are.
    fn sheets(&self) -> &'static [Sheet];
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PaperKey {
    key: String,
}

impl Sheet {
    fn name(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Template => "template",
        }
    }
}

/// The plan as text, and where its papers are.
pub(super) async fn summary(
    State(desk): State<Desk>,
    Path((id, panel)): Path<(u64, usize)>,
) -> Response {
    let made = match found(&desk, id, panel) {
        Ok(made) => made,
        Err(response) => return *response,
    };
    let inside = desk.clone();
    worked_out(&desk, move || {
        match inside.papers.text(&made.outcome, panel) {
            Ok(text) => {
                let key = inside.paper_key.text();
                let link = |sheet: &Sheet| {
                    let name = sheet.name();
                    value!({ "sheet": name, "at": format!("/paper/{id}/{panel}/{name}?key={key}") })
                };
                let sheets: Vec<_> = inside.papers.sheets().iter().map(link).collect();
                json(value!({ "text": visible(&text), "sheets": sheets }).to_string())
            }
            Err(message) => problem(StatusCode::UNPROCESSABLE_ENTITY, &visible(&message)),
        }
    })
    .await
}

/// A paper. A link cannot carry a header: papers have a key of their own, good for nothing else.
pub(super) async fn paper(
    State(desk): State<Desk>,
    Path((id, panel, name)): Path<(u64, usize, String)>,
    Query(given): Query<PaperKey>,
) -> Response {
    if !desk.paper_key.is(&given.key) {
        return problem(StatusCode::FORBIDDEN, "the key is missing or wrong");
    }
    let sheets = desk.papers.sheets();
    let Some(&sheet) = sheets.iter().find(|s| s.name() == name) else {
        return problem(StatusCode::NOT_FOUND, "there is no such paper");
    };
    let made = match found(&desk, id, panel) {
        Ok(made) => made,
        Err(response) => return *response,
    };
    let inside = desk.clone();
    worked_out(&desk, move || {
        match inside.papers.paper(&made.outcome, panel, sheet) {
            Ok(Some(paper)) => {
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
            Ok(None) => problem(
                StatusCode::NOT_FOUND,
                "there is no such paper of this panel",
            ),
            Err(message) => problem(StatusCode::UNPROCESSABLE_ENTITY, &visible(&message)),
        }
    })
    .await
}
