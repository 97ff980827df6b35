//! The page follows the recipe: saves, mistakes, deletion, several pages, and the program's end.

use serde_json::json;

use crate::browser::{Browser, Screen};
use crate::checker::{axe, faultless};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        a_save_changes_the_picture_and_keeps_the_place,
        a_mistake_is_told_with_its_place_above_the_last_good_picture,
        a_page_that_begins_with_a_mistake_shows_that_alone_until_it_is_mended,
        a_recipe_that_is_deleted_is_told_and_may_come_back,
        two_pages_on_one_recipe_show_the_same,
        the_browser_may_be_closed_and_opened_again,
        a_lost_connection_is_told_and_comes_back_by_itself,
        an_address_without_its_key_is_told_as_that,
    ],
    Axe: [
        axe_finds_no_fault_with_a_mistake_and_no_picture,
    ],
}

const PICTURE: &str = "document.querySelector('#view-now').dataset.picture";
const CAMERA: &str = "document.querySelector('#view-now').dataset.camera";

fn a_save_changes_the_picture_and_keeps_the_place() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "48 mm");
    let before = browser.value(PICTURE);
    // Closer, and away from the middle: that is to stay.
    browser.click("#view-now .stage");
    browser.keys("#view-now .stage", "+++\u{e014}\u{e014}");
    let camera = browser.value(CAMERA);
    scene
        .bench
        .save_by_rename("tray.rhai", RECIPE.replace("\"rows\", 4", "\"rows\", 6"));
    browser.until(&format!("{PICTURE} !== {before}"));
    browser.until_text("#view-now figcaption", "72 mm");
    browser.until_text("#tally-facts", "72 mm");
    assert_eq!(browser.value(CAMERA), camera);
    // The picture before can be seen beside it, through the same camera.
    browser.click("#beside");
    browser.until("Boolean(document.querySelector('#view-before').dataset.picture)");
    browser.until_text(
        "#view-before figcaption",
        "Before, start: Tray, 152.4 \u{d7} 48 mm",
    );
}

fn a_mistake_is_told_with_its_place_above_the_last_good_picture() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    let good = browser.value(PICTURE);
    scene
        .bench
        .write("tray.rhai", RECIPE.replace("laminate([", "lamnate(["));
    browser.until_text("#trouble", "lamnate");
    browser.until_text("#trouble .place", "tray.rhai, line 9, column 13");
    browser.until_text("#trouble .source.blamed mark", "lamnate");
    browser.until_text("#trouble", "laminate");
    assert_eq!(browser.value(PICTURE), good, "the picture stays");
    browser.until("!document.querySelector('#view-now .part').hidden");
    scene.bench.write("tray.rhai", RECIPE);
    browser.until("document.querySelector('#trouble').hidden");
}

/// A mistake after something is printed.
fn wrong() -> String {
    let wrong = RECIPE.replace("laminate([", "lamnate([");
    format!("print(\"so far\");\n{wrong}")
}

fn axe_finds_no_fault_with_a_mistake_and_no_picture() {
    for screen in [Screen::Desk, Screen::Narrow] {
        let scene = Scene::new(&wrong());
        let browser = scene.browser(screen);
        browser.until_text("#trouble", "lamnate");
        browser.run(&axe());
        faultless(&browser, "a mistake and no picture");
    }
}

fn a_page_that_begins_with_a_mistake_shows_that_alone_until_it_is_mended() {
    for screen in [Screen::Desk, Screen::Narrow] {
        let scene = Scene::new(&wrong());
        let browser = scene.browser(screen);
        browser.until_text("#trouble", "lamnate");
        browser.until("[...document.querySelector('main').children].filter((e) => e.id !== 'trouble' && e.getClientRects().length).map((e) => e.innerText).join() === 'The first picture comes once this is mended.'");
        let reached = "[...document.querySelectorAll('a, button, input, select, [tabindex=\"0\"]')]\
                       .filter((e) => e.getClientRects().length).map((e) => e.className)";
        // What it printed may tell why; of both one can scroll through the lines.
        browser.until_text("#printed", "so far");
        assert_eq!(browser.value(reached), json!(["lines", ""]), "{screen:?}");
        scene.bench.save_by_rename("tray.rhai", RECIPE);
        browser.until(&format!("Boolean({PICTURE}) && Boolean({CAMERA})"));
        browser.until("!document.querySelector('main').innerText.includes('first picture')");
        // All of it is in the middle of the stage, and can be looked at.
        browser.until(
            "((s, p) => p.width > 100 && Math.abs(s.left + s.right - p.left - p.right) < 4 && p.left > s.left)\
             (document.querySelector('#view-now .stage').getBoundingClientRect(), \
             document.querySelector('#view-now .whole').getBoundingClientRect())",
        );
        browser.click("[data-room=plan]");
        browser.until_text(".plan", "Shop plan: Tray");
    }
}

fn a_recipe_that_is_deleted_is_told_and_may_come_back() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    std::fs::remove_file(scene.bench.path("tray.rhai")).expect("a file to remove");
    browser.until_text("#trouble", "there is no file tray.rhai");
    browser.until_text("#trouble", "last good one");
    browser.until("!document.querySelector('#view-now .part').hidden");
    scene
        .bench
        .write("tray.rhai", RECIPE.replace("\"rows\", 4", "\"rows\", 5"));
    browser.until("document.querySelector('#trouble').hidden");
    browser.until_text("#view-now figcaption", "60 mm");
}

fn two_pages_on_one_recipe_show_the_same() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.in_second_tab(&scene.address, |second| {
        second.until_text("#view-now figcaption", "48 mm");
        second.fill("#knob-rows", "7");
        second.until_text("#view-now figcaption", "84 mm");
    });
    browser.until_text("#view-now figcaption", "84 mm");
    browser.until("document.querySelector('#knob-rows').value === '7'");
}

fn the_browser_may_be_closed_and_opened_again() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.fill("#knob-rows", "9");
    browser.until_text("#view-now figcaption", "108 mm");
    drop(browser);
    scene.bench.write("tray.rhai", format!("{RECIPE}// more\n"));
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "108 mm");
}

fn a_lost_connection_is_told_and_comes_back_by_itself() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#line", "connected");
    let port = scene.port().to_string();
    assert_eq!(scene.page.interrupt(), 0);
    browser.until_text("#line", "not connected");
    // Another start has another key: the page says what to do.
    let scene = Scene::with(scene.bench, &["--port", &port]);
    browser.until_text("#line", "restarted");
    browser.open(&scene.address);
    browser.until("document.querySelector('#line').textContent === 'connected'");
    browser.until("Boolean(document.querySelector('#view-now').dataset.picture)");
}

fn an_address_without_its_key_is_told_as_that() {
    let scene = Scene::new(RECIPE);
    let browser = Browser::start(Screen::Desk);
    let (bare, _) = scene.address.split_once('#').expect("a key");
    browser.open(bare);
    browser.until_text("#line", "open the whole address that plyloom printed");
    let said = browser.value("document.body.innerText");
    assert!(
        !said.as_str().expect("words").contains("restarted"),
        "{said}"
    );
    // With a key that is not this start's, it is another matter.
    browser.open("about:blank");
    browser.open(&format!("{bare}#{}", "0".repeat(scene.key().len())));
    browser.until_text("#line", "plyloom was restarted");
}
