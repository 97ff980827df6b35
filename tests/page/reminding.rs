//! A mistake that is told out of sight: its first line stands at the top of the window.
//!
//! WCAG 2.2: 2.4.3 Focus Order, 2.4.11 Focus Not Obscured (Minimum), 4.1.3 Status Messages.

use serde_json::{Value, json};

use crate::browser::{Browser, Screen};
use crate::checker::{axe, faultless};
use crate::hands::{ENTER, SHIFT, TAB};
use crate::keyboard::{focus_is_seen, has_focus};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        at_the_knobs_of_a_narrow_screen_a_mistake_is_seen_and_leads_to_all_of_it,
        a_mistake_is_announced_once,
        a_message_that_is_seen_needs_no_line,
        when_the_mistake_is_mended_the_focus_goes_back_to_where_it_came_from,
        the_line_never_covers_what_has_the_focus,
    ],
    Axe: [
        axe_finds_no_fault_with_the_line,
    ],
}

const THERE: &str = "!document.querySelector('#reminder').hidden";
const GONE: &str = "document.querySelector('#reminder').hidden";
/// Whether the line stands whole at the top of the window, and nothing over it.
const ON_TOP: &str = "(() => { const line = document.querySelector('#reminder'); \
    const b = line.getBoundingClientRect(); \
    return b.top === 0 && b.left === 0 && b.right <= innerWidth && b.bottom < innerHeight / 4 \
    && line.contains(document.elementFromPoint(b.left + b.width / 2, b.top + b.height / 2)); })()";
/// Whether the heading of the message is in the window.
const MESSAGE_SEEN: &str = "((b) => b.top >= 0 && b.bottom <= innerHeight)\
    (document.querySelector('#trouble h2').getBoundingClientRect())";
const ROWS_TOP: &str = "document.querySelector('#knob-rows').getBoundingClientRect().top";

/// Goes to the knobs, with the picture scrolled away and what is told over it.
fn at_the_knobs(browser: &Browser) {
    browser.run(&format!(
        "document.querySelector('#knob-rows').focus(); document.body.style.paddingBottom = '2000px'; scrollBy(0, {ROWS_TOP} - innerHeight * 0.5)"
    ));
}

/// A panel so high, and its knob so far below it, that over the knob there is no room for what is told of it. That
/// nothing uses `note` is told at the top of the page, and no more once there is a mistake.
fn recipe() -> String {
    RECIPE.replace("\"rows\", 4", "\"rows\", 12").replace(
        "let rows",
        "let note = param(\"note\", \"mine\");\nlet rows",
    )
}

fn wrong() -> String {
    recipe().replace("laminate([", "lamnate([")
}

/// From here on `window.told` holds what live regions were given that has this text in it.
fn listen(browser: &Browser, text: &str) {
    let text = json!(text);
    browser.run(&format!(
        "window.told = []; new MutationObserver((all) => {{ \
         for (const m of all) for (const n of m.addedNodes) \
         if (n.textContent.includes({text}) && m.target.closest('[role=alert], [role=status], [aria-live]')) \
         told.push(n.textContent); }}).observe(document, {{ subtree: true, childList: true }});"
    ));
}

fn at_the_knobs_of_a_narrow_screen_a_mistake_is_seen_and_leads_to_all_of_it() {
    let scene = Scene::new(&recipe());
    let browser = scene.shown(Screen::Narrow);
    at_the_knobs(&browser);
    let top = || browser.value(ROWS_TOP).as_f64().expect("a number");
    let before = top();
    browser.fill("#knob-rows", "99");
    browser.until_text("#reminder", "from 2 to 12");
    browser.until(ON_TOP);
    // A browser scrolls by whole pixels.
    assert!((top() - before).abs() <= 1.0, "{before} {}", top());
    focus_is_seen(&browser);
    // It stays while one goes on.
    browser.run("scrollBy(0, 300)");
    browser.until(ON_TOP);
    browser.click("#reminder button");
    browser.until(MESSAGE_SEEN);
    browser.until(GONE);
    assert_eq!(
        browser.value("document.activeElement.textContent"),
        browser.value("document.querySelector('#trouble h2').textContent")
    );
    // Back at the knobs it is there again, until the mistake is mended.
    at_the_knobs(&browser);
    browser.until(THERE);
    browser.fill("#knob-rows", "5");
    browser.until(GONE);
    browser.until_text("#tally-facts", "60 mm");
    assert_eq!(browser.value(ON_TOP), json!(false));
}

fn when_the_mistake_is_mended_the_focus_goes_back_to_where_it_came_from() {
    let scene = Scene::new(&recipe());
    let browser = scene.shown(Screen::Narrow);
    at_the_knobs(&browser);
    scene.bench.save_by_rename("tray.rhai", wrong());
    browser.until_text("#reminder", "lamnate");
    browser.until(ON_TOP);
    focus_is_seen(&browser);
    browser.click("#reminder button");
    browser.until("document.activeElement.matches('#trouble h2')");
    // Another mistake takes its place: who reads stays.
    scene
        .bench
        .save_by_rename("tray.rhai", recipe().replace("squares(", "sqares("));
    browser.until_text("#trouble h2", "sqares");
    browser.until("document.activeElement.matches('#trouble h2')");
    scene.bench.save_by_rename("tray.rhai", recipe());
    browser.until("document.querySelector('#trouble').hidden");
    browser.until("document.activeElement.matches('#knob-rows')");
    focus_is_seen(&browser);
    assert_eq!(browser.value(GONE), json!(true));
}

fn a_mistake_is_announced_once() {
    let scene = Scene::new(&recipe());
    let browser = scene.shown(Screen::Narrow);
    listen(&browser, "lamnate");
    at_the_knobs(&browser);
    scene.bench.save_by_rename("tray.rhai", wrong());
    browser.until_text("#reminder", "lamnate");
    // It comes and goes as one scrolls, without a word.
    for _ in 0..2 {
        browser.run("scrollTo(0, 0)");
        browser.until(GONE);
        browser.run("scrollTo(0, document.body.scrollHeight)");
        browser.until(THERE);
    }
    let headings = browser.value("told.filter((t) => t === 'lamnate')");
    let headings = headings.as_array().expect("a list");
    assert_eq!(headings.len(), 1, "{headings:?}");
    assert_eq!(
        browser.value("document.querySelector('#reminder').closest('[role=alert], [role=status], [aria-live]')"),
        Value::Null
    );
}

fn the_line_never_covers_what_has_the_focus() {
    let scene = Scene::new(&recipe());
    // On a desk the picture stays in sight, and with it what is told over it.
    let browser = scene.shown(Screen::Narrow);
    browser.prefer("prefers-reduced-motion", "reduce");
    at_the_knobs(&browser);
    scene.bench.save_by_rename("tray.rhai", wrong());
    browser.until_text("#reminder", "lamnate");
    browser.until(ON_TOP);
    focus_is_seen(&browser);
    let under = "document.querySelector('#reminder').getBoundingClientRect().bottom";
    assert_eq!(
        browser.value(&format!("{ROWS_TOP} >= {under}")),
        json!(true)
    );
    // By Tab from there to the end of the page, and back.
    for held in [&[][..], &[SHIFT][..]] {
        for _ in 0..40 {
            browser.press_holding(held, &[TAB]);
            if browser.value("document.activeElement === document.body") == json!(true) {
                break;
            }
            focus_is_seen(&browser);
        }
    }
    // On the way back from the knobs the line comes before the tools.
    at_the_knobs(&browser);
    browser.until(THERE);
    while has_focus(&browser, "#knobs *") {
        browser.press_holding(&[SHIFT], &[TAB]);
    }
    assert!(has_focus(&browser, "#reminder button"));
    browser.press(&[ENTER]);
    browser.until(MESSAGE_SEEN);
    browser.until("document.activeElement.matches('#trouble h2')");
    focus_is_seen(&browser);
}

fn a_message_that_is_seen_needs_no_line() {
    let scene = Scene::new(&recipe());
    let browser = scene.shown(Screen::Desk);
    scene.bench.save_by_rename("tray.rhai", wrong());
    browser.until_text("#trouble", "lamnate");
    browser.until(MESSAGE_SEEN);
    // An observer has told by the second frame.
    let hidden = browser.awaited(
        "requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(() => \
         done(document.querySelector('#reminder').hidden))))",
    );
    assert_eq!(hidden, json!(true));
}

fn axe_finds_no_fault_with_the_line() {
    let scene = Scene::new(&recipe());
    let browser = scene.shown(Screen::Narrow);
    let axe = axe();
    browser.run(&axe);
    at_the_knobs(&browser);
    scene.bench.save_by_rename("tray.rhai", wrong());
    browser.until_text("#reminder", "lamnate");
    browser.until(ON_TOP);
    faultless(&browser, "a mistake out of sight");
}
