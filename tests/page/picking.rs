//! What hands pick at once, the keys for what is done with it, and variations that keep what was laid.

use crate::browser::{Browser, Screen};
use crate::hands::{ENTER, SHIFT};
use crate::laying::{BEFORE, cell, draw, in_hand, then};
use crate::scene::Scene;

trials! {
    Browser: [
        courses_columns_and_kinds_are_picked_at_once,
        keys_turn_flip_and_give_back,
        more_like_this_keeps_what_was_laid,
        tiles_that_come_late_after_a_step_back_are_picked,
    ],
}

const DELETE: char = '\u{e017}';

/// The line of the block that lays the cell at the top, second from the left.
fn laid(scene: &Scene) -> String {
    let text = scene.bench.read("tray.rhai");
    let line = text.lines().find(|line| line.trim().starts_with("[1, 0, "));
    line.map(|line| line.trim().to_owned()).unwrap_or_default()
}

fn courses_columns_and_kinds_are_picked_at_once() {
    let scene = Scene::new(&BEFORE.replace(
        ".fill(line);",
        ".fill(line).fill_where(|c| c.course > 1, dark);",
    ));
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    let pick = |reach: &str, column, course| {
        browser.choose("#hand-reach", reach);
        draw(&browser, &[cell(&browser, column, course)]);
    };
    for (reach, picked) in [
        ("one", "1 picked"),
        ("course", "10 picked"),
        ("column", "8 picked"),
        ("kind", "60 picked"),
    ] {
        pick(reach, 3, 4);
        browser.until_text("#hands-told", picked);
    }
    // With Shift, more is picked, and what is picked already is let go of.
    browser.choose("#hand-reach", "course");
    browser.run("document.querySelector('#view-now .stage').focus()");
    browser.press_holding(&[SHIFT], &['\u{e015}', '\u{e014}']);
    browser.press(&[ENTER]);
    browser.until_text("#hands-told", " picked");
}

fn keys_turn_flip_and_give_back() {
    let scene = Scene::new(BEFORE);
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    browser.click("[data-kind=bent]");
    then(&browser, || draw(&browser, &[cell(&browser, 1, 0)]));
    assert_eq!(laid(&scene), "[1, 0, bent],");
    browser.click("[data-kind=bent]");
    draw(&browser, &[cell(&browser, 1, 0)]);
    browser.until_text("#hands-told", "1 picked");
    let press = |browser: &Browser, held: &[char], key: char| {
        browser.run("document.querySelector('#view-now .stage').focus()");
        then(browser, || browser.press_holding(held, &[key]));
    };
    press(&browser, &[], 'r');
    assert_eq!(laid(&scene), "[1, 0, bent.rotate(90)],");
    press(&browser, &[SHIFT], 'r');
    press(&browser, &[SHIFT], 'r');
    assert_eq!(laid(&scene), "[1, 0, bent.rotate(270)],");
    let before = laid(&scene);
    press(&browser, &[], 'f');
    assert_ne!(laid(&scene), before);
    press(&browser, &[], 'f');
    assert_eq!(laid(&scene), before);
    press(&browser, &[], DELETE);
    assert_eq!(scene.bench.read("tray.rhai"), BEFORE);
}

fn more_like_this_keeps_what_was_laid() {
    let text = BEFORE.replace(
        ".fill(line);",
        ".fill(random(\"rest\", line.looks()))\n    .lay([\n        [1, 0, dark],\n    ]);",
    );
    let scene = Scene::new(&text);
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    browser.click("#hand-more");
    browser.until("document.body.dataset.room === 'variations'");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 3");
    // Another arrangement of the rest, with the tile that was laid.
    then(&browser, || {
        browser.click(".wall .card:nth-child(3) .card-picture");
    });
    browser.click("[data-room=panel]");
    browser.until_text("[data-kind=dark]", "1 laid");
    assert_eq!(laid(&scene), "[1, 0, dark],");
    // Where nothing is by chance, it says what would help.
    scene.bench.write("tray.rhai", BEFORE);
    browser.until_text("[data-kind=dark]", "0 laid");
    browser.click("[data-room=panel]");
    browser.click("#hand-more");
    browser.until_text("#notes", "Nothing in this recipe is by chance");
}

/// A step back asks for its picture twice, as it was looked at too. What lies where comes after that.
fn tiles_that_come_late_after_a_step_back_are_picked() {
    let scene = Scene::new(BEFORE);
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    browser.click("[data-kind=dark]");
    then(&browser, || draw(&browser, &[cell(&browser, 1, 0)]));
    browser.click("[data-kind=dark]");
    browser.run(
        "const real = window.fetch; window.held = []; window.fetch = (path, ...rest) => path.includes('/api/tiles/') \
         ? new Promise((go) => held.push(go)).then(() => real(path, ...rest)) : real(path, ...rest);",
    );
    let before = browser.value("document.querySelector('#view-now').dataset.picture");
    browser.click("#undo");
    browser.until("document.querySelector('#states [aria-current] span').textContent === 'start'");
    browser.until("held.length > 0");
    browser.run("held.forEach((go) => go())");
    browser.until(&format!(
        "document.querySelector('#view-now').dataset.picture !== {before}"
    ));
    browser.until("document.querySelector('#hands').dataset.ready === ''");
    draw(&browser, &[cell(&browser, 1, 0)]);
    browser.until_text("#hands-told", "1 picked");
}
