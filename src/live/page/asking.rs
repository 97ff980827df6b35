//! Changes that a page asks for: turning knobs, and keeping what is shown.

use std::sync::Arc;

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::json as value;

use super::answers::{json, problem, worked_out};
use super::keep::{KeepError, as_choice, as_defaults};
use super::sent::Sent;
use super::server::Desk;
use super::shortlist;
use crate::explore::kept_look::KeptLook;
use crate::files::DiskStore;
use crate::session::State as Shown;
use crate::session::kept::Values;
use crate::session::knobs::Turn;
use crate::session::made::Made;
use crate::session::visible::visible;

/// What is to be kept, and how.
#[derive(Debug, Deserialize)]
#[serde(tag = "as", rename_all = "kebab-case", deny_unknown_fields)]
pub(super) enum Keep {
    /// What is shown, as a pinned choice.
    Choice {
        /// The picture that the page shows.
        picture: u64,
        /// A name for the file.
        name: Option<String>,
        /// How the page looks at it.
        #[serde(default)]
        look: KeptLook,
    },
    /// A star, as a pinned choice.
    Star {
        /// Its number.
        number: u64,
        name: Option<String>,
        /// How its card shows it.
        #[serde(default)]
        look: KeptLook,
    },
    /// What is shown, as the recipe's defaults.
    Defaults {
        /// The picture that the page shows.
        picture: u64,
    },
}

/// Turns knobs; the run that follows is told of by the events.
pub(super) async fn knobs(State(desk): State<Desk>, Sent(turn): Sent<Turn>) -> Response {
    match desk.table.turn(turn) {
        Ok(number) => json(value!({ "turn": number }).to_string()),
        Err(message) => problem(StatusCode::UNPROCESSABLE_ENTITY, &visible(&message)),
    }
}

/// Keeps something in a file.
pub(super) async fn keep(State(desk): State<Desk>, Sent(keep): Sent<Keep>) -> Response {
    let inside = desk.clone();
    worked_out(&desk, move || match kept(&inside, keep) {
        Ok(told) => json(told.to_string()),
        Err(message) => problem(StatusCode::CONFLICT, &visible(&message)),
    })
    .await
}

fn kept(desk: &Desk, keep: Keep) -> Result<serde_json::Value, String> {
    let words = |error: KeepError| error.to_string();
    let shown = &desk.table.given().recipe;
    let (values, made, name) = match keep {
        Keep::Defaults { picture } => {
            let made = current(desk, picture)?;
            let host = made.opened.host(&DiskStore::new(), Box::new(|_| ()));
            as_defaults(desk.table.given(), &made.opened, &made.outcome, &host).map_err(words)?;
            // What the knobs said, the recipe says now.
            let fresh = Turn {
                fresh: true,
                own_seed: true,
                ..Turn::default()
            };
            desk.table.turn(fresh)?;
            let file = made.opened.path.file_name().unwrap_or_default();
            return Ok(value!({ "file": file.to_string_lossy() }));
        }
        Keep::Choice {
            picture,
            name,
            look,
        } => {
            let made = current(desk, picture)?;
            (Values::of(&made.outcome, look.look()?), made, name)
        }
        Keep::Star { number, name, look } => {
            let stars = shortlist::stars(shown).map_err(|e| e.to_string())?;
            let star = stars.into_iter().find(|s| s.number == number);
            let star = star.ok_or("this star is no longer on the shortlist")?;
            let values = Values {
                seed: star.seed,
                parameters: star.parameters,
                recipe_sha256: star.recipe_sha256,
                look: look.look()?,
            };
            (values, newest(desk)?, name)
        }
    };
    let name = name.as_deref().filter(|n| !n.is_empty());
    let file = as_choice(shown, &made.opened.path, values, name).map_err(words)?;
    Ok(value!({ "file": file }))
}

/// The picture that a page says it shows, where that is still the newest.
fn current(desk: &Desk, picture: u64) -> Result<Arc<Made>, String> {
    let made = newest(desk)?;
    if made.id == picture {
        Ok(made)
    } else {
        Err("the picture has changed meanwhile: look at it, and keep it then".to_owned())
    }
}

/// The newest good picture.
pub(super) fn newest(desk: &Desk) -> Result<Arc<Made>, String> {
    good(&desk.table.now())
}

/// The good picture of this state.
pub(super) fn good(shown: &Shown) -> Result<Arc<Made>, String> {
    let good = shown.good.clone();
    good.ok_or_else(|| "there is no picture yet".to_owned())
}
