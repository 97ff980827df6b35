//! Fingers on the panel: one moves it, two draw it closer or push it away; one that rests picks a tile.

use fantoccini::actions::{Actions, InputSource as _, PointerAction, TouchActions};

use crate::browser::{Browser, Screen};
use crate::laying::{BEFORE, cell, then};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        two_fingers_zoom_about_the_point_between_them,
        two_fingers_move_and_zoom_at_once,
        one_finger_moves_and_a_tap_reads_a_tile,
        a_finger_that_rests_picks_a_tile,
        a_second_finger_ends_the_rest_of_the_first,
    ],
}

/// The camera: scale in pixels a mm, and the point of the panel in the middle of the stage.
fn camera(browser: &Browser) -> [f64; 3] {
    let text = browser.value("document.querySelector('#view-now').dataset.camera");
    let text = text.as_str().expect("a camera");
    let numbers: Vec<f64> = text.split(' ').filter_map(|n| n.parse().ok()).collect();
    numbers.try_into().expect("three numbers")
}

/// The middle of the stage in the window.
fn middle(browser: &Browser) -> (f64, f64) {
    browser.place(
        "(() => { const b = document.querySelector('#view-now .stage').getBoundingClientRect(); \
         return [b.left + b.width / 2, b.top + b.height / 2]; })()",
    )
}

/// The point of the panel, in mm, under a point of the window.
fn under(browser: &Browser, (x, y): (f64, f64)) -> (f64, f64) {
    let [scale, at_x, at_y] = camera(browser);
    let (middle_x, middle_y) = middle(browser);
    (at_x + (x - middle_x) / scale, at_y + (y - middle_y) / scale)
}

/// Two fingers beside a point, at distances from it that change in steps.
fn pinch(browser: &Browser, (x, y): (f64, f64), from: f64, to: f64) {
    let steps: Vec<f64> = (0..=8)
        .map(|i| from + (to - from) * f64::from(i) / 8.0)
        .collect();
    let way = |side: f64| steps.iter().map(|d| (x + side * d, y)).collect();
    browser.touch(&[way(-1.0), way(1.0)]);
}

fn close(a: (f64, f64), b: (f64, f64), within: f64) -> bool {
    (a.0 - b.0).abs() <= within && (a.1 - b.1).abs() <= within
}

fn two_fingers_zoom_about_the_point_between_them() {
    for screen in [Screen::Desk, Screen::Narrow] {
        let scene = Scene::new(RECIPE);
        let browser = scene.shown(screen);
        let (x, y) = middle(&browser);
        // Beside the middle: a zoom about the middle of the stage would not do.
        let point = (x + 40.0, y + 15.0);
        let (before, held) = (camera(&browser), under(&browser, point));
        pinch(&browser, point, 30.0, 90.0);
        let after = camera(&browser);
        let ratio = after[0] / before[0];
        assert!((2.7..=3.05).contains(&ratio), "{before:?} {after:?}");
        // A pixel or two are lost until the fingers count as moving.
        let now = under(&browser, point);
        assert!(close(now, held, 3.0 / before[0]), "{held:?} {now:?}");
        pinch(&browser, point, 90.0, 30.0);
        let back = camera(&browser);
        let ratio = after[0] / back[0];
        assert!((2.7..=3.05).contains(&ratio), "{after:?} {back:?}");
        let now = under(&browser, point);
        assert!(close(now, held, 6.0 / before[0]), "{held:?} {now:?}");
    }
}

fn two_fingers_move_and_zoom_at_once() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Narrow);
    let (x, y) = middle(&browser);
    let held = under(&browser, (x, y));
    let before = camera(&browser)[0];
    // Apart by twice as much, and both 30 pixels down.
    let way = |side: f64| {
        let step = |i: i32| f64::from(i) / 8.0;
        let at = |i| (x + side * (40.0 + 40.0 * step(i)), y + 30.0 * step(i));
        (0..=8).map(at).collect()
    };
    browser.touch(&[way(-1.0), way(1.0)]);
    let ratio = camera(&browser)[0] / before;
    assert!((1.85..=2.05).contains(&ratio), "{ratio}");
    let now = under(&browser, (x, y + 30.0));
    assert!(close(now, held, 4.0 / before), "{held:?} {now:?}");
}

fn one_finger_moves_and_a_tap_reads_a_tile() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Narrow);
    let (x, y) = middle(&browser);
    let before = camera(&browser);
    let way = (0..=6).map(|i| (x - 10.0 * f64::from(i), y)).collect();
    browser.touch(&[way]);
    let after = camera(&browser);
    assert!((after[0] - before[0]).abs() < 1e-9, "{before:?} {after:?}");
    let moved = (after[1] - before[1]) * before[0];
    assert!((54.0..=61.0).contains(&moved), "{moved}");
    browser.until_text("#tile", "Point at a tile");
    browser.touch(&[vec![(x, y)]]);
    browser.until_text("#tile", "edges matched");
    // The page itself did not scroll under the finger.
    assert_eq!(browser.value("scrollX + scrollY"), serde_json::json!(0));
}

fn a_finger_that_rests_picks_a_tile() {
    let scene = Scene::new(BEFORE);
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

/// One finger rests for longer than picking takes, and another joins it before that: they zoom and move.
fn a_second_finger_ends_the_rest_of_the_first() {
    let scene = Scene::new(BEFORE);
    let browser = scene.shown(Screen::Narrow);
    browser.until_text("#view-now figcaption", "80 tiles");
    browser.run("document.querySelector('#view-now').scrollIntoView({ block: 'center' })");
    let (one, other) = (cell(&browser, 4, 3), cell(&browser, 6, 5));
    let rest = |&(x, y): &(f64, f64)| PointerAction::MoveTo {
        duration: Some(std::time::Duration::from_millis(40)),
        x,
        y,
    };
    // Both come down in one step, one after the other, however slow the machine is; then they rest.
    let finger = |name: &str, at: (f64, f64)| {
        let begun = TouchActions::new(name.to_owned()).then(rest(&at));
        let begun = begun.then(PointerAction::Down { button: 0 });
        (0..30).fold(begun, |actions, _| actions.then(rest(&at)))
    };
    let up = PointerAction::Up { button: 0 };
    let fingers: Actions = vec![
        finger("one", one).then(up.clone()),
        finger("other", other).then(up),
    ]
    .into();
    browser.act(fingers);
    let state = browser.value(
        "[document.querySelector('#hand-switch').getAttribute('aria-pressed'), \
         document.querySelector('#view-now').dataset.picked ?? '0', document.querySelector('#tile').textContent.includes('Point at')]",
    );
    assert_eq!(state, serde_json::json!(["false", "0", true]));
    // Alone, it picks.
    browser.touch(&[std::iter::repeat_n(one, 40).collect()]);
    browser.until("document.querySelector('#view-now').dataset.picked === '1'");
    assert_eq!(scene.bench.read("tray.rhai"), BEFORE);
}
