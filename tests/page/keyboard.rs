//! The whole page by keyboard alone: nothing here clicks, and no script moves the focus.
//!
//! WCAG 2.2: 2.1.1 Keyboard, 2.1.2 No Keyboard Trap, 2.4.3 Focus Order, 2.4.7 Focus Visible,
//! 2.4.11 Focus Not Obscured (Minimum).

use serde_json::{Value, json};

use crate::browser::{Browser, Screen};
use crate::hands::{DOWN, END, ENTER, ESCAPE, RIGHT, SHIFT, SPACE, TAB};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        the_panel_is_reached_moved_and_read,
        knobs_and_seed_are_turned_and_kept,
        variations_are_starred_compared_and_picked,
        the_plan_is_opened,
        tab_goes_once_round_everything_in_the_order_of_the_layout,
    ],
}

const CAPTION: &str = "#view-now figcaption";
const CAMERA: &str = "document.querySelector('#view-now').dataset.camera";
const SCALE: &str = "Number(document.querySelector('#view-now').dataset.camera.split(' ')[0])";
/// More stops than the page has.
const STOPS: usize = 150;

/// What hides the focus; none where it is seen. It is looked for in its middle; on the picture, over whose
/// middle a mistake may lie, at the lower edge.
const HIDDEN: &str = "(() => { const e = document.activeElement; \
    if (!e || e === document.body) return 'nothing has the focus'; \
    const s = getComputedStyle(e); const b = e.getBoundingClientRect(); \
    const name = e.outerHTML.slice(0, 100); \
    if (!e.matches(':focus-visible') || s.outlineStyle === 'none' || parseFloat(s.outlineWidth) < 2) \
      return `no outline: ${name}`; \
    if (s.outlineColor === getComputedStyle(document.body).backgroundColor) return `outline of no colour: ${name}`; \
    const x = (Math.max(b.left, 0) + Math.min(b.right, innerWidth)) / 2; \
    const [top, bottom] = [Math.max(b.top, 0), Math.min(b.bottom, innerHeight)]; \
    const y = e.matches('.stage') ? bottom - 6 : (top + bottom) / 2; \
    const hit = document.elementFromPoint(x, y); \
    return hit && (e.contains(hit) || hit.contains(e)) && hit !== document.body && hit !== document.documentElement \
      ? null : `out of sight: ${name}`; })()";

/// Holds that the focus is seen, as the page is shown: what comes up or goes because of it has done so
/// with the third frame, and between two frames nothing is seen.
#[track_caller]
pub(crate) fn focus_is_seen(browser: &Browser) {
    let hidden = browser.awaited(&format!(
        "requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(() => done({HIDDEN}))))"
    ));
    assert_eq!(hidden, Value::Null);
}

pub(crate) fn has_focus(browser: &Browser, selector: &str) -> bool {
    let selector = json!(selector);
    browser.value(&format!("document.activeElement.matches({selector})")) == json!(true)
}

#[track_caller]
fn go(browser: &Browser, held: &[char], selector: &str) {
    let mut passed = Vec::new();
    for _ in 0..STOPS {
        browser.press_holding(held, &[TAB]);
        if browser.value("document.activeElement === document.body") == json!(true) {
            passed.push("the end".to_owned());
            continue;
        }
        focus_is_seen(browser);
        if has_focus(browser, selector) {
            return;
        }
        passed.push(
            browser
                .value("document.activeElement.outerHTML.slice(0, 60)")
                .to_string(),
        );
    }
    panic!("no way to {selector}: {passed:#?}");
}

/// Tab until an element has the focus, which must be seen at each stop.
#[track_caller]
fn to(browser: &Browser, selector: &str) {
    go(browser, &[], selector);
}

/// The same, backwards.
#[track_caller]
fn back(browser: &Browser, selector: &str) {
    go(browser, &[SHIFT], selector);
}

#[track_caller]
fn stays(browser: &Browser, selector: &str) {
    assert!(
        has_focus(browser, selector),
        "{selector} has not the focus, but {}",
        browser.value("document.activeElement.outerHTML.slice(0, 100)")
    );
    focus_is_seen(browser);
}

fn begun(screen: Screen) -> (Scene, Browser) {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(screen);
    // The way past the head does not slide in under the looks of the test.
    browser.prefer("prefers-reduced-motion", "reduce");
    browser.until(&format!("Boolean({CAMERA})"));
    (scene, browser)
}

fn the_panel_is_reached_moved_and_read() {
    let (_scene, browser) = begun(Screen::Desk);
    browser.press(&[TAB]);
    stays(&browser, "#skip");
    browser.press(&[ENTER]);
    stays(&browser, "#view-now .stage");
    let fitted = browser.value(CAMERA);
    let scale = browser.value(SCALE);
    browser.press(&['+', '+']);
    browser.until(&format!("{SCALE} > {scale} * 1.5"));
    let near = browser.value(CAMERA);
    browser.press(&[RIGHT, DOWN]);
    browser.until(&format!("{CAMERA} !== {near}"));
    browser.press(&['-']);
    browser.press(&['0']);
    browser.until(&format!("{CAMERA} === {fitted}"));
    // A tile, its neighbour, and none.
    browser.press(&[ENTER]);
    browser.until_text("#tile", "column ");
    let tile = browser.value("document.querySelector('#tile').innerText");
    browser.press_holding(&[SHIFT], &[RIGHT]);
    browser.until(&format!(
        "document.querySelector('#tile').innerText !== {tile}"
    ));
    browser.press(&[ESCAPE]);
    browser.until_text("#tile", "Point at a tile");
    stays(&browser, "#view-now .stage");
    // The tools do the same.
    back(&browser, "[data-mark=joints]");
    browser.press(&[SPACE]);
    browser.until("document.querySelector('[data-mark=joints]').ariaPressed === 'true'");
    back(&browser, "[aria-label=Closer]");
    browser.press(&[ENTER]);
    browser.until(&format!("{CAMERA} !== {fitted}"));
    to(&browser, "#fit");
    browser.press(&[SPACE]);
    browser.until(&format!("{CAMERA} === {fitted}"));
}

fn knobs_and_seed_are_turned_and_kept() {
    let (scene, browser) = begun(Screen::Desk);
    browser.press(&[TAB, TAB]);
    stays(&browser, "#skip-knobs");
    browser.press(&[ENTER]);
    stays(&browser, "#knob-rows");
    browser.press(&['\u{e013}']);
    browser.until_text(CAPTION, "60 mm");
    stays(&browser, "#knob-rows");
    to(&browser, "[data-knob=rows] input[type=range]");
    browser.press(&[RIGHT]);
    browser.until_text(CAPTION, "72 mm");
    to(&browser, "#knob-mixed");
    browser.press(&[SPACE]);
    browser.until("document.querySelectorAll('#tally tbody tr').length === 1");
    to(&browser, "#knob-edge");
    browser.press(&[DOWN]);
    browser.until("document.querySelector('#tally').innerText.includes('square')");
    browser.until("document.querySelector('#knob-edge').value === 'walnut'");
    to(&browser, "#seed-next");
    browser.press(&[ENTER]);
    browser.until("document.querySelector('#seed').value === '4'");
    stays(&browser, "#seed-next");
    // What takes itself away leaves the focus beside it.
    to(&browser, "#seed-own");
    browser.press(&[ENTER]);
    browser.until("document.querySelector('#seed-own').hidden");
    browser.until("document.querySelector('#seed').value === '3'");
    stays(&browser, ".keep button, .seed button");
    to(&browser, "#keep-choice");
    browser.press(&[ENTER]);
    browser.until_text("#notes", "Saved as tray-choice-1.pick");
    stays(&browser, "#keep-choice");
    // The light, the finish, and from how far.
    to(&browser, "#distance");
    browser.press(&[RIGHT]);
    to(&browser, "#light");
    browser.press(&[RIGHT]);
    to(&browser, "#look-finish");
    browser.press(&[DOWN]);
    browser.until(
        "((p) => p.includes('from=') && p.includes('light=240') && p.includes('finish=oil'))\
         (document.querySelector('#view-now').dataset.path)",
    );
    back(&browser, "#keep-defaults");
    browser.press(&[ENTER]);
    browser.until_text("#notes", "are now the defaults in tray.rhai");
    stays(&browser, "#keep-defaults");
    assert!(scene.bench.read("tray.rhai").contains("\"rows\", 6"));
    browser.until("document.querySelector('#reset').disabled");
    back(&browser, "#seed-next");
    browser.press(&[SPACE]);
    browser.until("!document.querySelector('#reset').disabled");
    to(&browser, "#reset");
    browser.press(&[ENTER]);
    browser.until("document.querySelector('#reset').disabled");
    stays(&browser, ".keep input, .keep button, .seed button");
}

fn variations_are_starred_compared_and_picked() {
    let (scene, browser) = begun(Screen::Desk);
    to(&browser, "[data-room=variations]");
    browser.press(&[ENTER]);
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 12");
    to(&browser, ".wall .card:nth-child(1) .star");
    browser.press(&[SPACE]);
    browser.until("document.querySelectorAll('.shortlist .card').length === 1");
    stays(&browser, ".wall .card:nth-child(1) .star");
    browser.press(&[RIGHT, RIGHT]);
    stays(&browser, ".wall .card:nth-child(3) .star");
    browser.press(&[ENTER]);
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 2");
    stays(&browser, ".wall .card:nth-child(3) .star");
    // A row down is a row down.
    browser.press(&[DOWN]);
    browser.until(
        "((a, b) => a.left === b.left && a.top < b.top)(document.querySelector('.wall .card:nth-child(3)')\
         .getBoundingClientRect(), document.activeElement.closest('.card').getBoundingClientRect())",
    );
    back(&browser, "#mark-1");
    browser.press(&[SPACE]);
    to(&browser, "#mark-2");
    browser.press(&[SPACE]);
    browser.until("document.querySelectorAll('.together figure img[src]').length === 2");
    stays(&browser, "#mark-2");
    to(&browser, "[aria-label='Save as a choice star 2']");
    browser.press(&[ENTER]);
    browser.until_text("#notes", "plyloom plan tray-choice-1.pick");
    stays(&browser, "[aria-label='Save as a choice star 2']");
    // A note is closed by its button or by Escape; either leads back.
    to(&browser, "#notes button");
    browser.press(&[ENTER]);
    stays(&browser, "[aria-label='Save as a choice star 2']");
    browser.press(&[ENTER]);
    browser.until_text("#notes", "plyloom plan tray-choice-2.pick");
    to(&browser, "#notes button");
    browser.press(&[ESCAPE]);
    browser.until("document.querySelector('#notes').children.length === 0");
    stays(&browser, "[aria-label='Save as a choice star 2']");
    to(&browser, "[aria-label='Use star 2']");
    browser.press(&[ENTER]);
    browser.until("document.querySelector('#seed').value === '5'");
    // The cards were made anew with the new picture.
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 2");
    stays(&browser, "[aria-label='Use star 2']");
    // Of stars that go, the focus stays beside.
    to(&browser, "[aria-label='Drop star 2']");
    browser.press(&[ENTER]);
    browser.until("document.querySelectorAll('.shortlist .card').length === 1");
    stays(&browser, ".shortlist button");
    if !has_focus(&browser, "[aria-label='Drop star 1']") {
        back(&browser, "[aria-label='Drop star 1']");
    }
    browser.press(&[SPACE]);
    browser.until("document.querySelectorAll('.shortlist .card').length === 0");
    stays(&browser, "#wall-axis");
    assert_eq!(
        scene.kept(),
        [
            "tray-choice-1.pick",
            "tray-choice-2.pick",
            "tray.rhai",
            "tray.rhai.states.json",
            "tray.shortlist.json"
        ]
    );
    // The wall grows as one goes, and is no trap: one card of it is on the way.
    to(&browser, ".wall .star");
    browser.press(&[END]);
    browser.until("document.querySelectorAll('.wall .card img[src]').length > 12");
    focus_is_seen(&browser);
    browser.press(&[TAB, TAB]);
    stays(&browser, "#wall-more");
    // It stays where it is, and leads to the first of the new cards.
    let cards = browser.value("document.querySelectorAll('.wall .card').length");
    browser.press(&[ENTER]);
    browser.until("document.activeElement.matches('.wall .star')");
    focus_is_seen(&browser);
    let number = browser.value(
        "[...document.querySelectorAll('.wall .card')].indexOf(document.activeElement.closest('.card'))",
    );
    assert_eq!(number, cards);
    to(&browser, "#knob-rows");
    to(&browser, "#distance");
    to(&browser, "#skip");
}

fn the_plan_is_opened() {
    let (_scene, browser) = begun(Screen::Desk);
    to(&browser, "[data-room=plan]");
    browser.press(&[SPACE]);
    browser.until_text(".plan", "Shop plan: Tray");
    stays(&browser, "[data-room=plan]");
    to(&browser, ".papers a");
    browser.press(&[ENTER]);
    browser.in_last_tab(|paper| paper.until("document.title.includes('Shop plan: Tray')"));
    stays(&browser, ".papers a");
    // From here the panel is one stop from the top.
    to(&browser, "#skip");
    browser.press(&[ENTER]);
    stays(&browser, "#view-now .stage");
}

/// Goes once round the page, and gives what has had the focus, as `window.visited`.
fn round(browser: &Browser, held: &[char]) {
    browser.run("window.visited = []");
    for _ in 0..STOPS {
        browser.press_holding(held, &[TAB]);
        let again = browser.value(
            "(() => { const e = document.activeElement; if (e === document.body || visited.includes(e)) \
             return true; visited.push(e); return false; })()",
        );
        if again == json!(true) {
            return;
        }
        focus_is_seen(browser);
    }
    panic!(
        "no end: {}",
        browser.value("visited.map((e) => e.outerHTML.slice(0, 60))")
    );
}

fn tab_goes_once_round_everything_in_the_order_of_the_layout() {
    for screen in [Screen::Desk, Screen::Narrow] {
        let (scene, browser) = begun(screen);
        scene
            .bench
            .save_by_rename("tray.rhai", format!("{RECIPE}print(\"the tray\");\n"));
        browser.until_text("#printed", "the tray");
        round(&browser, &[]);
        let all = "[...document.querySelectorAll('a[href], button, input, select, [tabindex=\"0\"]')]\
                   .filter((e) => !e.disabled && e.getClientRects().length && e.tabIndex >= 0)";
        let missed = browser.value(&format!(
            "{all}.filter((e) => !visited.includes(e)).map((e) => e.outerHTML)"
        ));
        assert_eq!(missed, json!([]), "{screen:?}");
        // What follows stands below, or beside it on the right.
        browser.run("window.forward = visited; scrollTo(0, 0)");
        let wrong = browser.value(
            "forward.slice(2).map((e, i) => [forward[i + 1], e]).filter(([a, b]) => { \
             if (a.matches('.skip')) return false; \
             const [p, q] = [a.getBoundingClientRect(), b.getBoundingClientRect()]; \
             return !(q.top >= p.bottom - 1 || q.left >= p.right - 1); }) \
             .map((pair) => pair.map((e) => e.outerHTML.slice(0, 80)))",
        );
        assert_eq!(wrong, json!([]), "{screen:?}");
        // And the same way back.
        browser.run("getSelection().removeAllRanges()");
        round(&browser, &[SHIFT]);
        let same = browser.value(
            "forward.length === visited.length && forward.every((e) => visited.includes(e))",
        );
        assert_eq!(same, json!(true), "{screen:?}");
    }
}
