//! How a panel is glued up, in plain words.

use crate::plan::{
    Units,
    glue_up::{GlueTerms, GlueUp, clamp_force},
};

/// Most sub-assemblies that are told one by one.
const MOST_LISTED: usize = 24;

/// The lines: before, in what order, clamping. `across` is the panel's width in mm.
#[must_use]
pub fn glue_up_lines(plan: &GlueUp, terms: GlueTerms, across: f64, units: Units) -> Vec<String> {
    let mut lines = before_lines(plan, terms, units);
    lines.extend(assembly_lines(plan, units));
    lines.extend(clamping_lines(terms, across, units));
    lines
}

/// What comes before the glue, and whether all can be glued in one go.
#[must_use]
pub fn before_lines(plan: &GlueUp, terms: GlueTerms, units: Units) -> Vec<String> {
    let mut lines = vec![
        "Before slicing, draw two pencil lines along each bar, as the map's key shows: the first in \
         red, the second in blue. Every slice then shows how it stands, and turned over it shows \
         that too."
            .to_owned(),
        "Lay the whole panel dry by the map. Number the tiles on the side that looks up, COURSE-TILE, \
         before the first glue."
            .to_owned(),
        format!(
            "Tiles {}; joints {} in all.",
            plan.placements.len(),
            units.long(plan.joints)
        ),
    ];
    if plan.hopeless {
        lines.push(
            "One tile alone takes longer than the glue stays open: take a slower glue, or give \
             your own pace."
                .to_owned(),
        );
    }
    if let [only] = &plan.assemblies[..] {
        lines.push(format!(
            "All of it fits the open time: about {} of {} at {:.0} s a tile.",
            minutes(only.minutes),
            minutes(terms.open_time),
            terms.tile_seconds
        ));
    } else if !plan.assemblies.is_empty() {
        lines.push(format!(
            "The open time of {} is too short for all at once: glue {} sub-assemblies, let each \
             set, then glue them together two by two, one seam at a time. Seams {} in all.",
            minutes(terms.open_time),
            plan.assemblies.len(),
            units.long(plan.seams)
        ));
    }
    lines
}

/// The sub-assemblies, one a line.
#[must_use]
pub fn assembly_lines(plan: &GlueUp, units: Units) -> Vec<String> {
    let mut lines = Vec::new();
    for (i, a) in plan.assemblies.iter().enumerate().take(MOST_LISTED) {
        let (first, last) = (
            plan.placements[a.placements.start],
            plan.placements[a.placements.end - 1],
        );
        lines.push(format!(
            "Sub-assembly {}: tiles {}-{} to {}-{} ({} tiles, joints {}, about {}).",
            i + 1,
            first.course,
            first.number,
            last.course,
            last.number,
            a.placements.len(),
            units.long(a.joints),
            minutes(a.minutes)
        ));
    }
    if plan.assemblies.len() > MOST_LISTED {
        lines.push(format!(
            "And {} more, each bounded on the map.",
            plan.assemblies.len() - MOST_LISTED
        ));
    }
    lines
}

/// Clamps and cauls, and what comes after. `across` is the panel's width in mm.
#[must_use]
pub fn clamping_lines(terms: GlueTerms, across: f64, units: Units) -> Vec<String> {
    let (least, most) = clamp_force(across, terms.slice);
    let mut lines = Vec::new();
    lines.push(
        "Press between flat cauls above and below with release film or waxed paper, and pull the \
         courses together sideways by clamps against straight battens; tighten in turn, so that \
         nothing rides up."
            .to_owned(),
    );
    lines.push(format!(
        "Sideways, a joint across the whole width needs a clamping force of about {} for light wood to \
         {} for dense wood, shared by the clamps. Follow the glue's data sheet first.",
        units.force(least),
        units.force(most)
    ));
    lines.push(
        "Tiles at the rim are glued whole and trimmed when the glue is hard. Flatten with a \
         drum sander, a router sled or a plane; never feed end grain to a thickness planer \
         against its manual."
            .to_owned(),
    );
    lines
}

fn minutes(time: f64) -> String {
    format!("{:.0} min", time.ceil())
}
