//! The folder of a sweep: its files, and what an earlier run left in it.
//!
//! `panels/` has a drawing for each panel, and `thumbnails/` a small picture of it; `index.json` says what they are; `sheet.svg`, `sheet.png` and `sheet.html` show them. While a sweep
//! is at work, `unfinished.jsonl` has a line for each variation that is done: its head first, then
//! one variation a line.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use sha2::{Digest as _, Sha256};

use crate::cli::cli_error::CliError;
use crate::explore::alike::hex;
use crate::explore::index::{Head, Index, IndexError, PanelFacts, Variation, VariationResult};
use crate::files::{
    FileError, FolderLock, Journal, clear_unfinished, exists, make_folder, read_bytes_up_to, remove,
};
use crate::recipe::store::ReadError;

/// The longest index or journal that is read: far more than the most variations of one run take.
const MOST_BYTES: u64 = 4 << 30;
/// The longest drawing that is read.
const MOST_DRAWING: u64 = 1 << 30;

/// A folder that this run has to itself.
#[derive(Debug)]
pub(super) struct Folder {
    path: PathBuf,
    _hold: FolderLock,
}

impl Folder {
    /// Makes the folder where it is missing, and takes it.
    ///
    /// # Errors
    /// When it cannot be made or written to, or another run has it.
    pub(super) fn take(path: &Path) -> Result<Self, CliError> {
        make_folder(path)?;
        let hold = FolderLock::take(path)?;
        clear_unfinished(path);
        for name in ["panels", "thumbnails"] {
            make_folder(&path.join(name))?;
            clear_unfinished(&path.join(name));
        }
        Ok(Self {
            path: path.to_owned(),
            _hold: hold,
        })
    }

    /// A file in it.
    pub(super) fn file(&self, name: &str) -> PathBuf {
        self.path.join(name)
    }

    /// Forgets what earlier runs did. Of their drawings those go that are still just as they were
    /// written.
    ///
    /// # Errors
    /// When their files cannot be removed.
    pub(super) fn forget(&self) -> Result<(), CliError> {
        if let Ok(index) = read_index(&self.path) {
            let made = index.variations.iter().filter_map(Variation::made);
            for panel in made.flat_map(|m| &m.panels).filter(|p| self.has(p)) {
                remove(&self.file(&panel.picture))?;
                if let Some(small) = small_name(panel) {
                    remove(&self.file(&small))?;
                }
            }
        }
        remove(&self.file(INDEX))?;
        remove(&self.file(UNFINISHED))?;
        Ok(())
    }

    /// What earlier runs of the same sweep made, and the journal to go on with. Those that failed
    /// are left out: they are tried again, as the bounds may differ now. So are those whose drawing
    /// is gone or changed.
    ///
    /// # Errors
    /// When the folder has another sweep, an index that cannot be read, or cannot be written to.
    pub(super) fn resume(
        &self,
        head: &Head,
    ) -> Result<(BTreeMap<u64, Variation>, Journal), CliError> {
        let mut known = BTreeMap::new();
        if exists(&self.file(INDEX)) {
            let index = read_index(&self.path)?;
            self.same(&index.head, head)?;
            known.extend(index.variations.into_iter().map(|v| (v.number, v)));
        }
        let path = self.file(UNFINISHED);
        let (mut journal, lines) = Journal::open(&path, MOST_BYTES)?;
        let mut lines = lines.into_iter();
        if let Some(first) = lines.next() {
            let theirs = Head::read(&first).map_err(|error| unreadable(&path, &error))?;
            self.same(&theirs, head)?;
        } else {
            let line = serde_json::to_string(head);
            journal.add(&line.expect("invariant: every field has a form in JSON"))?;
        }
        for line in lines {
            // The work of a line that cannot be read is done again.
            if let Ok(variation) = serde_json::from_str::<Variation>(&line) {
                known.insert(variation.number, variation);
            }
        }
        known.retain(|_, v| {
            v.made()
                .is_some_and(|m| m.panels.iter().all(|p| p.picture.is_empty() || self.has(p)))
        });
        Ok((known, journal))
    }

    fn has(&self, panel: &PanelFacts) -> bool {
        drawing(&self.path, panel).is_ok()
    }

    fn same(&self, theirs: &Head, ours: &Head) -> Result<(), CliError> {
        if theirs == ours {
            return Ok(());
        }
        let what = if theirs.recipe == ours.recipe && theirs.sweep != ours.sweep {
            "with other values, seeds or parts"
        } else if theirs.recipe == ours.recipe && theirs.look != ours.look {
            "in another light, finish, view or distance"
        } else if theirs.recipe == ours.recipe {
            "counted with another shop file"
        } else if theirs.recipe.path == ours.recipe.path {
            "of the recipe as it was before it changed"
        } else {
            "of another recipe"
        };
        Err(CliError::Data {
            code: "vary::another_sweep",
            message: format!("`{}` has a sweep {what}", self.path.display()),
            help: "choose another folder with `--out`, or replace it with `--afresh`".to_owned(),
        })
    }
}

/// The index.
pub(super) const INDEX: &str = "index.json";
/// The journal of a run that is not over.
pub(super) const UNFINISHED: &str = "unfinished.jsonl";

/// The index of a folder.
///
/// # Errors
/// When there is none, or one that cannot be read.
pub(in crate::cli) fn read_index(folder: &Path) -> Result<Index, CliError> {
    let path = folder.join(INDEX);
    let bytes = match read_bytes_up_to(&path, MOST_BYTES) {
        Ok(bytes) => bytes,
        Err(FileError::Read(ReadError::Missing { .. })) => return Err(no_index(folder)),
        Err(error) => return Err(error.into()),
    };
    let text = String::from_utf8_lossy(&bytes);
    Index::read(&text).map_err(|error| unreadable(&path, &error))
}

fn no_index(folder: &Path) -> CliError {
    let (message, help) = if exists(&folder.join(UNFINISHED)) {
        (
            format!("the sweep in `{}` is not finished", folder.display()),
            "run its `plyloom vary` again: it goes on where it stopped",
        )
    } else {
        (
            format!("`{}` has no variations", folder.display()),
            "name the folder that `plyloom vary` wrote to",
        )
    };
    CliError::Data {
        code: "vary::no_index",
        message,
        help: help.to_owned(),
    }
}

fn unreadable(path: &Path, error: &IndexError) -> CliError {
    let help = match error {
        IndexError::Newer { .. } => "take a newer Plyloom, or another folder",
        IndexError::NotOne(_) => "choose another folder, or replace it with `--afresh`",
    };
    CliError::Data {
        code: "vary::index",
        message: format!("`{}` cannot be used: {error}", path.display()),
        help: help.to_owned(),
    }
}

/// The most bytes of a small picture: of the largest that `--thumbnails` makes, hardly compressed.
const MOST_SMALL: u64 = 64 << 20;

/// The file of a panel's small picture, from the folder; none where its drawing is no file of `panels`.
pub(super) fn small_name(panel: &PanelFacts) -> Option<String> {
    let name = drawing_name(panel)?.strip_suffix(".svg")?;
    Some(format!("thumbnails/{name}.png"))
}

/// The small picture of a panel, if it is there.
pub(super) fn small(folder: &Path, panel: &PanelFacts) -> Option<Vec<u8>> {
    read_bytes_up_to(&folder.join(small_name(panel)?), MOST_SMALL).ok()
}

/// The name of a panel's drawing in `panels`; none where it leads elsewhere.
fn drawing_name(panel: &PanelFacts) -> Option<&str> {
    panel.picture.strip_prefix("panels/").filter(|name| {
        !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\', ':'])
    })
}

/// The drawing of a panel, just as it was written.
///
/// # Errors
/// When it is gone or changed.
pub(super) fn drawing(folder: &Path, panel: &PanelFacts) -> Result<String, CliError> {
    let changed = || changed(folder, panel);
    if drawing_name(panel).is_none() {
        return Err(changed());
    }
    let bytes = read_bytes_up_to(&folder.join(&panel.picture), MOST_DRAWING)?;
    if sha256(&bytes) != panel.picture_sha256 {
        return Err(changed());
    }
    String::from_utf8(bytes).map_err(|_| changed())
}

/// The message where the drawing of a panel is a different one.
pub(super) fn changed(folder: &Path, panel: &PanelFacts) -> CliError {
    CliError::Data {
        code: "vary::drawing",
        message: format!(
            "`{}` is not the drawing that the index tells of",
            folder.join(&panel.picture).display()
        ),
        help: "run its `plyloom vary` again".to_owned(),
    }
}

/// SHA-256 in hex.
pub(super) fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// The variations that failed, each with the reason.
pub(super) fn failures(variations: &[Variation]) -> impl Iterator<Item = (&Variation, &str)> {
    variations.iter().filter_map(|v| match &v.result {
        VariationResult::Failed(failed) => Some((v, failed.message.as_str())),
        VariationResult::Made(_) => None,
    })
}
