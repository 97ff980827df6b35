//! Names near a mistyped one.

use std::path::Path;
use std::{fs, io};

/// The recipes of a folder: names that end in `.rhai`, sorted; empty when it cannot be listed.
pub(super) fn recipes_in(folder: &Path) -> Vec<String> {
    entries(folder).map(recipes_among).unwrap_or_default()
}

/// What a folder holds; the folder of a plain file name is the one that the program was called in.
pub(super) fn entries(folder: &Path) -> io::Result<fs::ReadDir> {
    fs::read_dir(here(folder))
}

/// A folder's path that the system takes: the empty path is the folder we stand in.
pub(super) fn here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    }
}

/// The names of the recipes among what a folder holds, by name.
pub(super) fn recipes_among(entries: fs::ReadDir) -> Vec<String> {
    let mut names: Vec<String> = entries
        .flatten()
        .filter(|entry| entry.path().is_file())
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| is_recipe_name(name))
        .collect();
    names.sort();
    names
}

/// Whether a name ends in `.rhai`.
pub(super) fn is_recipe_name(name: &str) -> bool {
    Path::new(name).extension().is_some_and(|e| e == "rhai")
}

/// The `names` that `typed` could have been meant for, the likeliest first.
pub(super) fn nearest(typed: &str, names: &[String]) -> Vec<String> {
    let bare = |name: &str| name.strip_suffix(".rhai").unwrap_or(name).to_lowercase();
    let wanted = bare(typed);
    let allowed = (wanted.chars().count() / 3).max(1);
    let mut found: Vec<(usize, &String)> = names
        .iter()
        .map(|name| (strsim::osa_distance(&wanted, &bare(name)), name))
        .filter(|(distance, _)| *distance <= allowed)
        .collect();
    found.sort();
    found.into_iter().map(|(_, name)| name.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_and_a_missing_ending_are_found() {
        let names = ["basket.rhai", "chevron.rhai", "herringbone.rhai"].map(str::to_owned);
        assert_eq!(nearest("hering-bone.rhai", &names), ["herringbone.rhai"]);
        assert_eq!(nearest("Chevron", &names), ["chevron.rhai"]);
        assert!(nearest("tumbling.rhai", &names).is_empty());
    }
}
