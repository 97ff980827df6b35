//! A new text for the recipe's file: written only over the text that it was made from, and what a
//! maker wrote is kept beside it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use super::Opened;
use super::keep_error::KeepError;
use crate::explore::pinned::digest;
use crate::recipe::source::Source;
use crate::recipe::store::{Shelf, WriteError};

/// How many copies are kept beside a recipe at most; then the page writes no more over texts of others.
const MOST_COPIES: u32 = 1_000;

/// Texts that pages of this sitting wrote: these need no copy.
#[derive(Debug, Default)]
pub struct Written(Mutex<BTreeSet<String>>);

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
pub fn mark(text: &str) -> String {
    digest([&Source::new("", text)])
}

/// Writes a text into the recipe's file, in the place of the one that was opened. Gives the name of the
/// copy that was made of the former text, where one was made now.
///
/// # Errors
/// When the file holds another text by now, or is no plain recipe, or cannot be written.
pub fn write_text(
    shelf: &dyn Shelf,
    written: &Written,
    opened: &Opened,
    new: &str,
) -> Result<Option<String>, KeepError> {
    if !opened.is_plain() {
        return Err(KeepError::NoText);
    }
    write_over(shelf, written, &opened.path, &opened.source.text, new)
}

/// Writes a text into a recipe's file, in the place of another.
///
/// # Errors
/// When the file does not hold that other text, or cannot be written.
pub fn write_over(
    shelf: &dyn Shelf,
    written: &Written,
    recipe: &Path,
    expected: &str,
    new: &str,
) -> Result<Option<String>, KeepError> {
    let Ok(now) = shelf.read(recipe) else {
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
        Some(keep_copy(shelf, recipe, expected)?)
    };
    shelf.write(recipe, new)?;
    written.take(new);
    Ok(copy)
}

/// Keeps a text beside the recipe, under the first name that is free or holds it already.
fn keep_copy(shelf: &dyn Shelf, recipe: &Path, text: &str) -> Result<String, WriteError> {
    let own = recipe.file_name().unwrap_or_default().to_string_lossy();
    let name = |number: u32| match number {
        1 => format!("{own}.before"),
        n => format!("{own}.before-{n}"),
    };
    for number in 1..=MOST_COPIES {
        let name = name(number);
        let path = recipe.with_file_name(&name);
        match shelf.write_new(&path, text) {
            Ok(()) => return Ok(name),
            Err(WriteError::Exists { .. }) => {
                if shelf.read(&path).is_ok_and(|kept| kept == text) {
                    return Ok(name);
                }
            }
            Err(error) => return Err(error),
        }
    }
    Err(WriteError::Exists {
        path: PathBuf::from(name(MOST_COPIES)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::memory_store::MemoryStore;
    use crate::recipe::store::{Reach, Store as _};

    #[test]
    fn what_a_maker_wrote_is_kept_once_and_what_changed_meanwhile_is_left() {
        let shelf = MemoryStore::new().with("a.rhai", "// one");
        let opened = || Opened::read(Path::new("a.rhai"), Reach::Anywhere, &shelf).expect("read");
        let read = |name: &str| shelf.read(Path::new(name)).expect("a text");
        let written = Written::default();
        let write = |opened: &Opened, new: &str| write_text(&shelf, &written, opened, new);
        let copy = write(&opened(), "// two").expect("written");
        assert_eq!(copy.as_deref(), Some("a.rhai.before"));
        assert_eq!(read("a.rhai"), "// two");
        assert_eq!(read("a.rhai.before"), "// one");
        // The page's own text needs no copy.
        assert_eq!(write(&opened(), "// three").expect("written"), None);
        let old = opened();
        shelf.put("a.rhai", "// mine");
        assert!(matches!(write(&old, "// four"), Err(KeepError::Changed)));
        assert_eq!(read("a.rhai"), "// mine");
        let copy = write(&opened(), "// five").expect("written");
        assert_eq!(copy.as_deref(), Some("a.rhai.before-2"));
        assert_eq!(read("a.rhai.before-2"), "// mine");
    }
}
