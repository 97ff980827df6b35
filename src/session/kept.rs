//! What can be kept of a run: a pinned choice, or new defaults for the recipe. Both are texts; whoever
//! has files writes them.

use std::sync::Arc;

use super::{Opened, Typed};
use crate::appearance::Look;
use crate::explore::index::ParameterValue;
use crate::explore::pinned::{Pinned, digest};
use crate::recipe::evaluate;
use crate::recipe::failure::Failure;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::rewrite::{RewriteError, rewritten};
use crate::recipe::settings::Budget;
use crate::recipe::source::Source;

/// The longest name of a choice in letters.
pub const LONGEST_NAME: usize = 60;

/// What a run was made with.
#[derive(Debug, Clone, PartialEq)]
pub struct Values {
    /// The seed.
    pub seed: u64,
    /// All parameters; lengths in mm.
    pub parameters: Vec<ParameterValue>,
    /// Digest of the recipe and its modules.
    pub recipe_sha256: String,
    /// The finish, light and eyes with which it is seen.
    pub look: Look,
}

/// Why a recipe does not get new defaults.
#[derive(Debug, thiserror::Error)]
pub enum DefaultsError {
    /// A choice or a pack is shown, not the recipe in its file.
    #[error(
        "this is a pinned choice or a packed recipe: open the recipe itself to change its defaults"
    )]
    Choice,
    /// A default cannot be rewritten.
    #[error(transparent)]
    Rewrite(#[from] RewriteError),
    /// The new text fails.
    #[error("the new defaults do not work: {0}")]
    Fails(Box<Failure>),
    /// The new text gives something else.
    #[error("with these defaults the recipe does not make what is shown: keep a choice instead")]
    Differs,
}

impl Values {
    /// The values of a run and its look.
    pub fn of(outcome: &Outcome, look: Look) -> Self {
        let parameters = outcome.parameters.iter();
        Self {
            seed: outcome.seed,
            parameters: parameters.map(ParameterValue::from).collect(),
            recipe_sha256: digest(outcome.sources.iter().map(AsRef::as_ref)),
            look,
        }
    }

    /// The choice of these values; `recipe` is the path of the recipe from the folder of the choice.
    pub fn choice(self, recipe: String) -> Pinned {
        Pinned {
            recipe,
            recipe_sha256: self.recipe_sha256,
            seed: self.seed,
            parameters: self.parameters,
            look: self.look,
        }
    }
}

/// Whether a text can be the name of a choice, on any system.
pub fn is_choice_name(name: &str) -> bool {
    name.chars().count() <= LONGEST_NAME
        && name.starts_with(char::is_alphanumeric)
        && name
            .chars()
            .all(|c| c.is_alphanumeric() || matches!(c, '-' | '_'))
}

/// The recipe's text with the values of `shown` as its own defaults and seed.
///
/// Only the text of those defaults changes. The new text is carried out, and gives what is shown.
///
/// # Errors
/// When it is no recipe in a file of its own, a default is computed, or the new text gives something
/// else.
pub fn new_defaults(
    opened: &Opened,
    shown: &Outcome,
    budget: &Budget,
    host: &Arc<dyn Host>,
) -> Result<String, DefaultsError> {
    if !opened.is_plain() {
        return Err(DefaultsError::Choice);
    }
    // The recipe's values without knobs: only defaults that differ from these are rewritten.
    let plain = opened.settings(Typed::within(budget.clone()));
    let own = evaluate(&opened.source, &plain, Arc::clone(host));
    let own_seed = own.as_ref().ok().map(|own| own.seed);
    let seed = (own_seed != Some(shown.seed)).then_some(shown.seed);
    let text = rewritten(&opened.source.text, &shown.parameters, seed)?;
    let source = Arc::new(Source::new(opened.source.name.clone(), text));
    let again = evaluate(&source, &plain, Arc::clone(host))
        .map_err(|failure| DefaultsError::Fails(Box::new(failure)))?;
    if again.panels == shown.panels {
        Ok(source.text.clone())
    } else {
        Err(DefaultsError::Differs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_plain() {
        for good in ["tray", "Nußbaum-2", "a_b"] {
            assert!(is_choice_name(good), "{good}");
        }
        let long = "x".repeat(61);
        for bad in [
            "", "../a", "a/b", ".a", "-a", "a.b", "a b", "a\0", "C:x", &long,
        ] {
            assert!(!is_choice_name(bad), "{bad}");
        }
    }
}
