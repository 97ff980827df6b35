//! Moving and zooming the panel: nothing is painted anew until it rests, and then it is sharp. What a
//! reload leaves as it was.

use serde_json::{Value, json};

use crate::browser::{Browser, Screen};
use crate::common::Bench;
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        what_is_painted_is_moved_and_painted_anew_where_it_rests,
        nothing_is_asked_or_painted_while_it_moves_and_it_is_sharp_once_it_rests,
        a_save_while_one_is_close_breaks_nothing,
        layers_that_are_not_told_come_as_a_drawing,
        a_reload_leaves_one_where_one_was,
    ],
}

const CAMERA: &str = "document.querySelector('#view-now').dataset.camera";
const SHARP: &str = "document.querySelector('#view-now').dataset.at === 'sharp'";

/// One turn of the wheel over the middle of the stage, and what is painted before and after it.
const TURNED: &str = "(() => { const v = document.querySelector('#view-now'); const s = v.querySelector('.stage'); \
    const painted = () => [...v.querySelectorAll('.whole, .part')].map((e) => [e.style.width, e.style.height]); \
    const b = s.getBoundingClientRect(); const [camera, before] = [v.dataset.camera, painted()]; \
    s.dispatchEvent(new WheelEvent('wheel', { deltaY: -300, clientX: b.left + b.width / 2, \
    clientY: b.top + b.height / 2, cancelable: true })); \
    return { moved: v.dataset.camera !== camera, at: v.dataset.at, same: JSON.stringify(before) === JSON.stringify(painted()) }; })()";

/// A panel of many tiles, in a dye.
fn large(dye: &str) -> String {
    format!(
        "let sheet = laminate([veneer(0.6, \"{dye}\"), plywood(5, 12)]);\n\
         let tile = bar(sheet.rip(sheet.thickness)).slice(\"square\");\n\
         panel(\"Large\", squares(tile)).size(100, 80).fill(tile);\n"
    )
}

fn what_is_painted_is_moved_and_painted_anew_where_it_rests() {
    for text in [RECIPE, &large("navy")] {
        let scene = Scene::new(text);
        let browser = scene.shown(Screen::Desk);
        browser.until(SHARP);
        let turned = browser.value(TURNED);
        assert_eq!(turned, json!({ "moved": true, "at": "move", "same": true }));
        browser.until(SHARP);
        // As wide as the camera has it, to a pixel.
        browser.until(
            "((v) => { const [scale] = v.dataset.camera.split(' ').map(Number); \
             const p = v.querySelector('.part'); const s = v.querySelector('.stage').getBoundingClientRect(); \
             const b = p.getBoundingClientRect(); return p.style.transform.includes('scale(1)') && !p.hidden \
             && b.left <= s.left + s.width / 2 && b.right >= s.left + s.width / 2 && scale > 0; })\
             (document.querySelector('#view-now'))",
        );
    }
}

/// What happens from a move until it is sharp, in order: each state of the view, and each picture that is asked for.
const WATCHED: &str = "window.order = []; const real = window.fetch; \
    window.fetch = (path, ...rest) => { if (/faces|tiles|drawing|pixels/.test(path)) order.push('asked'); return real(path, ...rest); }; \
    const v = document.querySelector('#view-now'); \
    new MutationObserver(() => order.push(v.dataset.at)).observe(v, { attributeFilter: ['data-at'] });";

fn nothing_is_asked_or_painted_while_it_moves_and_it_is_sharp_once_it_rests() {
    for text in [RECIPE, &large("navy")] {
        let scene = Scene::new(text);
        let browser = scene.shown(Screen::Desk);
        browser.until(SHARP);
        browser.value(TURNED);
        browser.until(SHARP);
        browser.run(WATCHED);
        // A hand that moves: no picture of the browser's own comes between, however slow the machine is.
        browser.run(
            "const s = document.querySelector('#view-now .stage'); const b = s.getBoundingClientRect(); \
             for (let i = 0; i < 30; i += 1) s.dispatchEvent(new WheelEvent('wheel', { deltaY: 12, \
             clientX: b.left + b.width / 2, clientY: b.top + b.height / 2, cancelable: true }));",
        );
        browser.until("order.includes('sharp')");
        browser.until(SHARP);
        let order = browser.value("order");
        let mut order: Vec<&str> = order
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(Value::as_str)
            .collect();
        order.dedup();
        assert_eq!(order, ["move", "sharp"]);
    }
}

fn faults_are_listened_for(browser: &Browser) {
    browser.run(
        "window.faults = []; \
         addEventListener('error', (e) => faults.push(e.message)); \
         addEventListener('unhandledrejection', (e) => faults.push(String(e.reason)));",
    );
}

/// The tiles of the new picture are held back while one zooms on: the former picture is there and sharp.
fn a_save_while_one_is_close_breaks_nothing() {
    let scene = Scene::new(&large("navy"));
    let browser = scene.shown(Screen::Desk);
    faults_are_listened_for(&browser);
    for _ in 0..12 {
        browser.keys("#view-now .stage", "+");
    }
    browser.until("document.querySelector('#view-now').dataset.part === 'layers'");
    browser.run(
        "const real = window.fetch; window.held = []; window.fetch = (path, ...rest) => path.includes('/api/tiles/') \
         ? new Promise((go) => held.push(go)).then(() => real(path, ...rest)) : real(path, ...rest);",
    );
    let before = browser.value("document.querySelector('#view-now').dataset.picture");
    scene.bench.save_by_rename("tray.rhai", large("poppy"));
    browser.until("held.length > 0");
    for _ in 0..3 {
        assert_eq!(browser.value(TURNED)["moved"], Value::Bool(true));
        browser.until(SHARP);
    }
    browser.run("held.forEach((go) => go())");
    browser.until(&format!(
        "document.querySelector('#view-now').dataset.picture !== {before}"
    ));
    browser.until(SHARP);
    browser.until("document.querySelector('#view-now').dataset.part === 'layers'");
    assert_eq!(browser.value("faults"), json!([]));
}

/// Of very many faces the program tells no layers: here it tells none of a few.
fn layers_that_are_not_told_come_as_a_drawing() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.until("document.querySelector('#view-now').dataset.part === 'layers'");
    browser.run(
        "const real = window.fetch; window.fetch = (path, ...rest) => path.includes('/api/faces/') \
         ? real(path, ...rest).then((answer) => answer.json()) \
         .then((faces) => Response.json(faces.map((face) => ({ ...face, paths: [] })))) : real(path, ...rest);",
    );
    browser.choose("#look-finish", "oil");
    browser.until("document.querySelector('#view-now').dataset.part === 'drawing'");
    browser.until(SHARP);
    browser.value(TURNED);
    browser.until(SHARP);
    browser.until("document.querySelector('#view-now').dataset.part === 'drawing'");
}

fn a_reload_leaves_one_where_one_was() {
    let scene = Scene::with(Bench::new().file("tray.rhai", RECIPE), &[]);
    let browser = scene.shown(Screen::Desk);
    browser.click("[data-mark=joints]");
    browser.choose("#look-finish", "oil");
    browser.keys("#light", "\u{e014}");
    browser.keys("#view-now .stage", "++");
    let camera = browser.value(CAMERA);
    browser.until(&format!(
        "((c) => c && [c.scale, c.x, c.y].map((n) => n.toFixed(3)).join(' ') === {camera})\
         (JSON.parse(sessionStorage.getItem('plyloom-place')).camera)"
    ));
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan");
    browser.run("location.reload()");
    browser.until_text(".plan", "Shop plan");
    browser.until("document.body.dataset.room === 'plan'");
    browser.click("[data-room=panel]");
    browser.until(&format!("{CAMERA} === {camera}"));
    browser.until("document.querySelector('[data-mark=joints]').ariaPressed === 'true'");
    browser.until("document.querySelector('#look-finish').value === 'oil'");
    browser.until("document.querySelector('#view-now').dataset.path.includes('light=240')");
    // What is fitted is fitted anew.
    browser.click("#fit");
    browser.until("JSON.parse(sessionStorage.getItem('plyloom-place')).camera === null");
}
