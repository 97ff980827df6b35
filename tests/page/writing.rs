//! The recipe's text beside the picture: words completed and explained from their own documentation, a tile's line and
//! a line's tile, numbers drawn along, and a text that was changed in two places.

use fantoccini::actions::{
    Actions, InputSource as _, KeyAction, KeyActions, MouseActions, PointerAction,
};

use crate::browser::{Browser, Screen};
use crate::hands::{ALT, CONTROL, DOWN, END};
use crate::laying::{BEFORE, PICTURE, cell, draw, in_hand};
use crate::scene::Scene;

trials! {
    Browser: [
        words_are_completed_and_explained,
        a_tile_shows_its_line_and_a_line_its_tile,
        where_both_have_changed_the_maker_says_which_text_holds,
        what_was_saved_meanwhile_is_never_written_over,
        the_text_follows_the_file_and_the_file_the_text,
        numbers_in_the_text_are_drawn_along_and_colours_picked,
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
    let (x, y) = browser.place(&format!(
        "(() => {{ const w = document.createTreeWalker({ROOT}.querySelector('.cm-content'), 4); \
         while (w.nextNode()) if (w.currentNode.data.startsWith('mitred_pair')) {{ const r = document.createRange(); \
         r.selectNode(w.currentNode); const b = r.getBoundingClientRect(); return [b.left + 12, b.top + b.height / 2]; }} }})()"
    ));
    draw(&browser, &[(x, y), (x + 2.0, y)]);
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
    let at = browser.place(&format!(
        "(() => {{ const l = [...{ROOT}.querySelectorAll('.cm-line')].find((l) => l.textContent.includes('[1, 0, dark]')); \
         l.scrollIntoView({{ block: 'center' }}); const b = l.getBoundingClientRect(); return [b.left + 90, b.top + b.height / 2]; }})()"
    ));
    draw(&browser, &[at]);
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

fn what_was_saved_meanwhile_is_never_written_over() {
    let scene = Scene::new(BEFORE);
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
    let scene = Scene::new(BEFORE);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "80 tiles");
    opened(&browser, "Runner");
    // The file is another: a shorter panel.
    scene
        .bench
        .write("tray.rhai", BEFORE.replace("size(10, 8)", "size(10, 7)"));
    browser.until(&format!(
        "{ROOT}.querySelector('.cm-content').textContent.includes('size(10, 7)')"
    ));
    browser.until_text("#view-now figcaption", "70 tiles");
    typed(&browser, "// mine");
    browser.until_text("#text-told", "Not saved yet");
    browser.press_holding(&[CONTROL], &['s']);
    browser.until_text("#text-told", "As in the file");
    assert!(scene.bench.read("tray.rhai").ends_with("// mine"));
    // A mistake is marked where it stands.
    scene.bench.write(
        "tray.rhai",
        BEFORE.replace("laminate([plywood", "lamnate([plywood"),
    );
    browser.until(&format!(
        "{ROOT}.querySelector('.cm-lintRange-error')?.textContent === 'lamnate'"
    ));
}

fn numbers_in_the_text_are_drawn_along_and_colours_picked() {
    let scene = Scene::new(BEFORE);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "80 tiles");
    browser.click("#text-switch");
    browser.until(&format!(
        "Boolean({ROOT}?.querySelector('.cm-content .chip'))"
    ));
    let place = |number: &str| {
        browser.run(&format!(
            "const w = document.createTreeWalker({ROOT}.querySelector('.cm-content'), 4); \
             while (w.nextNode()) if (w.currentNode.data === '{number}') {{ const r = document.createRange(); \
             r.selectNode(w.currentNode); w.currentNode.parentNode.scrollIntoView({{ block: 'center' }}); \
             const b = r.getBoundingClientRect(); window.found = [b.left + b.width / 2, b.top + b.height / 2]; }}"
        ));
        browser.place("window.found")
    };
    // The first step is on its way to the file until the number has been drawn to its end.
    browser.run(
        "const { fetch } = window; window.held = true; \
         window.fetch = async (...all) => { \
         while (window.held && String(all[0]).endsWith('/api/text')) await new Promise((done) => setTimeout(done, 5)); \
         return fetch(...all); };",
    );
    // With Alt held, ten columns become twelve: five pixels a step.
    let (x, y) = place("10");
    let to = |by: f64| PointerAction::MoveTo {
        duration: Some(std::time::Duration::from_millis(60)),
        x: x + by,
        y,
    };
    let mouse = MouseActions::new("mouse".to_owned())
        .then(to(0.0))
        .then(PointerAction::Down { button: 0 })
        .then(to(6.0))
        .then(to(11.0))
        .then(PointerAction::Up { button: 0 });
    let mut keys = KeyActions::new("keys".to_owned()).then(KeyAction::Down { value: ALT });
    for _ in 0..4 {
        keys = keys.then(KeyAction::Pause {
            duration: std::time::Duration::ZERO,
        });
    }
    let both = Actions::from(keys.then(KeyAction::Up { value: ALT })).and(mouse);
    browser.act(both);
    browser.run("window.held = false");
    browser.until_text("#view-now figcaption", "96 tiles");
    browser.until("document.querySelectorAll('#states .state').length === 2");
    assert_eq!(
        scene.bench.read("tray.rhai"),
        BEFORE.replace("size(10, 8)", "size(12, 8)")
    );
    // By keys: the cursor is on the number.
    browser.press_holding(&[CONTROL], &[DOWN]);
    browser.until_text("#view-now figcaption", "88 tiles");
    // A wood or dye at its chip.
    browser.run(&format!(
        "{ROOT}.querySelector('.cm-content .chip').click()"
    ));
    browser.until(&format!(
        "{ROOT}.querySelectorAll('.palette button').length > 20"
    ));
    browser.run(&format!(
        "[...{ROOT}.querySelectorAll('.palette button')].find((b) => b.textContent === 'poppy').click()"
    ));
    browser.click("#text-save");
    browser.until_text("#text-told", "As in the file");
    assert!(
        scene
            .bench
            .read("tray.rhai")
            .contains("veneer(2, \"poppy\")")
    );
}
