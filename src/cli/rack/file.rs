//! The file of a rack: it is read, and written only if it still has the text that was read, which is
//! kept beside it.

use std::path::{Path, PathBuf};

use crate::cli::cli_error::CliError;
use crate::cli::shop::mistake;
use crate::files::{
    FileError, FolderLock, exists, read_recipe, read_text_file, write_new, write_whole,
};
use crate::rack::{Rack, RackError};
use crate::recipe::store::ReadError;
use crate::session::visible::{on_one_line, shown_path};

/// A rack that was read.
pub(super) struct Open {
    pub(super) rack: Rack,
    path: PathBuf,
    /// The text that was read; none where there is no file yet.
    text: Option<String>,
    /// The lock by which no other run changes racks of this folder meanwhile.
    _hold: Option<FolderLock>,
}

impl Open {
    /// Reads a rack.
    ///
    /// # Errors
    /// When it cannot be read, or has a mistake.
    pub(super) fn read(path: &Path) -> Result<Self, CliError> {
        Self::opened(path, None, false)
    }

    /// Reads a rack that is to be changed; `begin` begins one where there is none.
    ///
    /// # Errors
    /// As [`Open::read`], and when another run is changing a rack of this folder.
    pub(super) fn to_change(path: &Path, begin: bool) -> Result<Self, CliError> {
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
        let hold = FolderLock::take(folder.unwrap_or(Path::new(".")))?;
        Self::opened(path, Some(hold), begin)
    }

    fn opened(path: &Path, hold: Option<FolderLock>, begin: bool) -> Result<Self, CliError> {
        let (rack, text) = match read_recipe(path).0 {
            Ok(source) => {
                let rack = Rack::parse(&source.text);
                let text = source.text.clone();
                (rack.map_err(|error| mistake(error, source))?, Some(text))
            }
            Err(ReadError::Missing { .. }) if begin => (Rack::empty(), None),
            Err(ReadError::Missing { .. }) => {
                return Err(CliError::Data {
                    code: "rack::missing",
                    message: format!("there is no rack `{}`", path.display()),
                    help: "name it with `--rack FILE`, or begin one with `plyloom rack add`"
                        .to_owned(),
                });
            }
            Err(error) => return Err(error.into()),
        };
        Ok(Self {
            rack,
            path: path.to_owned(),
            text,
            _hold: hold,
        })
    }

    /// Whether there is no file yet.
    pub(super) fn is_new(&self) -> bool {
        self.text.is_none()
    }

    /// A name that is free beside the rack, for its former text.
    pub(super) fn former_name(&self) -> String {
        let own = self.path.file_name().unwrap_or_default().to_string_lossy();
        let first = self.rack.shop().booked.len() + 1;
        let mut names = (first..).map(|number| format!("{own}.before-{number}"));
        let free = names.find(|name| !exists(&self.path.with_file_name(name)));
        free.expect("invariant: numbers have no end")
    }

    /// The text of a former file.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(super) fn read_former(&self, name: &str) -> Result<String, CliError> {
        let (text, _) = read_text_file(&self.path.with_file_name(name));
        text.map_err(|error| match error {
            ReadError::Missing { .. } => refused(&RackError::NoFormer {
                former: name.to_owned(),
            }),
            other => other.into(),
        })
    }

    /// Keeps the former text under a name, and writes the new one in its place.
    ///
    /// # Errors
    /// When the file is no longer as it was read, or cannot be written. Then nothing is booked.
    pub(super) fn write(&self, text: &str, former: &str) -> Result<(), CliError> {
        let Some(known) = &self.text else {
            return Ok(write_new(&self.path, text.as_bytes())?);
        };
        write_new(&self.path.with_file_name(former), known.as_bytes())?;
        self.write_back(text)
    }

    /// Writes a text in the place of what was read.
    ///
    /// # Errors
    /// As [`Open::write`].
    pub(super) fn write_back(&self, text: &str) -> Result<(), CliError> {
        let now = read_text_file(&self.path).0.ok();
        if now != self.text {
            return Err(CliError::Data {
                code: "rack::changed",
                message: format!(
                    "another program changed `{}` meanwhile: nothing was booked",
                    shown_path(&self.path)
                ),
                help: "close it there, look at it, and give the command again".to_owned(),
            });
        }
        write_whole(&self.path, text.as_bytes()).map_err(|error: FileError| error.into())
    }
}

/// Why nothing was booked.
pub(super) fn refused(error: &RackError) -> CliError {
    CliError::Data {
        code: "rack::refused",
        message: on_one_line(&error.to_string()),
        help: error.help(),
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    #[test]
    fn a_rack_that_another_program_changed_meanwhile_is_left_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("rack.toml");
        fs::write(&path, "rack = true\n").unwrap();
        let open = Open::to_change(&path, false).unwrap();
        assert!(
            Open::to_change(&path, false).is_err(),
            "one change at a time"
        );
        fs::write(&path, "rack = true # by another\n").unwrap();
        let error = open.write("rack = true # by us\n", "former").unwrap_err();
        assert!(
            error.to_string().contains("another program changed"),
            "{error}"
        );
        assert_eq!(
            fs::read_to_string(&path).unwrap(),
            "rack = true # by another\n"
        );
        fs::remove_file(&path).unwrap();
        assert!(open.write_back("rack = true\n").is_err());
        assert!(!path.exists());
    }
}
