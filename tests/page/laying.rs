//! Hands on the tiles: by mouse and by keys alone; what they do stands in the recipe.

use fantoccini::actions::{InputSource as _, MouseActions, PointerAction};

use crate::browser::{Browser, Screen};
use crate::common::Bench;
use crate::hands::{DOWN, ENTER, ESCAPE, RIGHT, SHIFT};
use crate::scene::Scene;

trials! {
    Browser: [
        tiles_are_picked_turned_swapped_laid_and_given_back_by_mouse,
        forty_tiles_are_laid_and_mirrored_by_keys_alone,
        an_empty_recipe_is_laid_by_hand_alone,
        a_repeat_is_offered_in_pictures_and_one_click_fills_the_panel,
        what_would_come_of_it_is_shown_before,
        only_what_the_wood_can_be_is_offered,
    ],
}

/// A panel of 10 x 8 squares of 20.4 mm, as the kept texts begin and end.
pub(crate) const BEFORE: &str = include_str!("../suite/hands/forty.rhai");
pub(crate) const PICTURE: &str = "document.querySelector('#view-now').dataset.picture";
const STAGE: &str = "document.querySelector('#view-now .stage').focus()";
const SIDE: f64 = 20.4;
/// What hands have drawn over the panel.
const CANVAS: &str = "document.querySelector('.stage .hands').toDataURL()";

/// Where a point of the panel, in mm, lies in the window.
pub(crate) fn spot(browser: &Browser, x: f64, y: f64) -> (f64, f64) {
    browser.run("document.querySelector('#view-now .stage').scrollIntoView({ block: 'nearest' })");
    browser.place(&format!(
        "(() => {{ const v = document.querySelector('#view-now'); const [s, x, y] = v.dataset.camera.split(' ').map(Number); \
         const b = v.querySelector('.stage').getBoundingClientRect(); \
         return [b.left + b.width / 2 + ({x} - x) * s, b.top + b.height / 2 + ({y} - y) * s]; }})()"
    ))
}

/// Where the middle of a cell lies in the window.
pub(crate) fn cell(browser: &Browser, column: i32, course: i32) -> (f64, f64) {
    let at = |n: i32| (f64::from(n) + 0.5) * SIDE;
    spot(browser, at(column), at(course))
}

/// The mouse from one place to others with its button down.
pub(crate) fn draw(browser: &Browser, way: &[(f64, f64)]) {
    let to = |&(x, y): &(f64, f64)| PointerAction::MoveTo {
        duration: Some(std::time::Duration::from_millis(30)),
        x,
        y,
    };
    let (first, rest) = way.split_first().expect("a way");
    let begun = MouseActions::new("mouse".to_owned())
        .then(to(first))
        .then(PointerAction::Down { button: 0 });
    let moved = rest
        .iter()
        .fold(begun, |actions, point| actions.then(to(point)));
    browser.act(moved.then(PointerAction::Up { button: 0 }).into());
}

/// Does something, and waits for the picture that comes of it.
pub(crate) fn then(browser: &Browser, work: impl FnOnce()) {
    let before = browser.value(PICTURE);
    work();
    browser.until(&format!(
        "{PICTURE} !== {before} && document.body.dataset.state === 'ready'"
    ));
    browser.until("document.querySelector('#hands').dataset.ready === ''");
}

fn scene() -> Scene {
    Scene::new(BEFORE)
}

/// Takes hands to a panel that shows so many tiles of two or three kinds.
pub(crate) fn in_hand(browser: &Browser, tiles: &str) {
    browser.until_text("#view-now figcaption", tiles);
    browser.click("#hand-switch");
    browser.until("document.querySelectorAll('.tray button').length >= 2");
    browser.until("document.querySelector('#hands').dataset.ready === ''");
}

fn tiles_are_picked_turned_swapped_laid_and_given_back_by_mouse() {
    let scene = scene();
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    let at = |column, course| cell(&browser, column, course);
    draw(&browser, &[at(1, 0)]);
    browser.until_text("#hands-told", "1 picked");
    then(&browser, || browser.click("#hand-rotate"));
    let text = scene.bench.read("tray.rhai");
    assert_eq!(
        text,
        BEFORE.replace(
            ".fill(line);",
            ".fill(line)\n    .lay([\n        [1, 0, line.rotate(90)],\n    ]);"
        )
    );
    // What the maker wrote is kept, once.
    assert_eq!(scene.bench.read("tray.rhai.before"), BEFORE);
    browser.until_text("#notes", "tray.rhai.before");
    // Dragged onto another place, the two change places.
    then(&browser, || draw(&browser, &[at(1, 0), at(2, 1), at(3, 2)]));
    assert!(
        scene
            .bench
            .read("tray.rhai")
            .contains("[3, 2, line.rotate(90)],\n    ]")
    );
    // A stroke of another kind, on both sides of the middle.
    browser.click("[data-kind=dark]");
    browser.choose("#hand-reach", "stroke");
    browser.choose("#hand-brush", "left-right");
    then(&browser, || draw(&browser, &[at(0, 5), at(1, 5), at(2, 5)]));
    let text = scene.bench.read("tray.rhai");
    assert!(
        text.contains("[0..=2, 5, dark],\n        [7..=9, 5, dark],"),
        "{text}"
    );
    // All of it taken up again, the recipe is what it was.
    browser.click("[data-kind=dark]");
    browser.choose("#hand-reach", "box");
    browser.choose("#hand-brush", "one");
    draw(&browser, &[at(0, 0), at(4, 4), at(9, 7)]);
    browser.until_text("#hands-told", "80 picked");
    then(&browser, || browser.click("#hand-give"));
    assert_eq!(scene.bench.read("tray.rhai"), BEFORE);
}

fn forty_tiles_are_laid_and_mirrored_by_keys_alone() {
    let scene = scene();
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    browser.choose("#hand-brush", "left-right");
    // Keys begin in the middle of the panel.
    browser.run(STAGE);
    let picked = "document.querySelector('#view-now').dataset.picked";
    browser.press_holding(&[SHIFT], &[RIGHT, DOWN]);
    browser.press(&[ENTER]);
    browser.until(&format!("{picked} === '1'"));
    then(&browser, || browser.press(&['r']));
    let text = scene.bench.read("tray.rhai");
    // It lies beside its image, which shows the same.
    assert!(text.contains("[4..=5, 4, line.rotate(90)],"), "{text}");
    // Half a panel in one act: forty tiles, and their images.
    browser.press(&[ESCAPE]);
    browser.choose("#hand-reach", "box");
    let at = |column, course| cell(&browser, column, course);
    draw(&browser, &[at(0, 0), at(2, 4), at(4, 7)]);
    browser.until_text("#hands-told", "40 picked");
    browser.run(STAGE);
    // The first of the tray is laid on what is picked.
    then(&browser, || browser.press(&['1']));
    let text = scene.bench.read("tray.rhai");
    assert!(
        text.contains("[0..=4, 0, bent],\n        [5..=9, 0, bent.rotate(270)],"),
        "{text}"
    );
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan");
    browser.until_text(".plan", "bent");
}

/// From an empty recipe by mouse alone to a plan: forty tiles, their mirror images, one step had back.
fn an_empty_recipe_is_laid_by_hand_alone() {
    let bench = Bench::new();
    bench.run(&["new", "tray", "--like", "by-hand"]).ended(0);
    let scene = Scene::with(bench, &[]);
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    browser.choose("#hand-reach", "stroke");
    browser.choose("#hand-brush", "left-right");
    let take = |kind: &str, turns: usize| {
        let held = format!("document.querySelector('[data-kind={kind}]').ariaPressed === 'true'");
        if browser.value(&held) == false {
            browser.click(&format!("[data-kind={kind}]"));
        }
        browser.until(&held);
        browser.run(STAGE);
        browser.press(&vec!['r'; turns]);
    };
    let mut laid = 0;
    let mut stroke = |from: (i32, i32), to: (i32, i32)| {
        let steps = (to.0 - from.0).abs().max((to.1 - from.1).abs());
        laid += steps + 1;
        let along = |i: i32, a: i32, b: i32| a + (b - a).signum() * i;
        let way: Vec<_> = (0..=steps)
            .map(|i| cell(&browser, along(i, from.0, to.0), along(i, from.1, to.1)))
            .collect();
        then(&browser, || draw(&browser, &way));
    };
    take("dark", 0);
    stroke((0, 0), (4, 0));
    stroke((0, 1), (0, 7));
    for course in 2..=6 {
        stroke((2, course), (4, course));
    }
    take("bend", 0);
    stroke((1, 1), (1, 1));
    take("bend", 3);
    stroke((1, 7), (1, 7));
    take("line", 0);
    stroke((2, 1), (4, 1));
    stroke((2, 7), (4, 7));
    take("line", 1);
    stroke((1, 2), (1, 6));
    assert_eq!(laid, 40);
    let text = scene.bench.read("tray.rhai");
    // One too many, had back.
    take("bend", 0);
    then(&browser, || draw(&browser, &[cell(&browser, 3, 3)]));
    assert_ne!(scene.bench.read("tray.rhai"), text);
    then(&browser, || browser.click("#undo"));
    assert_eq!(scene.bench.read("tray.rhai"), text);
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan");
    browser.until_text(".plan", "bend");
    let kept = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/suite/hands/by-hand.laid.rhai");
    if std::env::var_os("PLYLOOM_BLESS").is_some() {
        std::fs::write(&kept, &text).expect("it is written");
    }
    assert_eq!(text, std::fs::read_to_string(kept).expect("a kept text"));
}

fn a_repeat_is_offered_in_pictures_and_one_click_fills_the_panel() {
    let laid = BEFORE.replace(
        ".fill(line);",
        ".fill(line)\n    .lay([\n        [0, 0, dark],\n        [1, 0, line.rotate(90)],\n    ]);",
    );
    let scene = Scene::new(&laid);
    let browser = scene.shown(Screen::Narrow);
    in_hand(&browser, "80 tiles");
    browser.click("#hand-on");
    browser.until("document.querySelectorAll('.offers img').length >= 3");
    browser.until_text(".offers", "repeated every 2 x 1");
    browser.until_text(".offers", "mirrored");
    then(&browser, || browser.click(".offers button:first-child"));
    let text = scene.bench.read("tray.rhai");
    assert_eq!(
        text,
        laid.replace("\n    ]);", "\n    ], #{ repeat: [2, 1] });")
    );
    browser.until_text("#states", "repeat 2 \u{d7} 1");
    browser.click("#undo");
    browser.until("document.querySelector('#redo').disabled === false");
    assert_eq!(scene.bench.read("tray.rhai"), laid);
}

fn what_would_come_of_it_is_shown_before() {
    let scene = scene();
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    draw(&browser, &[cell(&browser, 4, 3)]);
    browser.until_text("#hands-told", "1 picked");
    let plain = browser.value(CANVAS);
    // By keys: the button with the focus shows it, the one with the pointer does likewise.
    browser.run("document.querySelector('#hand-rotate').focus()");
    browser.until_text("#hands-told", "Lines would run on through");
    browser.until_text("#hands-told", "\u{2212}");
    browser.until(&format!("{CANVAS} !== {plain}"));
    browser.run("document.querySelector('#hand-rotate').blur()");
    browser.until(&format!("{CANVAS} === {plain}"));
    browser.until_text("#hands-told", "1 picked");
    // A tile in hand is shown where the pointer is.
    browser.run(STAGE);
    browser.press(&[ESCAPE]);
    browser.click("[data-kind=bent]");
    let (x, y) = cell(&browser, 6, 2);
    browser.act(
        MouseActions::new("mouse".to_owned())
            .then(PointerAction::MoveTo {
                duration: None,
                x,
                y,
            })
            .into(),
    );
    browser.until_text("#hands-told", "Lines would run on through");
    assert_eq!(scene.bench.read("tray.rhai"), BEFORE);
}

fn only_what_the_wood_can_be_is_offered() {
    let text = "let sheet = plywood(7, 18);\nlet lath = bar(sheet.rip(36)).slice(\"lath\");\n\
                let block = bar(sheet.rip(18)).slice(\"block\");\n\
                panel(\"p\", squares(lath)).size(10, 8).fill(lath);\n\
                panel(\"q\", squares(block)).size(4, 4).fill(bag(\"b\", [[block, 16]]));\n";
    let scene = Scene::new(text);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "80 tiles");
    browser.click("#hand-switch");
    browser.until("document.querySelector('#hands').dataset.ready === ''");
    let kinds = "[...document.querySelectorAll('.tray button')].map((b) => b.dataset.kind).join()";
    assert_eq!(browser.value(kinds), "lath");
    browser.choose("[aria-label='Which panel']", "1");
    browser.until(&format!("{kinds} === 'block'"));
    browser.until_text(".tray", "0 left");
    browser.until("document.querySelector('#hand-give').disabled");
}
