//! The drawings of a plan's steps: how boards and leaves are cut up, how a bar is laid up.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use plyloom::{
    draw::step_drawings::{StepDrawing, step_drawings},
    layout::panel::Panel,
    plan::{Plan, Shop},
    recipe::{Outcome, evaluate, memory_host::MemoryHost, settings::Settings, source::Source},
};

const BLOCKS: &str = r#"
let sheet = laminate([veneer(0.6, "navy"), plywood(13, 17.7)]);
let other = laminate([veneer(0.6, "teal"), plywood(13, 17.7)]);
let block = hexagon([sheet.rhombus(60), sheet.rhombus(60), other.rhombus(60)]).slice("block");
panel("All", hexagons(block)).finished(260, 180).fill(random("all", block.looks()));
"#;

fn made(text: &str) -> Outcome {
    let source = Arc::new(Source::new("recipe.rhai", text));
    evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
    .unwrap()
}

fn drawn(text: &str, shop: &Shop) -> (Plan, Vec<StepDrawing>) {
    let outcome = made(text);
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let plan = Plan::of(&panels, shop).unwrap();
    let drawings = step_drawings(&plan, shop);
    (plan, drawings)
}

/// The words in a drawing.
fn words(svg: &str) -> Vec<String> {
    assert!(!svg.contains("NaN"));
    let drawing = roxmltree::Document::parse(svg).unwrap();
    let texts = drawing.descendants().filter(|n| n.has_tag_name("text"));
    texts
        .map(|n| n.text().unwrap_or_default().trim().to_owned())
        .collect()
}

fn one<'a>(drawings: &'a [StepDrawing], kind: &str) -> Vec<&'a StepDrawing> {
    drawings.iter().filter(|d| d.kind == kind).collect()
}

#[test]
fn every_part_of_a_bar_is_numbered_and_its_face_is_shown() {
    let (plan, drawings) = drawn(BLOCKS, &Shop::common());
    let [bar] = one(&drawings, "bar")[..] else {
        panic!("one bar is glued");
    };
    let step = &plan.steps.steps[bar.step - 1];
    assert_eq!(serde_json::to_value(&step.work).unwrap()["do"], "glue_bar");
    let said = words(&bar.svg);
    for text in [
        "1",
        "2",
        "3",
        "1: S1, rolled 150.0\u{b0} anticlockwise; its",
        "sheet's face against part 2",
        "Held by tape or bands all along; straight cauls at flat sides.",
    ] {
        assert!(said.iter().any(|w| w == text), "{text}: {said:?}");
    }
    // A red line for the face of each part.
    assert_eq!(bar.svg.matches("stroke=\"#d2001f\"").count(), 3);
}

/// An L of two strips has an inner corner; strips in a stack are clamped, not taped.
#[test]
fn inner_corners_and_flat_joints_are_told() {
    let corner = r#"
let lath = laminate([plywood(9, 12)]).rip(48);
let corner = bar(lath).mate("top", lath, "left").slice("corner");
panel("L").place(corner, 0, 0);
"#;
    let (plan, drawings) = drawn(corner, &Shop::common());
    let said = words(&one(&drawings, "bar")[0].svg).join("|");
    assert!(said.contains("wiped out before the glue sets"), "{said}");
    let told = plyloom::plan::report::steps(&plan.steps, &Shop::common());
    let lines: Vec<String> = told.into_iter().flat_map(|step| step.lines).collect();
    let lines = lines.join("|");
    assert!(
        lines.contains("squeezed into the inner corner before it sets"),
        "{lines}"
    );
    let stack = r#"
let s = laminate([plywood(9, 12)]);
let tile = stack([s.rip(36), s.rip(36), s.rip(36)]).slice("tile");
panel("P", squares(tile)).size(3, 3).fill(tile);
"#;
    let (plan, drawings) = drawn(stack, &Shop::common());
    let said = words(&one(&drawings, "bar")[0].svg).join("|");
    assert!(said.contains("Clamped between straight cauls"), "{said}");
    let steps = serde_json::to_value(&plan.steps).unwrap();
    let all = steps["steps"].as_array().unwrap();
    let glue = all.iter().find(|s| s["work"]["do"] == "glue_bar").unwrap();
    let parts = &glue["work"]["parts"];
    assert_eq!(parts[0]["face"], "out");
    assert_eq!(parts[1]["face"], serde_json::json!({ "at": 1 }));
    // 36 mm wide and as long as the bar, at 0.7 N/mm2: ten slices come from a bar as long as is safe to rip,
    // 300 mm, which takes 7.6 kN, three clamps of 3 kN.
    let held = &glue["work"]["held"]["clamps"];
    assert!((held["force"][0].as_f64().unwrap() - 36.0 * 300.0 * 0.7 / 1000.0).abs() < 1e-6);
    assert_eq!(held["clamps"][0], 3);
}

/// The corner of an L has a course that is parted, and shorter ones below it: what is glued together meets, so a part of a
/// course stays by itself. (Its other end and the next course would lie apart.) The dashes of a round hole run on.
#[test]
fn parts_of_a_course_are_glued_by_themselves() {
    let corner = r#"
let tile = bar(plywood(13, 18).rip(60)).slice("tile");
panel("L", running_bond(tile, 1.0/3)).finished_outline(l_shape(700, 480, 260, 260).hole(circle(90), 550, 120)).fill(tile);
"#;
    let outcome = made(corner);
    let shop = Shop::common();
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    let plan = Plan::of(&panels, &shop).unwrap();
    let gluing = &plan.gluing[0];
    assert!(gluing.assemblies.len() > 10);
    for assembly in &gluing.assemblies {
        let placed = &gluing.placements[assembly.placements.clone()];
        let (first, last) = (placed[0], placed[placed.len() - 1]);
        let next = gluing.placements.get(assembly.placements.end);
        let whole = first.number == 1 && next.is_none_or(|next| next.number == 1);
        assert!(
            whole || first.course == last.course,
            "{first:?} to {last:?}"
        );
    }
    let map = plyloom::draw::glue_map::glue_map(panels[0], gluing, None, "");
    assert_eq!(map.matches("stroke-dasharray").count(), 2);
}

/// Two triangles that meet on the diagonal of a square have no flat side along that joint: straight cauls would crush the
/// corners, so the bar is folded up on tape.
#[test]
fn a_joint_on_the_diagonal_is_held_by_tape() {
    let halves = r#"
let t = laminate([plywood(13, 17.7)]).triangle(45);
let tile = stack([t.roll(), t]).slice("halved").rotate(45);
panel("P", squares(tile)).size(3, 3).fill(tile);
"#;
    let (plan, _) = drawn(halves, &Shop::common());
    let steps = serde_json::to_value(&plan.steps).unwrap();
    let all = steps["steps"].as_array().unwrap();
    let glue = all.iter().find(|s| s["work"]["do"] == "glue_bar").unwrap();
    assert_eq!(glue["work"]["held"], "tape");
}

/// Each strip that the steps rip is drawn once on some board, and lies within its blank.
#[test]
fn the_boards_show_every_strip_and_what_is_left() {
    let shop = Shop::parse(
        "[[scrap]]\nname = \"left of the cabinet\"\nwidth = 240\nlength = 1300\n[[veneer]]\ncolour = \"navy\"\n\
         width = 300\nlength = 2500\n",
    )
    .unwrap();
    let (plan, drawings) = drawn(BLOCKS, &shop);
    let said: Vec<String> = one(&drawings, "board")
        .iter()
        .flat_map(|d| words(&d.svg))
        .collect();
    let steps = serde_json::to_value(&plan.steps).unwrap();
    let rips = steps["steps"].as_array().unwrap().iter();
    let strips = rips.filter(|s| s["work"]["purpose"] == "strips");
    let mut all = 0;
    for of in strips.flat_map(|s| s["gives"].as_array().unwrap().clone()) {
        let (piece, count) = (of["piece"].as_str().unwrap(), of["count"].as_u64().unwrap());
        if piece.starts_with('S') {
            let sign = format!("{count} x {piece}");
            assert!(said.contains(&sign), "{sign}: {said:?}");
            all += count;
        }
    }
    assert!(all > 0);
    // What is left is what the steps put back.
    let ends = steps["pieces"].as_array().unwrap().iter();
    for end in ends.filter(|p| p["kind"] == "rest" && p["id"].as_str().unwrap().starts_with("end"))
    {
        let long = shop.units.at_most(end["length"].as_f64().unwrap());
        assert!(
            said.iter().any(|w| w.contains(&format!("x {long}"))),
            "{long}: {said:?}"
        );
    }
    let leaves = one(&drawings, "leaf");
    let said = words(&leaves[0].svg).join("|");
    assert!(said.contains("leaf of navy, 300 mm x 2500 mm"), "{said}");
}
