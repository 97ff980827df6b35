//! What a trial bar tells, in plain words: where each reading was taken to come from, what is off,
//! which way to move it, and what to do next.

use crate::plan::{
    saw::SawLimits,
    saw::number::{Length, amount, degrees, setting_name},
    saw::rip::Rip,
    saw::settings::Setting,
    tolerance::measure::{Across, Measure},
    trial::{Case, Diagnosis, Explanation, ProudEdge, Reading, Sight, TrialFinding, Verdict},
};
use crate::stock::strip::{Origin, Side};

/// Gaps and points below this many mm are not mentioned.
const SEEN: f64 = 0.05;

/// The lines for a diagnosis.
pub fn trial_lines(
    reading: &Reading,
    diagnosis: &Diagnosis,
    saw: &SawLimits,
    length: Length<'_>,
) -> Vec<String> {
    let measure = Measure::of(&diagnosis.bar, saw);
    let mut lines = moved(reading, diagnosis, length);
    lines.extend(diagnosis.sights.iter().map(|s| sight(&measure, *s, length)));
    for case in &diagnosis.cases {
        lines.push(String::new());
        lines.extend(case_lines(case, diagnosis.cases.len() > 1, reading, length));
    }
    if !diagnosis.unseen.is_empty() {
        let names: Vec<String> = diagnosis
            .unseen
            .iter()
            .map(|s| setting_name(s, length))
            .collect();
        lines.push(String::new());
        lines.push(format!("These readings do not show: {}.", names.join("; ")));
    }
    lines
}

/// What the measured sheet moves.
fn moved(reading: &Reading, diagnosis: &Diagnosis, length: Length<'_>) -> Vec<String> {
    let Some(thickness) = reading.thickness else {
        return Vec::new();
    };
    let mut lines = vec![format!(
        "Sheet: {} thick as measured; the settings below are for it.",
        length(thickness)
    )];
    for (was, is) in &diagnosis.moved {
        if let Setting::Fence {
            fence, for_kerf, ..
        } = is
        {
            lines.push(format!(
                "The {} moves: set it to {}.",
                setting_name(was, length),
                length(fence + for_kerf)
            ));
        }
    }
    lines
}

fn sight(measure: &Measure<'_>, sight: Sight, length: Length<'_>) -> String {
    let pair = |joint: usize| {
        let j = &measure.joints()[joint];
        format!("part {} and part {}", j.a.part + 1, j.b.part + 1)
    };
    match sight {
        Sight::Wedge { joint } => format!(
            "Gap: at the joint of {}, all other joints tight. Outside is its end at the rim.",
            pair(joint)
        ),
        Sight::Corner { corner } => {
            let site = &measure.corners()[corner];
            format!(
                "Gap: the joints of this bar always close; hold its corner at {} into a true \
                 corner of {}. Centre is the corner, outside the other end of its leg of {}.",
                corner_name(measure, corner),
                degrees(site.angle),
                length(site.leg)
            )
        }
        Sight::Step { joint, .. } => format!(
            "Proud point: at the outer end of the joint of {}, or of one like it.",
            pair(joint)
        ),
        Sight::Width { part, across } => {
            let [flat, corners, square] = Across::ALL.map(|a| length(measure.width(part, a)));
            let read = match across {
                Across::Flat => "along the flat",
                Across::Corners => "over the corners",
                Across::Square => "square across the sawn edges",
            };
            format!(
                "Width: of part {}, read {read}. The plan has {flat} along the flat of its face, \
                 {corners} over its sharp corners, {square} square across its sawn edges.",
                part + 1
            )
        }
    }
}

/// Which corner of the bar: by the parts that meet there, or of one part by the edges that do.
fn corner_name(measure: &Measure<'_>, corner: usize) -> String {
    let site = &measure.corners()[corner];
    let mut parts: Vec<usize> = site.parts.iter().map(|&(part, _)| part).collect();
    parts.dedup();
    let names: Vec<String> = parts.iter().map(|p| format!("part {}", p + 1)).collect();
    let [(part, at)] = site.parts[..] else {
        return names.join(" and ");
    };
    let strip = &measure.bar().parts()[part].strip;
    let sides = strip.sides();
    let edges = [(at + sides.len() - 1) % sides.len(), at];
    let named = edges.map(|edge| match sides[edge] {
        Side::Face => "the sheet's face",
        Side::Back => "the sheet's back",
        Side::Cut if *strip.origin() != Origin::Sheet => "a sawn edge",
        Side::Cut if Rip::of(strip).is_first(strip, edge) => {
            "the sawn edge that lay at the fence in the last pass"
        }
        Side::Cut => "the sawn edge that the last pass made",
    });
    format!("{} between {} and {}", names.join(""), named[0], named[1])
}

fn case_lines(case: &Case, several: bool, reading: &Reading, length: Length<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    if several {
        lines.push(
            match case.if_proud {
                Some(ProudEdge::Face) => {
                    "If the proud point ends a FACE of the sheet (an outer ply runs along the joint):"
                }
                Some(ProudEdge::Sawn) => {
                    "If the proud point ends a SAWN edge (all plies come out at the joint):"
                }
                None => "If the other part stands proud, this is the answer instead:",
            }
            .to_owned(),
        );
    }
    match &case.verdict {
        Verdict::Fine => lines.push(format!(
            "No setting is off by more than you can measure ({}). Go on with these settings.",
            length(reading.precision)
        )),
        Verdict::Found(explanation) => {
            lines.extend(explanation.findings.iter().map(|f| finding(f, length)));
            lines.extend(next_step(explanation));
        }
        Verdict::OneOf(ways) => {
            lines.push("One of these is the cause; the readings do not show which:".to_owned());
            for way in ways {
                let each: Vec<String> = way.findings.iter().map(|f| finding(f, length)).collect();
                lines.push(format!("- {}{}", each.join(" "), would_show(way, length)));
            }
            lines.push("Take the reading in which they differ, and run the command again with it.".to_owned());
        }
        Verdict::BothEndsOpen => lines.push(
            "These readings contradict each other: parts with straight faces, pushed together, \
             cannot stand open at both ends of a joint. Look for a bowed or dirty face, a strip \
             that rode up at the fence, or a joint that is not tight elsewhere; then read again."
                .to_owned(),
        ),
        Verdict::Contradiction => lines.push(
            "These readings contradict each other: no errors of these settings show all of them on \
             one bar. See that all parts come from one set-up and lie in their right places, \
             measure the sheet's thickness, and read again."
                .to_owned(),
        ),
        Verdict::TooFar => lines.push(
            "No setting of the saw is off that far. See that the strips are the right ones and lie \
             the right way, and that the recipe's sheet is the one that was cut."
                .to_owned(),
        ),
    }
    lines
}

fn finding(f: &TrialFinding, length: Length<'_>) -> String {
    let name = setting_name(&f.setting, length);
    let within = amount(&f.setting, f.within, length);
    let by = amount(&f.setting, f.off.abs(), length);
    if !f.is_off() {
        return format!("{name}: right, as far as you can measure (within {within}). Leave it.");
    }
    let more = f.off > 0.0;
    let (wrong, cure) = match &f.setting {
        Setting::Tilt { tilt } if *tilt < 0.005 => (
            if more {
                "leans away from the fence"
            } else {
                "leans towards the fence"
            },
            "check it with a square and bring it upright",
        ),
        Setting::Tilt { .. } if more => (
            "the blade is tilted too far",
            "bring it back towards vertical",
        ),
        Setting::Tilt { .. } => (
            "the blade is not tilted far enough",
            "tilt it farther from vertical",
        ),
        Setting::Fence { stop, .. } if more => (
            if *stop {
                "the stop is too far from the blade"
            } else {
                "the fence is too far from the blade"
            },
            "move it towards the blade",
        ),
        Setting::Fence { stop, .. } => (
            if *stop {
                "the stop is too near the blade"
            } else {
                "the fence is too near the blade"
            },
            "move it away from the blade",
        ),
        Setting::Thickness { .. } if more => ("the sheet is thicker", "set the fence for it"),
        Setting::Thickness { .. } => ("the sheet is thinner", "set the fence for it"),
    };
    format!("{name}: {wrong}, by {by} (± {within}): {cure} by {by}.")
}

fn would_show(way: &Explanation, length: Length<'_>) -> String {
    let also: Vec<String> = [
        ("stand open at the outside by", way.also.gap_outside),
        ("stand open at the centre by", way.also.gap_centre),
    ]
    .iter()
    .filter(|(_, value)| *value > SEEN)
    .map(|(words, value)| format!("{words} {}", length(*value)))
    .collect();
    if also.is_empty() {
        " All joints would close.".to_owned()
    } else {
        format!(" A joint would then {}.", also.join(" and "))
    }
}

fn next_step(explanation: &Explanation) -> Vec<String> {
    let off = |in_degrees: bool| {
        let mut all = explanation.findings.iter();
        all.any(|f| f.is_off() && f.setting.in_degrees() == in_degrees)
    };
    let next = match (off(true), off(false)) {
        (true, true) => {
            "Set the blade first: its tilt changes the widths too. Rip new strips, lay up a second \
             trial bar, and see to the fence by what that shows."
        }
        (true, false) | (false, true) => {
            "Change only that, rip new strips, and lay up a second trial bar."
        }
        (false, false) => return Vec::new(),
    };
    vec![next.to_owned()]
}
