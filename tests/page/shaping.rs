//! Outlines: their handles are dragged and moved by keys, and what comes of it stands in the recipe; a panel with an
//! inner corner and a hole is shown, laid and planned like any other.

use std::time::{Duration, Instant};

use serde_json::json;

use crate::alone::{address, brought, opened};
use crate::browser::{Browser, Screen};
use crate::common::LIMIT;
use crate::hands::{CONTROL, DOWN, RIGHT, SHIFT, TAB};
use crate::laying::{draw, spot};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        a_corner_is_dragged_and_had_back,
        a_handle_is_moved_by_keys_alone,
        a_finger_drags_a_hole,
        an_outline_that_is_worked_out_says_so,
        what_cannot_be_is_told_while_it_is_dragged,
        an_inner_corner_and_a_hole_are_shown_laid_and_planned,
    ],
    File: [
        handles_write_into_a_recipe_without_a_server,
    ],
}

/// A worktop with a hole for a sink.
const WORKTOP: &str = r#"let sheet = laminate([veneer(0.6, "navy"), plywood(9, 18.8)]);
let light = bar(sheet.square()).slice("light");
let dark  = bar(laminate([ply(19.4, "walnut")]).square()).slice("dark");
let top   = l_shape(400, 300, 150, 140).hole(ellipse(90, 60), 220, 40);

panel("Worktop", squares(light))
    .finished_outline(top)
    .fill(light);
"#;

/// Where a handle lies in the window, in whole pixels, as a pointer does.
fn handle(browser: &Browser, name: &str) -> (f64, f64) {
    browser.place(&format!(
        "(() => {{ const b = [...document.querySelectorAll('.handle')].find((h) => h.ariaLabel === {}) \
         .getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2].map(Math.round); }})()",
        json!(name)
    ))
}

/// So many mm in whole pixels, as the page shows them now: off by half a pixel, which is less than half a mm.
fn pixels(browser: &Browser, mm: f64) -> f64 {
    let camera = browser.value("document.querySelector('#view-now').dataset.camera");
    let scale = camera.as_str().and_then(|c| c.split(' ').next());
    (mm * scale.and_then(|s| s.parse::<f64>().ok()).expect("a scale")).round()
}

/// Waits until the handles are those of the picture that is shown.
fn ready(browser: &Browser) {
    browser.until(
        "document.querySelector('.rim').dataset.ready === document.querySelector('#view-now').dataset.picture \
         && document.body.dataset.state === 'ready'",
    );
}

/// Takes the outline in hand.
fn take_outline(browser: &Browser) {
    browser.click("#rim-switch");
    ready(browser);
    browser.run("document.querySelector('#view-now .stage').scrollIntoView({ block: 'nearest' })");
}

fn shaped(scene: &Scene, screen: Screen) -> Browser {
    let browser = scene.shown(screen);
    take_outline(&browser);
    browser
}

/// Waits until the recipe has a text, and the page shows what it gives.
fn written(scene: &Scene, browser: &Browser, text: &str, caption: &str) {
    let start = Instant::now();
    while scene.bench.read("tray.rhai") != text && start.elapsed() < LIMIT {
        std::thread::sleep(Duration::from_millis(40));
    }
    assert_eq!(scene.bench.read("tray.rhai"), text);
    browser.until_text("#view-now figcaption", caption);
    ready(browser);
}

fn a_corner_is_dragged_and_had_back() {
    let scene = Scene::new(WORKTOP);
    let browser = shaped(&scene, Screen::Desk);
    assert_eq!(
        browser.value("[...document.querySelectorAll('.handle')].map((h) => h.ariaLabel)"),
        json!([
            "width",
            "height",
            "inner corner",
            "hole: width",
            "hole: height",
            "hole"
        ])
    );
    let (x, y) = handle(&browser, "width");
    // Only what it stands for follows; what it would come to is drawn before it is written.
    let far = (x - pixels(&browser, 30.0), y + 40.0);
    draw(&browser, &[(x, y), far]);
    let narrower = WORKTOP.replace("l_shape(400", "l_shape(370");
    written(&scene, &browser, &narrower, "370 \u{d7} 300 mm");
    browser.until_text("#states", "width");
    let (x, y) = handle(&browser, "inner corner");
    let by = pixels(&browser, 25.0);
    draw(&browser, &[(x, y), (x + by, y - by)]);
    browser.until_text("#states", "inner corner");
    let moved = narrower.replace("150, 140", "175, 115");
    written(&scene, &browser, &moved, "370 \u{d7} 300 mm");
    browser.click("#undo");
    written(&scene, &browser, &narrower, "370 \u{d7} 300 mm");
    browser.click("#undo");
    written(&scene, &browser, WORKTOP, "400 \u{d7} 300 mm");
    assert!(scene.bench.read("tray.rhai.before") == WORKTOP);
}

fn a_handle_is_moved_by_keys_alone() {
    let scene = Scene::new(WORKTOP);
    let browser = shaped(&scene, Screen::Desk);
    browser.run("document.querySelector('#view-now .stage').focus()");
    browser.press(&[TAB]);
    let has = |name: &str| format!("document.activeElement.ariaLabel === {}", json!(name));
    browser.until(&has("width"));
    browser.until_text("#rim-told", "width: arrow keys move it");
    browser.press(&[RIGHT, RIGHT]);
    written(
        &scene,
        &browser,
        &WORKTOP.replace("(400", "(402"),
        "402 \u{d7} 300 mm",
    );
    browser.press(&[DOWN]);
    browser.until_text("#rim-told", "it goes left and right alone");
    browser.press_holding(&[SHIFT], &[RIGHT]);
    let wide = WORKTOP.replace("(400", "(412");
    written(&scene, &browser, &wide, "412 \u{d7} 300 mm");
    // The focus is where it was, and the next handle is the next stop.
    browser.until(&has("width"));
    browser.press(&[TAB]);
    browser.until(&has("height"));
    browser.press_holding(&[SHIFT], &[DOWN]);
    let high = wide.replace("412, 300", "412, 310");
    written(&scene, &browser, &high, "412 \u{d7} 310 mm");
    // What keys did to one handle is one step.
    browser.press_holding(&[CONTROL], &['z']);
    written(&scene, &browser, &wide, "412 \u{d7} 300 mm");
    browser.press_holding(&[CONTROL], &['z']);
    written(&scene, &browser, WORKTOP, "400 \u{d7} 300 mm");
}

fn a_finger_drags_a_hole() {
    let scene = Scene::new(WORKTOP);
    let browser = shaped(&scene, Screen::Narrow);
    let (x, y) = handle(&browser, "hole");
    let by = pixels(&browser, 20.0);
    browser.touch(&[vec![(x, y), (x + by / 2.0, y), (x + by, y)]]);
    browser.until_text("#states", "hole");
    ready(&browser);
    let text = scene.bench.read("tray.rhai");
    let place = text.split("ellipse(90, 60), ").nth(1).expect("a hole");
    let right: f64 = place
        .split(',')
        .next()
        .and_then(|n| n.parse().ok())
        .expect("a place");
    assert!((right - 240.0).abs() <= 2.0, "{text}");
}

fn an_outline_that_is_worked_out_says_so() {
    let scene = Scene::new(RECIPE);
    let browser = shaped(&scene, Screen::Desk);
    browser.until_text("#rim-told", "rows * 12 in line 13 is worked out");
    browser.until("document.querySelectorAll('.handle').length === 0");
    browser.click("#rim-switch");
    browser.until("document.querySelector('#rim-told').hidden");
}

/// The inner corner beyond the outer one: it is told before the hand lets go, and nothing is written.
fn what_cannot_be_is_told_while_it_is_dragged() {
    let scene = Scene::new(WORKTOP);
    let browser = shaped(&scene, Screen::Desk);
    let (x, y) = handle(&browser, "inner corner");
    let stage = "document.querySelector('.handle[aria-label=\"inner corner\"]')";
    let event = |kind: &str, x: f64, y: f64| {
        browser.run(&format!(
            "const h = {stage}; h.setPointerCapture = () => undefined; h.dispatchEvent(new PointerEvent('{kind}', \
             {{ bubbles: true, isPrimary: true, button: 0, clientX: {x}, clientY: {y} }}))"
        ));
    };
    event("pointerdown", x, y);
    event("pointermove", x + pixels(&browser, 10.0), y);
    browser.until_text("#rim-told", "inner corner: 400 \u{d7} 300 mm");
    browser.until("document.querySelector('.rim path').getAttribute('d').startsWith('M')");
    event("pointermove", x + pixels(&browser, 270.0), y);
    browser.until_text("#rim-told", "the arm down the left must be at most 399 mm");
    event("pointerup", x + pixels(&browser, 270.0), y);
    browser.until_text("#notes", "the arm down the left");
    browser.until("document.querySelector('.rim path').getAttribute('d') === ''");
    assert_eq!(scene.bench.read("tray.rhai"), WORKTOP);
}

fn an_inner_corner_and_a_hole_are_shown_laid_and_planned() {
    let scene = Scene::new(WORKTOP);
    let browser = scene.shown(Screen::Desk);
    browser.until("document.querySelector('#view-now').dataset.at === 'sharp'");
    // Wood on both arms; bare table in the corner that is left out, and in the hole.
    let painted = |x: f64, y: f64| {
        browser.value(&format!(
            "((v) => {{ const [scale, x, y] = v.dataset.camera.split(' ').map(Number); const p = v.querySelector('.part'); \
             const [s, b] = [v.querySelector('.stage').getBoundingClientRect(), p.getBoundingClientRect()]; \
             const at = (mm, c, from, long, size, pixels) => Math.round((from + long / 2 + (mm - c) * scale - size[0]) * pixels / size[1]); \
             const left = at({x}, x, s.left, s.width, [b.left, b.width], p.width); \
             const top = at({y}, y, s.top, s.height, [b.top, b.height], p.height); \
             return p.getContext('2d').getImageData(left, top, 1, 1).data[3]; }})(document.querySelector('#view-now'))"
        ))
    };
    for (x, y, wood) in [
        (75.0, 250.0, true),
        (350.0, 70.0, true),
        (160.0, 130.0, true),
        (160.0, 150.0, false),
        (300.0, 220.0, false),
        (265.0, 70.0, false),
    ] {
        assert_eq!(painted(x, y), json!(if wood { 255 } else { 0 }), "{x} {y}");
    }
    // A tile just inside the inner corner is laid; where there is no panel, nothing is.
    browser.click("#hand-switch");
    browser.until("document.querySelector('#hands').dataset.ready === ''");
    browser.click("[data-kind=dark]");
    draw(&browser, &[spot(&browser, 300.0, 220.0)]);
    draw(&browser, &[spot(&browser, 145.0, 137.0)]);
    browser.until_text("#states", "lay");
    browser.until("document.querySelector('#hands').dataset.ready === ''");
    let text = scene.bench.read("tray.rhai");
    assert!(text.contains("[7, 7, dark],\n    ]"), "{text}");
    // Its map in the paper of the plan, and the steps that cut out the hole.
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan");
    browser.click(".papers a");
    browser.in_last_tab(|paper| {
        paper.until("document.title.includes('Worktop') || document.title.includes('tray')");
        paper.until("document.querySelectorAll('figure.map svg').length > 0");
        paper.until_text("main", "Worktop");
    });
}

/// In `plyloom.html`, where the text is in the browser's own storage: what handles do is written there, had back, and
/// there again when the page is opened anew.
fn handles_write_into_a_recipe_without_a_server() {
    let lines =
        "[...document.querySelector('.text-home').shadowRoot?.querySelectorAll('.cm-line') ?? []]";
    let holds = |browser: &Browser, caption: &str, text: &str| {
        browser.until_text("#view-now figcaption", caption);
        let text = json!(text.trim_end());
        browser.until(&format!(
            "{lines}.map((l) => l.textContent).join('\\n').trimEnd() === {text}"
        ));
    };
    let browser = opened();
    brought(&browser, WORKTOP);
    browser.until_text("#view-now figcaption", "400 \u{d7} 300 mm");
    browser.click("#text-switch");
    holds(&browser, "400 \u{d7} 300 mm", WORKTOP);
    take_outline(&browser);
    let (x, y) = handle(&browser, "width");
    draw(&browser, &[(x, y), (x - pixels(&browser, 30.0), y)]);
    let narrower = WORKTOP.replace("l_shape(400", "l_shape(370");
    holds(&browser, "370 \u{d7} 300 mm", &narrower);
    ready(&browser);
    browser.run("document.querySelector('.handle[aria-label=hole]').focus()");
    browser.press_holding(&[SHIFT], &[RIGHT]);
    let moved = narrower.replace("220, 40", "230, 40");
    holds(&browser, "370 \u{d7} 300 mm", &moved);
    ready(&browser);
    browser.click("#undo");
    holds(&browser, "370 \u{d7} 300 mm", &narrower);
    browser.click("#redo");
    holds(&browser, "370 \u{d7} 300 mm", &moved);
    browser.open("about:blank");
    browser.open(&address());
    browser.until_text("#view-now figcaption", "370 \u{d7} 300 mm");
    browser.until_text("#states", "hole");
    browser.click("#text-switch");
    holds(&browser, "370 \u{d7} 300 mm", &moved);
    // And on from there.
    take_outline(&browser);
    let (x, y) = handle(&browser, "height");
    draw(&browser, &[(x, y), (x, y - pixels(&browser, 20.0))]);
    let lower = moved.replace("370, 300", "370, 280");
    holds(&browser, "370 \u{d7} 280 mm", &lower);
}
