//! Symmetry by hand: what is done to one tile is done to its images, on squares, hexagons and rhombi. Where the images
//! lie is worked out here, from where the tiles lie alone.

use serde_json::Value;

use crate::browser::{Browser, Screen};
use crate::laying::{BEFORE, cell, draw, in_hand, spot, then};
use crate::scene::Scene;

trials! {
    Browser: [
        squares_are_laid_in_every_symmetry_by_mouse,
        hexagons_are_laid_by_hand_in_their_own_symmetries,
        rhombi_are_laid_by_hand_in_their_own_symmetries,
    ],
}

/// A tile of the panel, as the page knows it.
#[derive(Debug, Clone, PartialEq)]
struct Place {
    x: f64,
    y: f64,
    kind: String,
    turn: f64,
    laid: bool,
}

/// All tiles of the panel that is shown.
fn places(browser: &Browser) -> Vec<Place> {
    let told = browser.awaited(
        "const id = document.querySelector('#view-now').dataset.picture; \
         Promise.all([import('/page/tiles.js').then(({ tilesOf }) => tilesOf(id, 0)), \
         import('/page/server.js').then(({ read }) => read(`/api/tray/${id}/0`))]).then(([tiles, tray]) => \
         done([...tiles.x].map((x, i) => [x, tiles.y[i], tiles.faces[tiles.face[i]].kind, tiles.faces[tiles.face[i]].turn, \
         tray.laid.includes(i)]))).catch((e) => done(String(e)));",
    );
    let tiles = told.as_array().unwrap_or_else(|| panic!("{told}"));
    let number = |value: &Value| value.as_f64().expect("a number");
    tiles
        .iter()
        .map(|tile| Place {
            x: number(&tile[0]),
            y: number(&tile[1]),
            kind: tile[2].as_str().expect("a kind").to_owned(),
            turn: number(&tile[3]),
            laid: tile[4] == true,
        })
        .collect()
}

/// Undoes the last step, and waits until the recipe is what it was.
fn undone(scene: &Scene, browser: &Browser, text: &str) {
    then(browser, || browser.click("#undo"));
    assert_eq!(scene.bench.read("tray.rhai"), text);
}

/// Cells of a panel of eight by eight squares; the first is the one that the hand is on.
type Images = &'static [(i32, i32)];

fn squares_are_laid_in_every_symmetry_by_mouse() {
    let text = BEFORE.replace("size(10, 8)", "size(8, 8)");
    let scene = Scene::new(&text);
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "64 tiles");
    browser.click("[data-kind=dark]");
    browser.choose("#hand-reach", "stroke");
    let ways: [(&str, Images); 8] = [
        ("one", &[(1, 0), (2, 0)]),
        ("left-right", &[(1, 0), (2, 0), (6, 0), (5, 0)]),
        ("top-bottom", &[(1, 0), (2, 0), (1, 7), (2, 7)]),
        (
            "both",
            &[
                (1, 0),
                (2, 0),
                (5, 0),
                (6, 0),
                (1, 7),
                (2, 7),
                (5, 7),
                (6, 7),
            ],
        ),
        ("half-turn", &[(1, 0), (2, 0), (6, 7), (5, 7)]),
        (
            "quarter-turn",
            &[
                (1, 0),
                (2, 0),
                (7, 1),
                (7, 2),
                (6, 7),
                (5, 7),
                (0, 6),
                (0, 5),
            ],
        ),
        ("diagonal", &[(1, 0), (2, 0), (0, 1), (0, 2)]),
        (
            "every",
            &[
                (1, 0),
                (2, 0),
                (5, 0),
                (6, 0),
                (1, 4),
                (2, 4),
                (5, 4),
                (6, 4),
            ],
        ),
    ];
    for (brush, images) in ways {
        browser.choose("#hand-brush", brush);
        if brush == "every" {
            browser.fill("#every-columns", "4");
            browser.fill("#every-courses", "4");
        }
        then(&browser, || {
            draw(&browser, &[cell(&browser, 1, 0), cell(&browser, 2, 0)]);
        });
        let mut laid: Vec<(i32, i32)> = places(&browser)
            .iter()
            .filter(|place| place.laid)
            .map(|place| (column(place.x), column(place.y)))
            .collect();
        let mut wanted = images.to_vec();
        laid.sort_unstable();
        wanted.sort_unstable();
        assert_eq!(laid, wanted, "{brush}");
        undone(&scene, &browser, &text);
    }
    // What has a direction is turned and mirrored with its place: a line from the left down.
    browser.click("[data-kind=bent]");
    let turns: [(&str, &str); 2] = [
        (
            "quarter-turn",
            "[1, 0, bent],\n        [7, 1, bent.rotate(90)],\n        [0, 6, bent.rotate(270)],\n        [6, 7, bent.rotate(180)],",
        ),
        (
            "diagonal",
            "[1, 0, bent],\n        [0, 1, bent.rotate(180)],",
        ),
    ];
    for (brush, block) in turns {
        browser.choose("#hand-brush", brush);
        then(&browser, || draw(&browser, &[cell(&browser, 1, 0)]));
        let text_now = scene.bench.read("tray.rhai");
        assert!(text_now.contains(block), "{brush}: {text_now}");
        undone(&scene, &browser, &text);
    }
    // No sixth of a turn leads from square to square.
    let offered = "[...document.querySelectorAll('#hand-brush option')].filter((o) => !o.disabled).map((o) => o.value).join()";
    assert_eq!(
        browser.value(offered),
        "one,left-right,top-bottom,both,half-turn,quarter-turn,diagonal,every"
    );
}

/// The number of the square that holds a place in mm, from 0.
#[allow(clippy::cast_possible_truncation, reason = "few squares")]
fn column(mm: f64) -> i32 {
    (mm / 20.4).floor() as i32
}

/// Turned about a point by degrees, clockwise as seen.
#[allow(clippy::disallowed_methods, reason = "sums of its own")]
fn turned((x, y): (f64, f64), about: (f64, f64), degrees: f64) -> (f64, f64) {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let (dx, dy) = (x - about.0, y - about.1);
    (about.0 + dx * cos - dy * sin, about.1 + dx * sin + dy * cos)
}

#[allow(clippy::disallowed_methods, reason = "sums of its own")]
fn nearest(all: &[Place], (x, y): (f64, f64)) -> &Place {
    let far = |place: &Place| (place.x - x).hypot(place.y - y);
    all.iter()
        .min_by(|a, b| far(a).total_cmp(&far(b)))
        .expect("a tile")
}

/// Lays the tile beside the one in the middle by a click, and holds that its images about that middle lie there
/// too, each turned by so many degrees more than the one before.
#[allow(clippy::disallowed_methods, reason = "sums of its own")]
fn in_turns(
    browser: &Browser,
    kind: &str,
    brush: &str,
    step: f64,
    middle: (f64, f64),
    from: (f64, f64),
) {
    browser.choose("#hand-brush", brush);
    let before = places(browser);
    let at = nearest(&before, from).clone();
    then(browser, || draw(browser, &[spot(browser, at.x, at.y)]));
    let after = places(browser);
    let mut laid = 0;
    let mut degrees = 0.0;
    while degrees < 359.0 {
        let to = turned((at.x, at.y), middle, degrees);
        let there = nearest(&after, to);
        assert!(
            (there.x - to.0).hypot(there.y - to.1) < 0.01,
            "{brush}: no tile at {to:?}"
        );
        assert!(
            there.laid && there.kind == kind,
            "{brush}, {degrees} degrees: {there:?}"
        );
        let own = nearest(&after, (at.x, at.y)).turn;
        let more = (there.turn - own - degrees).rem_euclid(360.0);
        assert!(
            more.min(360.0 - more) < 1e-6,
            "{brush}, {degrees} degrees: {there:?}"
        );
        laid += 1;
        degrees += step;
    }
    assert_eq!(
        after.iter().filter(|place| place.laid).count(),
        laid,
        "{brush}"
    );
}

fn hexagons_are_laid_by_hand_in_their_own_symmetries() {
    // Three strips, one of them end for end: no turn shows the same.
    let text = "let sheet = laminate([veneer(0.6, \"navy\"), plywood(13, 17.7)]);\nlet strip = sheet.rhombus(60);\n\
                let plain = laminate([ply(18.3, \"walnut\")]).rhombus(60);\n\
                let block = hexagon([strip, strip, strip.end_for_end()]).slice(\"block\");\n\
                let other = hexagon([strip, plain, plain]).slice(\"other\");\n\
                panel(\"Hexagons\", hexagons(block)).size(5, 5).fill(block);\n";
    let scene = Scene::new(text);
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "25 tiles");
    browser.click("[data-kind=other]");
    let all = places(&browser);
    // The hexagon in the middle: the third of the third course. Its six neighbours are one width away.
    let middle = (all[12].x, all[12].y);
    let beside = (all[13].x, all[13].y);
    for (brush, step) in [
        ("third-turn", 120.0),
        ("sixth-turn", 60.0),
        ("half-turn", 180.0),
    ] {
        in_turns(&browser, "other", brush, step, middle, beside);
        undone(&scene, &browser, text);
    }
    // Mirrored left and right about the middle of the longer courses.
    browser.choose("#hand-brush", "left-right");
    then(&browser, || {
        draw(&browser, &[spot(&browser, all[10].x, all[10].y)]);
    });
    let laid: Vec<_> = places(&browser)
        .into_iter()
        .filter(|place| place.laid)
        .collect();
    assert_eq!(laid.len(), 2, "{laid:?}");
    assert!(
        (laid[0].x + laid[1].x - 2.0 * middle.0).abs() < 0.01
            && (laid[0].y - laid[1].y).abs() < 0.01
    );
    undone(&scene, &browser, text);
    // Picked and turned by keys, a hexagon goes on by sixths.
    browser.click("[data-kind=other]");
    browser.choose("#hand-brush", "one");
    draw(&browser, &[spot(&browser, middle.0, middle.1)]);
    browser.until_text("#hands-told", "1 picked");
    then(&browser, || browser.click("#hand-rotate"));
    assert!(
        scene
            .bench
            .read("tray.rhai")
            .contains("[2, 2, block.rotate(60)]")
    );
    // Quarter turns and the diagonal are none of theirs.
    let hidden = "['quarter-turn', 'diagonal'].every((b) => document.querySelector(`#hand-brush [value=${b}]`).disabled)";
    assert_eq!(browser.value(hidden), true);
}

fn rhombi_are_laid_by_hand_in_their_own_symmetries() {
    let text = "let lined = bar(laminate([veneer(1, \"navy\"), plywood(9, 12)]).rhombus(60)).slice(\"lined\");\n\
                let other = bar(laminate([veneer(1, \"poppy\"), plywood(9, 12)]).rhombus(60)).slice(\"other\");\n\
                panel(\"Rhombi\", rhombi(lined)).size(5, 5).fill(lined);\n";
    let scene = Scene::new(text);
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "25 tiles");
    browser.click("[data-kind=other]");
    let all = places(&browser);
    let middle = (all[12].x, all[12].y);
    let at = (all[11].x, all[11].y);
    in_turns(&browser, "other", "half-turn", 180.0, middle, at);
    undone(&scene, &browser, text);
    browser.click("[data-kind=other]");
    // What is picked is turned half round; quarter turns fit no rhombus.
    draw(&browser, &[spot(&browser, middle.0, middle.1)]);
    browser.until_text("#hands-told", "1 picked");
    then(&browser, || browser.click("#hand-rotate"));
    assert!(
        scene
            .bench
            .read("tray.rhai")
            .contains("[2, 2, lined.rotate(180)]")
    );
    then(&browser, || browser.click("#hand-flip"));
    let flipped = scene.bench.read("tray.rhai");
    assert!(flipped.contains("flip()"), "{flipped}");
}
