//! A recipe's own folder, and nothing beyond it.
//!
//! A module's name is a few plain names with `/` between them. Whatever it leads to must lie,
//! links followed, inside the recipe's folder. Each module is read once a run: a run sees one text.

use std::collections::{BTreeMap, VecDeque};
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::file_stamp::{FileStamp, Seen};
use super::near::{here, recipes_in};
use super::read::{read_drawing, read_text};
use crate::recipe::host::{Host, HostError, is_drawing};
use crate::recipe::source::Source;
use crate::recipe::store::ReadError;

/// How many folders deep modules may lie below the recipe.
const DEEPEST: usize = 8;
/// How many folders are searched for modules to suggest.
const MOST_SEARCHED: usize = 50;

/// The folder of one recipe, for one run of it.
pub struct DiskHost {
    folder: PathBuf,
    print: Box<dyn Fn(&str) + Send + Sync>,
    asked: Mutex<BTreeMap<String, ModuleLookup>>,
}

/// What came of asking for one module.
struct ModuleLookup {
    answer: Result<Source, HostError>,
    witnesses: Vec<FileStamp>,
}

impl fmt::Debug for DiskHost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("DiskHost")
            .field("folder", &self.folder)
            .finish_non_exhaustive()
    }
}

impl DiskHost {
    /// The host of the recipe at `recipe`; what the recipe prints goes to `print`, line by line.
    pub fn new(recipe: &Path, print: impl Fn(&str) + Send + Sync + 'static) -> Self {
        Self {
            folder: recipe.parent().map(Path::to_owned).unwrap_or_default(),
            print: Box::new(print),
            asked: Mutex::new(BTreeMap::new()),
        }
    }

    /// Every path that modules were looked for at, found or not, sorted, with what was seen there.
    pub fn witnesses(&self) -> Vec<FileStamp> {
        let asked = self.asked();
        let all = asked.values().flat_map(|a| &a.witnesses);
        let by_path: BTreeMap<&Path, &FileStamp> = all.map(|w| (w.path.as_path(), w)).collect();
        by_path.into_values().cloned().collect()
    }

    /// A panic elsewhere leaves the map as good as it was.
    fn asked(&self) -> MutexGuard<'_, BTreeMap<String, ModuleLookup>> {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The text of the file that `file` makes of a name; one answer a run.
    fn ask(&self, name: &str, file: Named) -> Result<Source, HostError> {
        let mut asked = self.asked();
        // A name with an ending is that of a drawing, and one without that of a module.
        if let Some(before) = asked.get(name) {
            return before.answer.clone();
        }
        let new = self.look(name, file);
        let answer = new.answer.clone();
        asked.insert(name.to_owned(), new);
        answer
    }

    fn look(&self, name: &str, file: Named) -> ModuleLookup {
        let relative = match file(name) {
            Ok(relative) => relative,
            Err(reason) => {
                return ModuleLookup {
                    answer: Err(HostError::Refused { reason }),
                    witnesses: Vec::new(),
                };
            }
        };
        let shown = self.folder.join(&relative);
        let before = Seen::now(&shown);
        let answer = self.inside(&relative);
        let (answer, seen) = match answer {
            Ok(real) => {
                let read = if is_drawing(name) {
                    read_drawing
                } else {
                    read_text
                };
                let (text, seen) = read(&real, &shown);
                let answer = text
                    .map(|text| Source::new(shown.display().to_string(), text))
                    .map_err(|error| self.refuse(error));
                (answer, seen)
            }
            Err(error) => (Err(error), before),
        };
        ModuleLookup {
            answer,
            witnesses: vec![FileStamp { path: shown, seen }],
        }
    }

    /// The real path of `relative`, when it lies inside the folder.
    fn inside(&self, relative: &Path) -> Result<PathBuf, HostError> {
        let unreadable = |error: std::io::Error| HostError::Unreadable {
            reason: error.to_string(),
        };
        let folder = fs::canonicalize(here(&self.folder)).map_err(unreadable)?;
        let real = fs::canonicalize(folder.join(relative)).map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => {
                HostError::NotFound {
                    known: self.known(),
                }
            }
            _ => unreadable(error),
        })?;
        if real.starts_with(&folder) {
            Ok(real)
        } else {
            Err(HostError::Refused {
                reason: "a link leads out of the recipe's folder".to_owned(),
            })
        }
    }

    fn refuse(&self, error: ReadError) -> HostError {
        match error {
            ReadError::Missing { .. } => HostError::NotFound {
                known: self.known(),
            },
            ReadError::Folder { .. } => HostError::Unreadable {
                reason: "it is a folder".to_owned(),
            },
            ReadError::NotPlain { .. } => HostError::Refused {
                reason: "it is not a plain file".to_owned(),
            },
            ReadError::Unreadable { reason, .. } => HostError::Unreadable { reason },
            other => HostError::Unreadable {
                reason: other.to_string(),
            },
        }
    }

    /// The modules of the folder and of those below it, without `.rhai`, sorted. Links to folders
    /// and hidden folders are passed over, and a huge tree is not searched to its end.
    fn known(&self) -> Vec<String> {
        let mut found = Vec::new();
        let mut folders = VecDeque::from([(here(&self.folder).to_owned(), String::new())]);
        for _ in 0..MOST_SEARCHED {
            let Some((folder, prefix)) = folders.pop_front() else {
                break;
            };
            let names = recipes_in(&folder);
            let bare = names.iter().filter_map(|name| name.strip_suffix(".rhai"));
            found.extend(bare.map(|name| format!("{prefix}{name}")));
            for name in folders_in(&folder) {
                folders.push_back((folder.join(&name), format!("{prefix}{name}/")));
            }
        }
        found.sort();
        found
    }
}

impl Host for DiskHost {
    fn module(&self, name: &str) -> Result<Source, HostError> {
        self.ask(name, module_file)
    }

    fn drawing(&self, name: &str) -> Result<Source, HostError> {
        self.ask(name, plain)
    }

    fn printed(&self, line: &str) {
        (self.print)(line);
    }
}

/// The path below the recipe's folder that a name means, or which rule the name breaks.
type Named = fn(&str) -> Result<PathBuf, String>;

/// The file of a module.
fn module_file(name: &str) -> Result<PathBuf, String> {
    let path = plain(name)?;
    if let Some(bare) = name.strip_suffix(".rhai") {
        return Err(format!("leave the ending off: `{bare}`"));
    }
    Ok(PathBuf::from(format!("{}.rhai", path.display())))
}

/// The file of this name.
fn plain(name: &str) -> Result<PathBuf, String> {
    if name.is_empty() {
        return Err("the name is empty".to_owned());
    }
    if name.chars().any(char::is_control) {
        return Err("the name holds a control character".to_owned());
    }
    if name.contains(['\\', ':']) {
        return Err("a name is made of plain names with `/` between them".to_owned());
    }
    if name.starts_with('/') || Path::new(name).is_absolute() {
        return Err(
            "the name starts at the root; what a recipe reads lies in its own folder".to_owned(),
        );
    }
    let parts: Vec<&str> = name.split('/').collect();
    if parts.contains(&"..") {
        return Err("`..` leads out of the recipe's folder".to_owned());
    }
    if parts.iter().any(|part| matches!(*part, "" | ".")) {
        let plain: Vec<&str> = parts
            .into_iter()
            .filter(|p| !matches!(*p, "" | "."))
            .collect();
        return Err(format!("write the name plainly: `{}`", plain.join("/")));
    }
    if parts.len() > DEEPEST {
        return Err(format!("the name is more than {DEEPEST} folders deep"));
    }
    Ok(PathBuf::from(name))
}

/// The folders in a folder, hidden ones and links left out, sorted.
fn folders_in(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut names: Vec<String> = entries
        .flatten()
        .filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir()))
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort();
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_elsewhere_are_refused() {
        for name in [
            "",
            "/etc/passwd",
            "../up",
            "a/../../b",
            "a\\b",
            "C:x",
            "./a",
            "a//b",
            "a/",
            "a.rhai",
            "a\0b",
            "a\nb",
        ] {
            assert!(module_file(name).is_err(), "{name:?}");
        }
        assert_eq!(module_file("rings"), Ok(PathBuf::from("rings.rhai")));
        assert_eq!(
            module_file("rules/rings"),
            Ok(PathBuf::from("rules/rings.rhai"))
        );
    }
}
