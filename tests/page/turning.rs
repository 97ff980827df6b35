//! Knobs: a turn redraws without a save, and what pleases is kept.

use crate::browser::Screen;
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        a_knob_changes_picture_and_tally_without_a_save,
        a_value_that_does_not_fit_is_told,
        the_seed_steps_and_locks,
        values_are_kept_in_the_recipe_and_the_rest_stays,
        a_computed_default_is_refused_politely,
        what_is_shown_is_kept_as_a_choice,
        a_field_that_is_emptied_goes_back_to_what_the_recipe_says,
    ],
}

const PICTURE: &str = "document.querySelector('#view-now').dataset.picture";

fn a_knob_changes_picture_and_tally_without_a_save() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#tally-facts", "52 tiles");
    let before = browser.value(PICTURE);
    browser.fill("#knob-rows", "6");
    browser.until(&format!("{PICTURE} !== {before}"));
    browser.until_text("#tally-facts", "78 tiles");
    browser.until_text("#view-now figcaption", "72 mm");
    // A length in inches, typed as a fraction.
    browser.fill("#knob-wide", "4 3/4 in");
    browser.until_text("#view-now figcaption", "120.7");
    browser.until("document.querySelector('#knob-wide').value === '4.75'");
    // Yes or no, a choice, a colour by name.
    browser.click("#knob-mixed");
    browser.until("document.querySelectorAll('#tally tbody tr').length === 1");
    browser.choose("#knob-edge", "walnut");
    browser.until("document.querySelector('#knob-edge').value === 'walnut'");
    browser.fill("#knob-dye", "poppy");
    browser
        .until("document.querySelector('[data-knob=dye] input[type=color]').value === '#ce3626'");
    assert_eq!(scene.bench.read("tray.rhai"), RECIPE, "nothing was saved");
    let beside = scene.kept();
    assert!(
        beside
            .iter()
            .all(|name| name == "tray.rhai" || name == "tray.rhai.states.json"),
        "{beside:?}"
    );
    // A slider by keyboard alone.
    browser.keys("[data-knob=rows] input[type=range]", "\u{e014}");
    browser.until_text("#view-now figcaption", "84 mm");
    browser.click("#reset");
    browser.until_text("#view-now figcaption", "48 mm");
    browser.until("document.querySelector('#reset').disabled");
}

fn a_value_that_does_not_fit_is_told() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.fill("#knob-rows", "99");
    browser.until_text("#trouble", "from 2 to 12");
    browser.until_text("#view-now figcaption", "48 mm");
    browser.fill("#knob-rows", "5");
    browser.until("document.querySelector('#trouble').hidden");
    browser.until_text("#view-now figcaption", "60 mm");
}

fn the_seed_steps_and_locks() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    let seed = |n: &str| format!("document.querySelector('#seed').value === '{n}'");
    browser.until(&seed("3"));
    let before = browser.value(PICTURE);
    browser.click("#seed-next");
    browser.until(&seed("4"));
    browser.until(&format!("{PICTURE} !== {before}"));
    browser.click("#seed-back");
    browser.until(&seed("3"));
    browser.fill("#seed", "18446744073709551615");
    browser.until(&seed("18446744073709551615"));
    browser.click("#seed-lock");
    browser.until("document.querySelector('#seed').disabled");
    // A saved recipe with another seed leaves the locked one.
    scene.bench.save_by_rename(
        "tray.rhai",
        RECIPE
            .replace("seed(3)", "seed(8)")
            .replace("\"rows\", 4", "\"rows\", 5"),
    );
    browser.until_text("#view-now figcaption", "60 mm");
    browser.until(&seed("18446744073709551615"));
    browser.click("#seed-lock");
    browser.until("!document.querySelector('#seed-own').disabled");
    browser.click("#seed-own");
    browser.until(&seed("8"));
}

fn values_are_kept_in_the_recipe_and_the_rest_stays() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.fill("#knob-rows", "6");
    browser.until_text("#view-now figcaption", "72 mm");
    browser.fill("#knob-wide", "5 1/2 in");
    browser.until_text("#view-now figcaption", "139.7");
    browser.click("#knob-mixed");
    browser.until("document.querySelectorAll('#tally tbody tr').length === 1");
    browser.click("#seed-next");
    browser.until("document.querySelector('#seed').value === '4'");
    browser.click("#keep-defaults");
    browser.until_text("#notes", "are now the defaults in tray.rhai");
    let expected = RECIPE
        .replace("seed(3)", "seed(4)")
        .replace("\"rows\", 4", "\"rows\", 6")
        .replace("\"6 in\"", "\"5 1/2 in\"")
        .replace("\"mixed\", true", "\"mixed\", false");
    assert_eq!(scene.bench.read("tray.rhai"), expected);
    browser.until("document.querySelector('#reset').disabled");
    browser.until_text("#view-now figcaption", "139.7");
}

fn a_computed_default_is_refused_politely() {
    let text = RECIPE.replace("\"rows\", 4", "\"rows\", 2 + 2");
    let scene = Scene::new(&text);
    let browser = scene.shown(Screen::Desk);
    browser.fill("#knob-rows", "6");
    browser.until_text("#view-now figcaption", "72 mm");
    browser.click("#keep-defaults");
    browser.until_text("#notes .wrong", "the default of rows is computed");
    assert_eq!(scene.bench.read("tray.rhai"), text);
}

fn what_is_shown_is_kept_as_a_choice() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.fill("#knob-rows", "3");
    browser.until_text("#view-now figcaption", "36 mm");
    browser.fill("#keep-name", "low");
    browser.click("#keep-choice");
    browser.until_text("#notes", "Saved as low.pick");
    scene
        .bench
        .run(&["preview", "low.pick"])
        .ended(0)
        .out_has("152.4");
    browser.click("#keep-choice");
    browser.until_text("#notes", "Saved as tray-choice-1.pick");
}

fn a_field_that_is_emptied_goes_back_to_what_the_recipe_says() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.fill("#knob-rows", "6");
    browser.until_text("#view-now figcaption", "72 mm");
    browser.fill("#seed", "9");
    browser.until("!document.querySelector('#seed-own').hidden");
    browser.fill("#knob-rows", "\u{e003}");
    browser.until_text("#view-now figcaption", "48 mm");
    browser.until("document.querySelector('#knob-rows').value === '4'");
    browser.fill("#seed", "\u{e003}");
    browser.until("document.querySelector('#seed').value === '3'");
    browser.until("document.querySelector('#trouble').hidden");
}
