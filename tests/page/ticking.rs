//! The plan in the shop: its steps ticked off, the screen kept awake, and read from where the saw stands.

use serde_json::json;

use crate::browser::{Browser, Screen};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        steps_that_are_ticked_stay_ticked_and_keep_the_screen_awake,
        another_way_to_slice_is_chosen_and_has_ticks_of_its_own,
    ],
}

/// A screen that says when it is kept awake.
const AWAKE: &str = "window.awake = []; Object.defineProperty(navigator, 'wakeLock', { value: { request: async (what) => { \
    const lock = { released: false, release: async () => { lock.released = true; awake.push('let go'); } }; \
    awake.push(what); return lock; } } });";

fn plan(browser: &Browser) {
    browser.click("[data-room=plan]");
    browser.until("document.querySelectorAll('#steps input').length > 3");
}

fn steps_that_are_ticked_stay_ticked_and_keep_the_screen_awake() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Narrow);
    browser.run(AWAKE);
    plan(&browser);
    let steps = browser
        .value("document.querySelectorAll('#steps input').length")
        .as_u64()
        .expect("a number");
    browser.until_text("#steps-told", &format!("0 of {steps} done"));
    assert_eq!(browser.value("awake"), json!([]));
    browser.click("#steps li:nth-child(1) label");
    browser.click("#steps li:nth-child(2) label");
    browser.until_text(
        "#steps-told",
        &format!("2 of {steps} done; the screen stays on"),
    );
    assert_eq!(browser.value("awake"), json!(["screen"]));
    // With glue on one's hands: the whole line is the target.
    assert_eq!(
        browser.value("[...document.querySelectorAll('#steps label')].every((l) => l.getBoundingClientRect().height >= 44)"),
        true
    );
    // Larger by far, to be read from the saw; nothing sticks out.
    let size = "parseFloat(getComputedStyle(document.querySelector('#steps li label')).fontSize)";
    let before = browser.value(size).as_f64().expect("a size");
    browser.click("#steps-large");
    assert!(browser.value(size).as_f64().expect("a size") >= 1.5 * before);
    assert_eq!(
        browser.value("document.documentElement.scrollWidth <= innerWidth"),
        true
    );
    // It stands where it stood, and is ticked there.
    for done in [3, 2] {
        browser.click("#steps li:nth-child(3) label");
        browser.until_text("#steps-told", &format!("{done} of {steps} done"));
    }
    assert_eq!(
        browser.value("getComputedStyle(document.querySelector('#steps')).position"),
        json!("static")
    );
    // Elsewhere, the screen may sleep.
    browser.click("[data-room=panel]");
    browser.until("awake.at(-1) === 'let go'");
    // A reload, and the same steps are ticked.
    browser.run("location.reload()");
    browser.until("Boolean(document.querySelector('#view-now')?.dataset.picture)");
    browser.run(AWAKE);
    plan(&browser);
    let ticked =
        "[...document.querySelectorAll('#steps input')].map((box) => box.checked).slice(0, 3)";
    browser.until(&format!("String({ticked}) === 'true,true,false'"));
    browser.until_text("#steps-told", &format!("2 of {steps} done"));
    // Other steps begin unticked; those of before are ticked when they come again.
    browser.click("[data-room=panel]");
    browser.fill("#knob-rows", "9");
    browser.until_text("#tally", "117");
    plan(&browser);
    browser.until_text("#steps-told", "0 of");
    browser.click("[data-room=panel]");
    browser.fill("#knob-rows", "4");
    browser.until_text("#tally", "52");
    plan(&browser);
    browser.until_text("#steps-told", &format!("2 of {steps} done"));
    // The screen stays on from the first tick to the last, all of a sudden too.
    browser.click("#steps li:nth-child(3) label");
    browser.until_text("#steps-told", "the screen stays on");
    browser.run(
        "document.querySelectorAll('#steps input:not(:checked)').forEach((box) => box.click())",
    );
    browser.until_text("#steps-told", &format!("{steps} of {steps} done"));
    browser.until("awake.at(-1) === 'let go'");
    browser.click("#steps-again");
    browser.until_text("#steps-told", &format!("0 of {steps} done"));
}

/// Two woods in turn: each course is the one above it, turned half round.
const CHECKER: &str = r#"
let light = bar(plywood(9, 20).square()).slice("light");
let dark = bar(plywood(9, 20, "walnut").square()).slice("dark");
panel("Checker", squares(light)).size(4, 4).fill(|c| if (c.column + c.course) % 2 == 0 { light } else { dark });
"#;

fn another_way_to_slice_is_chosen_and_has_ticks_of_its_own() {
    let scene = Scene::new(CHECKER);
    let browser = scene.shown(Screen::Narrow);
    plan(&browser);
    let ways = "[...document.querySelectorAll('#plan-way option')].map((o) => o.value)";
    assert_eq!(
        browser.value(ways),
        json!(["tiles", "loaf", "courses", "panels"])
    );
    assert_eq!(
        browser.value("document.querySelector('#plan-way').value"),
        "tiles"
    );
    let titles = "document.querySelector('#steps').textContent";
    assert_eq!(browser.value(&format!("{titles}.includes('loaf')")), false);
    browser.click("#steps li:nth-child(1) label");
    browser.until_text("#steps-told", "1 of");
    browser.choose("#plan-way", "courses");
    browser.until(&format!("{titles}.includes('Glue loaf 1')"));
    browser.until_text("#steps-told", "0 of");
    let paper = "document.querySelector('.papers a').href";
    assert_eq!(
        browser.value(&format!("{paper}.endsWith('&way=courses')")),
        true
    );
    let whole = browser.awaited(&format!(
        "fetch({paper}).then((answer) => answer.text()).then(done)"
    ));
    assert!(whole.as_str().expect("a page").contains("Glue loaf 1"));
    browser.choose("#plan-way", "tiles");
    browser.until_text("#steps-told", "1 of");
}
