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
        Plan, Shop,
        cautions::{FIRST, cautions, refusal},
        saw::passes::{SetBy, Turn},
        saw::refusals::{NamedBar, refused_of},
        saw::rip::{Touch, Up},
        saw::words as saw_words,
        saw::{Cut, Job, Keeps, SawLimits, TiltsTo, Warning},
    },
    stock::{Bar, Colour, Grain, Layer, LayerKind, Sheet, Strip, hexagon::hexagon, shapes},
};

use crate::count::panel;

fn sheet(thickness: f64) -> Arc<Sheet> {
    Arc::new(Sheet::plywood(13, thickness, Colour::rgb(230, 210, 170)).unwrap())
}

/// The set-ups of a plan for a hundred tiles of each bar, so that several strips are ripped.
fn set_ups(bars: &[Bar]) -> Vec<Cut> {
    let each: Vec<(Bar, u64)> = bars.iter().map(|bar| (bar.clone(), 100)).collect();
    let panel = panel(&each);
    let shop = Shop::parse("[[sheet]]\nname = \"large\"\nwidth = 6000\nlength = 6000\n").unwrap();
    let plan = Plan::of(&[&panel], &shop).unwrap();
    plan.set_ups()
        .into_iter()
        .map(|(_, cut)| cut.clone())
        .collect()
}

/// The same without the slicing.
fn cuts(bar: &Bar) -> Vec<Cut> {
    let mut all = set_ups(std::slice::from_ref(bar));
    all.retain(|cut| !matches!(cut.job, Job::Slices { .. }));
    all
}

fn refusals(bar: &Bar) -> Vec<Warning> {
    let named = NamedBar { name: "trial", bar };
    let all = refused_of(&[named], &SawLimits::default());
    all.into_iter().map(|part| part.why).collect()
}

fn refused(bar: &Bar) -> Warning {
    refusals(bar)[0]
}

fn distance(cut: &Cut) -> f64 {
    cut.distance().unwrap()
}

fn mm(value: f64) -> String {
    format!("{value:.2} mm")
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-4, "{a} is not {b}");
}

fn plain(strip: Strip) -> Bar {
    Bar::plain(strip).unwrap()
}

#[test]
fn three_rhombi_are_one_setup_of_thirty_degrees_after_a_first_edge() {
    // A 60 degree edge is a 30 degree tilt (common practice); side 18 / sin 60 = 20.7846, which is
    // the width on either face, and the fence.
    let strips = vec![shapes::rhombus(&sheet(18.0), 60.0).unwrap(); 3];
    let all = cuts(&hexagon(strips, TOLERANCE).unwrap());
    let [first, cut] = &all[..] else {
        panic!("{all:#?}")
    };
    // The first bevel: board at the fence, waste outboard, the back up; then it is rolled over.
    assert_eq!(first.job, Job::FirstEdge { each_time: false });
    assert_eq!((first.set, first.up), (SetBy::ByEye, Some(Up::Back)));
    assert!(first.far_edge && first.keeps == Keeps::AtFence);
    assert_eq!(first.turn, Some(Turn::RolledOver));
    near(cut.tilt, 30.0);
    near(cut.edge(), 60.0);
    near(distance(cut), 20.784_61);
    assert_eq!((cut.touch, cut.up), (Touch::LowCorner, Some(Up::Face)));
    assert_eq!((cut.job, cut.turn), (Job::Strips, Some(Turn::AsItLies)));
    assert_eq!(cut.used_in[0].parts, [1, 2, 3]);
}

#[test]
fn a_trapezoid_is_turned_over_and_its_fence_is_half_the_sum_of_its_faces() {
    let strips = vec![shapes::half_hexagon(&sheet(18.0), 60.0).unwrap(); 2];
    let all = cuts(&hexagon(strips, TOLERANCE).unwrap());
    let cut = &all[1];
    near(distance(cut), f64::midpoint(20.784_61, 41.569_22));
    near(cut.top(), 41.569_22);
    near(cut.foot(), 20.784_61);
    assert_eq!((cut.job, cut.turn), (Job::Strips, Some(Turn::TurnedOver)));
}

/// Mitre of a closed n-gon, 180 / n from square: the published table (any geometry text).
#[test]
fn tilts_follow_the_mitre_table() {
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
        for cut in cuts(&plain(wedge)) {
            near(cut.tilt, mitre);
        }
    }
}

/// Known wrong before: the drawing showed a triangle of 45 degrees on its point between blade and fence,
/// and let the cut edge stay at the fence.
#[test]
fn triangles_of_45_degrees_fall_free_on_their_base() {
    let all = cuts(&plain(shapes::triangle(&sheet(18.0), 45.0).unwrap()));
    let [first, strip] = &all[..] else {
        panic!("{all:#?}")
    };
    assert_eq!(first.job, Job::FirstEdge { each_time: false });
    // Base 2 x 18 / tan 45 = 36; the stop touches its far corner, on the table.
    assert_eq!((strip.job, strip.keeps), (Job::FreeStrips, Keeps::Beyond));
    let SetBy::Stop(stop) = strip.set else {
        panic!("{:?}", strip.set)
    };
    near(stop, 36.0);
    near(strip.foot(), 36.0);
    near(strip.top(), 0.0);
    assert!(first.far_edge && strip.far_edge);
    assert_eq!(strip.turn, Some(Turn::TurnedOver));
    // Whatever lies between blade and fence is the board.
    assert!(all.iter().all(|cut| cut.at_fence.bounds().width() > 18.0));
    let words = saw_words::settings(strip, &mm).join(" ");
    assert!(!words.contains("edge that was just cut stays at the fence"));
}

/// Known wrong before: a rhombus of 9 mm was told "stop 10.4", which is its foot. An upright stop touches
/// the overhang: foot 9 / sin 60 = 10.392, overhang 9 / tan 60 = 5.196, together 15.588.
#[test]
fn the_stop_of_a_narrow_rhombus_stands_at_its_overhang() {
    let strips = vec![shapes::rhombus(&sheet(9.0), 60.0).unwrap(); 3];
    let all = cuts(&hexagon(strips, TOLERANCE).unwrap());
    let stops: Vec<f64> = (all.iter())
        .filter_map(|cut| match cut.set {
            SetBy::Stop(mm) => Some(mm),
            _ => None,
        })
        .collect();
    assert_eq!(stops.len(), 1);
    near(stops[0], 15.588_46);
    // The unsafe number is nowhere.
    for cut in &all {
        let told = format!(
            "{} {}",
            saw_words::settings(cut, &mm).join(" "),
            saw_setup(cut, &saw(), &mm)
        );
        assert!(!told.contains("Fence 10.39") && !told.contains("fence 10.39"));
        assert!(!told.contains("Stop 10.39") && !told.contains("NOT SAFE"));
    }
}

/// Known wrong before: for strips with one dyed face a pass trimmed the edge with a foot of nothing. Now
/// the board is at the fence and the waste outboard.
#[test]
fn a_fresh_edge_before_each_strip_has_the_board_at_the_fence() {
    let wood = Colour::rgb(230, 210, 170);
    let mut layers = sheet(18.0).layers().to_vec();
    let veneer = Layer::new(LayerKind::Veneer, 0.6, Colour::rgb(200, 0, 0), Grain::Along).unwrap();
    layers.insert(0, veneer);
    let dyed = Arc::new(Sheet::new(layers.clone()).unwrap());
    let jobs = |strip: Strip| {
        cuts(&plain(strip))
            .iter()
            .map(|c| c.job)
            .collect::<Vec<_>>()
    };
    let half = shapes::trapezoid(&dyed, 60.0, 60.0).unwrap();
    assert_eq!(
        jobs(half.clone()),
        [Job::FirstEdge { each_time: true }, Job::FreeStrips]
    );
    for cut in cuts(&plain(half)) {
        assert!(cut.far_edge && cut.faces_differ);
        assert!(cut.at_fence.bounds().width() > 18.0);
        let words = saw_words::settings(&cut, &mm).join(" ");
        assert!(words.contains("two faces of this sheet differ"), "{words}");
    }
    // A rhombus does not notice; nor does a sheet dyed on both sides, nor plain plywood.
    let led = [Job::FirstEdge { each_time: false }, Job::Strips];
    assert_eq!(jobs(shapes::rhombus(&dyed, 60.0).unwrap()), led);
    layers.push(veneer);
    let both = Arc::new(Sheet::new(layers).unwrap());
    assert_eq!(jobs(shapes::trapezoid(&both, 60.0, 60.0).unwrap()), led);
    let plain_wood = Arc::new(Sheet::plywood(13, 18.0, wood).unwrap());
    assert_eq!(
        jobs(shapes::trapezoid(&plain_wood, 60.0, 60.0).unwrap()),
        led
    );
}

/// 60 on the face, 60 - 18 / tan 60 = 49.608 on the back, and the kerf on the slant 3.2 / cos 30 = 3.695:
/// a blank of two takes 60 + 49.608 + 3.695 = 113.303, parted with the fence at 49.608.
#[test]
fn a_strip_with_two_tilts_comes_two_from_a_blank() {
    let all = cuts(&plain(Strip::rip(&sheet(18.0), 60.0, 90.0, 60.0).unwrap()));
    let [blank, parting] = &all[..] else {
        panic!("{all:#?}")
    };
    assert_eq!(
        (blank.job, parting.job),
        (Job::Blanks { pairs: true }, Job::Parting)
    );
    near(blank.tilt, 0.0);
    near(distance(blank), 60.0 + 49.607_695 + 3.695_04);
    near(parting.tilt, 30.0);
    near(distance(parting), 49.607_695);
    assert_eq!(parting.keeps, Keeps::Both);
}

#[test]
fn what_is_halved_is_ripped_wider_by_the_kerf_and_lies_on_its_wide_side() {
    let (_, right) = shapes::half_hexagon(&sheet(18.0), 60.0)
        .unwrap()
        .halve()
        .unwrap();
    let all = cuts(&Bar::mitred_pair(&right, TOLERANCE).unwrap());
    let [_, strip, halved] = &all[..] else {
        panic!("{all:#?}")
    };
    near(distance(strip), 31.176_915 + 3.2);
    near(strip.for_kerf, 3.2);
    // Face down the half stands on half of 41.569, back down on half of 20.785: less than 12.
    assert_eq!(halved.job, Job::Again { upside_down: true });
    near(halved.tilt, 0.0);
    near(halved.foot(), 20.784_61);
}

#[test]
fn strips_of_one_tilt_follow_each_other_and_again_comes_last() {
    let s = sheet(18.0);
    let (_, right) = shapes::trapezoid(&s, 80.0, 60.0).unwrap().halve().unwrap();
    let bars = [
        Bar::mitred_pair(&right, TOLERANCE).unwrap(),
        hexagon(vec![shapes::rhombus(&s, 60.0).unwrap(); 3], TOLERANCE).unwrap(),
        hexagon(vec![shapes::half_hexagon(&s, 60.0).unwrap(); 2], TOLERANCE).unwrap(),
        plain(Strip::rip(&s, 40.0, 90.0, 90.0).unwrap()),
    ];
    let all = set_ups(&bars);
    let slices = |cut: &Cut| matches!(cut.job, Job::Slices { .. });
    let first = all.iter().position(slices).unwrap();
    assert!(all[first..].iter().all(slices));
    assert_eq!(all.len(), first + bars.len());
    let again = all.iter().position(|c| matches!(c.job, Job::Again { .. }));
    assert_eq!(again, Some(first - 1));
}

/// A 60 degree tilt with the blade at 45: the bed gives the other 15.
#[test]
fn what_the_blade_does_not_tilt_to_is_cut_in_a_carriage() {
    let wedge = plain(shapes::trapezoid(&sheet(18.0), 120.0, 30.0).unwrap());
    let all = cuts(&wedge);
    let jobs: Vec<Job> = all.iter().map(|c| c.job).collect();
    assert_eq!(
        jobs,
        [
            Job::Blanks { pairs: false },
            Job::InCarriage { first: true },
            Job::InCarriage { first: false }
        ]
    );
    near(all[0].tilt, 0.0);
    for cut in &all[1..] {
        near(cut.bed, 15.0);
        near(cut.blade_tilt(), 45.0);
        assert!(matches!(cut.set, SetBy::Ledge(_)));
    }
    // From the ledge to the cut on the bed: the foot 120 - 2 x 18 / tan 30 = 57.646 and the first
    // bevel's overhang 31.177.
    near(distance(&all[2]), 57.646_17 + 31.176_91);
    // Without any foot there is nothing to clamp.
    let bare = plain(shapes::trapezoid(&sheet(18.0), 62.5, 30.0).unwrap());
    assert!(matches!(refused(&bare), Warning::TiltBeyond { .. }));
}

#[test]
fn what_no_safe_way_leads_to_is_refused_with_a_way_round() {
    let thin = refused(&plain(Strip::rip(&sheet(18.0), 1.0, 90.0, 90.0).unwrap()));
    assert!(matches!(thin, Warning::ThinStrip { .. }));
    // A 10 in. blade: 79 upright, 57 at 45 degrees (common practice).
    let deep = refused(&plain(Strip::rip(&sheet(80.0), 100.0, 90.0, 90.0).unwrap()));
    assert!(matches!(deep, Warning::TooDeep { .. }));
    let tilted = refused(&plain(
        shapes::trapezoid(&sheet(58.0), 200.0, 45.0).unwrap(),
    ));
    assert!(matches!(tilted, Warning::TooDeep { .. }));
    // A corner that comes off a lath with a foot of 8.
    let lath = Strip::rip(&sheet(18.0), 16.0, 90.0, 90.0).unwrap();
    let (left, _) = lath.rip_again(8.0, 90.0).unwrap();
    let narrow = refused(&plain(left));
    assert!(matches!(narrow, Warning::Narrow { .. }));
    for why in [thin, deep, tilted, narrow] {
        let words = refusal(why, &mm);
        assert!(!words.says.is_empty() && !words.instead.is_empty());
        let all = format!("{} {}", words.says, words.instead);
        assert!(!all.contains("remove the guard") && !all.contains("by hand"));
    }
}

#[test]
fn a_high_bar_is_laid_on_its_side_and_a_higher_one_refused() {
    let strips = |count: usize| vec![Strip::rip(&sheet(18.0), 40.0, 90.0, 90.0).unwrap(); count];
    // Ten of 18 are 180 high and 40 wide; 150 can be sliced.
    let flat = set_ups(&[Bar::stack(strips(10), TOLERANCE).unwrap()]);
    let last = flat.last().unwrap();
    let on_side = Job::Slices {
        loaf: false,
        on_side: true,
    };
    assert_eq!(last.job, on_side);
    near(last.height, 40.0);
    let wide = Strip::rip(&sheet(18.0), 160.0, 90.0, 90.0).unwrap();
    let block = Bar::stack(vec![wide; 10], TOLERANCE).unwrap();
    assert!(matches!(refused(&block), Warning::TooHigh { .. }));
}

fn saw() -> SawLimits {
    SawLimits::default()
}

#[test]
fn cautions_stand_beside_every_cut_and_defer() {
    let s = sheet(18.0);
    let bars = [
        hexagon(vec![shapes::rhombus(&s, 60.0).unwrap(); 3], TOLERANCE).unwrap(),
        plain(Strip::rip(&s, 200.0, 90.0, 60.0).unwrap()),
        plain(shapes::triangle(&s, 60.0).unwrap()),
        plain(shapes::trapezoid(&s, 120.0, 30.0).unwrap()),
    ];
    assert!(bars.iter().all(|bar| refusals(bar).is_empty()));
    for cut in set_ups(&bars) {
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
        let along_fence = !matches!(cut.job, Job::Slices { .. } | Job::InCarriage { .. });
        assert_eq!(
            all.contains("AWAY from the fence"),
            along_fence && cut.tilt > 0.0
        );
        assert!(all.contains("Push block") || !along_fence);
    }
    assert!(FIRST.contains("29 CFR 1910.213") && FIRST.contains("qualified instruction"));
}

#[test]
fn the_words_name_what_is_set_and_what_it_is_measured_to() {
    let strips = vec![shapes::rhombus(&sheet(18.0), 60.0).unwrap(); 3];
    let cut = cuts(&hexagon(strips, TOLERANCE).unwrap()).remove(1);
    let words = saw_words::settings(&cut, &mm).join("\n");
    for part in [
        "Edge angle 60.0\u{b0}: blade 30.0\u{b0} from vertical; an angle gauge zeroed on the table reads 60.0\u{b0}.",
        "Fence 20.78 mm: on the table, from the fence to the near side of the blade",
        "sharp lower corner",
        "face up. Leave it as it lies",
        "20.78 mm on top, 20.78 mm below",
    ] {
        assert!(words.contains(part), "{part}\n{words}");
    }
    assert_eq!(
        saw_words::used_in(&cut.used_in),
        "bar \"tile 0\" parts 1, 2, 3"
    );
}

/// Points of the blade in a drawing, by its colour.
fn blade(text: &str) -> Vec<(f64, f64)> {
    let drawing = roxmltree::Document::parse(text).unwrap();
    let blade = drawing
        .descendants()
        .find(|n| n.attribute("fill") == Some("#b9c0c7"))
        .unwrap();
    let points = blade.attribute("points").unwrap().split(' ');
    points
        .map(|p| {
            let (x, y) = p.split_once(',').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        })
        .collect()
}

/// How far the blade leans on the paper, in degrees from upright: below 0 to the left.
fn lean(text: &str) -> f64 {
    let points = blade(text);
    let steep = points
        .windows(2)
        .map(|w| (w[1].0 - w[0].0, w[1].1 - w[0].1))
        .find(|(_, y)| y.abs() > 20.0)
        .unwrap();
    -(steep.0 / steep.1).atan().to_degrees()
}

#[test]
fn the_drawing_is_sound_and_says_what_it_must() {
    let s = sheet(18.0);
    let bars = [
        plain(shapes::rhombus(&s, 60.0).unwrap()),
        plain(shapes::triangle(&s, 60.0).unwrap()),
        plain(shapes::trapezoid(&s, 120.0, 30.0).unwrap()),
        plain(Strip::rip(&s, 60.0, 90.0, 60.0).unwrap()),
        plain(Strip::rip(&s, 5000.0, 90.0, 90.0).unwrap()),
    ];
    for bar in &bars {
        for cut in cuts(bar) {
            let text = saw_setup(&cut, &saw(), &mm);
            assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
            let drawing = roxmltree::Document::parse(&text).unwrap();
            let said: Vec<&str> = drawing.descendants().filter_map(|n| n.text()).collect();
            let said = said.join("|");
            if let Some(distance) = cut.distance() {
                let name = saw_words::distance_name(&cut);
                assert!(said.contains(&format!("{name} {}", mm(distance))), "{said}");
            }
            assert!(said.contains("Guard and riving knife"));
            assert!(!said.contains("NOT SAFE") && !said.contains("BEYOND"));
            assert!((lean(&text).abs() - cut.blade_tilt()).abs() < 0.1);
        }
    }
}

/// Which way the blade tilts decides on which side of the fence the cut is drawn: always on the side away
/// from which the blade leans.
#[test]
fn the_fence_stands_where_the_blade_leans_away_from_it() {
    let cut = cuts(&plain(shapes::rhombus(&sheet(18.0), 60.0).unwrap())).remove(1);
    let draw = |tilts_to| {
        let saw = SawLimits { tilts_to, ..saw() };
        saw_setup(&cut, &saw, &mm)
    };
    let fence = |text: &str| -> f64 {
        let drawing = roxmltree::Document::parse(text).unwrap();
        let word = drawing
            .descendants()
            .find(|n| n.text().map(str::trim) == Some("fence") && n.tag_name().name() == "text");
        word.unwrap().attribute("x").unwrap().parse().unwrap()
    };
    let (left, right) = (draw(TiltsTo::Left), draw(TiltsTo::Right));
    assert!(lean(&left) < -29.0 && lean(&right) > 29.0);
    assert!(fence(&left) > blade(&left)[0].0 && fence(&right) < blade(&right)[0].0);
}
