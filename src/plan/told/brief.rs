//! The plan in short: what is made, bought, cut and glued, in a few lines.

use super::section::{Entry, Section, counted};
use crate::{
    layout::panel::Panel,
    plan::{
        Plan, Shop,
        rounds::is_of_slats,
        saw::{
            number::{amount, setting_name},
            words,
        },
        units::decimal,
    },
};

/// The plan in short. Settings stand here to be looked up; how to cut, and with what care, stands
/// with each set-up.
#[must_use]
pub fn brief(panels: &[&Panel], plan: &Plan, shop: &Shop) -> Section {
    let units = shop.units;
    let mut section = Section::new("In short");
    for panel in panels {
        let flat = format!("flat {}", panel.name);
        let made = plan.steps.pieces.iter().find(|piece| piece.id == flat);
        section.add(format!(
            "{}: {} x {}, {} thick, {}",
            panel.name,
            units.length(panel.bounds.width()),
            units.length(panel.bounds.height()),
            // What is cut again is flattened again.
            units.length(made.map_or(shop.finished_thickness(), |piece| piece.length)),
            if is_of_slats(panel) {
                counted(panel.tiles.len() as u64, "slat", "slats")
            } else {
                counted(panel.tiles.len() as u64, "tile", "tiles")
            }
        ));
    }
    for (panel, fewest) in panels.iter().zip(&plan.fewest) {
        if let Some(fewest) = fewest {
            section.add(format!(
                "{}: shift({}, {}) in the recipe would cover it with {} tiles instead of {}; the pattern moves \
                 with it",
                panel.name,
                decimal(fewest.right, 2),
                decimal(fewest.down, 2),
                fewest.tiles,
                panel.tiles.len()
            ));
        }
    }
    let count = &plan.count;
    let rips: u64 = count.rips.iter().map(|r| r.count).sum();
    let bars: u64 = count.bars.iter().map(|b| b.bars.count()).sum();
    let tiles: u64 = count.tiles.iter().map(|t| t.needed.count()).sum();
    let (rips, bars) = (
        counted(rips, "strip", "strips"),
        counted(bars, "bar", "bars"),
    );
    section.add(if count.loaves.is_empty() {
        let tiles = counted(tiles, "tile", "tiles");
        format!("rip {rips}, make {bars}, slice {tiles} (spare ones included)")
    } else {
        let each = count.loaves.iter().flat_map(|loaf| &loaf.lengths);
        let loaves: u64 = each.map(|length| length.bars).sum();
        let slices: u64 = count.loaves.iter().map(|loaf| loaf.needed.count()).sum();
        format!(
            "rip {rips}, make {bars}, glue them to {}, slice {} (spare ones included), {tiles} tiles in all",
            counted(loaves, "loaf", "loaves"),
            counted(slices, "slice", "slices")
        )
    });
    let setting = |mm: f64| units.setting(mm);
    let set_ups = plan.set_ups().into_iter().map(|(step, cut)| {
        let glance = words::at_a_glance(cut, &setting);
        (format!("{}: {glance}", words::title(cut)), step.to_string())
    });
    for (set_up, steps) in together(set_ups) {
        let step = if steps.len() == 1 { "step" } else { "steps" };
        section.add(format!("{step} {}: {set_up}", steps.join(", ")));
    }
    section.entries.extend(exactly(plan, shop));
    for (panel, gluing) in panels.iter().zip(&plan.gluing) {
        section.add(if gluing.slices.len() == 1 {
            format!("{} is one slice: nothing more is glued", panel.name)
        } else {
            format!(
                "glue {} in {}, {} of joints in all",
                panel.name,
                match gluing.assemblies.len() {
                    0 | 1 => "one go".to_owned(),
                    many => format!("{many} sub-assemblies"),
                },
                units.long(gluing.joints)
            )
        });
    }
    section
}

/// How exactly the saw is set for each bar; bars that ask for the same together.
fn exactly(plan: &Plan, shop: &Shop) -> Vec<Entry> {
    let units = shop.units;
    let mut all: Vec<(String, String)> = Vec::new();
    for bar in &plan.bars {
        let fine = |mm: f64| units.fine(mm);
        let exact: Vec<String> = bar
            .tolerance
            .settings
            .iter()
            .filter_map(|s| {
                let allowed = amount(&s.setting, s.allowed?, &fine);
                Some(format!(
                    "{} within {allowed}",
                    setting_name(&s.setting, &fine)
                ))
            })
            .collect();
        if !exact.is_empty() {
            all.push((exact.join("; "), format!("\"{}\"", bar.name)));
        }
    }
    let most = units.fine(crate::plan::tolerance::GAP_LIMIT);
    let told = together(all).into_iter().map(|(how, bars)| {
        let bar = if bars.len() == 1 { "bar" } else { "bars" };
        format!(
            "for gaps of at most {most} in {bar} {}: {how}",
            bars.join(", ")
        )
    });
    told.map(Entry::from).collect()
}

/// What is told alike, once, with all that it is told of.
fn together(each: impl IntoIterator<Item = (String, String)>) -> Vec<(String, Vec<String>)> {
    let mut all: Vec<(String, Vec<String>)> = Vec::new();
    for (told, of) in each {
        match all.iter_mut().find(|(known, _)| *known == told) {
            Some((_, list)) => list.push(of),
            None => all.push((told, vec![of])),
        }
    }
    all
}
