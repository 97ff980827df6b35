//! A folder that one run fills: making it, having it to oneself.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Component, Path, PathBuf};

use super::error::FileError;

/// The file whose lock stands for the folder. It stays there, empty: removing it could let two runs
/// in at once.
const LOCK: &str = ".plyloom-lock";

/// A folder that no other run takes as long as this lives.
#[derive(Debug)]
pub struct FolderLock {
    _lock: File,
}

impl FolderLock {
    /// Takes a folder. On file systems without locks it is taken without one.
    ///
    /// # Errors
    /// When another run has it, or it may not be written to.
    pub fn take(folder: &Path) -> Result<Self, FileError> {
        let path = folder.join(LOCK);
        let file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(|error| FileError::writing(&path, error))?;
        match file.try_lock() {
            Ok(()) => Ok(Self { _lock: file }),
            Err(TryLockError::WouldBlock) => Err(FileError::Busy {
                folder: folder.to_owned(),
            }),
            Err(TryLockError::Error(error)) if error.kind() == io::ErrorKind::Unsupported => {
                Ok(Self { _lock: file })
            }
            Err(TryLockError::Error(error)) => Err(FileError::writing(&path, error)),
        }
    }
}

/// Makes a folder, and those above it, where they are missing.
///
/// # Errors
/// When something else is in the way, or it may not be made.
pub fn make_folder(path: &Path) -> Result<(), FileError> {
    match fs::create_dir_all(path) {
        Ok(()) => Ok(()),
        Err(_) if path.is_file() => Err(FileError::FileInTheWay {
            path: path.to_owned(),
        }),
        Err(error) => Err(FileError::writing(path, error)),
    }
}

/// Removes a file of ours; a missing file is not an error.
///
/// # Errors
/// When the system does not let us.
pub fn remove(path: &Path) -> Result<(), FileError> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => {
            Err(FileError::writing(path, error))
        }
        _ => Ok(()),
    }
}

/// Whether anything of this name is there.
pub fn exists(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// The way from a folder to a file, with `/` between names; the file's whole path where there is no
/// way, as between two drives. Links in the folders are followed.
pub fn from_folder(folder: &Path, file: &Path) -> String {
    let (folder, file) = (whole(folder), whole(file));
    let (a, b): (Vec<Component>, Vec<Component>) =
        (folder.components().collect(), file.components().collect());
    let common = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    if common == 0 {
        return file.display().to_string();
    }
    let up = a[common..].iter().map(|_| "..".to_owned());
    let down = b[common..]
        .iter()
        .map(|c| c.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}

/// The path from the root, links in folders followed as far as they exist. A link at its end stays:
/// the recipe is the file of the name that was typed.
fn whole(path: &Path) -> PathBuf {
    let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    if path.is_dir() {
        return fs::canonicalize(&path).unwrap_or(path);
    }
    match (path.parent(), path.file_name()) {
        (Some(parent), Some(name)) => whole(parent).join(name),
        _ => path,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_from_a_folder() {
        let top = tempfile::tempdir().unwrap();
        let path = |name: &str| top.path().join(name);
        fs::create_dir_all(path("a/b")).unwrap();
        fs::write(path("a/x.rhai"), "").unwrap();
        assert_eq!(from_folder(&path("a"), &path("a/x.rhai")), "x.rhai");
        assert_eq!(from_folder(&path("a/b"), &path("a/x.rhai")), "../x.rhai");
        assert_eq!(
            from_folder(&path("c/d"), &path("a/b/../x.rhai")),
            "../../a/x.rhai"
        );
    }

    #[test]
    fn a_file_that_is_not_there_is_removed_already() {
        let folder = tempfile::tempdir().unwrap();
        assert!(remove(&folder.path().join("nothing")).is_ok());
    }

    #[test]
    fn one_run_at_a_time() {
        let folder = tempfile::tempdir().unwrap();
        let first = FolderLock::take(folder.path()).unwrap();
        let second = FolderLock::take(folder.path());
        assert!(matches!(second, Err(FileError::Busy { .. })));
        drop(first);
        assert!(FolderLock::take(folder.path()).is_ok());
    }
}
