//! Where the texts of recipes are kept: all code that opens a recipe by its path goes through this.
//!
//! A disk is one such place ([`crate::files`] has it), texts in memory another ([`MemoryStore`]). Paths
//! are as a maker types them; nothing here looks at a file system.
//!
//! [`MemoryStore`]: super::memory_store::MemoryStore

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::host::Host;

/// What is done with each line that a recipe prints.
pub type Print = Box<dyn Fn(&str) + Send + Sync>;

/// How far a pinned choice may reach for its recipe.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Reach {
    /// Into its own folder and those below it, links followed.
    #[default]
    OwnFolder,
    /// Anywhere that the maker may read.
    Anywhere,
}

/// Gives texts by their paths.
pub trait Store: Send + Sync {
    /// The text at `path`, without a byte-order mark.
    ///
    /// # Errors
    /// When there is none, or it is not the text of a recipe in form and length.
    fn read(&self, path: &Path) -> Result<String, ReadError>;

    /// The text of the file `name`, counted from `folder`.
    ///
    /// # Errors
    /// As [`Store::read`], and when the file, links followed, lies outside the folder.
    fn read_inside(&self, folder: &Path, name: &str) -> Result<String, ReadError>;

    /// What the recipe at `path` may reach: rule modules of its own folder.
    fn host(&self, path: &Path, print: Print) -> Arc<dyn Host>;
}

/// Keeps texts by their paths as well.
pub trait Shelf: Store {
    /// Puts a text at `path`, whole, in the place of one that was there.
    ///
    /// # Errors
    /// When it cannot be kept; what was there stays.
    fn write(&self, path: &Path, text: &str) -> Result<(), WriteError>;

    /// Puts a text at `path` where nothing is yet.
    ///
    /// # Errors
    /// When something is there, or it cannot be kept.
    fn write_new(&self, path: &Path, text: &str) -> Result<(), WriteError>;
}

/// A text that could not be kept.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// Something is there already.
    #[error("`{}` already exists and was not changed", path.display())]
    Exists {
        /// Where the text was to go.
        path: PathBuf,
    },
    /// For another reason, in a sentence.
    #[error("{0}")]
    Refused(String),
}

/// A text that could not be had: the facts, and their wording.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReadError {
    /// There is no file of this name.
    #[error("there is no file `{}`", path.display())]
    Missing {
        /// As typed.
        path: PathBuf,
        /// Recipes that could have been meant, the likeliest first.
        near: Vec<String>,
    },
    /// A folder stands where a file was expected.
    #[error("`{}` is a folder, not a file", path.display())]
    Folder {
        /// As typed.
        path: PathBuf,
        /// The recipes in it, sorted.
        recipes: Vec<String>,
    },
    /// Neither a file nor a folder: a pipe, a device, a socket.
    #[error("`{}` is not a plain file", path.display())]
    NotPlain {
        /// As typed.
        path: PathBuf,
    },
    /// Too long to be a recipe.
    #[error("`{}` is too large to be a recipe: more than {} KiB", path.display(), most / 1024)]
    TooLarge {
        /// As typed.
        path: PathBuf,
        /// The limit in bytes.
        most: u64,
    },
    /// A picture. It may carry the recipe that it was drawn from.
    #[error("`{}` is a picture, not a recipe", path.display())]
    Picture {
        /// As typed.
        path: PathBuf,
    },
    /// Bytes that are no UTF-8 text.
    #[error(
        "`{}` is not UTF-8 text: byte {} ({byte:#04x}) on line {line}, column {column}",
        path.display(),
        offset + 1
    )]
    NotUtf8 {
        /// As typed.
        path: PathBuf,
        /// Where the first bad byte is, counted from 0.
        offset: usize,
        /// The bad byte.
        byte: u8,
        /// Its line, from 1.
        line: usize,
        /// Its column in characters, from 1.
        column: usize,
        /// Whether the file starts with the mark of UTF-16.
        utf16: bool,
    },
    /// It may not be read, or could not be.
    #[error("`{}` could not be read: {reason}", path.display())]
    Unreadable {
        /// As typed.
        path: PathBuf,
        /// What the system said.
        reason: String,
    },
    /// It lies outside the folder that it was to come from.
    #[error("`{}` lies outside the folder that it is to come from", path.display())]
    Outside {
        /// As written.
        path: PathBuf,
    },
}

impl ReadError {
    /// A stable code in dotted form.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "file::missing",
            Self::Folder { .. } => "file::is_a_folder",
            Self::NotPlain { .. } => "file::not_plain",
            Self::TooLarge { .. } => "file::too_large",
            Self::Picture { .. } => "file::picture",
            Self::NotUtf8 { .. } => "file::not_utf8",
            Self::Unreadable { .. } => "file::unreadable",
            Self::Outside { .. } => "file::outside",
        }
    }

    /// What to try.
    pub fn help(&self) -> String {
        let words = match self {
            Self::Missing { near, .. } if !near.is_empty() => {
                return format!("did you mean {}?", any_of(near));
            }
            Self::Missing { path, .. } if path.extension().is_some_and(|e| e != "rhai") => {
                "check the name and the folder"
            }
            Self::Missing { .. } => {
                "check the name and the folder; a recipe's name ends in `.rhai`"
            }
            Self::Folder { recipes, .. } if recipes.is_empty() => {
                "name a recipe: a text file whose name ends in `.rhai`"
            }
            Self::Folder { recipes, .. } => {
                return format!("name one of the recipes in it: {}", any_of(recipes));
            }
            Self::NotPlain { .. } => "save the recipe as a plain file and name that file",
            Self::TooLarge { .. } => {
                "is it a recipe? If it is, move parts of it to rule modules and import them"
            }
            Self::Picture { .. } => {
                "name the recipe; a picture that was drawn here carries it, and it can be unpacked"
            }
            Self::NotUtf8 { utf16: true, .. } => {
                "the file looks like UTF-16: save it as UTF-8 in the editor"
            }
            Self::NotUtf8 { .. } => "a recipe is UTF-8 text: save it as UTF-8 in the editor",
            Self::Unreadable { .. } => "check the file's permissions",
            Self::Outside { .. } => "put both into one folder",
        };
        words.to_owned()
    }
}

/// Up to four names as "`a`, `b` or `c`".
fn any_of(names: &[String]) -> String {
    let most = 4;
    let mut quoted: Vec<String> = names.iter().take(most).map(|n| format!("`{n}`")).collect();
    let last = quoted.pop().unwrap_or_default();
    let rest = names.len().saturating_sub(most);
    if rest > 0 {
        format!("{}, {last} (and {rest} more)", quoted.join(", "))
    } else if quoted.is_empty() {
        last
    } else {
        format!("{} or {last}", quoted.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_as_a_sentence() {
        let names = |n: &[&str]| n.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>();
        assert_eq!(any_of(&names(&["a"])), "`a`");
        assert_eq!(any_of(&names(&["a", "b", "c"])), "`a`, `b` or `c`");
        assert_eq!(
            any_of(&names(&["a", "b", "c", "d", "e", "f"])),
            "`a`, `b`, `c`, `d` (and 2 more)"
        );
    }
}
