//! Steps back and forth over all that is set on the page, and the strip of states.

use serde_json::json;

use crate::browser::{Browser, Screen};
use crate::hands::{CONTROL, ENTER, LEFT, RIGHT, SHIFT};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        steps_go_back_and_forth_and_on_another_way,
        keys_go_back_and_forth_and_along_the_strip,
        a_finger_goes_to_any_state,
        a_state_that_is_left_at_once_has_a_picture,
        what_is_drawn_along_a_slider_is_one_step,
        a_value_that_came_to_no_picture_is_taken_back,
        so_is_one_that_was_the_first_of_all,
        the_steps_are_there_after_a_reload,
        steps_of_hands_and_text_outlive_the_program,
        any_state_is_seen_beside_at_one_scale,
        states_are_forgotten_when_told_so,
    ],
}

/// Holds that the strip has these states, and which of them is shown.
#[track_caller]
fn states(browser: &Browser, words: &[&str], shown: usize) {
    let wanted = json!([words, shown]);
    browser.until(&format!(
        "((all) => JSON.stringify([all.map((b) => b.innerText.trim()), all.findIndex((b) => b.ariaCurrent === 'true')]) \
         === JSON.stringify({wanted}))([...document.querySelectorAll('#states .state')])"
    ));
}

#[track_caller]
fn height(browser: &Browser, mm: &str) {
    browser.until_text("#view-now figcaption", &format!("\u{d7} {mm} mm"));
}

/// Waits until the states are in their file.
#[track_caller]
fn told(browser: &Browser) {
    browser.until("document.body.dataset.states === 'told'");
}

/// Two steps: 6 courses, another dye.
fn two_steps(scene: &Scene, screen: Screen) -> Browser {
    let browser = scene.shown(screen);
    assert_eq!(
        browser.value(
            "document.querySelector('#states-home').hidden && document.querySelector('#undo').disabled"
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

fn a_state_that_is_left_at_once_has_a_picture() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    // The whole panel is painted a while after it is there: here that while never ends.
    browser.run(
        "window.setTimeout = ((set) => (deed, ms, ...rest) => ms >= 100 ? 0 : set(deed, ms, ...rest))(window.setTimeout)",
    );
    browser.fill("#knob-rows", "6");
    states(&browser, &["start", "rows 6"], 1);
    let pictures = "document.querySelectorAll('#states li:nth-child(2) img').length";
    assert_eq!(browser.value(pictures), json!(0), "not painted yet");
    browser.fill("#knob-dye", "poppy");
    states(&browser, &["start", "rows 6", "dye poppy"], 2);
    browser.until(&format!("{pictures} === 1"));
    // Of the panel, not of nothing: the middle is covered.
    browser.run(
        "(async () => { const image = document.querySelector('#states li:nth-child(2) img'); await image.decode(); \
         const canvas = new OffscreenCanvas(96, 72); const pen = canvas.getContext('2d'); pen.drawImage(image, 0, 0); \
         document.body.dataset.middle = pen.getImageData(48, 36, 1, 1).data[3]; })()",
    );
    browser.until("document.body.dataset.middle === '255'");
}

fn a_finger_goes_to_any_state() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Narrow);
    let at = browser.place(
        "(() => { const b = document.querySelector('#states li:first-child button'); \
         b.scrollIntoView({ block: 'center', inline: 'nearest' }); const r = b.getBoundingClientRect(); \
         return [r.left + r.width / 2, r.top + r.height / 2]; })()",
    );
    browser.touch(&[vec![at]]);
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

/// There is one state then, which nothing was kept of.
fn so_is_one_that_was_the_first_of_all() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.fill("#knob-rows", "99");
    browser.until("!document.querySelector('#trouble').hidden");
    browser.click("#undo");
    browser.until("document.querySelector('#trouble').hidden");
    browser.until("document.querySelector('#knob-rows').value === '4'");
}

fn the_steps_are_there_after_a_reload() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Desk);
    browser.click("#undo");
    states(&browser, &["start", "rows 6", "dye poppy"], 1);
    told(&browser);
    browser.run("location.reload()");
    states(&browser, &["start", "rows 6", "dye poppy"], 1);
    browser.click("#redo");
    browser.until("document.querySelector('#knob-dye').value === 'poppy'");
    states(&browser, &["start", "rows 6", "dye poppy"], 2);
    // The second is pressed while the first is under way.
    browser
        .run("document.querySelector('#undo').click(); document.querySelector('#undo').click();");
    height(&browser, "48");
    states(&browser, &["start", "rows 6", "dye poppy"], 0);
}

fn steps_of_hands_and_text_outlive_the_program() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.click("#hand-switch");
    browser.until("document.querySelector('#hands').dataset.ready === ''");
    browser.run("document.querySelector('#view-now .stage').focus()");
    browser.press(&[ENTER]);
    browser.until("document.querySelector('#view-now').dataset.picked === '1'");
    browser.press(&['r']);
    states(&browser, &["start", "rotate 1"], 1);
    let laid = scene.bench.read("tray.rhai");
    assert!(laid.contains(".lay(["), "{laid}");
    // Saved by another program.
    let mine = format!("{laid}// mine\n");
    scene.bench.write("tray.rhai", &mine);
    let all = ["start", "rotate 1", "recipe changed"];
    states(&browser, &all, 2);
    browser.until_text("#states-told", "tray.rhai.states.json");
    told(&browser);
    let scene = scene.again();
    browser.open(&scene.address);
    states(&browser, &all, 2);
    browser.click("#undo");
    states(&browser, &all, 1);
    assert_eq!(scene.bench.read("tray.rhai"), laid);
    browser.click("#undo");
    states(&browser, &all, 0);
    assert_eq!(scene.bench.read("tray.rhai"), RECIPE);
    browser.click("#redo");
    browser.click("#redo");
    states(&browser, &all, 2);
    assert_eq!(scene.bench.read("tray.rhai"), mine);
    // A text that makes no picture is no state, and one goes back from it; it is kept beside.
    let wrong = mine.replace("laminate([", "lamnate([");
    scene.bench.write("tray.rhai", &wrong);
    browser.until_text("#trouble", "lamnate");
    browser.click("#undo");
    browser.until("document.querySelector('#trouble').hidden");
    assert_eq!(scene.bench.read("tray.rhai"), mine);
    browser.until_text("#notes", "is kept as tray.rhai.before");
}

fn any_state_is_seen_beside_at_one_scale() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Desk);
    browser.choose("#look-finish", "oil");
    let all = ["start", "rows 6", "dye poppy", "finish oil"];
    states(&browser, &all, 3);
    // The step before, as it was looked at then.
    browser.click("#beside");
    browser.until_text("#view-before figcaption", "Before, dye poppy");
    let path = "document.querySelector('#view-before').dataset.path";
    browser.until(&format!(
        "{path} !== undefined && !{path}.includes('finish')"
    ));
    // The first of all: 48 mm high, beside 72.
    browser.click("#states li:first-child .beside");
    browser.until_text("#view-before figcaption", "\u{d7} 48 mm");
    browser.until_text("#view-before figcaption", "Before, start");
    let high = |view: &str| {
        format!("document.querySelector('{view} .whole').getBoundingClientRect().height")
    };
    browser.until(&format!(
        "Math.abs({} / {} - 48 / 72) < 0.005",
        high("#view-before"),
        high("#view-now")
    ));
    // One moves with the other.
    browser.click("#tools [aria-label=Closer]");
    browser.until(&format!(
        "Math.abs({} / {} - 48 / 72) < 0.005",
        high("#view-before"),
        high("#view-now")
    ));
    // By keys alone: along the buttons below the strip.
    browser.run("document.querySelector('#states [aria-current] ~ .beside').focus()");
    browser.press(&[LEFT, LEFT, ENTER]);
    browser.until_text("#view-before figcaption", "Before, rows 6");
    browser.press(&[ENTER]);
    browser.until("document.querySelector('#view-before').hidden");
}

fn states_are_forgotten_when_told_so() {
    let scene = Scene::new(RECIPE);
    let browser = two_steps(&scene, Screen::Narrow);
    told(&browser);
    assert!(scene.bench.path("tray.rhai.states.json").exists());
    browser.click("#forget");
    browser.until("document.querySelector('#states-home').hidden");
    let kept = scene.bench.read("tray.rhai.states.json");
    assert!(
        kept.contains("\"states\":[]") && kept.contains("\"texts\":{}"),
        "{kept}"
    );
    assert_eq!(scene.bench.read("tray.rhai"), RECIPE);
    // What is no file of ours is told of, and left.
    scene.bench.write("tray.rhai.states.json", "mine");
    browser.run("location.reload()");
    browser.until_text("#notes", "left as it is");
    browser.fill("#knob-rows", "7");
    states(&browser, &["start", "rows 7"], 1);
    browser.until_text("#states-told", "as long as this page");
    browser.click("#undo");
    states(&browser, &["start", "rows 7"], 0);
    assert_eq!(scene.bench.read("tray.rhai.states.json"), "mine");
}
