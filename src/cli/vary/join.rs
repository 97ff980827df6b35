//! `plyloom vary --join`: one folder of the parts of a sweep, the same as if it had been made whole.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::cli::cli_error::CliError;
use crate::cli::vary::folder::{Folder, drawing, read_index, small, small_name};
use crate::cli::vary::sheets::{Finished, finish};
use crate::draw::drawing_is_ours;
use crate::explore::choose::Choose;
use crate::explore::index::{Head, Index};
use crate::files::{from_folder, same_file, write_picture};

/// Joins the parts in `parts`, which belong to one sweep and are all of it.
///
/// # Errors
/// When parts are missing, there twice or of other sweeps, and when files cannot be read or written.
pub(super) fn join(
    parts: &[PathBuf],
    out: &Path,
    choose: &Choose,
    afresh: bool,
) -> Result<Finished, CliError> {
    if let Some(same) = parts.iter().find(|part| same_file(part, out)) {
        return Err(CliError::Usage {
            message: format!("`{}` is one of the parts", same.display()),
            help: "join them in a folder of its own with `--out`".to_owned(),
        });
    }
    let indices = parts
        .iter()
        .map(|part| read_index(part).map(|index| (part, index)))
        .collect::<Result<Vec<_>, _>>()?;
    let head = whole(&indices, out)?;
    numbered(&indices, head.sweep.count)?;
    let folder = Folder::take(out)?;
    if afresh {
        folder.forget()?;
    }
    // Files of an earlier join are replaced only if they are of the same sweep.
    folder.resume(&head)?;
    let mut variations = Vec::new();
    for (part, index) in indices {
        for made in index.variations.iter().filter_map(|v| v.made()) {
            for panel in made.panels.iter().filter(|p| !p.picture.is_empty()) {
                let svg = drawing(part, panel)?;
                if !drawing_is_ours(&svg) {
                    return Err(wrong(
                        format!(
                            "`{}` holds more than a drawing of this program",
                            part.join(&panel.picture).display()
                        ),
                        "ask where it comes from, and make the part again",
                    ));
                }
                write_picture(&folder.file(&panel.picture), svg.as_bytes())?;
                if let Some((name, png)) = small_name(panel).zip(small(part, panel)) {
                    write_picture(&folder.file(&name), &png)?;
                }
            }
        }
        variations.extend(index.variations);
    }
    variations.sort_by_key(|v| v.number);
    finish(&folder, out, head, variations, choose)
}

fn wrong(message: String, help: &str) -> CliError {
    CliError::Data {
        code: "vary::parts",
        message,
        help: help.to_owned(),
    }
}

/// Checks that the variations of all parts are those of the sweep, each once.
fn numbered(parts: &[(&PathBuf, Index)], count: u64) -> Result<(), CliError> {
    let mut seen = BTreeSet::new();
    for (part, index) in parts {
        for number in index.variations.iter().map(|v| v.number) {
            if number == 0 || number > count || !seen.insert(number) {
                return Err(wrong(
                    format!(
                        "`{}` has a variation {number} that is none of the sweep, or is there twice",
                        part.display()
                    ),
                    "make the part again",
                ));
            }
        }
    }
    Ok(())
}

/// The head of the whole sweep.
fn whole(parts: &[(&PathBuf, Index)], out: &Path) -> Result<Head, CliError> {
    let (first_part, first) = parts.first().ok_or_else(|| CliError::Usage {
        message: "there are no parts to join".to_owned(),
        help: "name their folders: plyloom vary --join part-1 part-2 --out all".to_owned(),
    })?;
    let bare = |head: &Head| {
        let mut head = head.clone();
        head.recipe.path.clear();
        if let Some(shard) = &mut head.sweep.shard {
            shard.part = 0;
        }
        head
    };
    let mut seen: BTreeMap<u64, &Path> = BTreeMap::new();
    for (part, index) in parts {
        let Some(shard) = index.head.sweep.shard else {
            return Err(wrong(
                format!("`{}` is a whole sweep, not a part of one", part.display()),
                "leave it out",
            ));
        };
        if bare(&index.head) != bare(&first.head) {
            return Err(wrong(
                format!(
                    "`{}` and `{}` are parts of different sweeps",
                    first_part.display(),
                    part.display()
                ),
                "make all parts with the same recipe, values, seeds, sample and number of parts",
            ));
        }
        if let Some(twice) = seen.insert(shard.part, part) {
            return Err(wrong(
                format!(
                    "part {} is there twice: `{}` and `{}`",
                    shard.part,
                    twice.display(),
                    part.display()
                ),
                "leave one of them out",
            ));
        }
    }
    let of = first.head.sweep.shard.map_or(1, |s| s.of);
    let missing: Vec<String> = (1..=of)
        .filter(|part| !seen.contains_key(part))
        .take(8)
        .map(|part| format!("{part}/{of}"))
        .collect();
    if !missing.is_empty() {
        return Err(wrong(
            format!(
                "{} of {of} parts are missing: {}",
                of - seen.len() as u64,
                missing.join(", ")
            ),
            "make them with --shard, then join all",
        ));
    }
    let mut head = first.head.clone();
    head.sweep.shard = None;
    head.recipe.path = from_folder(out, &first_part.join(&first.head.recipe.path));
    let made: u64 = parts.iter().map(|(_, i)| i.variations.len() as u64).sum();
    if made != head.sweep.count {
        return Err(wrong(
            format!(
                "the parts have {made} variations and the sweep {}",
                head.sweep.count
            ),
            "make the parts again",
        ));
    }
    Ok(head)
}
