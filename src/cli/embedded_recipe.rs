//! The recipe that a picture carries along.

use super::recipe_input::RecipeInput;
use super::terminal::tell;
use crate::bundle::{Bundle, KEYWORD, metadata};
use crate::draw::Document;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;
use crate::session::visible::on_one_line;

/// A run's recipe, ready to go into its pictures.
#[derive(Debug)]
pub(super) struct EmbeddedRecipe<'a> {
    outcome: &'a Outcome,
    bundle: Bundle,
    pack: String,
    program: String,
}

impl<'a> EmbeddedRecipe<'a> {
    /// The recipe of a run; none, and a warning on the error stream, where its text could not be
    /// stored unchanged.
    pub(super) fn of(
        named: &RecipeInput,
        outcome: &'a Outcome,
        settings: &Settings,
        host: &dyn Host,
    ) -> Option<Self> {
        let bundle = Bundle::of(&named.name(), outcome, settings, host);
        match bundle.text() {
            Ok(pack) => Some(Self {
                outcome,
                program: format!("Plyloom {}", bundle.program),
                bundle,
                pack,
            }),
            Err(error) => {
                let why = on_one_line(&error.to_string());
                tell(&format!("the recipe is not stored in the picture: {why}\n"));
                None
            }
        }
    }

    /// A drawing of the panel with the recipe in its metadata.
    pub(super) fn in_svg<'d>(&self, drawing: Document<'d>, panel: &str) -> Document<'d> {
        match metadata(&self.bundle, self.outcome, panel) {
            Ok(metadata) => drawing.with_metadata(&metadata),
            // The same texts were checked when the bundle was made.
            Err(_) => drawing,
        }
    }

    /// The texts of a picture of the panel. The first five keywords are those of the PNG
    /// specification (third edition, section 11.3.3.1).
    pub(super) fn texts<'b>(&'b self, panel: &'b str) -> Vec<(&'static str, &'b str)> {
        let about = &self.outcome.about;
        let mut texts = vec![("Title", about.title.as_deref().unwrap_or(panel))];
        let said = [
            ("Author", &about.author),
            ("Description", &about.purpose),
            ("Copyright", &about.licence),
        ];
        texts.extend(
            said.iter()
                .filter_map(|(key, text)| Some((*key, text.as_deref()?))),
        );
        texts.push(("Software", &self.program));
        texts.push((KEYWORD, &self.pack));
        texts
    }
}
