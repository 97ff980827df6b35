//! Unpacking: the texts of a pack under plain names.

use std::collections::BTreeSet;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::request::Answer;
use crate::appearance::Look;
use crate::bundle::{Bundle, Read, Verdict, from_picture, is_pack};
use crate::explore::index::ParameterValue;
use crate::explore::link::{Link, LinkRead, is_link};
use crate::explore::pinned::{ENDING, Pinned, digest};
use crate::recipe::host::is_drawing;
use crate::recipe::library;
use crate::recipe::run::DEFAULT_SEED;
use crate::recipe::source::Source;

/// The texts of a bundle, by their names from the folder that they go to: the recipe first, modules of
/// the library left out where this program has the same, and what was set last, as a pinned choice.
pub fn files(bundle: &Bundle, look: Look) -> Vec<(String, String)> {
    let mut files = vec![(format!("{}.rhai", bundle.name), bundle.recipe.clone())];
    let mut taken: BTreeSet<String> = files.iter().map(|(name, _)| name.to_lowercase()).collect();
    let modules = bundle
        .modules
        .iter()
        .filter(|m| !m.library || library::text(&m.name) != Some(m.text.as_str()));
    // A module of the recipe's own folder goes before one of the library, here as in a run.
    for own in [true, false] {
        for module in modules.clone().filter(|m| m.library != own) {
            let ending = if is_drawing(&module.name) {
                ""
            } else {
                ".rhai"
            };
            let name = format!("{}{ending}", module.name);
            if taken.insert(name.to_lowercase()) {
                files.push((name, module.text.clone()));
            }
        }
    }
    if bundle.seed.is_some() || !bundle.values.is_empty() || look != Look::default() {
        files.push((
            format!("{}.{ENDING}", bundle.name),
            choice(bundle, look).text(),
        ));
    }
    files
}

/// What was set, as a pinned choice.
fn choice(bundle: &Bundle, look: Look) -> Pinned {
    let recipe = Source::new("recipe", bundle.recipe.as_str());
    let modules = bundle.modules.iter().filter(|m| m.used);
    let modules: Vec<Source> = modules
        .map(|m| Source::new(m.name.as_str(), m.text.as_str()))
        .collect();
    let values = bundle.values.iter().map(|(name, set)| ParameterValue {
        name: name.clone(),
        value: set.clone(),
    });
    Pinned {
        recipe: format!("{}.rhai", bundle.name),
        recipe_sha256: digest(std::iter::once(&recipe).chain(&modules)),
        seed: bundle.seed.unwrap_or(DEFAULT_SEED),
        parameters: values.collect(),
        look,
    }
}

/// The texts in a picture, a pack or a link, whose bytes come in base64.
///
/// # Errors
/// Why there are none.
pub(super) fn read(base64: &str) -> Result<Answer, String> {
    let bytes = STANDARD.decode(base64).map_err(|e| e.to_string())?;
    let text = std::str::from_utf8(&bytes).unwrap_or("");
    // A drawing holds its pack among other things.
    let (read, look) = if is_pack(text) && !text.trim_start().starts_with('<') {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        (
            Bundle::read(text).map_err(|e| e.to_string())?,
            Look::default(),
        )
    } else if is_link(text) {
        let LinkRead { link, verdict } = Link::read(text).map_err(|e| e.to_string())?;
        let bundle = link.bundle;
        (Read { bundle, verdict }, link.look)
    } else {
        (
            from_picture(&bytes).map_err(|e| e.to_string())?,
            Look::default(),
        )
    };
    Ok(Answer::Unpacked {
        texts: files(&read.bundle, look),
        changed: read.verdict == Verdict::Changed,
    })
}
