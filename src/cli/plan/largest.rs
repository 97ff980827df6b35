//! The largest panel from the wood on the rack: the search, and what it found in words.

use std::fmt::Write as _;

use super::in_hand;
use crate::cli::cli_error::CliError;
use crate::cli::recipe_input::{self, RecipeInput};
use crate::cli::spinner;
use crate::plan::parts::Mirrored;
use crate::plan::units::decimal;
use crate::plan::{PlanError, Shop};
use crate::rack::largest::{Adjustment, Handle, Largest, LargestError, Search, Shape, Tried};
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;
use crate::session::visible::on_one_line;

/// Reads a shape: `3:2`, `1.5`, or `free`.
pub(super) fn shape(text: &str) -> Result<Shape, String> {
    if text.trim() == "free" {
        return Ok(Shape::Free);
    }
    in_hand::shape(text)
        .map(Shape::Ratio)
        .map_err(|error| format!("{error}, or `free`"))
}

/// Finds the largest panel, and carries out the recipe that gives it.
///
/// # Errors
/// When the recipe fails, or there is no largest panel.
pub(super) fn found(
    named: &RecipeInput,
    settings: &Settings,
    wanted: Option<&str>,
    shop: &Shop,
    shape: Shape,
    mirrored: Mirrored,
) -> Result<(Largest, Outcome), CliError> {
    let base = named.carried_out(settings, named.host())?;
    recipe_input::panels(&base, wanted, &named.path.display().to_string())?;
    let carried_out = |change: &Adjustment| named.changed(settings, change);
    spinner::at("looking for the largest panel");
    let search = Search {
        base: &base,
        text: named.is_plain().then_some(named.source.text.as_str()),
        shop,
        wanted,
        mirrored,
        thorough: true,
        run: &mut |change| carried_out(change).ok(),
    };
    let largest = search
        .largest(shape)
        .map_err(|error| refused(&error, shop))?;
    let outcome = carried_out(&largest.change)?;
    Ok((largest, outcome))
}

fn refused(error: &LargestError, shop: &Shop) -> CliError {
    match error {
        LargestError::Plan(error @ PlanError::Unsafe(_)) => super::no_plan(error, shop),
        _ => CliError::Plan {
            message: on_one_line(&error.to_string()),
            help: error.help(),
        },
    }
}

/// What was found, each line ended; `recipe` is its path as typed.
pub(super) fn text(largest: &Largest, recipe: &str) -> String {
    let best = &largest.best;
    let mut text = format!("largest panel: {}\n", size(best.size));
    for (handle, value) in largest.varied.iter().zip(&best.values) {
        let _ = writeln!(text, "  varied: {}", varied(handle, *value));
    }
    match &largest.next {
        Some(next) => {
            let _ = writeln!(text, "  {}", lacking(next));
        }
        None => text.push_str("  the recipe allows no larger one\n"),
    }
    if let Some(bound) = largest.bound {
        let _ = writeln!(
            text,
            "  beyond {} it would take more wood than there is, however it is cut",
            size(bound)
        );
    }
    if largest.change.text.is_none() {
        let set: Vec<String> = (largest.change.set.iter())
            .map(|(name, value)| format!("--set {name}={}", value.replace(' ', "")))
            .collect();
        let _ = writeln!(
            text,
            "  to see it: plyloom preview {} {}",
            on_one_line(recipe),
            on_one_line(&set.join(" "))
        );
    }
    text.push('\n');
    text
}

fn size([width, height]: [f64; 2]) -> String {
    format!("{} x {} mm", decimal(width, 1), decimal(height, 1))
}

fn varied(handle: &Handle, value: f64) -> String {
    let unit = if handle.cells { "" } else { " mm" };
    let (from, to) = (decimal(handle.from, 2), decimal(value, 2));
    format!("{}, from {from} to {to}{unit}", on_one_line(&handle.name))
}

fn lacking(next: &Tried) -> String {
    let lacks: Vec<String> = next.lacks.iter().map(|l| on_one_line(l)).collect();
    format!("{} lacks {}", size(next.size), lacks.join("; "))
}
