//! The disk as the place where recipes are kept, for one run: what the run looked at is remembered.

use std::fs;
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::error::FileError;
use super::file_stamp::{FileStamp, Seen};
use super::host::DiskHost;
use super::near::here;
use super::read::{read_text, unread};
use super::write::{write_new, write_whole};
use crate::recipe::host::Host;
use crate::recipe::store::{Print, ReadError, Shelf, Store, WriteError};

/// Reads from the disk, and remembers what was looked at.
#[derive(Debug, Default)]
pub struct DiskStore {
    seen: Mutex<LookedAt>,
}

#[derive(Debug, Default)]
struct LookedAt {
    files: Vec<FileStamp>,
    folders: Vec<Arc<DiskHost>>,
}

impl DiskStore {
    /// A store that nothing was read from yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Every file that was read or looked for in vain, modules included, with what was seen there.
    pub fn witnesses(&self) -> Vec<FileStamp> {
        let seen = self.seen();
        let modules = seen.folders.iter().flat_map(|folder| folder.witnesses());
        seen.files.iter().cloned().chain(modules).collect()
    }

    /// Whether any of these files looks different now, judged by its marks alone: cheap enough to ask
    /// often.
    pub fn marks_differ(&self) -> bool {
        self.witnesses().iter().any(FileStamp::marks_differ)
    }

    /// A panic elsewhere leaves the list as good as it was.
    fn seen(&self) -> MutexGuard<'_, LookedAt> {
        self.seen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn remember(&self, path: &Path, seen: Seen) {
        let path = path.to_owned();
        self.seen().files.push(FileStamp { path, seen });
    }

    /// The text at the real path `at`, which messages call `path`.
    fn text(&self, at: &Path, path: &Path) -> Result<String, ReadError> {
        let (text, seen) = read_text(at, path);
        self.remember(path, seen);
        text
    }
}

impl Store for DiskStore {
    fn read(&self, path: &Path) -> Result<String, ReadError> {
        self.text(path, path)
    }

    fn read_inside(&self, folder: &Path, name: &str) -> Result<String, ReadError> {
        let path = folder.join(name);
        let before = Seen::now(&path);
        let real = fs::canonicalize(here(folder)).and_then(|folder| {
            let real = fs::canonicalize(&path)?;
            Ok(real.starts_with(folder).then_some(real))
        });
        match real {
            // The file behind all links is read: a link that is changed meanwhile leads nowhere else.
            Ok(Some(real)) => self.text(&real, &path),
            Ok(None) => {
                self.remember(&path, before);
                Err(ReadError::Outside { path })
            }
            Err(error) => {
                self.remember(&path, before);
                Err(unread(&path, &error))
            }
        }
    }

    fn host(&self, path: &Path, print: Print) -> Arc<dyn Host> {
        let host = Arc::new(DiskHost::new(path, print));
        self.seen().folders.push(Arc::clone(&host));
        host
    }
}

impl Shelf for DiskStore {
    fn write(&self, path: &Path, text: &str) -> Result<(), WriteError> {
        write_whole(path, text.as_bytes()).map_err(unkept)
    }

    fn write_new(&self, path: &Path, text: &str) -> Result<(), WriteError> {
        write_new(path, text.as_bytes()).map_err(unkept)
    }
}

fn unkept(error: FileError) -> WriteError {
    match error {
        FileError::Exists { path } => WriteError::Exists { path },
        other => WriteError::Refused(other.to_string()),
    }
}
