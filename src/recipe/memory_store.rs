//! A store without a disk: texts in memory, each under a path. For tests, and for a program that has no
//! file system, such as one in a browser.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::host::{Host, HostError};
use super::source::Source;
use super::store::{Print, ReadError, Shelf, Store, WriteError};

/// Texts by path. Paths have `/` between names and are taken as they are: `a.rhai` and `./a.rhai` differ.
#[derive(Debug, Clone, Default)]
pub struct MemoryStore {
    texts: Arc<Texts>,
}

#[derive(Debug, Default)]
struct Texts(Mutex<BTreeMap<PathBuf, String>>);

impl Texts {
    /// A panic elsewhere leaves the map as good as it was.
    fn all(&self) -> MutexGuard<'_, BTreeMap<PathBuf, String>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl MemoryStore {
    /// A store of nothing.
    pub fn new() -> Self {
        Self::default()
    }

    /// With a text at `path`, in the place of one that was there.
    #[must_use]
    pub fn with(self, path: impl Into<PathBuf>, text: impl Into<String>) -> Self {
        self.put(path, text);
        self
    }

    /// All texts by their paths.
    pub fn texts(&self) -> BTreeMap<PathBuf, String> {
        self.texts.all().clone()
    }

    /// Puts a text at `path`, in the place of one that was there. Clones of a store hold the same texts.
    pub fn put(&self, path: impl Into<PathBuf>, text: impl Into<String>) {
        self.texts.all().insert(path.into(), text.into());
    }
}

impl Store for MemoryStore {
    fn read(&self, path: &Path) -> Result<String, ReadError> {
        self.texts.all().get(path).cloned().ok_or_else(|| {
            let path = path.to_owned();
            ReadError::Missing {
                path,
                near: Vec::new(),
            }
        })
    }

    fn read_inside(&self, folder: &Path, name: &str) -> Result<String, ReadError> {
        let inside = Path::new(name)
            .components()
            .all(|part| matches!(part, Component::Normal(_)));
        let path = folder.join(name);
        if inside {
            self.read(&path)
        } else {
            Err(ReadError::Outside { path })
        }
    }

    fn host(&self, path: &Path, print: Print) -> Arc<dyn Host> {
        Arc::new(Folder {
            texts: Arc::clone(&self.texts),
            own: path.parent().unwrap_or(Path::new("")).to_owned(),
            print,
        })
    }
}

impl Shelf for MemoryStore {
    fn write(&self, path: &Path, text: &str) -> Result<(), WriteError> {
        self.put(path, text);
        Ok(())
    }

    fn write_new(&self, path: &Path, text: &str) -> Result<(), WriteError> {
        match self.texts.all().entry(path.to_owned()) {
            Entry::Occupied(there) => Err(WriteError::Exists {
                path: there.key().clone(),
            }),
            Entry::Vacant(place) => {
                place.insert(text.to_owned());
                Ok(())
            }
        }
    }
}

/// A folder of the store.
struct Folder {
    texts: Arc<Texts>,
    own: PathBuf,
    print: Print,
}

impl Host for Folder {
    /// The names that come here have been checked: none leads out of the folder.
    fn module(&self, name: &str) -> Result<Source, HostError> {
        self.text(&format!("{name}.rhai"))
    }

    fn drawing(&self, name: &str) -> Result<Source, HostError> {
        self.text(name)
    }

    fn printed(&self, line: &str) {
        (self.print)(line);
    }
}

impl Folder {
    fn text(&self, name: &str) -> Result<Source, HostError> {
        let path = self.own.join(name);
        let found = self.texts.all().get(&path).cloned();
        match found {
            Some(text) => Ok(Source::new(path.display().to_string(), text)),
            None => Err(HostError::NotFound {
                known: self.known(),
            }),
        }
    }

    fn known(&self) -> Vec<String> {
        let inside = |path: &PathBuf| {
            let name = path.strip_prefix(&self.own).ok()?.to_str()?;
            Some(name.strip_suffix(".rhai")?.to_owned())
        };
        self.texts.all().keys().filter_map(inside).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_found_by_path_and_modules_in_the_recipes_folder() {
        let store = MemoryStore::new()
            .with("a/main.rhai", "import \"rings\" as r;")
            .with("a/rings.rhai", "let x = 1;")
            .with("b/other.rhai", "");
        assert!(store.read(Path::new("a/main.rhai")).is_ok());
        assert!(matches!(
            store.read(Path::new("main.rhai")),
            Err(ReadError::Missing { .. })
        ));
        let host = store.host(Path::new("a/main.rhai"), Box::new(|_| ()));
        assert_eq!(host.module("rings").unwrap().name, "a/rings.rhai");
        let known = ["main", "rings"].map(str::to_owned).to_vec();
        assert_eq!(host.module("other"), Err(HostError::NotFound { known }));
    }

    #[test]
    fn what_lies_outside_a_folder_is_not_given_out() {
        let store = MemoryStore::new()
            .with("a/main.rhai", "1")
            .with("b.rhai", "2");
        let a = Path::new("a");
        assert_eq!(store.read_inside(a, "main.rhai").as_deref(), Ok("1"));
        for name in ["../b.rhai", "/b.rhai", "./main.rhai"] {
            let error = store.read_inside(a, name).unwrap_err();
            assert!(matches!(error, ReadError::Outside { .. }), "{name}");
        }
    }
}
