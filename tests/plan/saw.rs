//! Set-ups of the saw, against sums worked by hand.
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test may stop at once, and checks our trigonometry by another one"
)]

use std::sync::Arc;

use plyloom::{
    draw::saw_setup::saw_setup,
    geom::TOLERANCE,
    plan::{
        cautions::{FIRST, cautions, refusal},
        saw::rip::{Touch, Up},
        saw::sequence::{NamedBar, Work, cut_sequence},
        saw::words as saw_words,
        saw::{Cut, Job, SawLimits, Warning},
    },
    stock::{Bar, Colour, Grain, Layer, LayerKind, Sheet, Strip, hexagon::hexagon, shapes},
};

fn sheet(thickness: f64) -> Arc<Sheet> {
    Arc::new(Sheet::plywood(13, thickness, Colour::rgb(230, 210, 170)).unwrap())
}

fn cuts(bar: &Bar) -> Vec<Cut> {
    let named = NamedBar { name: "trial", bar };
    cut_sequence(&[named], &SawLimits::default(), Work::default())
}

fn mm(value: f64) -> String {
    format!("{value:.2} mm")
}

fn only(bar: &Bar) -> Cut {
    let mut all = cuts(bar);
    assert_eq!(all.len(), 1, "{all:#?}");
    all.remove(0)
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-4, "{a} is not {b}");
}

fn plain(strip: Strip) -> Bar {
    Bar::plain(strip).unwrap()
}

#[test]
fn three_rhombi_are_one_setup_of_thirty_degrees() {
    // A 60 degree edge is a 30 degree tilt (common practice); side 18 / sin 60 = 20.7846, which is
    // the width on either face, and the fence.
    let strips = vec![shapes::rhombus(&sheet(18.0), 60.0).unwrap(); 3];
    let cut = only(&hexagon(strips, TOLERANCE).unwrap());
    near(cut.tilt, 30.0);
    near(cut.edge(), 60.0);
    near(cut.fence, 20.784_61);
    assert_eq!(cut.touch, Touch::LowCorner);
    assert_eq!(cut.up, Some(Up::Face));
    assert_eq!(
        cut.job,
        Job::Strips {
            turned_over: false,
            faces_differ: false
        }
    );
    assert!(cut.warnings.is_empty());
    assert_eq!(cut.used_in[0].parts, [1, 2, 3]);
}

#[test]
fn a_trapezoid_is_turned_over_and_its_fence_is_half_the_sum_of_its_faces() {
    let strips = vec![shapes::half_hexagon(&sheet(18.0), 60.0).unwrap(); 2];
    let cut = only(&hexagon(strips, TOLERANCE).unwrap());
    near(cut.fence, f64::midpoint(20.784_61, 41.569_22));
    near(cut.top(), 41.569_22);
    near(cut.foot(), 20.784_61);
    assert!(matches!(
        cut.job,
        Job::Strips {
            turned_over: true,
            faces_differ: false
        }
    ));
}

#[test]
fn tilts_follow_the_mitre_table() {
    // Mitre of a closed n-gon, 180 / n from square: the published table (any geometry text).
    for (n, mitre) in [
        (4, 45.0),
        (5, 36.0),
        (6, 30.0),
        (8, 22.5),
        (9, 20.0),
        (10, 18.0),
        (12, 15.0),
        (16, 11.25),
        (24, 7.5),
    ] {
        let edge = 90.0 - 180.0 / f64::from(n);
        let wedge = shapes::trapezoid(&sheet(18.0), 60.0, edge).unwrap();
        let cut = only(&plain(wedge));
        near(cut.tilt, mitre);
        assert!(cut.warnings.is_empty(), "{n}: {:?}", cut.warnings);
    }
    // A triangle's ring wants 60 degrees, which no table saw tilts to.
    let cut = only(&plain(
        shapes::trapezoid(&sheet(18.0), 120.0, 30.0).unwrap(),
    ));
    assert_eq!(
        cut.warnings,
        [Warning::TiltBeyond {
            tilt: 60.0,
            most: 45.0
        }]
    );
    let words = refusal(cut.warnings[0], &mm);
    assert!(words.instead.contains("leans by 15.0\u{b0}"), "{words:?}");
}

#[test]
fn a_strip_with_two_tilts_takes_two_setups_the_lesser_first() {
    let all = cuts(&plain(Strip::rip(&sheet(18.0), 60.0, 90.0, 60.0).unwrap()));
    assert_eq!(all.len(), 2);
    assert_eq!((&all[0].job, &all[1].job), (&Job::Blanks, &Job::SecondEdge));
    near(all[0].tilt, 0.0);
    near(all[1].tilt, 30.0);
    // The narrow face, 60 - 18 / tan 60, lies on the table.
    near(all[1].fence, 60.0 - 10.392_305);
    // The blank: 60 mm, what the blade takes on the slant (3.2 / cos 30), and 2 mm over.
    near(all[0].fence, 60.0 + 3.2 / 30f64.to_radians().cos() + 2.0);
}

#[test]
fn what_is_halved_is_ripped_wider_by_the_kerf() {
    let (_, right) = shapes::half_hexagon(&sheet(18.0), 60.0)
        .unwrap()
        .halve()
        .unwrap();
    let bar = Bar::mitred_pair(&right, TOLERANCE).unwrap();
    let all = cuts(&bar);
    assert_eq!(all.len(), 2, "{all:#?}");
    near(all[0].fence, 31.176_915 + 3.2);
    near(all[0].for_kerf, 3.2);
    assert!(matches!(all[1].job, Job::Again { upside_down: false }));
    near(all[1].tilt, 0.0);
    near(all[1].fence, 20.784_61);
}

#[test]
fn strips_of_one_tilt_follow_each_other_and_again_comes_last() {
    let s = sheet(18.0);
    let rhombi = hexagon(vec![shapes::rhombus(&s, 60.0).unwrap(); 3], TOLERANCE).unwrap();
    let halves = hexagon(vec![shapes::half_hexagon(&s, 60.0).unwrap(); 2], TOLERANCE).unwrap();
    let (_, right) = shapes::trapezoid(&s, 80.0, 60.0).unwrap().halve().unwrap();
    let mitre = Bar::mitred_pair(&right, TOLERANCE).unwrap();
    let lath = plain(Strip::rip(&s, 40.0, 90.0, 90.0).unwrap());
    let named = |name, bar| NamedBar { name, bar };
    let bars = [
        named("mitre", &mitre),
        named("rhombi", &rhombi),
        named("halves", &halves),
        named("rhombi again", &rhombi),
        named("lath", &lath),
    ];
    let work = Work {
        length: Some(600.0),
        slice: Some(12.0),
    };
    let all = cut_sequence(&bars, &SawLimits::default(), work);
    let tilts: Vec<f64> = all.iter().take(5).map(|c| c.tilt.round()).collect();
    assert_eq!(format!("{tilts:?}"), "[0.0, 30.0, 30.0, 30.0, 0.0]");
    assert!(matches!(all[4].job, Job::Again { .. }));
    assert!(all[5..].iter().all(|c| c.job == Job::Slices));
    assert_eq!(all.len(), 5 + bars.len());
    // One set-up serves both bars of rhombi.
    let uses = &all[3].used_in;
    assert_eq!(
        (uses[0].bar.as_str(), uses[1].bar.as_str()),
        ("rhombi", "rhombi again")
    );
}

#[test]
fn a_sheet_with_one_dyed_face_is_not_the_same_turned_over() {
    let wood = Colour::rgb(230, 210, 170);
    let mut layers = sheet(18.0).layers().to_vec();
    let veneer = Layer::new(LayerKind::Veneer, 0.6, Colour::rgb(200, 0, 0), Grain::Along).unwrap();
    layers.insert(0, veneer);
    let dyed = Arc::new(Sheet::new(layers.clone()).unwrap());
    let differs = |s: &Arc<Sheet>, strip: Strip| {
        let cut = only(&plain(strip));
        assert!((cut.height - s.thickness()).abs() < 1e-9);
        matches!(
            cut.job,
            Job::Strips {
                faces_differ: true,
                ..
            }
        )
    };
    assert!(differs(
        &dyed,
        shapes::trapezoid(&dyed, 60.0, 60.0).unwrap()
    ));
    assert!(!differs(&dyed, shapes::rhombus(&dyed, 60.0).unwrap()));
    // Dyed on both sides it is.
    layers.push(veneer);
    let both = Arc::new(Sheet::new(layers).unwrap());
    assert!(!differs(
        &both,
        shapes::trapezoid(&both, 60.0, 60.0).unwrap()
    ));
    let plain_wood = Arc::new(Sheet::plywood(13, 18.0, wood).unwrap());
    assert!(!differs(
        &plain_wood,
        shapes::trapezoid(&plain_wood, 60.0, 60.0).unwrap()
    ));
}

#[test]
fn what_cannot_be_held_is_refused_with_a_safer_way() {
    let s = sheet(18.0);
    // A triangle stands on its point between blade and fence; its base is 20.78 mm.
    let cut = only(&plain(shapes::triangle(&s, 60.0).unwrap()));
    let [Warning::Narrow { foot, top, .. }] = cut.warnings[..] else {
        panic!("{:?}", cut.warnings)
    };
    near(foot, 0.0);
    near(top, 20.784_61);
    let words = refusal(cut.warnings[0], &mm);
    assert!(words.says.contains("sharp edge") && words.instead.contains("20.78 mm"));
    // A lean parallelogram falls over its foot: its middle is at 13 + 31.2 / 2 - 13 / 2.
    let cut = only(&plain(shapes::parallelogram(&s, 13.0, 45.0).unwrap()));
    assert!(matches!(cut.warnings[..], [Warning::Tips { .. }]));
    // Short work, thin slices.
    let bar = plain(shapes::rhombus(&s, 60.0).unwrap());
    let named = [NamedBar {
        name: "short",
        bar: &bar,
    }];
    let work = Work {
        length: Some(200.0),
        slice: Some(3.0),
    };
    let all = cut_sequence(&named, &SawLimits::default(), work);
    assert!(matches!(all[0].warnings[..], [Warning::Short { .. }]));
    assert!(matches!(all[1].warnings[..], [Warning::ThinSlice { .. }]));
    for warning in all.iter().flat_map(|c| &c.warnings) {
        let words = refusal(*warning, &mm);
        assert!(!words.says.is_empty() && !words.instead.is_empty());
    }
}

#[test]
fn cautions_stand_beside_every_cut_and_defer() {
    let s = sheet(18.0);
    let bars = [
        hexagon(vec![shapes::rhombus(&s, 60.0).unwrap(); 3], TOLERANCE).unwrap(),
        plain(Strip::rip(&s, 200.0, 90.0, 60.0).unwrap()),
        plain(shapes::triangle(&s, 60.0).unwrap()),
    ];
    let named = bars.iter().map(|bar| NamedBar { name: "b", bar });
    let named: Vec<NamedBar<'_>> = named.collect();
    let work = Work {
        length: None,
        slice: Some(12.0),
    };
    for cut in cut_sequence(&named, &SawLimits::default(), work) {
        let all = cautions(&cut, &mm).join(" ");
        for word in [
            "Guard",
            "riving knife",
            "unplug",
            "Eyes and ears",
            "dust",
            "manual",
            "local rules",
        ] {
            assert!(all.contains(word), "{word}: {all}");
        }
        assert!(!all.contains("remove the guard"));
        let rips = cut.job != Job::Slices;
        assert_eq!(all.contains("AWAY from the fence"), rips && cut.tilt > 0.0);
        assert!(all.contains("Push block") || !rips || !cut.warnings.is_empty());
    }
    assert!(FIRST.contains("29 CFR 1910.213") && FIRST.contains("qualified instruction"));
}

#[test]
fn the_words_name_what_is_set_and_what_it_is_measured_to() {
    let strips = vec![shapes::rhombus(&sheet(18.0), 60.0).unwrap(); 3];
    let cut = only(&hexagon(strips, TOLERANCE).unwrap());
    let words = saw_words::settings(&cut, &mm).join("\n");
    for part in [
        "Edge angle 60.0\u{b0}: blade tilted 30.0\u{b0} from vertical, leaning away from the fence",
        "Fence 20.78 mm: on the table, from the fence to the near side of the blade",
        "sharp lower corner",
        "face up. Leave it as it lies",
        "20.78 mm on top, 20.78 mm below",
    ] {
        assert!(words.contains(part), "{part}\n{words}");
    }
    assert_eq!(saw_words::used_in(&cut), "bar \"trial\" parts 1, 2, 3");
}

#[test]
fn the_drawing_is_sound_and_says_what_it_must() {
    let s = sheet(18.0);
    let bars = [
        plain(shapes::rhombus(&s, 60.0).unwrap()),
        plain(shapes::triangle(&s, 60.0).unwrap()),
        plain(shapes::rhombus(&s, 30.0).unwrap()),
        plain(Strip::rip(&s, 5000.0, 90.0, 90.0).unwrap()),
        plain(Strip::rip(&s, 1.0, 90.0, 90.0).unwrap()),
    ];
    for bar in &bars {
        for cut in cuts(bar) {
            let text = saw_setup(&cut, 3.2, &mm);
            assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
            let drawing = roxmltree::Document::parse(&text).unwrap();
            let said: Vec<&str> = drawing.descendants().filter_map(|n| n.text()).collect();
            let said = said.join("|");
            assert!(said.contains(&format!("fence {}", mm(cut.fence))), "{said}");
            assert!(said.contains("from vertical") && said.contains("Guard and riving knife"));
            assert_eq!(
                said.contains("NOT SAFE") || said.contains("BEYOND"),
                !cut.warnings.is_empty()
            );
        }
    }
    // Blade and fence as drawn: the blade's near side comes through the table at the fence
    // distance, and leans by the tilt.
    let cut = only(&bars[0]);
    let text = saw_setup(&cut, 3.2, &mm);
    let drawing = roxmltree::Document::parse(&text).unwrap();
    let blade = drawing
        .descendants()
        .find(|n| n.attribute("fill") == Some("#b9c0c7"))
        .unwrap();
    let points: Vec<(f64, f64)> = blade
        .attribute("points")
        .unwrap()
        .split(' ')
        .map(|p| {
            let (x, y) = p.split_once(',').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        })
        .collect();
    let lean = points
        .windows(2)
        .map(|w| ((w[1].0 - w[0].0), (w[1].1 - w[0].1)));
    let steep = lean.filter(|(_, y)| y.abs() > 20.0);
    for (x, y) in steep {
        let tilt = (x / y).atan().to_degrees();
        assert!((tilt.abs() - 30.0).abs() < 0.1, "{tilt}");
    }
}
