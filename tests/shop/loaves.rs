//! Loaves carried out: the panels that come of bars glued side by side are those of single tiles, with the numbers
//! of joints derived by hand; and the shop notices what is spoilt.

use plyloom::layout::panel::Panel;
use plyloom::plan::{Plan, Shop};
use serde_json::{Value, json};

use crate::carried_out::{carried_out, carried_out_as};
use crate::recipes::made;

const CHECKER: &str = r#"
let light = bar(laminate([veneer(0.6, "navy"), plywood(9, 19.4, "birch")]).square()).slice("light");
let dark = bar(laminate([plywood(9, 20, "walnut")]).square()).slice("dark");
panel("Checker", squares(light)).size(8, 8).fill(|c| if (c.column + c.course) % 2 == 0 { light } else { dark });
"#;

const HEXAGONS: &str = r#"
let r = laminate([veneer(0.6, "navy"), plywood(13, 18.6)]).rhombus(60);
let block = hexagon([r, r, r]).slice("block");
panel("Alike", hexagons(block)).size(12, 9).fill(block);
"#;

/// Courses of nine and ten hexagons in turn: every second one begins half a tile to the left.
const IN_TURN: &str = r#"
let r = laminate([veneer(0.6, "navy"), plywood(13, 18.6)]).rhombus(60);
let block = hexagon([r, r, r]).slice("block");
panel("In turn", hexagons(block)).finished(345, 250).fill(block);
"#;

const COASTERS: &str = r#"
let r = laminate([veneer(0.6, "navy"), plywood(13, 18.6)]).rhombus(60);
let block = hexagon([r, r, r]).slice("block");
for i in 0..6 { panel(`coaster ${i}`, hexagons(block)).size(3, 2).fill(block); }
"#;

fn shop(way: &str, more: &str) -> Shop {
    Shop::parse(&format!("[slicing]\nway = \"{way}\"\n{more}")).expect("a shop")
}

fn steps(text: &str, shop: &Shop) -> Value {
    let outcome = made(text);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    serde_json::to_value(&Plan::of(&panels, shop).expect("a plan").steps).expect("JSON")
}

fn all<'a>(steps: &'a Value, kind: &'a str) -> impl Iterator<Item = &'a Value> {
    let all = steps["steps"].as_array().expect("steps").iter();
    all.filter(move |s| s["work"]["do"] == kind)
}

/// Joints and parts of a plan, from its steps: bars into loaves, slices into the panel.
fn numbers(text: &str, shop: &Shop) -> (u64, u64) {
    let steps = steps(text, shop);
    let (mut joints, mut parts) = (0, 0);
    for glue in all(&steps, "glue_loaf") {
        let bars = glue["work"]["bars"].as_array().expect("bars").len() as u64;
        let loaves = glue["gives"][0]["count"].as_u64().expect("a count");
        joints += (bars - 1) * loaves;
        parts += bars * loaves;
    }
    for lay in all(&steps, "lay_dry") {
        let slices = lay["work"]["tiles"].as_array().expect("tiles").len() as u64;
        joints += slices - 1;
        parts += slices;
    }
    (joints, parts)
}

fn comes_out(text: &str, shop: &Shop) {
    let outcome = made(text);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    carried_out(&panels, shop).unwrap_or_else(|fault| panic!("{fault}"));
}

/// By hand: eight bars in a loaf have 7 joints, eight courses 7 between them; 64 single tiles have 2 x 7 x 8.
#[test]
fn a_checker_of_64_takes_14_joints_in_place_of_112() {
    let courses = shop("courses", "");
    assert_eq!(numbers(CHECKER, &courses), (14, 16));
    comes_out(CHECKER, &courses);
    let tiles = shop("tiles", "");
    let outcome = made(CHECKER);
    let plan = Plan::of(&[&outcome.panels[0]], &tiles).expect("a plan");
    assert_eq!(outcome.panels[0].joints.all, 112);
    assert_eq!(all(&steps(CHECKER, &tiles), "glue_loaf").count(), 0);
    let by_courses = Plan::of(&[&outcome.panels[0]], &courses).expect("a plan");
    // 2 x 7 x 8 x 20 mm of joints by tiles, half of that between the courses.
    assert!((plan.gluing[0].joints - 2240.0).abs() < 1e-6);
    assert!((by_courses.gluing[0].joints - 1120.0).abs() < 1e-6);
}

/// By hand: 108 tiles have 283 joints; twelve bars 11 and nine courses 8; four bars 3 and 27 slices 26.
#[test]
fn hexagons_all_alike_take_19_or_29_joints_in_place_of_283() {
    let courses = shop("courses", "");
    assert_eq!(numbers(HEXAGONS, &courses), (19, 21));
    comes_out(HEXAGONS, &courses);
    let loaf = shop("loaf of 4", "");
    assert_eq!(numbers(HEXAGONS, &loaf), (29, 31));
    comes_out(HEXAGONS, &loaf);
    // Left to choose, six side by side: 5 joints, and 17 between 18 slices.
    assert_eq!(numbers(HEXAGONS, &shop("loaf", "")), (22, 24));
}

#[test]
fn courses_of_nine_and_ten_in_turn_take_two_loaves() {
    let shop = shop("courses", "");
    comes_out(IN_TURN, &shop);
    let steps = steps(IN_TURN, &shop);
    let bars: Vec<usize> = all(&steps, "glue_loaf")
        .map(|s| s["work"]["bars"].as_array().expect("bars").len())
        .collect();
    assert_eq!(bars, [10, 9]);
    let misfit = |way: &str| {
        let outcome = made(IN_TURN);
        let plan = Plan::of(&[&outcome.panels[0]], &self::shop(way, ""));
        plan.expect_err("no run fits both").to_string()
    };
    assert_eq!(
        misfit("loaf"),
        "the way \"loaf\" does not fit the panel \"In turn\": its courses of 9, 10 tiles cannot be parted into \
         runs of two or more that are equally long; \"tiles\" and \"courses\" do"
    );
    assert_eq!(
        misfit("loaf of 5"),
        "the way \"loaf of 5\" does not fit the panel \"In turn\": its courses of 9, 10 tiles cannot be parted \
         into runs of 5; \"tiles\" and \"courses\" do"
    );
}

#[test]
fn coasters_are_slices_of_one_block() {
    let shop = shop("panels", "");
    comes_out(COASTERS, &shop);
    let steps = steps(COASTERS, &shop);
    assert_eq!(
        all(&steps, "lay_dry").count() + all(&steps, "glue").count(),
        0
    );
    let block = all(&steps, "glue_loaf").next().expect("a block");
    assert_eq!(block["work"]["bars"].as_array().expect("bars").len(), 6);
    assert_eq!(block["work"]["courses"], 2);
    assert_eq!(all(&steps, "flatten").count(), 6);
}

/// What is spoilt, and how.
type Spoil = (&'static str, fn(&mut Value));

#[test]
fn a_loaf_that_is_spoilt_is_noticed() {
    let outcome = made(CHECKER);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let good = steps(CHECKER, &shop("courses", ""));
    assert_eq!(carried_out_as(&panels, &good), Ok(()));
    for (name, spoil) in SPOILS {
        let mut bad = good.clone();
        spoil(&mut bad);
        assert_ne!(bad, good, "{name}: nothing is spoilt");
        assert!(
            carried_out_as(&panels, &bad).is_err(),
            "{name}: the shop did not notice"
        );
    }
}

fn step<'a>(steps: &'a mut Value, kind: &str) -> &'a mut Value {
    let mut all = steps["steps"].as_array_mut().expect("steps").iter_mut();
    all.find(|s| s["work"]["do"] == kind).expect("such a step")
}

fn add(value: &mut Value, by: f64) {
    *value = json!(value.as_f64().expect("a number") + by);
}

const SPOILS: &[Spoil] = &[
    ("a bar beside its place", |s| {
        add(&mut step(s, "glue_loaf")["work"]["bars"][2]["at"][0], 0.5);
    }),
    ("a bar rolled", |s| {
        add(&mut step(s, "glue_loaf")["work"]["bars"][0]["roll"], 180.0);
    }),
    ("a bar of the other kind", |s| {
        let bars = &mut step(s, "glue_loaf")["work"]["bars"];
        bars[0]["piece"] = bars[1]["piece"].clone();
    }),
    ("a bar too few", |s| {
        add(&mut step(s, "glue_loaf")["takes"][0]["count"], -1.0);
    }),
    ("a bar drawn elsewhere", |s| {
        add(
            &mut step(s, "glue_loaf")["work"]["bars"][0]["outline"][0][0],
            0.5,
        );
    }),
    ("two bars in the wrong order", |s| {
        add(&mut step(s, "glue_loaf")["work"]["bars"][0]["number"], 1.0);
    }),
    ("a loaf longer than its bars", |s| {
        let id = step(s, "glue_loaf")["gives"][0]["piece"].clone();
        let pieces = s["pieces"].as_array_mut().expect("pieces").iter_mut();
        for piece in pieces.filter(|p| p["id"] == id) {
            add(&mut piece["length"], 10.0);
        }
    }),
    ("a slice too many", |s| {
        let slice = step(s, "slice");
        add(&mut slice["work"]["slices"], 10.0);
        let loaves = slice["takes"][0]["count"].as_f64().expect("a count");
        add(&mut slice["gives"][0]["count"], 10.0 * loaves);
    }),
    ("a slice turned", |s| {
        add(&mut step(s, "lay_dry")["work"]["tiles"][0]["turn"], 180.0);
    }),
    // The second course is the first one turned over, left for right.
    ("a slice not turned over", |s| {
        let flip = &mut step(s, "lay_dry")["work"]["tiles"][1]["flip"];
        assert_eq!(*flip, json!(true));
        *flip = json!(false);
    }),
    ("a slice numbered as a tile", |s| {
        step(s, "lay_dry")["work"]["tiles"][0]["tiles"] = json!(1);
    }),
    ("a slice not glued", |s| {
        add(&mut step(s, "glue")["work"]["assemblies"][0]["tiles"], -8.0);
    }),
];
