//! Reading a recipe or a rule module: a plain file of UTF-8 text of reasonable length.

use std::ffi::OsStr;
use std::fs::{self, File, Metadata};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::error::{FileError, plain};
use super::file_stamp::{FileStamp, Seen};
use super::near::{entries, nearest, recipes_among, recipes_in};
use crate::recipe::host::MOST_DRAWING;
use crate::recipe::source::Source;
use crate::recipe::store::ReadError;

/// The longest recipe or rule module in bytes: some 20,000 lines.
pub const MOST_BYTES: u64 = 1024 * 1024;

/// Reads the recipe at `path`, under the name as typed, and tells what was seen there.
///
/// # Errors
/// When there is no such file (with names near it), when it is a folder, a pipe or a device,
/// longer than [`MOST_BYTES`], not UTF-8, or not readable.
pub fn read_recipe(path: &Path) -> (Result<Arc<Source>, ReadError>, FileStamp) {
    let (text, seen) = read_text(path, path);
    let source = text.map(|text| Arc::new(Source::new(path.display().to_string(), text)));
    let path = path.to_owned();
    (source, FileStamp { path, seen })
}

/// Reads a text file that is no recipe but as short as one, and tells what was seen there.
///
/// # Errors
/// As [`read_recipe`].
pub fn read_text_file(path: &Path) -> (Result<String, ReadError>, FileStamp) {
    let (text, seen) = read_text(path, path);
    let path = path.to_owned();
    (text, FileStamp { path, seen })
}

/// The recipes and rule modules of a folder, sorted by name.
///
/// # Errors
/// When the folder is not there, or may not be read.
pub fn recipes_of(folder: &Path) -> Result<Vec<PathBuf>, FileError> {
    let entries = entries(folder).map_err(|error| unread(folder, &error))?;
    Ok(recipes_among(entries)
        .into_iter()
        .map(|name| folder.join(name))
        .collect())
}

/// Reads a file of up to `most` bytes, written by this program.
///
/// # Errors
/// When it is not there, no plain file, longer, or not readable.
pub fn read_bytes_up_to(path: &Path, most: u64) -> Result<Vec<u8>, FileError> {
    let unread = |error| unread(path, &error);
    let marks = fs::metadata(path).map_err(unread)?;
    if !marks.is_file() {
        return Err(ReadError::NotPlain {
            path: path.to_owned(),
        }
        .into());
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(unread)?;
    file.take(most.saturating_add(1))
        .read_to_end(&mut bytes)
        .map_err(unread)?;
    if bytes.len() as u64 > most {
        return Err(FileError::TooLong {
            path: path.to_owned(),
            most,
        });
    }
    Ok(bytes)
}

/// Reads the text at `path`; messages call it `shown`.
pub(super) fn read_text(path: &Path, shown: &Path) -> (Result<String, ReadError>, Seen) {
    read(path, shown, MOST_BYTES, false)
}

/// As [`read_text`], for a drawing in SVG.
pub(super) fn read_drawing(path: &Path, shown: &Path) -> (Result<String, ReadError>, Seen) {
    read(path, shown, MOST_DRAWING as u64, true)
}

fn read(path: &Path, shown: &Path, most: u64, drawing: bool) -> (Result<String, ReadError>, Seen) {
    // Asked before opening: opening a pipe would wait for somebody to write to it. Asked before
    // anything else: a file that appears meanwhile must look different afterwards.
    let marks = fs::metadata(path);
    let before = Seen::marks(marks.as_ref().ok());
    match marks
        .map_err(|error| unread(shown, &error))
        .and_then(|m| read_bytes(path, shown, &m, (most, drawing)))
    {
        Ok((bytes, seen)) => (decode(bytes, shown), seen),
        Err(error) => (Err(error), before),
    }
}

/// What the system said about reading.
pub(super) fn unread(shown: &Path, error: &io::Error) -> ReadError {
    match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => missing(shown),
        _ => ReadError::Unreadable {
            path: shown.to_owned(),
            reason: plain(error),
        },
    }
}

fn read_bytes(
    path: &Path,
    shown: &Path,
    marks: &Metadata,
    (most, drawing): (u64, bool),
) -> Result<(Vec<u8>, Seen), ReadError> {
    if marks.is_dir() {
        return Err(ReadError::Folder {
            path: shown.to_owned(),
            recipes: recipes_in(path),
        });
    }
    if !marks.is_file() {
        return Err(ReadError::NotPlain {
            path: shown.to_owned(),
        });
    }
    let too_large = || ReadError::TooLarge {
        path: shown.to_owned(),
        most,
    };
    let unread = |error| unread(shown, &error);
    let file = File::open(path).map_err(unread)?;
    let marks = file.metadata().map_err(unread)?;
    let mut bytes = Vec::new();
    file.take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(unread)?;
    if !drawing && is_picture(&bytes) {
        return Err(ReadError::Picture {
            path: shown.to_owned(),
        });
    }
    if bytes.len() as u64 > most {
        return Err(too_large());
    }
    let seen = Seen::file(&marks, &bytes);
    Ok((bytes, seen))
}

/// Whether bytes begin like a picture: PNG, JPEG, or a drawing in SVG.
fn is_picture(bytes: &[u8]) -> bool {
    let begins: [&[u8]; 4] = [b"\x89PNG", b"\xff\xd8\xff", b"<svg", b"<?xml"];
    begins.iter().any(|mark| bytes.starts_with(mark))
}

fn missing(shown: &Path) -> ReadError {
    let folder = shown.parent().unwrap_or(Path::new(""));
    let typed = shown
        .file_name()
        .map(OsStr::to_string_lossy)
        .unwrap_or_default();
    let near = nearest(&typed, &recipes_in(folder));
    ReadError::Missing {
        path: shown.to_owned(),
        near: near
            .into_iter()
            .map(|name| folder.join(name).display().to_string())
            .collect(),
    }
}

/// Text of `bytes`; a byte-order mark at the start is no part of it.
fn decode(bytes: Vec<u8>, shown: &Path) -> Result<String, ReadError> {
    let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    match String::from_utf8(bytes) {
        Ok(text) => Ok(match text.strip_prefix('\u{feff}') {
            Some(rest) => rest.to_owned(),
            None => text,
        }),
        Err(error) => {
            let offset = error.utf8_error().valid_up_to();
            let before = String::from_utf8_lossy(&error.as_bytes()[..offset]);
            let line = before.matches('\n').count() + 1;
            let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
            Err(ReadError::NotUtf8 {
                path: shown.to_owned(),
                offset,
                byte: error.as_bytes()[offset],
                line,
                column,
                utf16,
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bad_byte_is_found() {
        let bytes = b"let a = 1;\nlet \xc3\xa9 = \xff;\n".to_vec();
        let error = decode(bytes, Path::new("x.rhai")).expect_err("0xff is never UTF-8");
        assert_eq!(
            error.to_string(),
            "`x.rhai` is not UTF-8 text: byte 21 (0xff) on line 2, column 9"
        );
    }

    #[test]
    fn a_byte_order_mark_is_dropped_and_utf16_is_named() {
        let marked = b"\xef\xbb\xbflet a = 1;".to_vec();
        assert_eq!(decode(marked, Path::new("x")).unwrap(), "let a = 1;");
        let wide = b"\xff\xfel\0e\0t\0".to_vec();
        let error = decode(wide, Path::new("x")).expect_err("UTF-16");
        assert!(error.help().contains("UTF-16"), "{}", error.help());
    }
}
