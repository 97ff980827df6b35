//! What can go wrong between the program and the disk: the facts, and their wording.

use std::io;
use std::path::{Path, PathBuf};

use super::near::here;
use super::patience::is_held;
use crate::recipe::store::ReadError;

/// A file that could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// A file could not be read.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// Too long for what it should be.
    #[error("`{}` is too long: more than {} MiB", path.display(), most / (1024 * 1024))]
    TooLong {
        /// As typed.
        path: PathBuf,
        /// The limit in bytes.
        most: u64,
    },
    /// Another run has the folder to itself.
    #[error("another run is working in `{}`", folder.display())]
    Busy {
        /// The folder.
        folder: PathBuf,
    },
    /// The folder to write to does not exist.
    #[error("there is no folder `{}` to write `{}` to", here(folder).display(), path.display())]
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
    #[error("`{}` would be written outside `{}`", path.display(), here(folder).display())]
    Outside {
        /// The file that was to be written.
        path: PathBuf,
        /// The folder that it belongs in.
        folder: PathBuf,
    },
    /// A file of this name exists and must not be replaced.
    #[error("`{}` already exists and was not changed", path.display())]
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
    /// Another program has the file open and does not let it be replaced.
    #[error("`{}` is open in another program and cannot be replaced", path.display())]
    HeldOpen {
        /// The file that was to be written.
        path: PathBuf,
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
    pub fn code(&self) -> &'static str {
        match self {
            Self::Read(error) => error.code(),
            Self::TooLong { .. } => "file::too_large",
            Self::Busy { .. } => "file::busy",
            Self::NoFolder { .. } => "file::no_folder",
            Self::InTheWay { .. } => "file::folder_in_the_way",
            Self::FileInTheWay { .. } => "file::file_in_the_way",
            Self::Outside { .. } => "file::outside",
            Self::Exists { .. } => "file::exists",
            Self::Protected { .. } => "file::protected",
            Self::HeldOpen { .. } => "file::held_open",
            Self::Full { .. } => "file::disk_full",
            Self::Unwritable { .. } => "file::unwritable",
        }
    }

    /// What to try.
    pub fn help(&self) -> String {
        match self {
            Self::Read(error) => error.help(),
            Self::TooLong { .. } => "was it written by this program?".to_owned(),
            Self::Busy { .. } => {
                "wait for it to end, or choose another folder with `--out`".to_owned()
            }
            Self::NoFolder { folder, .. } => format!(
                "make the folder first (`mkdir -p {}`), or choose another place",
                folder.display()
            ),
            Self::InTheWay { .. } => "choose another name for the file".to_owned(),
            Self::FileInTheWay { .. } => "choose another folder with `--out`".to_owned(),
            Self::Outside { .. } => {
                "a link leads out of the folder: choose a new folder".to_owned()
            }
            Self::Exists { .. } => "choose another name, or move the file away first".to_owned(),
            Self::Protected { .. } => {
                "choose another place with `--out`, or change the permissions".to_owned()
            }
            Self::HeldOpen { .. } => {
                "close it there and try again, or choose another place with `--out`".to_owned()
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

    /// Sorts what the system said about putting a file in the place of `path`, which may be written to.
    pub(super) fn replacing(path: &Path, source: io::Error) -> Self {
        if is_held(&source, cfg!(windows)) {
            let path = path.to_owned();
            return Self::HeldOpen { path };
        }
        Self::writing(path, source)
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
            _ if is_held(&source, cfg!(windows)) => Self::HeldOpen { path },
            _ => Self::Unwritable { path, source },
        }
    }
}

/// The system's words without its error number.
pub(super) fn plain(error: &io::Error) -> String {
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
    fn the_system_is_quoted_without_its_number() {
        assert_eq!(
            plain(&io::Error::from_raw_os_error(2)),
            "no such file or directory"
        );
    }
}
