//! The recipes that are measured: hexagons with twelve looks, chosen in each of three ways.

/// How the tiles of a recipe are chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Choice {
    /// By a rule called for each cell.
    Rule,
    /// `sequence`.
    Sequence,
    /// `random`.
    Random,
}

/// The rule that is called for each cell; bare engines call the same text.
pub(crate) const RULE: &str = "|cell| ways[(cell.column * 5 + cell.course * 3) % 12]";

/// Columns and courses of the sizes that are measured.
pub(crate) const THOUSAND: (u32, u32) = (40, 25);
/// Ten thousand cells.
pub(crate) const TEN_THOUSAND: (u32, u32) = (100, 100);
/// A hundred thousand.
pub(crate) const HUNDRED_THOUSAND: (u32, u32) = (400, 250);
/// A million.
pub(crate) const MILLION: (u32, u32) = (1000, 1000);

/// A panel of hexagons.
pub(crate) fn hexagons(choice: Choice, (columns, courses): (u32, u32)) -> String {
    let with = match choice {
        Choice::Rule => RULE,
        Choice::Sequence => "sequence(ways, \"falling left\")",
        Choice::Random => "random(\"turns\", ways)",
    };
    format!(
        "let sheet = laminate([veneer(0.6, \"teal\"), plywood(13, 17.7), veneer(0.6, \"walnut\")]);\n\
         let r = sheet.rhombus(60);\n\
         let block = hexagon([r, r, r.end_for_end()]).slice(\"block\");\n\
         let ways = block.looks();\n\
         panel(\"bench\", hexagons(block)).size({columns}, {courses}).fill({with});\n"
    )
}

/// The same, with its size as parameters and its seed free: for a sweep.
pub(crate) fn swept() -> String {
    hexagons(Choice::Random, (20, 20))
}

/// A panel of squares with four looks, for a sweep.
pub(crate) fn swept_squares() -> String {
    "let sheet = laminate([veneer(0.6, \"teal\"), plywood(13, 17.7), veneer(0.6, \"walnut\")]);\n\
     let block = bar(sheet.square()).slice(\"block\");\n\
     panel(\"bench\", squares(block)).size(20, 20).fill(random(\"turns\", block.looks()));\n"
        .to_owned()
}

/// Tiles of a size.
pub(crate) fn tiles((columns, courses): (u32, u32)) -> usize {
    columns as usize * courses as usize
}

/// A count in words that read well in a table.
pub(crate) fn in_words(tiles: usize) -> String {
    match tiles {
        1_000 => "10^3 tiles".to_owned(),
        10_000 => "10^4 tiles".to_owned(),
        100_000 => "10^5 tiles".to_owned(),
        1_000_000 => "10^6 tiles".to_owned(),
        other => format!("{other} tiles"),
    }
}
