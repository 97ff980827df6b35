//! Ways to fail of texts and files.

use std::io;
use std::path::PathBuf;

use super::walked;
use crate::bundle::BundleError;
use crate::explore::pinned::PinnedError;
use crate::files::FileError;
use crate::recipe::store::ReadError;
use crate::session::OpenError;

fn path() -> PathBuf {
    PathBuf::from("tray.rhai")
}

fn said() -> io::Error {
    io::Error::other("the system says no")
}

pub(super) fn read() -> Vec<ReadError> {
    use ReadError as E;
    walked(
        E::Missing {
            path: path(),
            near: vec!["trays.rhai".to_owned()],
        },
        |one| {
            Some(match one {
                E::Missing { .. } => E::Folder {
                    path: path(),
                    recipes: vec!["tray.rhai".to_owned()],
                },
                E::Folder { .. } => E::NotPlain { path: path() },
                E::NotPlain { .. } => E::TooLarge {
                    path: path(),
                    most: 1 << 20,
                },
                E::TooLarge { .. } => E::Picture {
                    path: PathBuf::from("tray.png"),
                },
                E::Picture { .. } => E::NotUtf8 {
                    path: path(),
                    offset: 11,
                    byte: 0xe9,
                    line: 2,
                    column: 3,
                    utf16: false,
                },
                E::NotUtf8 { .. } => E::Unreadable {
                    path: path(),
                    reason: "permission denied".to_owned(),
                },
                E::Unreadable { .. } => E::Outside { path: path() },
                E::Outside { .. } => return None,
            })
        },
    )
}

pub(super) fn open() -> Vec<OpenError> {
    use OpenError as E;
    walked(E::Read(ReadError::NotPlain { path: path() }), |one| {
        Some(match one {
            E::Read(..) => E::Choice {
                path: PathBuf::from("tray.choice.toml"),
                error: PinnedError::Newer { found: 9 },
            },
            E::Choice { .. } => E::Beyond {
                choice: PathBuf::from("tray.choice.toml"),
                recipe: "../tray.rhai".to_owned(),
            },
            E::Beyond { .. } => E::NoRecipe {
                choice: PathBuf::from("tray.choice.toml"),
                recipe: "tray.txt".to_owned(),
            },
            E::NoRecipe { .. } => E::Pack {
                path: path(),
                error: BundleError::NoRecipe,
            },
            E::Pack { .. } => return None,
        })
    })
}

pub(super) fn bundle() -> Vec<BundleError> {
    use BundleError as E;
    walked(
        E::Unfit {
            part: "the recipe".to_owned(),
            line: 3,
            what: "a control character".to_owned(),
        },
        |one| {
            Some(match one {
                E::Unfit { .. } => E::NoPack,
                E::NoPack => E::Newer { found: 9 },
                E::Newer { .. } => E::Damaged {
                    line: 3,
                    why: "its end is missing".to_owned(),
                },
                E::Damaged { .. } => E::NoRecipe,
                E::NoRecipe => E::Picture {
                    form: "PNG",
                    why: "its end is missing".to_owned(),
                },
                E::Picture { .. } => return None,
            })
        },
    )
}

pub(super) fn file() -> Vec<FileError> {
    use FileError as E;
    walked(E::Read(ReadError::NotPlain { path: path() }), |one| {
        Some(match one {
            E::Read(..) => E::TooLong {
                path: path(),
                most: 1 << 24,
            },
            E::TooLong { .. } => E::Busy {
                folder: PathBuf::from("sweep"),
            },
            E::Busy { .. } => E::NoFolder {
                path: PathBuf::from("out/tray.svg"),
                folder: PathBuf::from("out"),
            },
            E::NoFolder { .. } => E::InTheWay { path: path() },
            E::InTheWay { .. } => E::FileInTheWay { path: path() },
            E::FileInTheWay { .. } => E::Outside {
                path: path(),
                folder: PathBuf::from("sweep"),
            },
            E::Outside { .. } => E::Exists { path: path() },
            E::Exists { .. } => E::Protected {
                path: path(),
                source: said(),
            },
            E::Protected { .. } => E::HeldOpen { path: path() },
            E::HeldOpen { .. } => E::Full {
                path: path(),
                source: said(),
            },
            E::Full { .. } => E::Unwritable {
                path: path(),
                source: said(),
            },
            E::Unwritable { .. } => return None,
        })
    })
}
