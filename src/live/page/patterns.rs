//! The patterns that come along with the program, to begin from.

macro_rules! pattern {
    ($name:literal) => {
        (
            $name,
            include_str!(concat!("../../../demo-patterns/", $name, ".rhai")),
        )
    };
}

/// Their names and texts, by name.
pub(super) const PATTERNS: &[(&str, &str)] = &[
    pattern!("arched-headboard"),
    pattern!("basket-weave"),
    pattern!("beacon"),
    pattern!("checker"),
    pattern!("chevron"),
    pattern!("coasters"),
    pattern!("compass"),
    pattern!("concentric-squares"),
    pattern!("corner-worktop"),
    pattern!("diamonds"),
    pattern!("double-herringbone"),
    pattern!("drawer-fronts"),
    pattern!("drift"),
    pattern!("driftwood-fire"),
    pattern!("ebb"),
    pattern!("eddies"),
    pattern!("framed"),
    pattern!("greek-key"),
    pattern!("herringbone"),
    pattern!("hexagon-rings"),
    pattern!("labyrinth"),
    pattern!("lanterns"),
    pattern!("little-guitar"),
    pattern!("mirrored-halves"),
    pattern!("mixed-sheets"),
    pattern!("moon"),
    pattern!("mountains"),
    pattern!("oval-tray"),
    pattern!("patchwork"),
    pattern!("pinwheel"),
    pattern!("plaid"),
    pattern!("ridges"),
    pattern!("ring-clock"),
    pattern!("ripped-checker"),
    pattern!("ripples"),
    pattern!("running-bond"),
    pattern!("sail"),
    pattern!("snow-crystal"),
    pattern!("space-filling"),
    pattern!("sparks"),
    pattern!("star-hexagons"),
    pattern!("stripes"),
    pattern!("swell"),
    pattern!("thin-and-thick"),
    pattern!("three-dyes"),
    pattern!("three-woods"),
    pattern!("thue-morse"),
    pattern!("tumbling-blocks"),
    pattern!("turned-blocks"),
    pattern!("twill"),
    pattern!("windmill"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_patterns_come_along() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns");
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .expect("a folder")
            .map(|entry| entry.expect("an entry").path())
            .filter(|path| path.extension().is_some_and(|e| e == "rhai"))
            .map(|path| {
                path.file_stem()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        assert!(
            PATTERNS
                .iter()
                .map(|(name, _)| *name)
                .eq(names.iter().map(String::as_str))
        );
    }
}
