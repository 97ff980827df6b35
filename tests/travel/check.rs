//! What `plyloom check` tells of a recipe before it is shared.

use crate::common::Bench;

const ABOUT: &str = "about(#{ title: \"x\", author: \"y\", licence: \"CC0-1.0\", language: 1 });\n";
const WOOD: &str = "let tile = bar(plywood(13, 18).square()).slice(\"tile\");\n";
const PANEL: &str = "panel(\"p\", squares(tile)).size(3, 2).fill(tile);\n";

fn checked(recipe: &str, arguments: &[&str]) -> crate::common::Ran {
    let bench = Bench::new().file("a.rhai", recipe);
    bench.run(&[&["check", "a.rhai"], arguments].concat())
}

#[test]
fn a_recipe_with_nothing_to_mend() {
    let recipe = format!(
        "{ABOUT}let n = param(\"columns\", 4, #{{ from: 1, to: 9 }});\n{WOOD}\
         panel(\"p\", squares(tile)).size(n, 2).fill(tile);\n"
    );
    checked(&recipe, &["--strict"])
        .ended(0)
        .out_has("a.rhai\n  nothing to mend, 27 runs\n");
}

#[test]
fn what_an_author_left_unsaid() {
    checked(&format!("{WOOD}{PANEL}"), &[])
        .ended(0)
        .out_has("it has no `about` [check::no_about]");
    let recipe = format!("about(#{{ purpose: \"z\" }});\n{WOOD}{PANEL}");
    checked(&recipe, &[])
        .ended(0)
        .out_has("check::no_licence")
        .out_has("check::no_title")
        .out_has("check::no_author")
        .out_has("check::no_language")
        .out_has("3 warnings, 1 note");
}

#[test]
fn parameters_that_do_nothing() {
    let recipe = format!(
        "{ABOUT}let a = param(\"unused\", 4, #{{ from: 1, to: 9 }});\n\
         param(\"alone\", true);\n\
         let c = param(\"printed\", false);\n\
         print(`${{c}}`);\n\
         let d = param(\"switch\", false);\n\
         let e = param(\"beside\", false);\n\
         {WOOD}let n = if d && e {{ 2 }} else {{ 3 }};\n\
         panel(\"p\", squares(tile)).size(n, 2).fill(tile);\n"
    );
    let ran = checked(&recipe, &[]);
    ran.ended(0)
        .out_has("the parameter `unused` is declared and never used")
        .out_has("at a.rhai:2:9")
        .out_has("the parameter `alone` is declared and never used")
        .out_has("the parameter `printed` changed no panel, whatever its value");
    // Two that work only together are found to work.
    assert!(
        !ran.out.contains("`switch`") && !ran.out.contains("`beside`"),
        "{}",
        ran.out
    );
}

#[test]
fn ranges_that_fail_somewhere() {
    let recipe = format!(
        "{ABOUT}let a = param(\"columns\", 4, #{{ from: 0, to: 9 }});\n\
         let b = param(\"courses\", 4, #{{ from: 1, to: 9 }});\n\
         {WOOD}if a + b > 17 {{ throw \"too many\"; }}\n\
         panel(\"p\", squares(tile)).size(a, b).fill(tile);\n"
    );
    checked(&recipe, &[])
        .ended(0)
        .out_has("it fails with values within its ranges, with columns = 0: ")
        .out_has("it fails with values within its ranges, with columns = 9, courses = 9: ")
        .out_has("narrow the range");
    checked(&recipe, &["--strict"])
        .ended(1)
        .err_has("not ready to be shared");
    // With what is set once and for all, the rest of the range does not count.
    let ran = checked(&recipe, &["--set", "columns=3"]);
    assert!(!ran.out.contains("check::range_fails"), "{}", ran.out);
}

#[test]
fn wood_that_cannot_be_cut_or_glued_as_it_is() {
    let recipe = format!(
        "{ABOUT}joint_tolerance(0.3);\nlet r = plywood(13, 17.7).rhombus(60.2);\n\
         let h = hexagon([r, r, r]).slice(\"nearly\");\n\
         panel(\"p\").place(h, 0, 0);\n"
    );
    checked(&recipe, &[])
        .out_has("the bar of \"nearly\" has a joint that is 0.")
        .out_has("only by `joint_tolerance(0.3)`");
    let recipe = format!("{ABOUT}joint_tolerance(0.3);\n{WOOD}{PANEL}");
    checked(&recipe, &[]).out_has("`joint_tolerance(0.3)` is not needed");
    let recipe = format!(
        "{ABOUT}let thin = bar(plywood(5, 18).rip(2)).slice(\"thin\");\n\
         let spare = bar(plywood(5, 18).square()).slice(\"spare\");\n\
         panel(\"p\", squares(thin)).finished(37, 55).fill(thin);\n"
    );
    checked(&recipe, &[])
        .ended(0)
        .out_has("strips of 2.0 mm are too thin to rip")
        .out_has("narrower than 3 mm")
        .out_has("the tiles \"spare\" are sliced, but no panel uses them");
}

#[test]
fn a_recipe_that_fails_is_an_error_with_its_place() {
    checked("let x = ;\n", &[])
        .ended(1)
        .out_has("error: ")
        .out_has("at a.rhai:1:9")
        .out_has("1 error, 1 run\n");
    checked("let x = 1;\n", &[])
        .ended(1)
        .out_has("it makes no panel [recipe::no_panel]");
}

#[test]
fn json_for_editors() {
    let ran = checked(&format!("{WOOD}{PANEL}"), &["--json"]);
    ran.ended(0);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["schema"], "plyloom-check");
    assert_eq!(json["version"], 1);
    let recipe = &json["recipes"][0];
    assert_eq!(recipe["recipe"], "a.rhai");
    assert_eq!(recipe["worst"], "warning");
    assert_eq!(recipe["findings"][0]["code"], "check::no_about");
    let ran = checked("\nlet x = ;\n", &["--json"]);
    ran.ended(1);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let finding = &json["recipes"][0]["findings"][0];
    assert_eq!(finding["level"], "error");
    assert_eq!(finding["file"], "a.rhai");
    assert_eq!(
        (&finding["line"], &finding["column"]),
        (&2.into(), &9.into())
    );
}

#[test]
fn the_same_findings_every_time() {
    let recipe = format!(
        "{ABOUT}let a = param(\"columns\", 4, #{{ from: 0, to: 900 }});\n\
         let w = param(\"wide\", 18.0, #{{ unit: \"mm\", from: 0.5, to: 40 }});\n\
         let t = bar(plywood(13, 18).rip(w)).slice(\"t\");\n\
         if a % 7 == 3 {{ throw \"seven\"; }}\n\
         panel(\"p\", squares(t)).size(a % 5 + 1, 2).fill(t);\n"
    );
    let (one, other) = (checked(&recipe, &["--json"]), checked(&recipe, &["--json"]));
    assert_eq!(one.out, other.out);
    assert_ne!(
        one.out,
        checked(&recipe, &["--json", "--sample-seed", "2"]).out
    );
}
