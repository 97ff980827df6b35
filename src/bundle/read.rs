//! A bundle from its plain-text form, which `text` describes: line by line, each mistake with its line.

use super::error::BundleError;
use super::hash::{self, Verdict};
use super::marks::{END, FORM, MARK};
use super::{Bundle, Packed};
use crate::recipe::modules::name_fault;
use crate::recipe::parameter::Value;

/// The most modules of a pack, as of a run.
const MOST_MODULES: usize = crate::recipe::limits::MODULES;
/// The most parameters of a pack.
const MOST_VALUES: usize = 1000;

/// A pack that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    /// What it holds.
    pub bundle: Bundle,
    /// How it agrees with its hashes.
    pub verdict: Verdict,
}

impl Bundle {
    /// Reads a pack.
    ///
    /// # Errors
    /// When the text is no pack, one of a later form, cut off or mangled. Changed texts are no
    /// error: the verdict tells of them.
    pub fn read(text: &str) -> Result<Read, BundleError> {
        let mark = if text.starts_with(MARK) {
            0
        } else {
            let at = text.find(&format!("\n{MARK}"));
            at.ok_or(BundleError::NoPack)? + 1
        };
        let (above, below) = text.split_at(mark);
        let mut reader = Reader::new(above.matches('\n').count());
        for line in below.split('\n') {
            let line = line.strip_suffix('\r').unwrap_or(line);
            reader.line += 1;
            if reader.take(line, above)? {
                return reader.done();
            }
        }
        Err(reader.damaged("it ends too early: its last lines are missing"))
    }
}

/// The lower part of a pack, line by line.
struct Reader {
    line: usize,
    bundle: Bundle,
    ends: Option<(String, bool)>,
    exact: Option<String>,
    plain: Option<String>,
    begun: bool,
    /// Whether the last module's last line has been read.
    closed: bool,
}

impl Reader {
    fn new(line: usize) -> Self {
        Self {
            line,
            bundle: Bundle {
                name: String::new(),
                recipe: String::new(),
                modules: Vec::new(),
                seed: None,
                values: Vec::new(),
                program: String::new(),
            },
            ends: None,
            exact: None,
            plain: None,
            begun: false,
            closed: false,
        }
    }

    fn damaged(&self, why: impl Into<String>) -> BundleError {
        BundleError::Damaged {
            line: self.line,
            why: why.into(),
        }
    }

    /// Takes one line; true for the last one.
    fn take(&mut self, line: &str, above: &str) -> Result<bool, BundleError> {
        if !self.begun {
            let digits = line[MARK.len()..].split(' ').next().unwrap_or("");
            let found = digits
                .parse()
                .map_err(|_| self.damaged("the number of its form is missing"))?;
            if found > FORM || found == 0 {
                return Err(BundleError::Newer { found });
            }
            self.begun = true;
            return Ok(false);
        }
        if line.trim_end() == END {
            self.bundle.recipe = self.recipe(above)?;
            return Ok(true);
        }
        if let Some(mark) = ["//|", "//<", "//."].iter().find(|m| line.starts_with(**m)) {
            let text = &line[mark.len()..];
            self.module_line(mark, text.strip_prefix(' ').unwrap_or(text))?;
            return Ok(false);
        }
        let entry = line
            .strip_prefix("// ")
            .ok_or_else(|| self.damaged("this line does not belong to a pack"))?;
        let (key, rest) = entry.split_once(' ').unwrap_or((entry, ""));
        self.entry(key, rest.trim_end())?;
        Ok(false)
    }

    fn entry(&mut self, key: &str, rest: &str) -> Result<(), BundleError> {
        match key {
            "program" => rest.clone_into(&mut self.bundle.program),
            "recipe" => {
                let (name, after) = self.name(rest)?;
                let mut words = after.split_whitespace();
                let ends = words.next().unwrap_or("lf").to_owned();
                self.ends = Some((ends, words.next() == Some("open")));
                self.bundle.name = name;
            }
            "seed" => {
                let seed = rest
                    .parse()
                    .map_err(|_| self.damaged("this is not a seed"))?;
                self.bundle.seed = Some(seed);
            }
            "value" => {
                let (name, after) = self.name(rest)?;
                let value: Value = serde_json::from_str(after.trim())
                    .map_err(|_| self.damaged("this is not a value"))?;
                if self.bundle.values.len() >= MOST_VALUES {
                    return Err(self.damaged(format!("it has more than {MOST_VALUES} values")));
                }
                self.bundle.values.push((name, value));
            }
            "module" | "library" => {
                let (name, after) = self.name(rest)?;
                self.begin(name, key == "library", after.trim() != "unused")?;
            }
            "sha256" => self.exact = Some(rest.to_owned()),
            "spaced" => self.plain = Some(rest.to_owned()),
            _ => return Err(self.damaged(format!("{key:?} is not an entry of a pack"))),
        }
        Ok(())
    }

    fn begin(&mut self, name: String, library: bool, used: bool) -> Result<(), BundleError> {
        if let Some(reason) = name_fault(&name) {
            return Err(self.damaged(format!(
                "{name:?} is not a name for a rule module: {reason}"
            )));
        }
        let known = |m: &Packed| m.name == name && m.library == library;
        if self.bundle.modules.iter().any(known) {
            return Err(self.damaged(format!("the rule module {name:?} is there twice")));
        }
        if self.bundle.modules.len() >= MOST_MODULES {
            return Err(self.damaged(format!("it has more than {MOST_MODULES} rule modules")));
        }
        self.bundle.modules.push(Packed {
            name,
            library,
            used,
            text: String::new(),
        });
        self.closed = false;
        Ok(())
    }

    fn module_line(&mut self, mark: &str, text: &str) -> Result<(), BundleError> {
        let closed = self.closed;
        let Some(module) = self.bundle.modules.last_mut().filter(|_| !closed) else {
            return Err(self.damaged("this line belongs to no rule module"));
        };
        module.text.push_str(text);
        match mark {
            "//|" => module.text.push('\n'),
            "//<" => module.text.push_str("\r\n"),
            _ => self.closed = true,
        }
        Ok(())
    }

    /// A name in quotation marks, and what follows it.
    fn name<'a>(&self, rest: &'a str) -> Result<(String, &'a str), BundleError> {
        let mut values = serde_json::Deserializer::from_str(rest).into_iter::<String>();
        match values.next() {
            Some(Ok(name)) => Ok((name, &rest[values.byte_offset()..])),
            _ => Err(self.damaged("a name in quotation marks is missing")),
        }
    }

    /// The recipe's text from what stands above, with the line ends that it had.
    fn recipe(&self, above: &str) -> Result<String, BundleError> {
        let (ends, open) = (self.ends.as_ref())
            .ok_or_else(|| self.damaged("the line that names the recipe is missing"))?;
        let mut text = match ends.as_str() {
            "lf" => above.replace("\r\n", "\n"),
            "crlf" => above.replace("\r\n", "\n").replace('\n', "\r\n"),
            _ => above.to_owned(),
        };
        if *open {
            let end = if text.ends_with("\r\n") { 2 } else { 1 };
            text.truncate(text.len().saturating_sub(end));
        }
        Ok(text)
    }

    fn done(self) -> Result<Read, BundleError> {
        if !is_file_name(&self.bundle.name) {
            return Err(self.damaged(format!("{:?} is not a name for a recipe", self.bundle.name)));
        }
        let (Some(exact), Some(plain)) = (&self.exact, &self.plain) else {
            return Err(self.damaged("its hashes are missing"));
        };
        let verdict = if *exact == hash::exact(&self.bundle) {
            Verdict::Exact
        } else if *plain == hash::plain(&self.bundle) {
            Verdict::Respaced
        } else {
            Verdict::Changed
        };
        Ok(Read {
            bundle: self.bundle,
            verdict,
        })
    }
}

/// Whether a file of this name stays in its folder, on any system.
pub(super) fn is_file_name(name: &str) -> bool {
    name_fault(name).is_none() && !name.contains('/')
}
