//! Trial bars: what is seen, and what the saw is told to be.
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test may stop at once, and checks our trigonometry by another one"
)]

use crate::common::bars::{halves, mitre, mix, rhombi, triangles};
use plyloom::{
    plan::{
        saw::SawLimits,
        saw::settings::Setting,
        tolerance::effect,
        tolerance::measure::{Across, Measure},
        trial::{Diagnosis, Explanation, ProudEdge, Reading, TrialError, Verdict, trial},
    },
    stock::Bar,
};
use proptest::prelude::*;

fn found(diagnosis: &Diagnosis) -> &Explanation {
    let [case] = &diagnosis.cases[..] else {
        panic!("{diagnosis:#?}")
    };
    let Verdict::Found(e) = &case.verdict else {
        panic!("{diagnosis:#?}")
    };
    e
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b} within {within}");
}

#[test]
fn a_gap_at_the_outside_of_three_rhombi_wants_more_tilt() {
    // 0.4 = 20.785 * sin(3 d): d = 0.368 degrees too little tilt. A reading good to 0.1 mm leaves
    // 0.1 / (3 * 20.785) rad = 0.092 degrees.
    let reading = Reading {
        gap_outside: Some(0.4),
        ..Reading::default()
    };
    let diagnosis = trial(&rhombi(), &reading, &SawLimits::default()).unwrap();
    let e = found(&diagnosis);
    assert_eq!(e.findings.len(), 1);
    assert_eq!(e.findings[0].setting, Setting::Tilt { tilt: 30.0 });
    near(e.findings[0].off, -0.368, 0.003);
    near(e.findings[0].within, 0.092, 0.002);
    assert!(e.findings[0].is_off());
    assert!(matches!(diagnosis.unseen[..], [Setting::Fence { .. }]));
    // The same gap at the centre: too much tilt, by as much.
    let reading = Reading {
        gap_centre: Some(0.4),
        ..Reading::default()
    };
    near(
        found(&trial(&rhombi(), &reading, &SawLimits::default()).unwrap()).findings[0].off,
        0.368,
        0.003,
    );
}

#[test]
fn a_gap_and_a_proud_point_tell_blade_and_fence() {
    let reading = Reading {
        gap_outside: Some(0.4),
        proud: Some(0.2),
        proud_edge: Some(ProudEdge::Face),
        ..Reading::default()
    };
    let diagnosis = trial(&rhombi(), &reading, &SawLimits::default()).unwrap();
    let e = found(&diagnosis);
    near(e.findings[0].off, -0.368, 0.003);
    // Less tilt makes sawn edges shorter: 18 / sin(60.368) = 20.708, by 0.077 mm of the 0.2.
    near(e.findings[1].off, 0.2 - 0.077, 0.002);
    assert!(diagnosis.unseen.is_empty());
    // Without a word on which point it is, both ways are told.
    let reading = Reading {
        proud_edge: None,
        ..reading
    };
    let diagnosis = trial(&rhombi(), &reading, &SawLimits::default()).unwrap();
    assert_eq!(diagnosis.cases.len(), 2);
    let fences: Vec<f64> = diagnosis
        .cases
        .iter()
        .map(|c| match &c.verdict {
            Verdict::Found(e) => e.findings[1].off,
            other => panic!("{other:?}"),
        })
        .collect();
    near(fences[0], 0.123, 0.002);
    near(fences[1], -0.277, 0.002);
}

#[test]
fn a_proud_point_alone_may_come_from_either() {
    let reading = Reading {
        proud: Some(0.3),
        proud_edge: Some(ProudEdge::Face),
        ..Reading::default()
    };
    let diagnosis = trial(&rhombi(), &reading, &SawLimits::default()).unwrap();
    let Verdict::OneOf(ways) = &diagnosis.cases[0].verdict else {
        panic!("{diagnosis:#?}")
    };
    // The blade could do it too, but then the last joint would gape by 20.785 * sin(3 * 1.4).
    assert_eq!(ways.len(), 2);
    assert!(ways[0].findings[0].setting.in_degrees() && ways[0].also.gap_outside > 1.0);
    near(ways[1].findings[0].off, 0.3, 1e-6);
    assert!(ways[1].also.gap_outside < 1e-9);
    // Closed joints rule the blade out.
    let reading = Reading {
        gap_outside: Some(0.0),
        ..reading
    };
    let diagnosis = trial(&rhombi(), &reading, &SawLimits::default()).unwrap();
    let e = found(&diagnosis);
    assert!(!e.findings[0].is_off() && e.findings[1].is_off());
}

/// Strips of 18 mm wood ripped at its fence of 20.785 from a sheet of 17.7 mm: their sawn edges are
/// 17.7 / sin 60 = 20.438, the faces stand 0.346 proud. The fence belongs at 20.438, 0.346 nearer.
#[test]
fn a_measured_thickness_moves_the_fence() {
    let reading = Reading {
        gap_outside: Some(0.0),
        proud: Some(0.35),
        proud_edge: Some(ProudEdge::Face),
        thickness: Some(17.7),
        ..Reading::default()
    };
    let diagnosis = trial(&rhombi(), &reading, &SawLimits::default()).unwrap();
    let finding = &found(&diagnosis).findings;
    let fence = finding.iter().find(|f| !f.setting.in_degrees()).unwrap();
    near(fence.off, 0.346, 0.02);
    // 17.827 / sin 60 = 20.585; nothing else need be read for that.
    let reading = Reading {
        thickness: Some(17.827),
        ..Reading::default()
    };
    let diagnosis = trial(&rhombi(), &reading, &SawLimits::default()).unwrap();
    let [(Setting::Fence { fence: was, .. }, Setting::Fence { fence: is, .. })] =
        diagnosis.moved[..]
    else {
        panic!("{:?}", diagnosis.moved)
    };
    near(was, 20.785, 0.001);
    near(is, 20.585, 0.001);
    assert!(diagnosis.cases.is_empty());
}

/// T = 18, 60 degrees: the flat of a face 18 / sin 60 = 20.785, over the sharp corners
/// 20.785 + 18 / tan 60 = 31.177, square across the sawn edges 20.785 x sin 60 = 18.
#[test]
fn a_width_is_asked_how_it_was_read() {
    let width = |mm, across| Reading {
        width: Some(mm),
        across,
        ..Reading::default()
    };
    let asked = trial(&rhombi(), &width(20.8, None), &SawLimits::default()).unwrap_err();
    let TrialError::WhichWidth {
        flat,
        corners,
        square,
    } = asked
    else {
        panic!("{asked:?}")
    };
    near(flat, 20.785, 0.001);
    near(corners, 31.177, 0.001);
    near(square, 18.0, 0.001);
    for (across, nominal, rate) in [
        (Across::Flat, flat, 1.0),
        (Across::Corners, corners, 1.0),
        // A fence d too far makes the sawn edges d x sin 60 wider apart.
        (Across::Square, square, 0.866),
    ] {
        let reading = width(nominal + 0.4 * rate, Some(across));
        let diagnosis = trial(&rhombi(), &reading, &SawLimits::default()).unwrap();
        let Verdict::OneOf(ways) = &diagnosis.cases[0].verdict else {
            near(found(&diagnosis).findings[0].off, 0.4, 0.01);
            continue;
        };
        let fence = ways
            .iter()
            .flat_map(|w| &w.findings)
            .find(|f| !f.setting.in_degrees());
        near(fence.unwrap().off, 0.4, 0.01);
    }
    // A trapezoid's wide face is its widest place: nothing to ask.
    let halves = trial(&halves(), &width(41.569, None), &SawLimits::default()).unwrap();
    assert_eq!(halves.cases[0].verdict, Verdict::Fine);
}

#[test]
fn readings_that_contradict() {
    let both = Reading {
        gap_outside: Some(0.4),
        gap_centre: Some(0.4),
        ..Reading::default()
    };
    let diagnosis = trial(&rhombi(), &both, &SawLimits::default()).unwrap();
    assert_eq!(diagnosis.cases[0].verdict, Verdict::BothEndsOpen);
    // A face that stands proud by 0.4 mm while its strip is 0.5 mm too narrow on that face.
    let width = |change: f64| {
        let reading = Reading {
            gap_outside: Some(0.0),
            proud: Some(0.4),
            proud_edge: Some(ProudEdge::Face),
            width: Some(18.0 / 60f64.to_radians().sin() + change),
            across: Some(Across::Flat),
            ..Reading::default()
        };
        trial(&rhombi(), &reading, &SawLimits::default())
            .unwrap()
            .cases
            .remove(0)
            .verdict
    };
    assert!(matches!(width(0.4), Verdict::Found(_)));
    assert_eq!(width(-0.5), Verdict::Contradiction);
    // The corner of a square of two mitres cannot gape both ways either.
    assert_eq!(
        trial(&mitre(), &both, &SawLimits::default()).unwrap().cases[0].verdict,
        Verdict::BothEndsOpen
    );
}

#[test]
fn nothing_wrong_is_said_to_be_fine() {
    let reading = Reading {
        gap_outside: Some(0.05),
        gap_centre: Some(0.0),
        proud: Some(0.1),
        ..Reading::default()
    };
    for bar in [rhombi(), mix()] {
        assert_eq!(
            trial(&bar, &reading, &SawLimits::default()).unwrap().cases[0].verdict,
            Verdict::Fine
        );
    }
}

#[test]
fn a_gap_beyond_any_setting() {
    let reading = Reading {
        gap_outside: Some(12.0),
        ..Reading::default()
    };
    assert_eq!(
        trial(&rhombi(), &reading, &SawLimits::default())
            .unwrap()
            .cases[0]
            .verdict,
        Verdict::TooFar
    );
}

#[test]
fn readings_that_no_rule_gives() {
    let bad = |reading: Reading| trial(&rhombi(), &reading, &SawLimits::default()).unwrap_err();
    assert_eq!(bad(Reading::default()), TrialError::NothingRead);
    for value in [-0.1, f64::NAN, f64::INFINITY] {
        let reading = Reading {
            gap_outside: Some(value),
            ..Reading::default()
        };
        assert!(matches!(bad(reading), TrialError::Reading { .. }));
    }
    let reading = Reading {
        gap_outside: Some(0.1),
        precision: 0.0,
        ..Reading::default()
    };
    assert_eq!(bad(reading), TrialError::Precision(0.0));
    // Two equal halves have no point that could stand proud of another.
    let reading = Reading {
        proud: Some(0.3),
        ..Reading::default()
    };
    assert!(matches!(
        trial(&halves(), &reading, &SawLimits::default()),
        Err(TrialError::NotShown { .. })
    ));
}

/// What a maker would read on a bar that was sawn with one tilt and one fence off.
fn read(bar: &Bar, tilt: f64, fence: f64) -> (Reading, Vec<f64>) {
    let measure = Measure::of(bar, &SawLimits::default());
    let list = measure.settings().list();
    let mut errors = vec![0.0; list.len()];
    let first = |in_degrees: bool| {
        let mut all = (0..list.len()).filter(|&i| list[i].in_degrees() == in_degrees);
        all.next().unwrap()
    };
    errors[first(true)] = tilt;
    errors[first(false)] = fence;
    let e = effect(&measure, &errors);
    let mut reading = Reading {
        precision: 0.001,
        ..Reading::default()
    };
    if measure.joints().iter().any(|j| !j.ends[0].outside) && e.gap_outside + e.gap_centre > 1e-6 {
        reading.gap_outside = Some(e.gap_outside);
        reading.gap_centre = Some(e.gap_centre);
    } else if tilt > 0.0 {
        // More tilt makes the corners of trapezoids and mitres sharper.
        reading.gap_outside = Some(e.corner);
    } else {
        reading.gap_centre = Some(e.corner);
    }
    (reading, errors)
}

proptest! {
    #[test]
    fn a_simulated_trial_bar_is_found_out(
        which in 0..4_usize,
        tilt in prop_oneof![-0.5..-0.02, 0.02..0.5_f64],
        fence in -0.5..0.5_f64,
    ) {
        let bar = [rhombi, halves, triangles, mitre][which]();
        let (mut reading, errors) = read(&bar, tilt, fence);
        let measure = Measure::of(&bar, &SawLimits::default());
        let seen = measure.with(&errors);
        if which == 0 {
            let step = seen.steps.iter().flatten().copied().find(|s| s.abs() > 1e-9);
            let step = step.unwrap_or(0.0);
            reading.proud = Some(step.abs());
            reading.proud_edge = Some(if step > 0.0 { ProudEdge::Face } else { ProudEdge::Sawn });
        } else if which < 3 {
            // All parts are alike: any of them will do.
            reading.width = Some(measure.width(0, Across::Flat) + seen.widths[0][0]);
            reading.across = Some(Across::Flat);
        }
        let diagnosis = trial(&bar, &reading, &SawLimits::default()).unwrap();
        let explanation = found(&diagnosis);
        let mut told = vec![0.0; errors.len()];
        for f in &explanation.findings {
            let at = measure.settings().list().iter().position(|s| *s == f.setting).unwrap();
            told[at] = f.off;
        }
        if which == 3 {
            // The parent's fence does not show on the piece that lay at the halving fence.
            prop_assert!((told[0] - tilt).abs() < 0.01, "{diagnosis:#?}");
        } else {
            for (t, e) in told.iter().zip(&errors) {
                prop_assert!((t - e).abs() < 0.01, "{t} {e}: {diagnosis:#?}");
            }
        }
    }
}
