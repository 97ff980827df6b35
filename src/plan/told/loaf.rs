//! Tiles one by one, or slices of a loaf: what each way takes, and which is less work.

use super::{Section, counted};
use crate::plan::{
    Shop,
    cautions::{self, Caution},
    loaf::Way,
    units::decimal,
};

/// Most ways that are told; the narrowest loaves are left out first.
const MOST_TOLD: usize = 6;

/// The ways to make a panel, where there are several.
#[must_use]
pub fn ways(panel: &str, ways: &[Way], shop: &Shop) -> Option<Section> {
    let [tiles, loaves @ ..] = ways else {
        return None;
    };
    if loaves.is_empty() {
        return None;
    }
    let mut section = Section::new(format!("Tiles or loaves: {panel}"));
    section.add(format!("tile by tile: {}", numbers(tiles, shop)));
    let left_out = loaves.len().saturating_sub(MOST_TOLD);
    let told = loaves.iter().enumerate();
    for (_, way) in told.filter(|(i, way)| *i >= left_out || way.recommended) {
        section.add(format!(
            "{}: {}; {} high as it lies before the saw",
            loaf(way),
            numbers(way, shop),
            shop.units.length(way.height)
        ));
    }
    let best = ways.iter().find(|way| way.recommended).unwrap_or(tiles);
    if best.side_by_side == 1 {
        section
            .add("recommended: tile by tile; a loaf takes too much more bar for the work it saves");
        return Some(section);
    }
    let more = (best.bar_length / tiles.bar_length - 1.0) * 100.0;
    let more = if more < 0.5 {
        "no more bar".to_owned()
    } else {
        format!("{} % more bar", decimal(more, 0))
    };
    section.add(format!(
        "recommended: {}, {} parts to handle instead of {}, for {more}",
        loaf(best),
        best.parts,
        tiles.parts
    ));
    section.add(
        "The steps tell single tiles. For a loaf glue bars side by side in the order of their course on the \
         map, their pencil lines as the map has them, between cauls above and below; slice it when the glue is \
         hard, turn its slices half round or over where the map asks for it, and glue them course by course.",
    );
    let length = |mm: f64| shop.units.length(mm);
    let care = [Caution::Cradle, Caution::StopClear, Caution::HeldLast];
    section.add(format!(
        "A loaf is sliced with the same care as a bar: {}",
        care.map(|c| cautions::words(c, &length)).join(" ")
    ));
    Some(section)
}

fn loaf(way: &Way) -> String {
    let to = if way.whole_courses {
        "whole courses"
    } else {
        "parts of courses"
    };
    format!(
        "{} bars side by side in a loaf, sliced to {to}",
        way.side_by_side
    )
}

fn numbers(way: &Way, shop: &Shop) -> String {
    let units = shop.units;
    format!(
        "{} parts to handle, {}; {}, {} long together, {} of it in the clamps and at ends",
        way.parts,
        counted(way.joints, "joint", "joints"),
        counted(way.bars, "bar", "bars"),
        units.long(way.bar_length),
        units.long(way.stubs)
    )
}
