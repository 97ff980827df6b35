//! A sheet read from a photo of its edge: dropped on the page, the lines drawn to the faces.

use crate::alone::opened;
use crate::browser::{Browser, Screen};
use crate::checker::{axe, faultless};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        a_photo_is_dropped_and_read_between_its_lines,
    ],
    Axe: [
        axe_finds_no_fault_in_what_was_read,
    ],
    File: [
        a_photo_is_read_without_a_server,
    ],
}

/// Drops a drawn edge of seven plies of 30 pixels, from row 60 to row 270 of 330, on a dark ground. It falls by 20
/// pixels from left to right, and runs from left to right only after a quarter turn.
const DROP: &str = "(async () => { const canvas = document.createElement('canvas'); canvas.width = 330; canvas.height = 400; \
    const context = canvas.getContext('2d'); context.fillStyle = '#222'; context.fillRect(0, 0, 330, 400); \
    context.translate(0, 400); context.rotate(-Math.PI / 2); context.transform(1, 0.05, 0, 1, 0, -10); \
    for (let i = 0; i < 7; i += 1) { context.fillStyle = i % 2 ? '#a58657' : '#e4cb9c'; context.fillRect(-9, 60 + 30 * i, 418, 210 - 30 * i); } \
    const blob = await new Promise((drawn) => canvas.toBlob(drawn, 'image/png')); \
    const dataTransfer = new DataTransfer(); dataTransfer.items.add(new File([blob], 'edge.png', { type: 'image/png' })); \
    document.querySelector('#photo').dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true })); \
    done(); })();";

const LINE: &str = "document.querySelector('#photo [role=slider]')";

fn press(browser: &Browser, words: &str) {
    browser.run(&format!(
        "[...document.querySelectorAll('#photo button')].find((b) => b.textContent === '{words}').click()"
    ));
}

/// Draws a line to a row of the photo, as a finger does.
fn draw(browser: &Browser, line: &str, row: f64) {
    let place = |at: &str| {
        let value = browser.value(&format!(
            "(() => {{ const box = document.querySelector('{at}').getBoundingClientRect(); return [box.left + box.width / 2, box.top, box.height]; }})()"
        ));
        let number = |i: usize| value[i].as_f64().expect("a number");
        (number(0), number(1), number(2))
    };
    let bar = format!("#photo [aria-label=\"{line}\"]");
    browser.run(&format!(
        "document.querySelector('{bar}').scrollIntoView({{ block: 'center' }})"
    ));
    let (x, top, height) = place(&bar);
    let (_, canvas, high) = place("#photo canvas");
    let to = canvas + high * row / 330.0;
    let from = top + height / 2.0;
    browser.touch(&[vec![(x, from), (x, f64::midpoint(from, to)), (x, to)]]);
}

/// Drops the photo under Recipes and reads it; the text for a recipe.
fn read(browser: &Browser) -> String {
    browser.click("[data-room=recipes]");
    browser.until("Boolean(document.querySelector('#photo input[type=file]'))");
    browser.awaited(DROP);
    browser.until(
        "document.querySelector('#photo').open && document.querySelector('#photo canvas').height > 300",
    );
    press(browser, "Turn a quarter");
    browser.until("document.querySelector('#photo canvas').width === 400");
    // Near the faces, not just there.
    draw(browser, "Upper face", 62.0);
    draw(browser, "Lower face", 268.0);
    browser.fill("#photo-thickness", "21 mm");
    press(browser, "Read the layers");
    browser.until("document.querySelectorAll('#photo li').length === 7");
    let text = browser.value("document.querySelector('#photo pre').textContent");
    text.as_str().expect("a text").to_owned()
}

/// Seven plies of 3 mm, written for a recipe.
fn holds_seven_plies(text: &str) {
    assert!(text.starts_with("let sheet = laminate(["), "{text}");
    let plies: Vec<f64> = (text.lines())
        .filter_map(|line| {
            line.trim()
                .strip_prefix("ply(")?
                .split(',')
                .next()?
                .parse()
                .ok()
        })
        .collect();
    assert_eq!(plies.len(), 7, "{text}");
    assert!(plies.iter().all(|ply| (ply - 3.0).abs() < 0.05), "{text}");
}

fn axe_finds_no_fault_in_what_was_read() {
    let scene = Scene::new(RECIPE);
    for screen in [Screen::Desk, Screen::Dark, Screen::Narrow] {
        let browser = scene.shown(screen);
        read(&browser);
        browser.run(&axe());
        faultless(&browser, "a photo");
    }
}

fn a_photo_is_read_without_a_server() {
    holds_seven_plies(&read(&opened()));
}

fn a_photo_is_dropped_and_read_between_its_lines() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    holds_seven_plies(&read(&browser));
    // By the keyboard alone: what was read of other faces goes.
    browser.run(&format!("{LINE}.focus()"));
    let before = browser.value(&format!(
        "Number({LINE}.getAttribute('aria-valuetext').split(' ')[0])"
    ));
    browser.press(&['\u{e015}']);
    browser.until(&format!(
        "Math.abs(Number({LINE}.getAttribute('aria-valuetext').split(' ')[0]) - {before} - 0.2) < 0.11"
    ));
    browser.until("document.querySelector('#photo pre').parentElement.hidden");
    // What is no thickness, and no picture, is told.
    browser.fill("#photo-thickness", "thick");
    press(&browser, "Read the layers");
    browser.until_text("#notes", "thickness as you measure it");
    browser.awaited(&DROP.replace("[blob]", "['text']"));
    browser.until_text("#notes", "edge.png is no picture");
}
