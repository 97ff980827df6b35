//! Files that are being written: they are known by the beginning and end of their names, are locked
//! as long as the process that writes them lives, and are removed when it ends, for whatever reason.
//!
//! A process that ends by itself removes them ([`remove_unfinished`]). Files of a process that was
//! killed are removed by the next process that writes to the same folder, as their lock is free.

use std::collections::BTreeSet;
use std::fs::{self, File, Permissions};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};

use tempfile::{Builder, NamedTempFile, PersistError};

use super::patience::Patience;

/// How the names of unfinished files begin and end.
pub(super) const UNFINISHED: (&str, &str) = (".plyloom-", ".part");
/// A file younger than this may not have its lock yet.
const YOUNG: Duration = Duration::from_secs(10);

/// The unfinished files of this process, and the folders that it has cleared.
#[derive(Default)]
struct Known {
    files: BTreeSet<PathBuf>,
    cleared: BTreeSet<PathBuf>,
}

static KNOWN: Mutex<Option<Known>> = Mutex::new(None);

fn known() -> MutexGuard<'static, Option<Known>> {
    KNOWN.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A file that has no name of its own yet.
#[derive(Debug)]
pub(super) struct Unfinished {
    file: Option<NamedTempFile>,
    path: PathBuf,
}

impl Unfinished {
    /// A new one in a folder, with these permissions, less the user's own mask.
    pub(super) fn new(folder: &Path, permissions: Option<Permissions>) -> io::Result<Self> {
        let mut builder = Builder::new();
        builder.prefix(UNFINISHED.0).suffix(UNFINISHED.1);
        if let Some(permissions) = permissions {
            builder.permissions(permissions);
        }
        // The removal of all files waits until this one is known; after the removal, none is begun.
        let mut known = known();
        let known = known.get_or_insert_with(Known::default);
        if known.cleared.insert(folder.to_owned()) {
            clear_left(folder);
        }
        let file = builder.tempfile_in(folder)?;
        // Where the file system has no locks, files of killed processes stay until a user removes
        // them.
        let _ = file.as_file().try_lock();
        let path = file.path().to_owned();
        known.files.insert(path.clone());
        Ok(Self {
            file: Some(file),
            path,
        })
    }

    pub(super) fn file(&self) -> &File {
        self.held().as_file()
    }

    pub(super) fn file_mut(&mut self) -> &mut File {
        let file = self.file.as_mut();
        file.expect("invariant: it is held until it is persisted")
            .as_file_mut()
    }

    fn held(&self) -> &NamedTempFile {
        let file = self.file.as_ref();
        file.expect("invariant: it is held until it is persisted")
    }

    /// Gives it its name; a former file of that name is replaced.
    pub(super) fn persist(self, target: &Path) -> io::Result<()> {
        self.finish(|file| file.persist(target))
    }

    /// Gives it its name, where nothing has that name.
    pub(super) fn persist_new(self, target: &Path) -> io::Result<()> {
        self.finish(|file| file.persist_noclobber(target))
    }

    fn finish(
        mut self,
        persist: impl Fn(NamedTempFile) -> Result<File, PersistError>,
    ) -> io::Result<()> {
        let mut patience = Patience::new();
        while let Some(file) = self.file.take() {
            match persist(file) {
                Err(error) if patience.waits_for(&error.error) => self.file = Some(error.file),
                Err(error) => return Err(error.error),
                Ok(_) => {}
            }
        }
        Ok(())
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        // The file itself first: until it is gone, it is known.
        drop(self.file.take());
        if let Some(known) = known().as_mut() {
            known.files.remove(&self.path);
        }
    }
}

/// Removes all unfinished files of this process, which is about to end: no file can be begun or ended
/// after this.
pub fn remove_unfinished() {
    let known = known();
    if let Some(known) = known.as_ref() {
        for path in &known.files {
            let _ = fs::remove_file(path);
        }
    }
    // The lock is kept until the process ends, so that no thread begins another file.
    std::mem::forget(known);
}

/// Removes what dead processes left in a folder.
fn clear_left(folder: &Path) {
    let now = SystemTime::now();
    for (path, marks) in unfinished_in(folder) {
        let age = marks
            .modified()
            .ok()
            .and_then(|at| now.duration_since(at).ok());
        if age.is_some_and(|age| age >= YOUNG)
            && let Ok(file) = File::open(&path)
            && file.try_lock().is_ok()
        {
            // A file that stays is harmless: the next write removes it.
            let _ = fs::remove_file(path);
        }
    }
}

/// The unfinished files in a folder, of all processes.
fn unfinished_in(folder: &Path) -> Vec<(PathBuf, fs::Metadata)> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let of_ours = |entry: fs::DirEntry| {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let marks = entry.metadata().ok().filter(fs::Metadata::is_file)?;
        (name.starts_with(UNFINISHED.0) && name.ends_with(UNFINISHED.1))
            .then(|| (entry.path(), marks))
    };
    entries.flatten().filter_map(of_ours).collect()
}

/// Removes files that interrupted writes left in a folder to which no other process may be writing.
pub fn clear_unfinished(folder: &Path) {
    for (path, _) in unfinished_in(folder) {
        let _ = fs::remove_file(path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let names = fs::read_dir(folder).unwrap();
        let mut names: Vec<String> = names
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn what_the_dead_left_goes_and_what_the_living_hold_stays() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for name in [
            ".plyloom-a.part",
            ".plyloom-b.part",
            ".plyloom-c.part",
            "mine.part",
        ] {
            fs::write(at(name), "x").unwrap();
        }
        let old = SystemTime::now() - 2 * YOUNG;
        let make_old = |name: &str| {
            let file = File::options().write(true).open(at(name)).unwrap();
            file.set_modified(old).unwrap();
            file
        };
        make_old(".plyloom-a.part");
        let held = make_old(".plyloom-b.part");
        held.lock().unwrap();
        make_old("mine.part");
        clear_left(folder.path());
        // c is young: its writer may be about to lock it.
        assert_eq!(
            names(folder.path()),
            [".plyloom-b.part", ".plyloom-c.part", "mine.part"]
        );
        clear_unfinished(folder.path());
        assert_eq!(names(folder.path()), ["mine.part"]);
    }

    #[test]
    fn one_that_is_given_up_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let file = Unfinished::new(folder.path(), None).unwrap();
        assert_eq!(names(folder.path()).len(), 1);
        let path = file.path.clone();
        drop(file);
        assert!(names(folder.path()).is_empty());
        assert!(!known().as_ref().unwrap().files.contains(&path));
    }
}
