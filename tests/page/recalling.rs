//! A run that is no longer wanted ends before its time. No browser is needed.
//!
//! The long runs here never end by themselves, so whatever comes after one of them came because it
//! was recalled: no clock is asked.

use serde_json::json;

use crate::asking::{post, state};
use crate::common::Bench;
use crate::scene::{RECIPE, Scene};

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

fn height(state: &serde_json::Value) -> f64 {
    state["picture"]["panels"][0]["height"]
        .as_f64()
        .unwrap_or(0.0)
}

#[test]
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

#[test]
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

#[test]
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
