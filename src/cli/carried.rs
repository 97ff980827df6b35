//! The recipe that a picture carries along.

use super::named::Named;
use super::terminal::tell;
use crate::draw::Document;
use crate::parcel::{KEYWORD, Parcel, metadata};
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;
use crate::session::visible::on_one_line;

/// A run's recipe, ready to go into its pictures.
#[derive(Debug)]
pub(super) struct Carried<'a> {
    outcome: &'a Outcome,
    parcel: Parcel,
    pack: String,
    program: String,
}

impl<'a> Carried<'a> {
    /// The recipe of a run; none, and a word on the error stream, where its text would not survive.
    pub(super) fn of(
        named: &Named,
        outcome: &'a Outcome,
        settings: &Settings,
        host: &dyn Host,
    ) -> Option<Self> {
        let parcel = Parcel::of(&named.name(), outcome, settings, host);
        match parcel.text() {
            Ok(pack) => Some(Self {
                outcome,
                program: format!("Plyloom {}", parcel.program),
                parcel,
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
        match metadata(&self.parcel, self.outcome, panel) {
            Ok(metadata) => drawing.with_metadata(&metadata),
            // The same texts were checked when the parcel was made.
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
