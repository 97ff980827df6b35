//! A new text for the recipe's file: written only over the text that it was made from, and what a
//! maker wrote is kept beside it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use super::keep::KeepError;
use crate::explore::pinned::digest;
use crate::files::{FileError, read_text_file, write_new, write_whole};
use crate::recipe::source::Source;
use crate::session::Opened;

/// How many copies are kept beside a recipe at most; then the page writes no more over texts of others.
const MOST_COPIES: u32 = 1_000;

/// Texts that pages of this sitting wrote: these need no copy.
#[derive(Debug, Default)]
pub(super) struct Written(Mutex<BTreeSet<String>>);

impl Written {
    fn has(&self, text: &str) -> bool {
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        known.contains(&mark(text))
    }

    fn take(&self, text: &str) {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        known.insert(mark(text));
    }
}

/// What tells a text from others.
pub(super) fn mark(text: &str) -> String {
    digest([&Source::new("", text)])
}

/// Writes a text into the recipe's file, in the place of the one that was opened. Gives the name of the
/// copy that was made of the former text, where one was made now.
///
/// # Errors
/// When the file holds another text by now, or is no plain recipe, or cannot be written.
pub(super) fn write_text(
    written: &Written,
    opened: &Opened,
    new: &str,
) -> Result<Option<String>, KeepError> {
    if !opened.is_plain() {
        return Err(KeepError::NoText);
    }
    write_over(written, &opened.path, &opened.source.text, new)
}

/// Writes a text into a recipe's file, in the place of another.
///
/// # Errors
/// When the file does not hold that other text, or cannot be written.
pub(super) fn write_over(
    written: &Written,
    recipe: &Path,
    expected: &str,
    new: &str,
) -> Result<Option<String>, KeepError> {
    let Ok(now) = read_text_file(recipe).0 else {
        return Err(KeepError::Changed);
    };
    if now == new {
        return Ok(None);
    }
    if now != expected {
        return Err(KeepError::Changed);
    }
    let copy = if written.has(expected) {
        None
    } else {
        Some(keep_copy(recipe, expected)?)
    };
    write_whole(recipe, new.as_bytes())?;
    written.take(new);
    Ok(copy)
}

/// Keeps a text beside the recipe, under the first name that is free or holds it already.
fn keep_copy(recipe: &Path, text: &str) -> Result<String, FileError> {
    let own = recipe.file_name().unwrap_or_default().to_string_lossy();
    let name = |number: u32| match number {
        1 => format!("{own}.before"),
        n => format!("{own}.before-{n}"),
    };
    for number in 1..=MOST_COPIES {
        let name = name(number);
        let path = recipe.with_file_name(&name);
        match write_new(&path, text.as_bytes()) {
            Ok(()) => return Ok(name),
            Err(FileError::Exists { .. }) => {
                if read_text_file(&path).0.is_ok_and(|kept| kept == text) {
                    return Ok(name);
                }
            }
            Err(error) => return Err(error),
        }
    }
    Err(FileError::Exists {
        path: PathBuf::from(name(MOST_COPIES)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::DiskStore;
    use crate::recipe::store::Reach;

    fn opened(path: &Path) -> Opened {
        Opened::read(path, Reach::Anywhere, &DiskStore::new()).expect("a recipe")
    }

    #[test]
    fn what_a_maker_wrote_is_kept_once_and_what_changed_meanwhile_is_left() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.rhai");
        let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("a text");
        std::fs::write(&path, "// one").expect("written");
        let written = Written::default();
        let copy = write_text(&written, &opened(&path), "// two").expect("written");
        assert_eq!(copy.as_deref(), Some("a.rhai.before"));
        assert_eq!(
            (read("a.rhai").as_str(), read("a.rhai.before").as_str()),
            ("// two", "// one")
        );
        // The page's own text needs no copy.
        assert_eq!(
            write_text(&written, &opened(&path), "// three").expect("written"),
            None
        );
        let old = opened(&path);
        std::fs::write(&path, "// mine").expect("written");
        assert!(matches!(
            write_text(&written, &old, "// four"),
            Err(KeepError::Changed)
        ));
        assert_eq!(read("a.rhai"), "// mine");
        let copy = write_text(&written, &opened(&path), "// five").expect("written");
        assert_eq!(copy.as_deref(), Some("a.rhai.before-2"));
        assert_eq!(read("a.rhai.before-2"), "// mine");
    }
}
