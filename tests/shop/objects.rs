//! The simulated shop objects: a plan with one number, one name or one count wrong is not carried out,
//! or does not come out as the recipe has it. Were it not so, the other tests here would prove nothing.

use plyloom::layout::panel::Panel;
use plyloom::plan::{Plan, Shop};
use serde_json::{Value, json};

use crate::carried_out::carried_out_as;
use crate::recipes::made;

fn steps(panels: &[&Panel], shop: &Shop) -> Value {
    serde_json::to_value(&Plan::of(panels, shop).expect("a plan").steps).expect("JSON")
}

/// The first step of a kind.
fn first<'a>(steps: &'a mut Value, kind: &str) -> &'a mut Value {
    let all = steps["steps"].as_array_mut().expect("steps");
    let found = all.iter_mut().find(|s| s["work"]["do"] == kind);
    found.unwrap_or_else(|| panic!("no step {kind}"))
}

fn add(value: &mut Value, by: f64) {
    *value = json!(value.as_f64().expect("a number") + by);
}

/// What is spoilt, and how.
type Spoil = (&'static str, fn(&mut Value));

#[test]
fn every_kind_of_step_can_fail() {
    let shop = Shop::parse("[cutting]\nbar_length = 500\n").expect("a shop");
    let outcome = made(crate::recipes::ALL_STEPS);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let good = steps(&panels, &shop);
    assert_eq!(carried_out_as(&panels, &good), Ok(()));

    for (name, spoil) in WOOD.iter().chain(BARS).chain(PANELS) {
        let mut bad = good.clone();
        spoil(&mut bad);
        assert_ne!(bad, good, "{name}: nothing is spoilt");
        let said = carried_out_as(&panels, &bad);
        assert!(said.is_err(), "{name}: the shop did not notice");
    }
}

#[test]
fn veneers_that_are_ironed_on_are_coated_first() {
    let shop = Shop::parse("[veneering]\nway = \"iron\"\n").expect("a shop");
    let outcome = made(crate::recipes::ALL_STEPS);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let good = steps(&panels, &shop);
    assert_eq!(carried_out_as(&panels, &good), Ok(()));
    let dos: Vec<&str> = (good["steps"].as_array().expect("steps").iter())
        .filter_map(|s| s["work"]["do"].as_str())
        .filter(|what| ["cut_veneer", "coat", "iron", "press"].contains(what))
        .collect();
    assert_eq!(
        dos,
        ["cut_veneer", "coat", "iron", "cut_veneer", "coat", "iron"]
    );
    let mut bad = good.clone();
    first(&mut bad, "coat")["takes"] = json!([]);
    first(&mut bad, "coat")["gives"] = json!([]);
    assert!(carried_out_as(&panels, &bad).is_err());
}

#[test]
fn moves_that_do_not_show_are_noticed() {
    const SAME_BY_THIRDS: &str = r#"
let r = laminate([veneer(0.6, "navy"), plywood(13, 17.7)]).rhombus(60);
let block = hexagon([r, r, r]).slice("block");
panel("Thirds", hexagons(block)).size(4, 3).fill(random("all", block.looks()));
"#;
    let outcome = made(SAME_BY_THIRDS);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let good = steps(&panels, &Shop::common());
    assert_eq!(carried_out_as(&panels, &good), Ok(()));
    for tile in 0..4 {
        let mut bad = good.clone();
        let turn = &mut first(&mut bad, "lay_dry")["work"]["tiles"][tile]["turn"];
        add(turn, 120.0);
        let said = carried_out_as(&panels, &bad).expect_err("more moves than need be");
        assert!(said.contains("shows the same"), "{said}");
    }
}

/// The first step that rips strips with a tilted blade.
fn strips(steps: &mut Value) -> &mut Value {
    let all = steps["steps"].as_array_mut().expect("steps");
    let tilted = |s: &&mut Value| {
        s["work"]["do"] == "rip" && s["work"]["tilt"].as_f64().expect("a tilt") > 1.0
    };
    all.iter_mut().find(tilted).expect("a bevel")
}

const WOOD: &[Spoil] = &[
    ("a board too few", |s| {
        add(&mut s["fetch"][0]["count"], -1.0);
    }),
    ("a blank too long", |s| {
        add(&mut s["pieces"][1]["length"], 700.0);
    }),
    ("a blank too many", |s| {
        let step = first(s, "crosscut");
        let many = step["takes"][0]["count"].as_f64().expect("a count") * 1000.0;
        add(&mut step["gives"][0]["count"], many);
    }),
    ("a veneer too narrow", |s| {
        let step = first(s, "cut_veneer");
        add(&mut step["work"]["width"], -30.0);
    }),
    ("a veneer forgotten", |s| {
        let step = first(s, "press");
        step["work"]["stack"]
            .as_array_mut()
            .expect("a stack")
            .remove(0);
    }),
    ("a fence off by a tenth", |s| {
        let step = strips(s);
        let rounds = step["work"]["rounds"].as_array_mut().expect("rounds");
        let pass = &mut rounds.last_mut().expect("a round")["passes"][0];
        let sets = pass["set"].as_object().expect("a setting");
        let key = sets.keys().next().expect("its name").clone();
        add(&mut pass["set"][&key], 0.1);
    }),
    ("a tilt off by a degree", |s| {
        add(&mut strips(s)["work"]["tilt"], 1.0);
    }),
    ("the wrong side down", |s| {
        let step = strips(s);
        for round in step["work"]["rounds"].as_array_mut().expect("rounds") {
            let looks = &mut round["passes"][0]["lie"]["down"]["looks"];
            *looks = json!(360.0 - looks.as_f64().expect("an angle"));
        }
    }),
    // All passes turned so would give the mirror image, which is the same strip end for end.
    ("the other end first in one pass", |s| {
        let end = &mut strips(s)["work"]["rounds"][0]["passes"][0]["lie"]["end"];
        *end = json!(3 - end.as_u64().expect("an end"));
    }),
    ("a pass too many", |s| {
        let step = strips(s);
        let rounds = step["work"]["rounds"].as_array_mut().expect("rounds");
        add(&mut rounds.last_mut().expect("a round")["times"], 100_000.0);
    }),
    ("a kerf forgotten", |s| {
        strips(s)["work"]["kerf"] = json!(0.0);
    }),
];

const BARS: &[Spoil] = &[
    ("a part end for end", |s| {
        let part = &mut first(s, "glue_bar")["work"]["parts"][0]["end_for_end"];
        *part = json!(!part.as_bool().expect("yes or no"));
    }),
    ("a face that looks elsewhere", |s| {
        let face = &mut first(s, "glue_bar")["work"]["parts"][0]["face"];
        *face = if *face == "out" {
            json!("gone")
        } else {
            json!("out")
        };
    }),
    ("a part rolled", |s| {
        add(&mut first(s, "glue_bar")["work"]["parts"][1]["roll"], 180.0);
    }),
    ("a part beside its place", |s| {
        add(
            &mut first(s, "glue_bar")["work"]["parts"][1]["shift"][0],
            0.5,
        );
    }),
    ("a strip too few", |s| {
        add(&mut first(s, "glue_bar")["takes"][0]["count"], -1.0);
    }),
    ("bars that lie about their number", |s| {
        add(&mut first(s, "clean")["gives"][0]["count"], 1.0);
    }),
    ("pencil lines on one corner", |s| {
        let corners = &mut first(s, "mark")["work"]["corners"];
        corners[1] = corners[0].clone();
    }),
    ("a slice too many", |s| {
        let step = first(s, "slice");
        add(&mut step["work"]["slices"], 1.0);
        let bars = step["takes"][0]["count"].as_f64().expect("a count");
        add(&mut step["gives"][0]["count"], bars);
    }),
    ("a slice of nothing", |s| {
        add(&mut first(s, "slice")["work"]["end"], 500.0);
    }),
];

const PANELS: &[Spoil] = &[
    ("a tile turned", |s| {
        add(&mut first(s, "lay_dry")["work"]["tiles"][0]["turn"], 180.0);
    }),
    ("a tile turned over", |s| {
        let flip = &mut first(s, "lay_dry")["work"]["tiles"][0]["flip"];
        *flip = json!(!flip.as_bool().expect("yes or no"));
    }),
    ("a tile beside its place", |s| {
        add(&mut first(s, "lay_dry")["work"]["tiles"][0]["at"][0], 1.0);
    }),
    ("tiles that were never cut", |s| {
        add(&mut first(s, "lay_dry")["takes"][0]["count"], 100_000.0);
    }),
    ("a tile not glued", |s| {
        add(
            &mut first(s, "glue")["work"]["assemblies"][0]["tiles"],
            -1.0,
        );
    }),
    ("flattened from another thickness", |s| {
        add(&mut first(s, "flatten")["work"]["from"], 1.0);
    }),
    ("trimmed to nothing", |s| {
        first(s, "trim")["work"]["outline"] = json!([]);
    }),
    ("a rest that was never there", |s| {
        add(&mut first(s, "put_back")["takes"][0]["count"], 1.0);
    }),
    ("two steps in the wrong order", |s| {
        let all = s["steps"].as_array_mut().expect("steps");
        let at = all
            .iter()
            .position(|s| s["work"]["do"] == "glue_bar")
            .expect("a bar");
        all.swap(at, at + 3);
        for (i, step) in all.iter_mut().enumerate() {
            step["number"] = json!(i + 1);
        }
    }),
];
