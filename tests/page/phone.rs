//! The main job on the screen of a small telephone, by fingers alone: an empty recipe, tiles laid and mirrored, a step
//! had back, and the plan. What hands need is in sight at once, under no other thing.

use crate::browser::{Browser, Screen};
use crate::common::Bench;
use crate::laying::{cell, then};
use crate::scene::Scene;

trials! {
    Browser: [
        an_empty_recipe_is_laid_on_a_phone_and_planned,
        a_step_on_a_phone_leaves_the_window_where_it_is,
    ],
}

/// Whether a finger reaches the middle of an element: it is in the window, and nothing lies over it.
fn in_reach(selector: &str) -> String {
    format!(
        "((e) => {{ const b = e.getBoundingClientRect(); const at = document.elementFromPoint(b.left + b.width / 2, b.top + b.height / 2); \
         return b.top >= 0 && b.bottom <= innerHeight && e.contains(at); }})(document.querySelector(\"{selector}\"))"
    )
}

/// Taps what is in reach.
fn tap(browser: &Browser, selector: &str) {
    browser.until(&in_reach(selector));
    let at = browser.place(&format!(
        "(() => {{ const b = document.querySelector(\"{selector}\").getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2]; }})()"
    ));
    browser.touch(&[vec![at]]);
}

/// A finger along a course.
fn stroke(browser: &Browser, course: i32, columns: std::ops::RangeInclusive<i32>) {
    let way = columns
        .map(|column| cell(browser, column, course))
        .collect();
    then(browser, || browser.touch(&[way]));
}

fn scene() -> Scene {
    let bench = Bench::new();
    bench.run(&["new", "tray", "--like", "by-hand"]).ended(0);
    Scene::with(bench, &[])
}

fn an_empty_recipe_is_laid_on_a_phone_and_planned() {
    let scene = scene();
    let browser = scene.shown(Screen::Narrow);
    browser.until_text("#view-now figcaption", "80 tiles");
    tap(&browser, "#hand-switch");
    browser.until("document.querySelectorAll('.tray button').length === 3");
    browser.until("document.querySelector('#hands').dataset.ready === ''");
    // Panel, tray, what is done with tiles, and the way back: all at once.
    for needed in [
        "#view-now .stage",
        "[data-kind=dark]",
        "#hand-rotate",
        "#hand-flip",
        "#hand-reach",
        "#hand-brush",
    ] {
        browser.until(&in_reach(needed).replace("e.contains(at)", "true"));
    }
    assert_eq!(
        browser.value("document.documentElement.scrollWidth <= innerWidth"),
        true
    );
    browser.choose("#hand-reach", "stroke");
    browser.choose("#hand-brush", "left-right");
    for (kind, courses) in [
        ("dark", [0, 7]),
        ("bend", [1, 6]),
        ("line", [2, 5]),
        ("dark", [3, 4]),
    ] {
        tap(&browser, &format!("[data-kind={kind}]"));
        browser.until(&format!(
            "document.querySelector('[data-kind={kind}]').ariaPressed === 'true'"
        ));
        for course in courses {
            stroke(&browser, course, 0..=4);
        }
    }
    browser.until("document.querySelectorAll('#states .state').length === 9");
    let text = scene.bench.read("tray.rhai");
    for (course, kind) in [
        (0, "dark"),
        (1, "bend"),
        (2, "line"),
        (3, "dark"),
        (4, "dark"),
        (7, "dark"),
    ] {
        assert!(text.contains(&format!(", {course}, {kind}")), "{text}");
    }
    // One too many, had back.
    stroke(&browser, 5, 2..=2);
    assert_ne!(scene.bench.read("tray.rhai"), text);
    then(&browser, || tap(&browser, "#undo"));
    assert_eq!(scene.bench.read("tray.rhai"), text);
    // A tile that a finger rests on is picked; a tap turns it.
    tap(&browser, "[data-kind=dark]");
    browser.until("document.querySelector('[data-kind=dark]').ariaPressed === 'false'");
    browser.touch(&[vec![cell(&browser, 0, 1)]]);
    browser.until("document.querySelector('#view-now').dataset.picked === '1'");
    then(&browser, || tap(&browser, "#hand-rotate"));
    assert!(
        scene
            .bench
            .read("tray.rhai")
            .contains("[0, 1, bend.rotate(90)]")
    );
    browser.run("scrollTo(0, 0)");
    tap(&browser, "[data-room=plan]");
    browser.until_text(".plan", "Shop plan");
    browser.until_text(".plan", "bend");
}

/// What is new in the strip of states comes into sight there; the window does not move with it.
fn a_step_on_a_phone_leaves_the_window_where_it_is() {
    let scene = scene();
    let browser = scene.shown(Screen::Narrow);
    browser.until_text("#view-now figcaption", "80 tiles");
    tap(&browser, "#hand-switch");
    browser.until("document.querySelectorAll('.tray button').length === 3");
    tap(&browser, "[data-kind=dark]");
    let scrolled = browser.value("scrollY");
    for course in 0..6 {
        stroke(&browser, course, 0..=0);
        assert_eq!(browser.value("scrollY"), scrolled);
    }
    browser.until("document.querySelectorAll('#states .state').length === 7");
    browser.until(
        "(() => { const [strip, own] = ['#states', '#states [aria-current]'].map((s) => document.querySelector(s).getBoundingClientRect()); \
         return own.left >= strip.left - 4 && own.right <= strip.right + 4; })()",
    );
}
