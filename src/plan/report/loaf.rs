//! Tiles one by one, or slices of a loaf: what each way takes, and which is less work.

use super::section::{Section, counted};
use crate::plan::{Shop, loaf::methods::SlicingMethod, shop::sliced::Sliced, units::decimal};

/// Most ways that are told; the narrowest loaves are left out first.
const MOST_TOLD: usize = 6;

/// The ways to make the panels, where there are several.
pub fn ways(ways: &[SlicingMethod], shop: &Shop) -> Option<Section> {
    let [tiles, loaves @ ..] = ways else {
        return None;
    };
    if loaves.is_empty() {
        return None;
    }
    let mut section = Section::new("Tiles or loaves");
    section.add(format!("tile by tile: {}", numbers(tiles, shop)));
    let left_out = loaves.len().saturating_sub(MOST_TOLD);
    let told = loaves.iter().enumerate();
    for (_, way) in told.filter(|(i, way)| *i >= left_out || way.recommended) {
        section.add(format!(
            "{}: {}; {} high as it lies before the saw",
            loaf(way),
            numbers(way, shop),
            shop.units.at_least(way.height)
        ));
    }
    section.add(format!(
        "this plan: {} (the way \"{}\")",
        this_plan(shop.slicing.way),
        shop.slicing.way
    ));
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
        "recommended: {} (the way \"{}\"), {} parts to handle instead of {}, for {more}",
        loaf(best),
        best.way,
        best.parts,
        tiles.parts
    ));
    Some(section)
}

/// What the plan slices.
fn this_plan(way: Sliced) -> &'static str {
    match way {
        Sliced::Tiles => "tile by tile",
        Sliced::Loaf(_) => "a loaf sliced to parts of courses",
        Sliced::Courses => "loaves sliced to whole courses",
        Sliced::Panels => "blocks sliced to whole panels",
    }
}

fn loaf(way: &SlicingMethod) -> String {
    let bars = way.side_by_side;
    match way.way {
        Sliced::Panels => format!("{bars} bars in a block, sliced to whole panels"),
        Sliced::Courses => format!("{bars} bars side by side in a loaf, sliced to whole courses"),
        _ => format!("{bars} bars side by side in a loaf, sliced to parts of courses"),
    }
}

fn numbers(way: &SlicingMethod, shop: &Shop) -> String {
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
