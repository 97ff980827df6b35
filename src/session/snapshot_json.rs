//! The state that is shown, as JSON: the picture, the knobs, the fault.

use serde::Serialize;

use super::fault::FaultReport;
use super::given::Given;
use super::knobs::Knobs;
use super::opened::is_choice;
use super::picture_json::PictureJson;
use super::run_result::RunResult;
use super::snapshot::Snapshot;
use super::visible::visible;
use crate::appearance::Look;

/// The state for a page.
#[derive(Debug, Serialize)]
pub struct SnapshotJson<'a> {
    serial: u64,
    answered: u64,
    busy: bool,
    shortlist: u64,
    recipe: String,
    /// Whether the page was opened on a pinned choice.
    choice: bool,
    /// The look that the choice keeps.
    look: Option<Look>,
    knobs: &'a Knobs,
    /// The mark of the text that the last run read.
    own: Option<&'a str>,
    fault: Option<&'a FaultReport>,
    printed: &'a [String],
    notices: Vec<String>,
    /// The number of the picture shown.
    shown: Option<u64>,
    /// The number of the one before.
    former: Option<u64>,
    /// The picture shown, left out where the page has it already.
    #[serde(skip_serializing_if = "Option::is_none")]
    picture: Option<&'a PictureJson>,
    /// The picture before the last change, left out in the same cases.
    #[serde(skip_serializing_if = "Option::is_none")]
    before: Option<&'a PictureJson>,
}

impl<'a> SnapshotJson<'a> {
    /// The state; pictures of the numbers in `known` are left out.
    pub fn of(shown: &'a Snapshot, given: &Given, known: &[u64]) -> Self {
        let recipe = given.recipe.file_name().unwrap_or_default();
        let new = |made: &&std::sync::Arc<RunResult>| !known.contains(&made.id);
        let pinned = shown.good.as_ref().and_then(|m| m.opened.pinned.as_ref());
        Self {
            serial: shown.serial,
            answered: shown.answered,
            busy: shown.busy,
            shortlist: shown.shortlist,
            recipe: visible(&recipe.display().to_string()),
            choice: is_choice(&given.recipe),
            look: pinned.map(|pinned| pinned.look),
            knobs: &shown.knobs,
            own: shown.own.as_deref(),
            fault: shown.fault.as_ref(),
            printed: &shown.printed,
            notices: shown
                .notices
                .iter()
                .map(|n| visible(&n.to_string()))
                .collect(),
            shown: shown.good.as_ref().map(|m| m.id),
            former: shown.former.as_ref().map(|m| m.id),
            picture: shown.good.as_ref().filter(new).map(|m| m.told()),
            before: shown.former.as_ref().filter(new).map(|m| m.told()),
        }
    }

    /// As text.
    #[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
    pub fn json(&self) -> String {
        serde_json::to_string(self).expect("invariant: every field has a form in JSON")
    }
}
