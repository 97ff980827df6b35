//! What is missing between a thing that a recipe has and one that a word wants: the next steps of the trade.

/// How to come from a thing of one kind to one of another, as advice; none where no step leads there.
pub fn made_from(wanted: &str, got: &str) -> Option<&'static str> {
    Some(match (wanted, got) {
        ("tile", "bar") => "slice the bar first: `bar.slice(\"name\")`",
        ("tile", "strip") => "glue and slice it first: `bar(strip).slice(\"name\")`",
        ("tile", "sheet") => "rip, glue and slice it first: `bar(sheet.square()).slice(\"name\")`",
        ("bar", "strip") => "a bar of one strip is `bar(strip)`",
        ("bar", "sheet") => "rip a strip first: `bar(sheet.square())`",
        ("bar", "tile") => "this is sliced already: work on the bar before `bar.slice(\"name\")`",
        ("strip", "sheet") => {
            "rip it first: `sheet.rip(40)`, `sheet.square()` or `sheet.rhombus(60)`"
        }
        ("strip", "bar") => {
            "`bar.mate(...)` glues a strip onto a bar, and `stack([...])` strips alone"
        }
        ("strip", "tile") => "this is sliced already: work on the strip before `bar(strip)`",
        ("sheet", "layer" | "list") => {
            "make a sheet of layers: `laminate([plywood(13, 17.7), veneer(0.6, \"navy\")])`"
        }
        ("sheet", "strip") => "this is ripped already: work on the sheet before",
        ("lattice", "tile") => {
            "say how the tiles lie: `squares(tile)`, `hexagons(tile)`, `running_bond(tile)`"
        }
        ("function", "yes-or-no" | "rule" | "tile" | "whole number" | "number") => {
            "write a function that is asked about each cell: `|cell| cell.column > 2`, or `|cell| cell.chance(\"name\", 0.5)`"
        }
        ("rule", "list") => {
            "say in which order: `sequence(tiles, \"along courses\")`, or `random(\"name\", tiles)`"
        }
        _ => return None,
    })
}
