//! The state of a file when it was read, to see later whether it is still the same.
//!
//! The look is taken from the open file before its bytes are read: a change during the reading
//! shows as a difference afterwards, never as none.

use std::collections::BTreeMap;
use std::fs::{self, Metadata};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::iter;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use super::near::here;

/// One look at a path: absent or unreadable, or a file with its marks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    stamp: Option<Stamp>,
    digest: Option<u64>,
}

/// A path that a run depended on, with what it saw there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileStamp {
    /// The path; its folder, once that exists, is what to watch.
    pub path: PathBuf,
    /// What was seen.
    pub seen: Seen,
}

/// The metadata of a file, known without opening it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Stamp {
    changed: Option<SystemTime>,
    length: u64,
    identity: Identity,
    plain: bool,
}

impl Seen {
    /// The metadata of the path now, with nothing read from it.
    pub(super) fn now(path: &Path) -> Self {
        Self::marks(fs::metadata(path).ok().as_ref())
    }

    /// What the system said of a path, with nothing read from it.
    pub(super) fn marks(marks: Option<&Metadata>) -> Self {
        Self {
            stamp: marks.map(Stamp::of),
            digest: None,
        }
    }

    /// A file of these marks, and the bytes that were read.
    pub(super) fn file(marks: &Metadata, bytes: &[u8]) -> Self {
        Self {
            stamp: Some(Stamp::of(marks)),
            digest: Some(digest(bytes)),
        }
    }
}

impl FileStamp {
    /// Whether the path looks different now, judged by its marks alone: cheap enough to ask often.
    pub fn marks_differ(&self) -> bool {
        self.now().as_ref().map(Stamp::of) != self.seen.stamp
    }

    /// Whether the path differs now, its bytes included: two writes within one tick of the file
    /// system's clock leave the same marks.
    pub fn differs(&self) -> bool {
        let bytes = || fs::read(&self.path).map(|bytes| digest(&bytes)).ok();
        self.marks_differ() || self.seen.digest.is_some_and(|seen| bytes() != Some(seen))
    }

    /// Whether something was there and is gone or empty now, as it may be in the middle of a save.
    pub fn half_saved(&self) -> bool {
        let empty = |length| self.now().is_none_or(|now| now.len() == 0 && length > 0);
        self.seen
            .stamp
            .as_ref()
            .is_some_and(|seen| empty(seen.length))
    }

    fn now(&self) -> Option<Metadata> {
        fs::metadata(&self.path).ok()
    }
}

impl Stamp {
    fn of(marks: &Metadata) -> Self {
        let plain = marks.is_file();
        Self {
            // A folder's own marks change with whatever is written into it.
            changed: marks.modified().ok().filter(|_| plain),
            length: if plain { marks.len() } else { 0 },
            identity: identity(marks),
            plain,
        }
    }
}

/// The folders to watch for changes of `witnesses`, with which folder each is: those that the
/// paths stand in, and those that links lead to. For a folder that does not exist, the nearest
/// above it that does.
pub fn folders_to_watch(witnesses: &[FileStamp]) -> BTreeMap<PathBuf, Identity> {
    let mut folders = BTreeMap::new();
    for witness in witnesses {
        let behind_links = fs::canonicalize(&witness.path).ok();
        for path in iter::once(&witness.path).chain(&behind_links) {
            for folder in path.ancestors().skip(1) {
                if let Ok(real) = fs::canonicalize(here(folder))
                    && let Ok(marks) = fs::metadata(&real)
                    && marks.is_dir()
                {
                    folders.insert(real, identity(&marks));
                    break;
                }
            }
        }
    }
    folders
}

/// Which file or folder it is, whatever its name; none where the system has no such number.
pub type Identity = Option<(u64, u64)>;

#[allow(
    clippy::unnecessary_wraps,
    reason = "not every system numbers its files"
)]
pub(super) fn identity(marks: &Metadata) -> Identity {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt as _;
        Some((marks.dev(), marks.ino()))
    }
    #[cfg(not(unix))]
    {
        let _ = marks;
        None
    }
}

/// Only ever compared within one run of the program.
fn digest(bytes: &[u8]) -> u64 {
    let mut hasher = DefaultHasher::new();
    bytes.hash(&mut hasher);
    hasher.finish()
}
