//! What a maker reads of tolerances and trial bars.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use crate::common::bars::{mitre, rhombi};
use plyloom::{
    plan::{
        saw::SawLimits,
        tolerance::words::{assumption_lines, tolerance_lines},
        tolerance::{GAP_LIMIT, tolerance},
        trial::words::trial_lines,
        trial::{ProudEdge, Reading, trial},
    },
    stock::Bar,
};

fn mm(value: f64) -> String {
    format!("{value:.2} mm")
}

fn told(bar: &Bar, reading: &Reading) -> String {
    let diagnosis = trial(bar, reading, &SawLimits::default()).unwrap();
    trial_lines(reading, &diagnosis, &SawLimits::default(), &mm).join("\n")
}

fn holds(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "`{part}` is not in\n{text}");
    }
}

#[test]
fn a_tolerance_reads_as_a_maker_would_say_it() {
    let lines = tolerance_lines(
        &tolerance(&rhombi(), GAP_LIMIT, &SawLimits::default()),
        &mm,
        &mm,
    );
    holds(
        &lines[0],
        &[
            "blade tilt 30.0\u{b0}: 0.1\u{b0} too much: gap of 0.11 mm at the centre of a joint",
            "too little: gap of 0.11 mm at the outside of a joint",
            "For gaps of at most 0.10 mm, keep it within 0.09\u{b0}.",
        ],
    );
    holds(
        &lines[1],
        &[
            "fence at 20.78 mm with the blade tilted 30.0\u{b0}",
            "points stand proud by 0.10 mm",
        ],
    );
    holds(&lines[2], &["thickness of the sheet, 18.00 mm"]);
    holds(&lines[3], &["If all are off at once"]);
}

#[test]
fn what_was_assumed_is_said_of_each_shape() {
    let rhombus = assumption_lines(&rhombi());
    assert_eq!(rhombus.len(), 1);
    holds(&rhombus[0], &["rhombus", "stay parallel"]);
    let mitre = assumption_lines(&mitre());
    holds(&mitre[0], &["triangle", "turned over", "both the same way"]);
    holds(&mitre[1], &["ripped once more"]);
}

#[test]
fn a_trial_bar_says_which_way_to_turn_and_how_far() {
    let reading = Reading {
        gap_outside: Some(0.4),
        proud: Some(0.2),
        proud_edge: Some(ProudEdge::Face),
        ..Reading::default()
    };
    holds(
        &told(&rhombi(), &reading),
        &[
            "at the joint of part 1 and part 3, all other joints tight",
            "not tilted far enough, by 0.37\u{b0} (± 0.09\u{b0}): tilt it farther from vertical by 0.37\u{b0}.",
            "the fence is too far from the blade, by 0.12 mm (± 0.12 mm): move it towards the blade by 0.12 mm.",
            "Set the blade first",
        ],
    );
    let reading = Reading {
        gap_outside: None,
        gap_centre: Some(0.4),
        proud_edge: None,
        ..reading
    };
    holds(
        &told(&rhombi(), &reading),
        &[
            "tilted too far, by 0.36\u{b0}",
            "ends a FACE of the sheet",
            "ends a SAWN edge",
            "move it away from the blade",
        ],
    );
}

#[test]
fn doubt_and_contradiction_are_said() {
    let base = Reading::default();
    let alone = Reading {
        proud: Some(0.3),
        proud_edge: Some(ProudEdge::Sawn),
        ..base
    };
    holds(
        &told(&rhombi(), &alone),
        &[
            "do not show which",
            "A joint would then stand open at the centre by 1.50 mm.",
            "All joints would close.",
        ],
    );
    let both = Reading {
        gap_outside: Some(0.4),
        gap_centre: Some(0.4),
        ..base
    };
    holds(
        &told(&rhombi(), &both),
        &["contradict each other", "read again"],
    );
    let none = Reading {
        gap_outside: Some(0.0),
        ..base
    };
    holds(
        &told(&rhombi(), &none),
        &[
            "No setting is off by more than you can measure (0.10 mm)",
            "do not show: fence at 20.78 mm",
        ],
    );
}

#[test]
fn a_bar_that_always_closes_is_held_into_a_true_corner() {
    let reading = Reading {
        gap_outside: Some(0.4),
        ..Reading::default()
    };
    holds(
        &told(&mitre(), &reading),
        &[
            "hold its corner at part 1 and part 2 into a true corner of 90.0\u{b0}",
            "blade tilt 45.0\u{b0}: the blade is tilted too far, by 0.64\u{b0}",
        ],
    );
}
