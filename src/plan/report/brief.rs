//! The plan in short: what is made, bought, cut and glued, in a few lines.

use super::section::{Entry, Section, counted};
use crate::{
    layout::panel::Panel,
    plan::{
        Plan, Shop,
        glue_up::words::many_clampings,
        rounds::is_of_slats,
        saw::{
            Cut, Job,
            number::{allowed, setting_name},
            words,
        },
        units::decimal,
    },
};

/// The plan in short. The settings are listed here for reference; how to cut, and what to take care of, is said
/// with each set-up.
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
            // Panels made of slats are flattened once more.
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
    section.entries.extend(set_ups(plan, shop));
    section.entries.extend(exactly(plan, shop));
    for (panel, gluing) in panels.iter().zip(&plan.gluing) {
        section.add(if gluing.slices.len() == 1 {
            format!("{} is one slice: nothing more is glued", panel.name)
        } else {
            format!(
                "glue {} {}, {} of joints in all",
                panel.name,
                match gluing.assemblies.len() {
                    0 | 1 => "in one go".to_owned(),
                    _ if gluing.slice_by_slice() => "slice by slice".to_owned(),
                    many => format!("in {many} sub-assemblies"),
                },
                units.long(gluing.joints)
            )
        });
        section
            .entries
            .extend(many_clampings(gluing, &plan.ways).map(Entry::from));
    }
    section
}

/// How the saw is set, in working order: what is set alike together.
fn set_ups(plan: &Plan, shop: &Shop) -> Vec<Entry> {
    let setting = |mm: f64| shop.units.setting(mm);
    let is_loaf = |cut: &Cut| match cut.job {
        Job::Slices { loaf, .. } => Some(loaf),
        _ => None,
    };
    let glance = |cut: &Cut| words::at_a_glance(cut, &setting);
    let all = plan.set_ups();
    let (sliced, ripped): (Vec<_>, Vec<_>) =
        all.into_iter().partition(|(_, cut)| is_loaf(cut).is_some());
    let ripped = ripped.into_iter().map(|(step, cut)| {
        (
            format!("{}: {}", words::title(cut), glance(cut)),
            step.to_string(),
        )
    });
    let mut told: Vec<(String, Vec<String>)> = together(ripped);
    for loaf in [false, true] {
        let alike = sliced.iter().filter(|(_, cut)| is_loaf(cut) == Some(loaf));
        let each = alike.map(|(step, cut)| {
            let name = cut.used_in.first().map_or("", |used| used.bar.as_str());
            (glance(cut), (name, step.to_string()))
        });
        for (glance, of) in together(each) {
            let (names, steps): (Vec<&str>, Vec<String>) = of.into_iter().unzip();
            told.push((format!("{}: {glance}", words::slicing(loaf, &names)), steps));
        }
    }
    told.into_iter()
        .map(|(set_up, steps)| {
            let step = if steps.len() == 1 { "step" } else { "steps" };
            Entry::from(format!("{step} {}: {set_up}", steps.join(", ")))
        })
        .collect()
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
                let allowed = allowed(&s.setting, s.allowed?, &|mm| units.fine_at_most(mm));
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

/// Groups entries with the same text: the text once, with all names that it is for.
fn together<T>(each: impl IntoIterator<Item = (String, T)>) -> Vec<(String, Vec<T>)> {
    let mut all: Vec<(String, Vec<T>)> = Vec::new();
    for (told, of) in each {
        match all.iter_mut().find(|(known, _)| *known == told) {
            Some((_, list)) => list.push(of),
            None => all.push((told, vec![of])),
        }
    }
    all
}
