//! What an author says of a recipe: who made it, under which licence, what it is for, what to try.
//!
//! Every field may be left out. Texts are without control characters and without characters that
//! turn the direction of reading, so that they can stand in a drawing, a page and on a terminal.

use super::kind::Kind;
use rhai::{Dynamic, Map};
use serde::{Deserialize, Serialize};

use super::args::{self, Options};
use super::diagnostics::nearest;
use super::fault::Fault;
use super::language;

/// The longest text that stands on one line, in characters.
const LINE: usize = 400;
/// The longest notes, in characters.
const NOTES: usize = 10_000;
/// The most things to try next.
const TRIES: usize = 20;

/// The keys of `about`.
const KEYS: [&str; 8] = [
    "title", "author", "licence", "purpose", "try_next", "notes", "language", "needs",
];

/// What an author says of a recipe or a rule module.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct About {
    /// Its title.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// Who made it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub author: Option<String>,
    /// How it may be used: an SPDX licence expression, checked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub licence: Option<String>,
    /// What it is for, on one line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub purpose: Option<String>,
    /// What to try next, each on one line.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub try_next: Vec<String>,
    /// Whatever else there is to say, on several lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notes: Option<String>,
    /// The version of the language that it is written for, where it says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub language: Option<u32>,
    /// The oldest program that knows all its words, as `1.4` or `1.4.2`, where it says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needs: Option<String>,
}

impl About {
    /// Whether nothing is said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Reads the map that a recipe passes to `about`.
    ///
    /// # Errors
    /// When there is an unknown key, a value of the wrong kind, a licence that SPDX does not know,
    /// or a version that this program is too old for.
    pub(super) fn read(map: Map) -> Result<Self, Fault> {
        let mut given = Options::read(map, "the entries of `about`", &KEYS)?;
        let mut line = |key: &str| given.with(key, one_line);
        let (title, author, purpose) = (line("title")?, line("author")?, line("purpose")?);
        let licence = line("licence")?;
        if let Some(licence) = &licence {
            check_licence(licence)?;
        }
        Ok(Self {
            title,
            author,
            licence,
            purpose,
            try_next: given.with("try_next", lines)?.unwrap_or_default(),
            notes: given.with("notes", notes)?,
            language: given.with("language", language::number)?,
            needs: given.with("needs", language::program)?,
        })
    }
}

/// A text on one line, without white space around it.
fn one_line(value: &Dynamic, what: &str) -> Result<String, Fault> {
    let text = args::text(value, what)?;
    let text = text.trim();
    if text.contains(['\n', '\r']) {
        return Err(Fault::wrong_value(format!("{what} must be one line"))
            .help("longer texts go to `notes`"));
    }
    checked(text, what, LINE)
}

/// A text, or a list of them.
fn lines(value: &Dynamic, what: &str) -> Result<Vec<String>, Fault> {
    if value.is_string() || value.is_char() {
        return Ok(vec![one_line(value, what)?]);
    }
    if !value.is_array() {
        return Err(args::unexpected(what, "a text or a list of texts", value));
    }
    let lines = args::list(value, what, one_line)?;
    if lines.len() > TRIES {
        return Err(Fault::wrong_value(format!(
            "{what} must be at most {TRIES} texts, not {}",
            lines.len()
        )));
    }
    Ok(lines)
}

/// A text of several lines, ended as on any system.
fn notes(value: &Dynamic, what: &str) -> Result<String, Fault> {
    let text = args::text(value, what)?.replace("\r\n", "\n");
    checked(text.trim(), what, NOTES)
}

fn checked(text: &str, what: &str, most: usize) -> Result<String, Fault> {
    if text.is_empty() {
        return Err(Fault::wrong_value(format!("{what} is empty"))
            .help("write a few words, or leave it out until there are some"));
    }
    let long = text.chars().count();
    if long > most {
        return Err(Fault::wrong_value(format!(
            "{what} must have at most {most} characters, not {long}"
        )));
    }
    match text.chars().find(|c| !fit_to_show(*c)) {
        Some(bad) => Err(Fault::wrong_value(format!(
            "{what} holds a character that cannot be shown: U+{:04X}",
            u32::from(bad)
        ))
        .help("leave it out; letters of any script, digits and signs are fine")),
        None => Ok(text.to_owned()),
    }
}

/// Whether a character may stand in a drawing: no control, nothing that turns the direction of
/// reading, nothing that XML 1.0 has no place for.
fn fit_to_show(c: char) -> bool {
    matches!(c, '\n' | '\t')
        || !(c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
            || matches!(c, '\u{fffe}' | '\u{ffff}'))
}

/// Refuses what is no SPDX licence expression (SPDX Specification 2.3, annex D; the list of
/// licences is that of the `spdx` crate).
fn check_licence(text: &str) -> Result<(), Fault> {
    use spdx::error::Reason;
    let Err(error) = spdx::Expression::parse(text) else {
        return Ok(());
    };
    let part = error.original.get(error.span.clone()).unwrap_or_default();
    let split = matches!(
        error.reason,
        Reason::InvalidCharacters | Reason::Unexpected(_)
    );
    let by_part = || meant(part).filter(|_| part.len() > 3 && !split);
    let close = meant(text).or_else(by_part);
    let help = match (split, close) {
        (true, None) => {
            "write OR between licences to choose from, AND where all of them hold: \"MIT OR Apache-2.0\""
                .to_owned()
        }
        (_, Some(close)) => format!("did you mean {close}?"),
        _ => "write its short name as in https://spdx.org/licenses: \"CC-BY-4.0\", \"MIT OR Apache-2.0\""
            .to_owned(),
    };
    Err(Fault::new(
        Kind::Licence {
            text: text.to_owned(),
        },
        format!(
            "{text:?} is no licence that SPDX knows: {}",
            reason(&error.reason, part)
        ),
    )
    .help(help))
}

fn reason(reason: &spdx::error::Reason, part: &str) -> String {
    use spdx::error::Reason;
    match reason {
        Reason::UnknownLicense | Reason::UnknownException | Reason::UnknownTerm => {
            format!("{part:?} is not on its list")
        }
        Reason::InvalidCharacters => format!("{part:?} cannot stand in it"),
        Reason::UnclosedParens => "a bracket is not closed".to_owned(),
        Reason::UnopenedParens => "a bracket is closed that was not opened".to_owned(),
        Reason::Unexpected(_) => "names stand with AND, OR or WITH between them".to_owned(),
        Reason::Empty => "it is empty".to_owned(),
        Reason::SeparatedPlus => "`+` follows its name without a space".to_owned(),
        Reason::GnuNoPlus | Reason::GnuPlusWithSuffix => {
            "names of this family end in -only or -or-later, without `+`".to_owned()
        }
        Reason::DeprecatedLicenseId => format!("{part:?} is a name that is no longer used"),
    }
}

/// The licence that was most likely meant, in quotes; two, where one name stands for two licences.
fn meant(text: &str) -> Option<String> {
    let dashed = text.trim().replace([' ', '_'], "-");
    let known = || {
        let all = spdx::identifiers::LICENSES.iter().map(|l| l.name);
        all.filter(|name| spdx::license_id(name).is_some_and(|id| !id.is_deprecated()))
    };
    let exactly = |wanted: &str| known().find(|name| name.eq_ignore_ascii_case(wanted));
    if let Some(exact) = exactly(&dashed) {
        return Some(format!("{exact:?}"));
    }
    let family = ["-only", "-or-later"].map(|end| exactly(&format!("{dashed}{end}")));
    if let [Some(only), Some(later)] = family {
        return Some(format!("{only:?} or {later:?}"));
    }
    let imprecise = spdx::imprecise_license_id(&text.to_lowercase())
        .filter(|(id, length)| *length == text.len() && !id.is_deprecated())
        .map(|(id, _)| id.name);
    imprecise
        .or_else(|| nearest::nearest(&dashed, known()))
        .map(|close| format!("{close:?}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn help(licence: &str) -> String {
        check_licence(licence)
            .expect_err("refused")
            .help
            .unwrap_or_default()
    }

    #[test]
    fn expressions_of_the_specification_are_taken() {
        // SPDX Specification 2.3, annex D.2 to D.4: its own examples.
        for licence in [
            "MIT",
            "CC-BY-4.0",
            "CDDL-1.0",
            "LGPL-2.1-only OR MIT",
            "LGPL-2.1-only AND MIT AND BSD-2-Clause",
            "LGPL-2.1-only OR BSD-3-Clause AND MIT",
            "MIT AND (LGPL-2.1-or-later OR BSD-3-Clause)",
            "GPL-2.0-or-later WITH Bison-exception-2.2",
            "LicenseRef-23",
            "DocumentRef-spdx-tool-1.2:LicenseRef-MIT-Style-2",
        ] {
            assert!(check_licence(licence).is_ok(), "{licence}");
        }
    }

    #[test]
    fn near_misses_are_named() {
        assert_eq!(help("cc-by-4.0"), "did you mean \"CC-BY-4.0\"?");
        assert_eq!(help("CC BY 4.0"), "did you mean \"CC-BY-4.0\"?");
        assert_eq!(help("CC-BY-SA-40"), "did you mean \"CC-BY-SA-4.0\"?");
        assert_eq!(help("Apache2"), "did you mean \"Apache-2.0\"?");
        assert!(
            help("free for all").contains("spdx.org"),
            "{}",
            help("free for all")
        );
    }
}
