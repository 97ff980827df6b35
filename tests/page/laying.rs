//! Hands on the tiles: by mouse, by finger and by keys alone; what they do stands in the recipe.

use fantoccini::actions::{InputSource as _, MouseActions, PointerAction};

use crate::browser::{Browser, Screen};
use crate::hands::{DOWN, ENTER, ESCAPE, RIGHT, SHIFT};
use crate::scene::Scene;

trials! {
    Browser: [
        tiles_are_picked_turned_swapped_laid_and_given_back_by_mouse,
        forty_tiles_are_laid_and_mirrored_by_keys_alone,
        a_finger_that_rests_picks_a_tile,
        what_was_saved_meanwhile_is_never_written_over,
        the_text_follows_the_file_and_the_file_the_text,
    ],
}

/// A panel of 10 x 8 squares of 20.4 mm, as the kept texts begin and end.
const BEFORE: &str = include_str!("../suite/hands/forty.rhai");
const PICTURE: &str = "document.querySelector('#view-now').dataset.picture";
const STAGE: &str = "document.querySelector('#view-now .stage').focus()";
const SIDE: f64 = 20.4;

/// Where the middle of a cell lies in the window.
fn cell(browser: &Browser, column: i32, course: i32) -> (f64, f64) {
    let camera = browser.value("document.querySelector('#view-now').dataset.camera");
    let camera: Vec<f64> = camera
        .as_str()
        .expect("a camera")
        .split(' ')
        .map(|n| n.parse().expect("a number"))
        .collect();
    let stage = browser.value(
        "(() => { const b = document.querySelector('#view-now .stage').getBoundingClientRect(); \
         return [b.left + b.width / 2, b.top + b.height / 2]; })()",
    );
    let middle = |i: usize| stage[i].as_f64().expect("a place");
    let at = |n: i32| (f64::from(n) + 0.5) * SIDE;
    (
        middle(0) + (at(column) - camera[1]) * camera[0],
        middle(1) + (at(course) - camera[2]) * camera[0],
    )
}

/// The mouse from one place to others with its button down.
fn draw(browser: &Browser, way: &[(f64, f64)]) {
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
fn then(browser: &Browser, work: impl FnOnce()) {
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

fn in_hand(browser: &Browser) {
    browser.until_text("#view-now figcaption", "80 tiles");
    browser.click("#hand-switch");
    browser.until("document.querySelectorAll('.tray button').length === 3");
    browser.until("document.querySelector('#hands').dataset.ready === ''");
}

fn tiles_are_picked_turned_swapped_laid_and_given_back_by_mouse() {
    let scene = scene();
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser);
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
        text.contains("[0..=2, 5, dark],\n        [7..=9, 5, dark.flip()],"),
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
    in_hand(&browser);
    browser.choose("#hand-brush", "left-right");
    // Keys begin in the middle of the panel.
    browser.run(STAGE);
    let picked = "document.querySelector('#view-now').dataset.picked";
    browser.press_holding(&[SHIFT], &[RIGHT, DOWN]);
    browser.press(&[ENTER]);
    browser.until(&format!("{picked} === '1'"));
    then(&browser, || browser.press(&['r']));
    let text = scene.bench.read("tray.rhai");
    assert!(
        text.contains(".lay([") && text.contains("line.rotate(90)") && text.contains("line.flip()"),
        "{text}"
    );
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
        text.contains("[0..=4, 0, bent],\n        [5..=9, 0, bent.flip()],"),
        "{text}"
    );
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan");
    browser.until_text(".plan", "bent");
}

fn a_finger_that_rests_picks_a_tile() {
    let scene = scene();
    let browser = scene.shown(Screen::Narrow);
    browser.until_text("#view-now figcaption", "80 tiles");
    browser.run("document.querySelector('#view-now').scrollIntoView({ block: 'center' })");
    let spot = cell(&browser, 4, 3);
    browser.touch(&[std::iter::repeat_n(spot, 40).collect()]);
    browser.until("document.querySelector('#hand-switch').getAttribute('aria-pressed') === 'true'");
    browser.until("document.querySelector('#view-now').dataset.picked === '1'");
    browser.until("!document.querySelector('#hand-flip').disabled");
    then(&browser, || browser.click("#hand-rotate"));
    assert!(
        scene
            .bench
            .read("tray.rhai")
            .contains("[4, 3, line.rotate(90)]")
    );
}

fn what_was_saved_meanwhile_is_never_written_over() {
    let scene = scene();
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "80 tiles");
    let picture = browser.value(PICTURE);
    let picture = picture.as_str().expect("a number").to_owned();
    let answer = browser.awaited(
        "import('/page/server.js').then(async ({ read, send }) => { \
         const { text, mark } = await read('/api/text'); \
         const first = await send('/api/text', { over: mark, text: text + '// one\\n' }); \
         const second = await send('/api/text', { over: mark, text: 'lost' }); \
         done([first.copy, second.changed.text]); }).catch((e) => done([String(e), '']));",
    );
    assert_eq!(answer[0], "tray.rhai.before");
    assert_eq!(answer[1], format!("{BEFORE}// one\n"));
    assert_eq!(scene.bench.read("tray.rhai"), format!("{BEFORE}// one\n"));
    // Hands that still see the former picture: whether the new one is there by now or not.
    let mine = format!("{BEFORE}// mine\n");
    scene.bench.write("tray.rhai", &mine);
    let refused = browser.awaited(&format!(
        "import('/page/server.js').then(({{ send }}) => send('/api/hands', {{ picture: {picture}, panel: 0, \
         edits: [{{ act: 'rotate', cells: [[0, 0]], steps: 1 }}] }})).then(() => done('written'), (e) => done(e.message));"
    ));
    let refused = refused.as_str().expect("words");
    assert!(refused.contains("meanwhile"), "{refused}");
    assert_eq!(scene.bench.read("tray.rhai"), mine);
}

fn the_text_follows_the_file_and_the_file_the_text() {
    let scene = scene();
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "80 tiles");
    browser.click("#text-switch");
    let inside = "document.querySelector('.text-home').shadowRoot?.querySelector('.cm-content')";
    browser.until(&format!("{inside}?.textContent.includes('Runner')"));
    // Typed at the end of the text: a shorter panel over the first.
    scene
        .bench
        .write("tray.rhai", BEFORE.replace("size(10, 8)", "size(10, 7)"));
    browser.until(&format!("{inside}.textContent.includes('size(10, 7)')"));
    browser.until_text("#view-now figcaption", "70 tiles");
    browser.run(&format!("{inside}.focus()"));
    browser.press_holding(&['\u{e009}'], &['\u{e010}']);
    browser.press(&['/', '/', ' ', 'm', 'i', 'n', 'e']);
    browser.until_text("#text-told", "Not saved yet");
    browser.press_holding(&['\u{e009}'], &['s']);
    browser.until_text("#text-told", "As in the file");
    assert!(scene.bench.read("tray.rhai").ends_with("// mine"));
    // A mistake is marked where it stands.
    scene.bench.write(
        "tray.rhai",
        BEFORE.replace("laminate([plywood", "lamnate([plywood"),
    );
    browser.until(
        "document.querySelector('.text-home').shadowRoot.querySelector('.cm-lintRange-error')?.textContent === 'lamnate'",
    );
}
