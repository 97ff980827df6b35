//! The page of pictures that grows while a long sweep runs: it names the small pictures that lie beside it, so that
//! writing it again costs next to nothing. The contact sheet takes its place in the end.

use std::collections::BTreeMap;

use crate::cli::cli_error::CliError;
use crate::cli::vary::folder::{Folder, small_name};
use crate::cli::vary::sheets::{MOST_CARDS, set_words};
use crate::draw::{Growing, growing_page_html};
use crate::explore::index::Variation;
use crate::files::write_picture;

/// After how many more variations it is written again, at least and at most; in between, after an eighth of
/// those that are made, since the other threads wait meanwhile.
const STEPS: std::ops::RangeInclusive<usize> = 8..=256;

/// Whether it is written again when so many variations are made.
pub(super) fn is_due(made: usize) -> bool {
    let step = (made / 8).next_power_of_two();
    made.is_multiple_of(step.clamp(*STEPS.start(), *STEPS.end()))
}

/// Writes it, with the first of those that are made.
///
/// # Errors
/// When it cannot be written.
pub(super) fn write(
    folder: &Folder,
    title: &str,
    known: &BTreeMap<u64, Variation>,
    all: u64,
) -> Result<(), CliError> {
    let cards: Vec<Growing> = known
        .values()
        .filter_map(|variation| Some((variation, variation.made()?)))
        .filter(|(_, made)| made.drawn())
        .take(MOST_CARDS)
        .map(|(variation, made)| Growing {
            number: variation.number,
            made_with: set_words(
                variation,
                &variation.set.iter().map(|s| s.name.as_str()).collect(),
            ),
            pictures: (made.panels.iter())
                .map(|panel| (panel.picture.clone(), small_name(panel).unwrap_or_default()))
                .collect(),
        })
        .collect();
    let note = format!(
        "{} of {all} so far; load this page again to see more",
        known.len()
    );
    let page = growing_page_html(&cards, title, &note);
    write_picture(&folder.file("sheet.html"), page.as_bytes())?;
    Ok(())
}
