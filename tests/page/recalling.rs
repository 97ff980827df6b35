//! A run that is no longer wanted ends before its time.
//!
//! The long runs here never end by themselves, so whatever comes after one of them came because it
//! was recalled: no clock is asked.

use serde_json::{Value, json};

use crate::asking::{answer, post, posted, state};
use crate::browser::Screen;
use crate::common::Bench;
use crate::scene::{RECIPE, Scene};

trials! {
    Nothing: [
        a_newer_turn_of_a_knob_ends_a_long_run,
        a_newer_save_ends_a_long_run,
        a_newer_module_ends_a_long_run,
        a_newer_turn_of_a_knob_ends_a_long_run_for_a_card_which_comes_with_the_new_knobs,
        a_newer_save_ends_a_long_run_for_a_card_which_comes_of_the_new_text,
        a_page_that_leaves_ends_the_long_run_for_its_card,
    ],
    Browser: [
        cards_that_are_out_of_date_are_let_go_of_while_nobody_looks_at_them,
    ],
}

/// Bounds that no test lasts long enough to reach.
const UNBOUNDED: [&str; 4] = [
    "--max-operations",
    "1000000000000000",
    "--max-seconds",
    "86400",
];

/// The recipe, which never ends while `n` is 1, and says when that begins.
fn with_a_loop(n: u32) -> String {
    format!(
        "let n = param(\"n\", {n}, #{{ from: 0, to: 1 }});\nif n == 1 {{ print(\"round and round\"); \
         while true {{ }} }}\n{RECIPE}"
    )
}

fn height(state: &Value) -> f64 {
    state["picture"]["panels"][0]["height"]
        .as_f64()
        .unwrap_or(0.0)
}

fn a_newer_turn_of_a_knob_ends_a_long_run() {
    let scene = Scene::with(Bench::new().file("tray.rhai", with_a_loop(0)), &UNBOUNDED);
    scene.page.until("shows Tray");
    for rows in [5_i32, 6] {
        let turned = post(&scene, "/api/knobs", &json!({ "set": { "n": "1" } }));
        assert_eq!(turned.status, 200, "{turned:?}");
        scene.page.until("round and round");
        let before = state(&scene, |s| s["busy"] == true);
        let wish = json!({ "set": { "n": "0", "rows": rows.to_string() } });
        post(&scene, "/api/knobs", &wish);
        let after = state(&scene, |s| s["busy"] == false);
        assert!((height(&after) - f64::from(rows) * 12.0).abs() < 1e-9);
        assert!(after["fault"].is_null(), "{after}");
        // Of the run that was ended nothing was told.
        assert!(before["answered"].as_u64() < after["answered"].as_u64());
        assert_eq!(after["printed"], json!([]));
    }
    assert_eq!(scene.page.interrupt(), 0);
}

fn a_newer_save_ends_a_long_run() {
    let scene = Scene::with(Bench::new().file("tray.rhai", with_a_loop(0)), &UNBOUNDED);
    scene.page.until("shows Tray");
    for (by_rename, rows) in [(true, 5), (false, 6)] {
        scene.bench.write("tray.rhai", with_a_loop(1));
        scene.page.until("round and round");
        let quick = RECIPE.replace("\"rows\", 4", &format!("\"rows\", {rows}"));
        if by_rename {
            scene.bench.save_by_rename("tray.rhai", quick);
        } else {
            scene.bench.write("tray.rhai", quick);
        }
        let lines = scene.page.until("tray.rhai changed: shows Tray, ");
        assert!(!lines.iter().any(|l| l.contains("not drawn")), "{lines:?}");
        let after = state(&scene, |s| s["busy"] == false);
        assert!((height(&after) - f64::from(rows) * 12.0).abs() < 1e-9);
    }
}

fn a_newer_module_ends_a_long_run() {
    let endless = "fn rows() { print(\"round and round\"); while true { } 4 }\n";
    let bench = Bench::new().file("help.rhai", endless).file(
        "tray.rhai",
        RECIPE
            .replace("seed(3);", "seed(3); import \"help\" as help;")
            .replace("rows * 12)", "help::rows() * 12)"),
    );
    let scene = Scene::with(bench, &UNBOUNDED);
    scene.page.until("round and round");
    scene.bench.save_by_rename("help.rhai", "fn rows() { 7 }\n");
    scene.page.until("help.rhai changed: shows Tray, ");
    let after = state(&scene, |s| s["busy"] == false);
    assert!((height(&after) - 84.0).abs() < 1e-9);
}

/// The recipe, of which a panel of 12 rows is never ready while `n` is 0.
fn without_12() -> String {
    RECIPE.replace(
        "let wide",
        "let n = param(\"n\", 0, #{ from: 0, to: 1 });\nwhile rows == 12 && n == 0 { }\nlet wide",
    )
}

fn scene_without_12() -> Scene {
    let scene = Scene::with(Bench::new().file("tray.rhai", without_12()), &UNBOUNDED);
    scene.page.until("shows Tray");
    scene
}

fn of_12_rows() -> Value {
    json!({ "set": { "rows": "12" } })
}

/// Asks for the card of 12 rows, does something, and gives the height that is on the card then.
fn height_on_the_card(scene: &Scene, meanwhile: impl FnOnce()) -> f64 {
    let asked = posted(scene, "/api/card", &of_12_rows());
    // The server has another request behind it by then.
    state(scene, |s| s["busy"] == false);
    meanwhile();
    let card = answer(asked);
    assert_eq!(card.status, 200, "{card:?}");
    let told: Value = serde_json::from_str(&card.body).expect("a card");
    told["height"].as_f64().unwrap_or(0.0)
}

fn a_newer_turn_of_a_knob_ends_a_long_run_for_a_card_which_comes_with_the_new_knobs() {
    let scene = scene_without_12();
    let height = height_on_the_card(&scene, || {
        post(&scene, "/api/knobs", &json!({ "set": { "n": "1" } }));
    });
    assert!((height - 144.0).abs() < 1e-9, "{height}");
}

fn a_newer_save_ends_a_long_run_for_a_card_which_comes_of_the_new_text() {
    let scene = scene_without_12();
    let height = height_on_the_card(&scene, || {
        let quick = RECIPE.replace("rows * 12)", "rows * 10)");
        scene.bench.save_by_rename("tray.rhai", quick);
    });
    assert!((height - 120.0).abs() < 1e-9, "{height}");
}

fn a_page_that_leaves_ends_the_long_run_for_its_card() {
    let scene = scene_without_12();
    let asked = posted(&scene, "/api/card", &of_12_rows());
    state(&scene, |s| s["busy"] == false);
    drop(asked);
    // One card is made at a time, so this one waits for the end of the former.
    let card = post(&scene, "/api/card", &json!({ "set": { "rows": "3" } }));
    assert_eq!(card.status, 200, "{card:?}");
    assert!(card.body.contains("image/svg+xml"), "{card:?}");
}

fn cards_that_are_out_of_date_are_let_go_of_while_nobody_looks_at_them() {
    let scene = scene_without_12();
    let browser = scene.shown(Screen::Desk);
    browser.click("[data-room=variations]");
    browser.choose("#wall-axis", "set:rows");
    // Of 12 courses there is none. The page asks for two cards at a time, by connections of their own, so
    // that one may have its turn before the tenth.
    let drawn = "document.querySelectorAll('.wall .card img[src]').length >= 9";
    browser.until(drawn);
    // That one has no end, until the page lets go of it: then others can be made again.
    browser.click("[data-room=panel]");
    browser.fill("#knob-dye", "poppy");
    browser.until("document.querySelectorAll('.wall .card').length === 0");
    let card = post(&scene, "/api/card", &json!({ "set": { "rows": "3" } }));
    assert!(card.body.contains("image/svg+xml"), "{card:?}");
    browser.click("[data-room=variations]");
    browser.until(drawn);
}
