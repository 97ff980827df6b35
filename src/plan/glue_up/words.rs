//! How a panel is glued up, in plain words.

use crate::plan::{
    Shop, Units,
    glue_up::{Clamping, GlueTerms, GlueUp},
    loaf::methods::SlicingMethod,
    units::decimal,
};

/// What two battens beside the panel take of the clamps' opening, in mm.
const BATTENS: f64 = 40.0;

/// How many tiles and joints there are, and whether all can be glued in one go.
pub fn before_lines(plan: &GlueUp, terms: GlueTerms, units: Units) -> Vec<String> {
    if plan.slices.len() == 1 {
        return vec!["The panel is one slice: nothing more is glued.".to_owned()];
    }
    let (one, pieces) = match plan.slices.len() {
        0 => ("tile", format!("Tiles {}", plan.placements.len())),
        slices => (
            "slice",
            format!("Slices {slices}, tiles {}", plan.placements.len()),
        ),
    };
    let mut lines = vec![format!(
        "{pieces}; joints {} in all.",
        units.long(plan.joints)
    )];
    if plan.hopeless {
        lines.push(format!(
            "One {one} alone takes longer than the glue stays open: take a slower glue, or give \
                 your own pace."
        ));
    }
    if let [only] = &plan.assemblies[..] {
        lines.push(format!(
            "All of it fits the open time: about {} of {} at {:.0} s a tile{}.",
            minutes(only.minutes),
            minutes(terms.open_time),
            terms.tile_seconds,
            if plan.slices.is_empty() {
                ""
            } else {
                ", joints within slices left out"
            }
        ));
    } else if plan.slice_by_slice() {
        lines.push(format!(
            "The open time of {} holds one slice: glue each to the next, one seam at a time.",
            minutes(terms.open_time)
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
    if let Some(slower) = plan.slower {
        lines.push(format!(
            "A slower glue: with an open time of {} there would be {}; all at once takes an open \
             time of {}.",
            minutes(slower.open_time),
            match slower.assemblies {
                1 => "one go".to_owned(),
                many => format!("{many} sub-assemblies"),
            },
            minutes(slower.all_at_once)
        ));
    }
    lines
}

/// More sub-assemblies than this are called unwise: with the seams between them 32 ask for 63 clampings of an hour or more,
/// eight days with one set of clamps (common practice: a joint of yellow glue is clamped for an hour, and a day holds eight).
const UNWISE: usize = 32;

/// Clampings of an hour that a day holds.
const A_DAY: usize = 8;

/// That a panel asks for unwisely many clampings, and what to try; none where it does not.
pub fn many_clampings(plan: &GlueUp, ways: &[SlicingMethod]) -> Option<String> {
    let parts = plan.assemblies.len();
    if parts <= UNWISE {
        return None;
    }
    let clampings = 2 * parts - 1;
    let mut tries = vec!["larger tiles, so that there are fewer".to_owned()];
    let laid_singly = plan.slices.is_empty();
    let loaf = ways.iter().find(|way| way.recommended);
    tries.extend(
        loaf.filter(|way| laid_singly && way.side_by_side > 1)
            .map(|way| {
                format!(
                    "loaves (the way \"{}\": {} parts to handle, not {})",
                    way.way, way.parts, ways[0].parts
                )
            }),
    );
    tries.extend(plan.slower.map(|slower| {
        format!(
            "a slower glue (an open time of {}: {} sub-assemblies)",
            minutes(slower.open_time),
            slower.assemblies
        )
    }));
    let last = tries.pop().unwrap_or_default();
    Some(format!(
        "unwise as it is: {parts} sub-assemblies and the seams between them are {clampings} clampings of an hour or more, \
         about {} days with one set of clamps. Try {}, or {last}",
        clampings.div_ceil(A_DAY),
        tries.join(", ")
    ))
}

/// Clamps and cauls, and what comes after, for a panel of some width and height in mm.
pub fn clamping_lines(clamping: Clamping, [across, down]: [f64; 2], shop: &Shop) -> Vec<String> {
    let units = shop.units;
    let mut lines = vec![
        "Press between flat cauls above and below with release film or waxed paper, and pull the \
         courses together sideways by clamps against straight battens; tighten in turn, so that \
         nothing rides up."
            .to_owned(),
    ];
    lines.push(format!(
        "Sideways, a joint across the whole width of {} needs {}. Follow the glue's data sheet first.",
        units.length(across),
        clamps(clamping, BY_WOOD, shop)
    ));
    if down + BATTENS > shop.clamps.opening {
        lines.push(format!(
            "The last seam's clamps span {}, battens included; yours open {}: screw two of them together, \
             or press against stops on the bench with wedges.",
            units.at_least(down + BATTENS),
            units.length(shop.clamps.opening)
        ));
    }
    lines
}

/// What the least and the highest force are for, where the wood decides.
pub const BY_WOOD: [&str; 2] = ["for light wood", "for dense wood"];

/// What clamps must give, from what to what, and how many of the shop's that are.
pub fn clamps(clamping: Clamping, [from, to]: [&str; 2], shop: &Shop) -> String {
    let [least, most] = clamping.force.map(|kn| shop.units.force(kn));
    let [few, many] = clamping.clamps;
    let number = if few == many {
        few.to_string()
    } else {
        format!("{few} to {many}")
    };
    let each = match shop.units {
        Units::Metric => format!("{} kN", decimal(shop.clamps.force, 2)),
        Units::Inch => shop.units.force(shop.clamps.force),
    };
    let lacking = match shop.clamps.count {
        Some(have) if u64::from(have) < few => {
            format!("; you have {have}")
        }
        _ => String::new(),
    };
    format!("about {least} {from} to {most} {to}: {number} clamps of {each}{lacking}")
}

fn minutes(time: f64) -> String {
    format!("{:.0} min", time.ceil())
}
