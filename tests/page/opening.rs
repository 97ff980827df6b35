//! Other recipes opened from the page: of the folder, and patterns to begin from.

use crate::browser::{Browser, Screen};
use crate::common::Bench;
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        a_recipe_of_the_folder_is_opened_in_the_place_of_another,
        a_pattern_goes_on_under_another_name,
    ],
}

const OTHER: &str = "about(#{ title: \"A runner\", purpose: \"for the hall\", try_next: [\"--set wide=9\"], language: 1 });\n\
    let wide = param(\"wide\", 6, #{ from: 2, to: 12 });\nlet t = bar(plywood(9, 12).square()).slice(\"t\");\n\
    panel(\"Runner\", squares(t)).size(wide, 2);\n";

fn shelf(screen: Screen) -> (Scene, Browser) {
    let bench = Bench::new()
        .file("tray.rhai", RECIPE)
        .file("runner.rhai", OTHER);
    let scene = Scene::with(bench, &[]);
    let browser = scene.shown(screen);
    browser.click("[data-room=recipes]");
    browser.until("document.querySelectorAll('#room-recipes .card').length > 30");
    (scene, browser)
}

fn a_recipe_of_the_folder_is_opened_in_the_place_of_another() {
    let (scene, browser) = shelf(Screen::Desk);
    let card = "#room-recipes [data-recipe='runner.rhai']";
    browser.until(&format!(
        "Boolean(document.querySelector(\"{card} img\").src)"
    ));
    browser.until_text(card, "A runner");
    browser.until_text(card, "for the hall");
    browser.until_text(card, "--set wide=9");
    browser.click("[aria-label='Open runner']");
    browser.until_text("#recipe", "runner.rhai");
    browser.until_text("#view-now figcaption", "Runner, 72");
    browser.until(
        "document.body.dataset.room === 'panel' && Boolean(document.querySelector('#knob-wide'))",
    );
    // It follows that file now, and its steps are its own.
    scene.bench.write(
        "runner.rhai",
        OTHER.replace("size(wide, 2)", "size(wide, 3)"),
    );
    browser.until_text("#view-now figcaption", "18 tiles");
    browser.until_text("#states-told", "runner.rhai.states.json");
    browser.click("#undo");
    browser.until_text("#view-now figcaption", "12 tiles");
    assert_eq!(scene.bench.read("runner.rhai"), OTHER);
    assert_eq!(scene.bench.read("tray.rhai"), RECIPE);
}

fn a_pattern_goes_on_under_another_name() {
    let (scene, browser) = shelf(Screen::Narrow);
    let card = "#room-recipes [data-pattern=true][data-recipe=twill]";
    browser.run(&format!(
        "document.querySelector('{card}').scrollIntoView({{ block: 'center' }})"
    ));
    browser.until(&format!(
        "Boolean(document.querySelector('{card} img').src)"
    ));
    let name = format!("{card} input");
    browser.fill(&name, "no/path");
    browser.until_text("#notes", "made of letters");
    browser.fill(&name, "runner");
    browser.until_text("#notes", "there is a recipe runner.rhai already");
    browser.fill(&name, "hall");
    browser.until_text("#recipe", "hall.rhai");
    let pattern = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns/twill.rhai");
    let pattern = std::fs::read_to_string(pattern).expect("a pattern");
    assert_eq!(scene.bench.read("hall.rhai"), pattern);
    assert_eq!(scene.bench.read("runner.rhai"), OTHER);
}
