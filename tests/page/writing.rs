//! The recipe's text beside the picture: words completed and explained from their own documentation, a tile's line and
//! a line's tile, and a text that was changed in two places.

use crate::browser::{Browser, Screen};
use crate::hands::{CONTROL, END};
use crate::laying::{BEFORE, cell, draw, in_hand};
use crate::scene::Scene;

trials! {
    Browser: [
        words_are_completed_and_explained,
        a_tile_shows_its_line_and_a_line_its_tile,
        where_both_have_changed_the_maker_says_which_text_holds,
    ],
}

const ROOT: &str = "document.querySelector('.text-home').shadowRoot";

/// Opens the text, once it says this.
fn opened(browser: &Browser, words: &str) {
    browser.click("#text-switch");
    browser.until(&format!(
        "Boolean({ROOT}?.querySelector('.cm-content')?.textContent.includes('{words}'))"
    ));
}

/// Types at the end of the text.
fn typed(browser: &Browser, words: &str) {
    browser.run(&format!("{ROOT}.querySelector('.cm-content').focus()"));
    browser.press_holding(&[CONTROL], &[END]);
    browser.press(&words.chars().collect::<Vec<_>>());
}

fn words_are_completed_and_explained() {
    let scene = Scene::new(BEFORE);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "80 tiles");
    opened(&browser, "Runner");
    typed(&browser, "hexa");
    browser.until(&format!(
        "[...{ROOT}.querySelectorAll('.cm-tooltip-autocomplete li')].some((l) => l.textContent.includes('hexagons'))"
    ));
    // Beside the list stands what `plyloom words` prints of the word.
    let told = scene.bench.run(&["words", "hexagon"]);
    told.ended(0);
    let first = told
        .out
        .lines()
        .find(|line| line.contains("hexagon("))
        .expect("its form")
        .trim()
        .to_owned();
    browser.until(&format!(
        "Boolean({ROOT}.querySelector('.cm-completionInfo .form'))"
    ));
    let shown = browser.value(&format!(
        "{ROOT}.querySelector('.cm-completionInfo').textContent"
    ));
    let name = first.split('(').next().expect("a name");
    assert!(
        shown.as_str().is_some_and(|words| words.contains(name)),
        "{shown}, {first}"
    );
    // The pointer on a word shows the same.
    let at = browser.value(&format!(
        "(() => {{ const w = document.createTreeWalker({ROOT}.querySelector('.cm-content'), 4); \
         while (w.nextNode()) if (w.currentNode.data.startsWith('mitred_pair')) {{ const r = document.createRange(); \
         r.selectNode(w.currentNode); const b = r.getBoundingClientRect(); return [b.left + 12, b.top + b.height / 2]; }} }})()"
    ));
    let number = |i: usize| at[i].as_f64().expect("a place");
    draw(
        &browser,
        &[(number(0), number(1)), (number(0) + 2.0, number(1))],
    );
    browser.until(&format!(
        "Boolean({ROOT}.querySelector('.cm-tooltip-hover .help')?.textContent.includes('mitred_pair'))"
    ));
    assert_eq!(scene.bench.read("tray.rhai"), BEFORE, "nothing was saved");
}

fn a_tile_shows_its_line_and_a_line_its_tile() {
    let text = BEFORE.replace(
        ".fill(line);",
        ".fill(line)\n    .lay([\n        [1, 0, dark],\n        [2, 3, dark],\n        [3, 3, line.rotate(90)],\n    ]);",
    );
    let scene = Scene::new(&text);
    let browser = scene.shown(Screen::Desk);
    in_hand(&browser, "80 tiles");
    opened(&browser, "Runner");
    let shown = format!(
        "[...{ROOT}.querySelectorAll('.cm-line.shown')].map((l) => l.textContent.trim()).join()"
    );
    draw(&browser, &[cell(&browser, 2, 3)]);
    browser.until(&format!("{shown} === '[2, 3, dark],'"));
    // A tile that a rule laid shows where the panel is begun.
    draw(&browser, &[cell(&browser, 8, 6)]);
    browser.until(&format!("{shown}.startsWith('panel(')"));
    // And back: the cursor on a line of the block picks what it laid.
    let at = browser.value(&format!(
        "(() => {{ const l = [...{ROOT}.querySelectorAll('.cm-line')].find((l) => l.textContent.includes('[1, 0, dark]')); \
         l.scrollIntoView({{ block: 'center' }}); const b = l.getBoundingClientRect(); return [b.left + 90, b.top + b.height / 2]; }})()"
    ));
    let number = |i: usize| at[i].as_f64().expect("a place");
    draw(&browser, &[(number(0), number(1))]);
    browser.until_text("#hands-told", "1 picked");
    browser.until(&format!(
        "{shown} === '' || {shown} === '[1, 0, dark],' || {shown}.startsWith('panel(')"
    ));
    browser.until("document.querySelector('#view-now').dataset.picked === '1'");
}

fn where_both_have_changed_the_maker_says_which_text_holds() {
    let scene = Scene::new(BEFORE);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "80 tiles");
    opened(&browser, "Runner");
    typed(&browser, "// here");
    browser.until_text("#text-told", "Not saved yet");
    let theirs = BEFORE.replace("size(10, 8)", "size(10, 7)");
    scene.bench.write("tray.rhai", &theirs);
    browser.until_text(
        ".text-clash",
        "Another program saved the file while you were typing",
    );
    // Neither is lost while nothing is said.
    assert_eq!(scene.bench.read("tray.rhai"), theirs);
    let here = format!("{ROOT}.querySelector('.cm-content').textContent.includes('// here')");
    assert_eq!(browser.value(&here), true);
    browser.click("#text-theirs");
    browser.until(&format!("!{here}"));
    browser.until_text("#text-told", "As in the file");
    // The other way round: what the file held is kept beside it.
    typed(&browser, "// here");
    let other = BEFORE.replace("size(10, 8)", "size(10, 6)");
    scene.bench.write("tray.rhai", &other);
    browser.until_text(".text-clash", "Another program saved");
    browser.click("#text-mine");
    browser.until_text("#text-told", "As in the file");
    assert_eq!(scene.bench.read("tray.rhai"), format!("{theirs}// here"));
    assert_eq!(scene.bench.read("tray.rhai.before"), other);
}
