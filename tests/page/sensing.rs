//! What the browser says of its user: less motion, dark or light; and targets large enough to hit.

use serde_json::{Value, json};

use crate::browser::Screen;
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        nothing_moves_for_who_prefers_less_motion,
        the_page_turns_dark_with_the_system,
        every_target_is_large_enough,
    ],
}

/// Elements, and what stands before and after them, with a transition or an animation that takes time.
const MOVING: &str = "[...document.querySelectorAll('*')].flatMap((e) => ['', '::before', '::after'] \
    .map((part) => [e, getComputedStyle(e, part || null)])) \
    .filter(([, s]) => [s.transitionDuration, s.transitionDelay, s.animationName === 'none' ? '0s' : s.animationDuration] \
    .join(',').split(',').some((time) => parseFloat(time) > 0.001) || s.scrollBehavior === 'smooth') \
    .map(([e]) => e.outerHTML.slice(0, 80))";

fn nothing_moves_for_who_prefers_less_motion() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    let reduced = "matchMedia('(prefers-reduced-motion: reduce)').matches";
    browser.prefer("prefers-reduced-motion", "no-preference");
    assert_eq!(browser.value(reduced), json!(false));
    // Otherwise the way past the head slides in.
    let moving = browser.value(MOVING);
    let moving = moving.as_array().expect("elements");
    assert!(
        !moving.is_empty() && moving.iter().all(|e| e.to_string().contains("skip")),
        "{moving:?}"
    );
    browser.prefer("prefers-reduced-motion", "reduce");
    assert_eq!(browser.value(reduced), json!(true));
    scene.everywhere(&browser, |what| {
        assert_eq!(browser.value(MOVING), json!([]), "{what}");
        let running = browser.value("document.getAnimations().length");
        assert_eq!(running, json!(0), "{what}");
    });
}

fn the_page_turns_dark_with_the_system() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    let paper = "getComputedStyle(document.body).backgroundColor.match(/[0-9]+/g) \
                 .slice(0, 3).reduce((a, b) => a + Number(b), 0)";
    browser.prefer("prefers-color-scheme", "light");
    browser.until(&format!("{paper} > 600"));
    browser.prefer("prefers-color-scheme", "dark");
    browser.until(&format!("{paper} < 150"));
}

/// WCAG 2.2, success criterion 2.5.8, Target Size (Minimum): 24 by 24 CSS pixels.
fn every_target_is_large_enough() {
    for screen in [Screen::Desk, Screen::Narrow] {
        let scene = Scene::new(RECIPE);
        let browser = scene.shown(screen);
        let small = "[...document.querySelectorAll('a, button, input, select, [tabindex=\"0\"]')] \
            .filter((e) => e.getClientRects().length) \
            .map((e) => [e.outerHTML.slice(0, 120), e.getBoundingClientRect()]) \
            .filter(([, b]) => b.width < 24 || b.height < 24) \
            .map(([text, b]) => `${text} ${b.width} x ${b.height}`)";
        scene.everywhere(&browser, |what| {
            assert_eq!(browser.value(small), Value::Array(Vec::new()), "{what}");
        });
    }
}
