//! What can go wrong between the program and the disk: the facts, and their wording.

use std::io;
use std::path::{Path, PathBuf};

/// A file that could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
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
    /// Too long for what it should be.
    #[error("`{}` is too long: more than {} MiB", path.display(), most / (1024 * 1024))]
    TooLong {
        /// As typed.
        path: PathBuf,
        /// The limit in bytes.
        most: u64,
    },
    /// Another run has the folder to itself.
    #[error("another run is at work in `{}`", folder.display())]
    Busy {
        /// The folder.
        folder: PathBuf,
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
    /// The system did not let us read it.
    #[error("`{}` could not be read: {}", path.display(), plain(source))]
    Unreadable {
        /// As typed.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The folder to write to does not exist.
    #[error("there is no folder `{}` to write `{}` to", shown(folder), path.display())]
    NoFolder {
        /// The file that was to be written.
        path: PathBuf,
        /// The folder that is missing.
        folder: PathBuf,
    },
    /// The place to write to is a folder.
    #[error("`{}` is a folder: a file cannot be written in its place", path.display())]
    InTheWay {
        /// The file that was to be written.
        path: PathBuf,
    },
    /// The place of a folder is taken by a file.
    #[error("`{}` is a file: a folder cannot be made in its place", path.display())]
    FileInTheWay {
        /// The folder that was to be made.
        path: PathBuf,
    },
    /// The way to the file leads out of its folder.
    #[error("`{}` would be written outside `{}`", path.display(), shown(folder))]
    Outside {
        /// The file that was to be written.
        path: PathBuf,
        /// The folder that it belongs in.
        folder: PathBuf,
    },
    /// A file of this name is there already and must not be replaced.
    #[error("`{}` is there already and is left as it is", path.display())]
    Exists {
        /// The file that was to be written.
        path: PathBuf,
    },
    /// The file or its folder is write-protected.
    #[error("`{}` may not be written: {}", path.display(), plain(source))]
    Protected {
        /// The file that was to be written.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The disk or the quota is full.
    #[error("there is no room left to write `{}`: {}", path.display(), plain(source))]
    Full {
        /// The file that was to be written.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Any other trouble while writing.
    #[error("`{}` could not be written: {}", path.display(), plain(source))]
    Unwritable {
        /// The file that was to be written.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

impl FileError {
    /// A stable code in dotted form.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "file::missing",
            Self::Folder { .. } => "file::is_a_folder",
            Self::NotPlain { .. } => "file::not_plain",
            Self::TooLarge { .. } | Self::TooLong { .. } => "file::too_large",
            Self::Busy { .. } => "file::busy",
            Self::NotUtf8 { .. } => "file::not_utf8",
            Self::Unreadable { .. } => "file::unreadable",
            Self::NoFolder { .. } => "file::no_folder",
            Self::InTheWay { .. } => "file::folder_in_the_way",
            Self::FileInTheWay { .. } => "file::file_in_the_way",
            Self::Outside { .. } => "file::outside",
            Self::Exists { .. } => "file::exists",
            Self::Protected { .. } => "file::protected",
            Self::Full { .. } => "file::disk_full",
            Self::Unwritable { .. } => "file::unwritable",
        }
    }

    /// What to try.
    #[must_use]
    pub fn help(&self) -> String {
        match self {
            Self::Missing { near, .. } if near.is_empty() => {
                "check the name and the folder; a recipe's name ends in `.rhai`".to_owned()
            }
            Self::Missing { near, .. } => format!("did you mean {}?", any_of(near)),
            Self::Folder { recipes, .. } if recipes.is_empty() => {
                "name a recipe: a text file whose name ends in `.rhai`".to_owned()
            }
            Self::Folder { recipes, .. } => {
                format!("name one of the recipes in it: {}", any_of(recipes))
            }
            Self::NotPlain { .. } => {
                "save the recipe as a plain file and name that file".to_owned()
            }
            Self::TooLarge { .. } => {
                "is it a recipe? If it is, move parts of it to rule modules and import them"
                    .to_owned()
            }
            Self::TooLong { .. } => "was it written by this program?".to_owned(),
            Self::Busy { .. } => {
                "wait for it to end, or choose another folder with `--out`".to_owned()
            }
            Self::NotUtf8 { utf16: true, .. } => {
                "the file looks like UTF-16: save it as UTF-8 in the editor".to_owned()
            }
            Self::NotUtf8 { .. } => {
                "a recipe is UTF-8 text: save it as UTF-8 in the editor".to_owned()
            }
            Self::Unreadable { .. } => "check the file's permissions".to_owned(),
            Self::NoFolder { folder, .. } => format!(
                "make the folder first (`mkdir -p {}`), or choose another place",
                folder.display()
            ),
            Self::InTheWay { .. } => "choose another name for the file".to_owned(),
            Self::FileInTheWay { .. } => "choose another folder with `--out`".to_owned(),
            Self::Outside { .. } => {
                "a link leads out of the folder: choose a new folder".to_owned()
            }
            Self::Exists { .. } => {
                "choose another name, or move the file away first: nothing is overwritten here"
                    .to_owned()
            }
            Self::Protected { .. } => {
                "choose another place with `--out`, or change the permissions".to_owned()
            }
            Self::Full { .. } => {
                "make room or choose another place with `--out`; a former file of this name is \
                 still whole"
                    .to_owned()
            }
            Self::Unwritable { .. } => {
                "choose another place with `--out`; a former file of this name is still whole"
                    .to_owned()
            }
        }
    }

    /// Sorts what the system said about writing `path`.
    pub(super) fn writing(path: &Path, source: io::Error) -> Self {
        let path = path.to_owned();
        match source.kind() {
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::Protected { path, source }
            }
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                Self::Full { path, source }
            }
            io::ErrorKind::AlreadyExists => Self::Exists { path },
            io::ErrorKind::IsADirectory => Self::InTheWay { path },
            _ => Self::Unwritable { path, source },
        }
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

/// A folder's name for a sentence: the empty path is the folder we stand in.
fn shown(folder: &Path) -> String {
    if folder.as_os_str().is_empty() {
        ".".to_owned()
    } else {
        folder.display().to_string()
    }
}

/// The system's words without its error number.
fn plain(error: &io::Error) -> String {
    let text = error.to_string();
    let text = text.split(" (os error").next().unwrap_or(&text);
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
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

    #[test]
    fn the_system_is_quoted_without_its_number() {
        assert_eq!(
            plain(&io::Error::from_raw_os_error(2)),
            "no such file or directory"
        );
    }
}
