//! The plain-text form of a bundle: the recipe as it is, so that its lines keep their numbers, and
//! below it, in comments, what else belongs to it.
//!
//! ```text
//! let block = ...                       the recipe
//! // ==== plyloom pack 1 ==== what follows belongs to the recipe above: keep it as it is
//! // program 0.1.0                      who packed it
//! // recipe "tray" lf                   its name; its line ends: lf, crlf or mixed; `open` where
//! //                                    the last line has none
//! // seed 7                             where one was set
//! // value "wide" 420.0                 each parameter that was set, in mm
//! // module "rings"                     a rule module (`unused` where this run did not read it): a
//! //                                    line of it on each line below
//! //| fn ring(n) {                      a line that ends with LF
//! //< }                                 one that ends with CR LF
//! //. // done                           one that ends with the text
//! // library "sequences"                the same of a module of the program's library
//! // sha256 ...                         the hash of all that, exactly
//! // spaced ...                         the hash that overlooks line ends
//! // ==== end of plyloom pack ====      what comes after this is not looked at
//! ```
//!
//! Any text with such a first line of the lower part is a pack. A recipe with control characters
//! (but tabs and line ends), with carriage returns alone, or with what XML has no place for cannot be
//! packed: it would not survive. `read` takes a pack apart again.

use std::fmt::Write as _;

use super::Bundle;
use super::error::BundleError;
use super::hash;
use super::marks::{END, FORM, MARK};

/// Whether a text is a pack, whole or damaged.
pub fn is_pack(text: &str) -> bool {
    text.starts_with(MARK) || text.contains(&format!("\n{MARK}"))
}

impl Bundle {
    /// The bundle as a text.
    ///
    /// # Errors
    /// When a text of it would not survive the way.
    pub fn text(&self) -> Result<String, BundleError> {
        self.check()?;
        let mut out = self.recipe.clone();
        let open = !self.recipe.ends_with('\n');
        let crlf = ends(&self.recipe) == "crlf";
        if open {
            out.push_str(if crlf { "\r\n" } else { "\n" });
        }
        let mut line = |text: &str| {
            out.push_str(text);
            out.push('\n');
        };
        line(&format!(
            "{MARK}{FORM} ==== what follows belongs to the recipe above: keep it as it is"
        ));
        line(&format!("// program {}", self.program));
        let open = if open { " open" } else { "" };
        line(&format!(
            "// recipe {} {}{open}",
            quoted(&self.name),
            ends(&self.recipe)
        ));
        if let Some(seed) = self.seed {
            line(&format!("// seed {seed}"));
        }
        for (name, value) in &self.values {
            line(&format!("// value {} {}", quoted(name), hash::value(value)));
        }
        for module in &self.modules {
            let kind = if module.library { "library" } else { "module" };
            let unused = if module.used { "" } else { " unused" };
            line(&format!("// {kind} {}{unused}", quoted(&module.name)));
            for piece in module.text.split_inclusive('\n') {
                let (mark, text) = match (piece.strip_suffix("\r\n"), piece.strip_suffix('\n')) {
                    (Some(text), _) => ('<', text),
                    (None, Some(text)) => ('|', text),
                    (None, None) => ('.', piece),
                };
                let gap = if text.is_empty() { "" } else { " " };
                line(&format!("//{mark}{gap}{text}"));
            }
        }
        line(&format!("// sha256 {}", hash::exact(self)));
        line(&format!("// spaced {}", hash::plain(self)));
        line(END);
        Ok(out)
    }

    /// Refuses what would not survive the way.
    fn check(&self) -> Result<(), BundleError> {
        check_text("the recipe", &self.recipe)?;
        if is_pack(&self.recipe) {
            return Err(BundleError::Unfit {
                part: "the recipe".to_owned(),
                line: line_of(&self.recipe, self.recipe.find(MARK).unwrap_or(0)),
                what: "a line that looks like the lower part of a pack".to_owned(),
            });
        }
        self.modules.iter().try_for_each(|module| {
            check_text(&format!("the rule module {:?}", module.name), &module.text)
        })
    }
}

/// `lf`, `crlf`, or `mixed` where a text has both.
fn ends(text: &str) -> &'static str {
    let (all, crlf) = (text.matches('\n').count(), text.matches("\r\n").count());
    match crlf {
        0 => "lf",
        n if n == all => "crlf",
        _ => "mixed",
    }
}

fn check_text(part: &str, text: &str) -> Result<(), BundleError> {
    let mut letters = text.char_indices().peekable();
    while let Some((at, c)) = letters.next() {
        let what = match c {
            '\n' | '\t' => continue,
            '\r' if letters.peek().is_some_and(|(_, next)| *next == '\n') => continue,
            '\r' => "a carriage return alone".to_owned(),
            c if c < ' ' || matches!(c, '\u{fffe}' | '\u{ffff}') => {
                format!("the control character U+{:04X}", u32::from(c))
            }
            _ => continue,
        };
        return Err(BundleError::Unfit {
            part: part.to_owned(),
            line: line_of(text, at),
            what,
        });
    }
    Ok(())
}

fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}

/// A name in quotation marks on one line.
fn quoted(name: &str) -> String {
    let mut text = String::new();
    let json = serde_json::to_string(name).expect("invariant: a text has a form in JSON");
    // JSON leaves these as they are; a line would break at them in some programs.
    for c in json.chars() {
        if matches!(
            c,
            '\u{7f}'..='\u{9f}' | '\u{2028}' | '\u{2029}' | '\u{fffe}' | '\u{ffff}'
        ) {
            let _ = write!(text, "\\u{:04x}", u32::from(c));
        } else {
            text.push(c);
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bundle::Packed;
    use crate::bundle::hash::Verdict;
    use crate::recipe::parameter::Value;

    fn bundle() -> Bundle {
        Bundle {
            name: "my tray".to_owned(),
            recipe: "let a = 1;\nimport \"rings\" as r;\n".to_owned(),
            modules: vec![
                Packed {
                    name: "rings".to_owned(),
                    library: false,
                    used: true,
                    text: "fn f() { 1 }\r\n\n  // ]]> --> ß".to_owned(),
                },
                Packed {
                    name: "sequences".to_owned(),
                    library: true,
                    used: false,
                    text: String::new(),
                },
            ],
            seed: Some(u64::MAX),
            values: vec![
                ("dye".to_owned(), Value::Text("\"navy\"\n".to_owned())),
                ("wide".to_owned(), Value::Number(19.05)),
                ("rows".to_owned(), Value::Whole(-3)),
                ("plain".to_owned(), Value::YesNo(true)),
            ],
            program: "0.1.0".to_owned(),
        }
    }

    #[test]
    fn what_is_packed_is_read() {
        let text = bundle().text().unwrap();
        let read = Bundle::read(&text).unwrap();
        assert_eq!(read.bundle, bundle());
        assert_eq!(read.verdict, Verdict::Exact);
        assert_eq!(
            read.bundle.text().unwrap(),
            text,
            "a pack of a pack is itself"
        );
    }

    #[test]
    fn messages_may_change_line_ends_and_trim_lines() {
        let text = bundle().text().unwrap();
        let crlf = text.replace("\r\n", "\n").replace('\n', "\r\n");
        assert_eq!(Bundle::read(&crlf).unwrap().verdict, Verdict::Exact);
        let signed = format!("{text}\n-- \nA. Joiner\n");
        assert_eq!(Bundle::read(&signed).unwrap().verdict, Verdict::Exact);
        let blanks = Bundle {
            recipe: "let a = 1;  \n".to_owned(),
            ..bundle()
        };
        let trimmed = blanks.text().unwrap().replace(";  \n", ";\n");
        assert_eq!(Bundle::read(&trimmed).unwrap().verdict, Verdict::Respaced);
        let changed = text.replace("let a = 1", "let a = 2");
        assert_eq!(Bundle::read(&changed).unwrap().verdict, Verdict::Changed);
        for (old, new) in [
            ("//< fn", "//< fm"),
            ("19.05", "19.06"),
            ("seed 1", "seed 2"),
        ] {
            let changed = text.replace(old, new);
            let read = Bundle::read(&changed).map(|read| read.verdict);
            assert!(
                matches!(
                    read,
                    Ok(Verdict::Changed) | Err(BundleError::Damaged { .. })
                ),
                "{old}: {read:?}"
            );
        }
    }

    #[test]
    fn damage_is_told_with_its_line() {
        let text = bundle().text().unwrap();
        assert_eq!(Bundle::read("let a = 1;"), Err(BundleError::NoPack));
        let later = text.replace("pack 1 ", "pack 2 ");
        assert_eq!(Bundle::read(&later), Err(BundleError::Newer { found: 2 }));
        let cut = &text[..text.len() - 40];
        assert!(matches!(
            Bundle::read(cut),
            Err(BundleError::Damaged { .. })
        ));
        for (old, new, why) in [
            ("\"rings\"", "\"../rings\"", "own folder"),
            ("\"rings\"", "\"/etc/rings\"", "own folder"),
            ("\"sequences\"", "\"C:x\"", "own folder"),
            ("\"my tray\"", "\"..\"", "not a name for a recipe"),
            ("\"my tray\"", "\"a/b\"", "not a name for a recipe"),
            ("// library", "// shelf", "not an entry"),
            ("// sha256", "// sha255", "not an entry"),
            ("//<", "/<", "does not belong to a pack"),
        ] {
            let lower = text.find(MARK).unwrap();
            let bad = format!("{}{}", &text[..lower], text[lower..].replacen(old, new, 1));
            let error = Bundle::read(&bad).expect_err(new).to_string();
            assert!(error.contains(why), "{new}: {error}");
        }
    }

    #[test]
    fn what_would_not_survive_is_refused() {
        for (recipe, what) in [
            ("a\nb\0", "U+0000"),
            ("a\u{1b}[31m", "U+001B"),
            ("a\rb", "carriage return"),
            ("a\u{ffff}", "U+FFFF"),
            ("a\n// ==== plyloom pack 1\n", "looks like"),
        ] {
            let bundle = Bundle {
                recipe: recipe.to_owned(),
                ..bundle()
            };
            let error = bundle.text().expect_err(what).to_string();
            assert!(error.contains(what), "{error}");
        }
    }
}
