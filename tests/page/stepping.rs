//! Steps back and forth over all that is set on the page, and the strip of states.

use serde_json::json;

use crate::browser::{Browser, Screen};
use crate::hands::{CONTROL, ENTER, RIGHT, SHIFT};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        steps_go_back_and_forth_and_on_another_way,
        keys_go_back_and_forth_and_along_the_strip,
        a_finger_goes_to_any_state,
        what_is_drawn_along_a_slider_is_one_step,
        a_value_that_came_to_no_picture_is_taken_back,
        the_steps_are_there_after_a_reload,
    ],
}

/// Holds that the strip has these states, and which of them is shown.
#[track_caller]
fn states(browser: &Browser, words: &[&str], shown: usize) {
    let wanted = json!([words, shown]);
    browser.until(&format!(
        "((all) => JSON.stringify([all.map((b) => b.innerText.trim()), all.findIndex((b) => b.ariaCurrent === 'true')]) \
         === JSON.stringify({wanted}))([...document.querySelectorAll('#states button')])"
    ));
}

#[track_caller]
fn height(browser: &Browser, mm: &str) {
    browser.until_text("#view-now figcaption", &format!("\u{d7} {mm} mm"));
}

/// Two steps: 6 courses, another dye.
fn two_steps(scene: &Scene, screen: Screen) -> Browser {
    let browser = scene.shown(screen);
    assert_eq!(
        browser.value(
            "document.querySelector('#states').hidden && document.querySelector('#undo').disabled"
        ),
        json!(true)
    );
    browser.fill("#knob-rows", "6");
    states(&browser, &["start", "rows 6"], 1);
    browser.fill("#knob-dye", "poppy");
    states(&browser, &["start", "rows 6", "dye poppy"], 2);
    browser.until("document.querySelectorAll('#states img').length === 3");
    browser
}

fn steps_go_back_and_forth_and_on_another_way() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Desk);
    browser.click("#undo");
    browser.until("document.querySelector('#knob-dye').value === 'navy'");
    browser.click("#undo");
    height(&browser, "48");
    browser.until("document.querySelector('#undo').disabled");
    browser.click("#redo");
    height(&browser, "72");
    states(&browser, &["start", "rows 6", "dye poppy"], 1);
    // On another way: what was left stays in the strip.
    browser.choose("#look-finish", "oil");
    states(&browser, &["start", "rows 6", "dye poppy", "finish oil"], 3);
    browser.until("document.querySelector('#redo').disabled");
    browser.click("#states li:nth-child(3) button");
    browser.until("document.querySelector('#knob-dye').value === 'poppy'");
    browser.until("document.querySelector('#look-finish').value === 'raw'");
    browser.click("#undo");
    states(&browser, &["start", "rows 6", "dye poppy", "finish oil"], 1);
    assert_eq!(scene.bench.read("tray.rhai"), RECIPE, "nothing was saved");
}

fn keys_go_back_and_forth_and_along_the_strip() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Desk);
    browser.run("document.querySelector('#view-now .stage').focus()");
    browser.press_holding(&[CONTROL], &['z']);
    states(&browser, &["start", "rows 6", "dye poppy"], 1);
    browser.press_holding(&[CONTROL, SHIFT], &['z']);
    states(&browser, &["start", "rows 6", "dye poppy"], 2);
    browser.press_holding(&[CONTROL], &['z']);
    states(&browser, &["start", "rows 6", "dye poppy"], 1);
    browser.run("document.querySelector('#states [aria-current]').focus()");
    browser.press(&[RIGHT, ENTER]);
    states(&browser, &["start", "rows 6", "dye poppy"], 2);
    // The focus is where it was, on the state that is shown.
    browser.until("document.activeElement.ariaCurrent === 'true'");
    // In a field the keys are the field's own.
    browser.click("#knob-rows");
    browser.press_holding(&[CONTROL], &['z']);
    states(&browser, &["start", "rows 6", "dye poppy"], 2);
}

fn a_finger_goes_to_any_state() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Narrow);
    let at = browser.value(
        "(() => { const b = document.querySelector('#states li:first-child button'); \
         b.scrollIntoView({ block: 'center', inline: 'nearest' }); const r = b.getBoundingClientRect(); \
         return [r.left + r.width / 2, r.top + r.height / 2]; })()",
    );
    let number = |i: usize| at[i].as_f64().expect("a number");
    browser.touch(&[vec![(number(0), number(1))]]);
    states(&browser, &["start", "rows 6", "dye poppy"], 0);
    height(&browser, "48");
}

fn what_is_drawn_along_a_slider_is_one_step() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    // As quickly as a hand draws it along.
    browser.run(
        "const s = document.querySelector('[data-knob=rows] input[type=range]'); \
         for (const n of [5, 6, 7, 8]) { s.value = n; s.dispatchEvent(new Event('input')); } \
         s.dispatchEvent(new Event('change'));",
    );
    height(&browser, "96");
    states(&browser, &["start", "rows 8"], 1);
    browser.click("#undo");
    height(&browser, "48");
}

fn a_value_that_came_to_no_picture_is_taken_back() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Desk);
    browser.fill("#knob-rows", "99");
    browser.until("!document.querySelector('#trouble').hidden");
    browser.click("#undo");
    browser.until("document.querySelector('#trouble').hidden");
    browser.until("document.querySelector('#knob-rows').value === '6'");
    states(&browser, &["start", "rows 6", "dye poppy"], 2);
}

fn the_steps_are_there_after_a_reload() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Desk);
    browser.click("#undo");
    states(&browser, &["start", "rows 6", "dye poppy"], 1);
    browser.run("location.reload()");
    states(&browser, &["start", "rows 6", "dye poppy"], 1);
    browser.click("#redo");
    browser.until("document.querySelector('#knob-dye').value === 'poppy'");
    browser.click("#undo");
    browser.click("#undo");
    height(&browser, "48");
    states(&browser, &["start", "rows 6", "dye poppy"], 0);
}
