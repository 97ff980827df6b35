//! The rule modules that come with Plyloom, from the folder `scripts/`.

/// One module of the library a line, in the order of their names.
const MODULES: [(&str, &str); 7] = [
    ("borders", include_str!("../../scripts/borders.rhai")),
    ("diagonals", include_str!("../../scripts/diagonals.rhai")),
    ("palettes", include_str!("../../scripts/palettes.rhai")),
    ("rings", include_str!("../../scripts/rings.rhai")),
    ("sequences", include_str!("../../scripts/sequences.rhai")),
    ("symmetry", include_str!("../../scripts/symmetry.rhai")),
    ("weaves", include_str!("../../scripts/weaves.rhai")),
];

/// The names of all modules of the library, sorted.
pub fn names() -> impl Iterator<Item = &'static str> {
    MODULES.iter().map(|(name, _)| *name)
}

/// The text of a module of the library.
pub fn text(name: &str) -> Option<&'static str> {
    MODULES
        .iter()
        .find(|(known, _)| *known == name)
        .map(|(_, text)| *text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_script_is_in_the_table_in_order() {
        let mut files: Vec<String> =
            std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/scripts"))
                .unwrap()
                .map(|entry| entry.unwrap().path())
                .filter(|path| path.extension().is_some_and(|end| end == "rhai"))
                .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
                .collect();
        files.sort();
        assert_eq!(files, names().collect::<Vec<_>>());
    }
}
