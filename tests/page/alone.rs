//! `plyloom.html` by itself: one file, opened from the disk by a browser that reaches no network.

use std::path::{Path, PathBuf};

use serde_json::json;

use crate::browser::{Browser, Screen};
use crate::common::Bench;
use crate::scene::RECIPE;

trials! {
    File: [
        a_recipe_is_opened_varied_laid_and_planned_without_a_server,
        what_was_done_is_there_again_after_a_reload,
        a_link_opens_in_another_browser,
        a_link_that_was_damaged_is_told,
        a_picture_of_a_gallery_opens_live,
        a_recipe_that_does_not_end_leaves_the_last_picture,
        a_drawing_that_is_dropped_gives_its_recipe_back,
        two_tabs_write_nothing_over,
        a_storage_that_is_full_is_told,
        a_storage_that_is_refused_is_told,
        a_browser_that_is_too_old_is_told_what_it_lacks,
        a_file_with_a_wrong_letter_is_told_to_be_damaged,
        a_worker_that_breaks_down_is_told_and_another_goes_on,
        a_worker_that_the_browser_ends_is_missed_at_once,
        a_recipe_that_is_opened_during_a_run_is_carried_out,
        a_recipe_that_prints_a_flood_is_stopped,
        a_value_that_is_held_twice_is_told_as_in_the_program,
        recipes_are_opened_remixed_and_removed,
        nothing_is_fetched,
    ],
}

pub(crate) fn page() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("target/web/plyloom.html")
}

/// Whether the file is built.
pub(crate) fn is_there() -> bool {
    page().is_file()
}

pub(crate) fn address() -> String {
    format!("file://{}", page().display())
}

pub(crate) const SHOWN: &str = "Boolean(document.querySelector('#view-now')?.dataset.picture)";

/// A browser of its own at the file, once a picture is there.
pub(crate) fn opened() -> Browser {
    let browser = Browser::start(Screen::Desk);
    browser.open(&address());
    browser.until(SHOWN);
    browser
}

/// Clicks what may lie under a note at the end of the window.
fn click_in_sight(browser: &Browser, selector: &str) {
    let quoted = json!(selector);
    browser.until(&format!("Boolean(document.querySelector({quoted}))"));
    browser.run(&format!(
        "document.querySelector({quoted}).scrollIntoView({{ block: 'center' }})"
    ));
    browser.click(selector);
}

/// Drops a file onto the page.
pub(crate) fn drop(browser: &Browser, name: &str, bytes: &[u8]) {
    use base64::Engine as _;
    let base64 = base64::engine::general_purpose::STANDARD.encode(bytes);
    let (name, base64) = (json!(name), json!(base64));
    browser.run(&format!(
        "const bytes = Uint8Array.from(atob({base64}), (c) => c.charCodeAt(0)); \
         const data = new DataTransfer(); data.items.add(new File([bytes], {name})); \
         document.body.dispatchEvent(new DragEvent('drop', {{ bubbles: true, cancelable: true, dataTransfer: data }}));"
    ));
}

/// The same, once the recipe is shown.
pub(crate) fn brought(browser: &Browser, text: &str) {
    drop(browser, "tray.rhai", text.as_bytes());
    browser.until("document.querySelector('#recipe').textContent === 'tray.rhai'");
    browser.until("document.body.dataset.state === 'ready'");
}

fn a_recipe_is_opened_varied_laid_and_planned_without_a_server() {
    let browser = opened();
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    browser.fill("#knob-rows", "5");
    browser.until_text("#tally", "65");
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 6");
    browser.click(".wall .card:first-child .star");
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 1");
    browser.click("[aria-label='Save as a choice star 1']");
    browser.until_text("#notes", "Saved as");
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan: Tray");
    browser.click("[data-room=panel]");
    browser.click("#text-switch");
    browser.until("Boolean(document.querySelector('.text-home').shadowRoot)");
}

fn what_was_done_is_there_again_after_a_reload() {
    let browser = opened();
    brought(&browser, RECIPE);
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 2");
    browser.click(".wall .card:first-child .star");
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 1");
    browser.open("about:blank");
    browser.open(&address());
    browser.until("document.querySelector('#recipe').textContent === 'tray.rhai'");
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 1");
}

/// The link of what is shown.
pub(crate) fn link_of(browser: &Browser) -> String {
    browser.click("#desk-copy");
    browser.until("document.querySelector('#desk-link').value.includes('#p1.')");
    let link = browser.value("document.querySelector('#desk-link').value");
    link.as_str().expect("a link").to_owned()
}

fn a_link_opens_in_another_browser() {
    let first = opened();
    brought(&first, RECIPE);
    first.fill("#knob-rows", "6");
    first.until_text("#tally", "78");
    let link = link_of(&first);
    let second = Browser::start(Screen::Desk);
    second.open(&link);
    second.until("document.querySelector('#recipe').textContent === 'tray.pick'");
    second.until_text("#tally", "78");
    // The program reads it too.
    let bench = Bench::new();
    bench.run(&["unpack", &link, "--out", "theirs"]).ended(0);
    assert_eq!(bench.read("theirs/tray.rhai"), RECIPE);
}

fn a_picture_of_a_gallery_opens_live() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    bench.run(&["gallery", ".", "--live"]).ended(0);
    std::fs::copy(page(), bench.path("plyloom.html")).expect("the page beside it");
    let browser = Browser::start(Screen::Desk);
    browser.open(&format!("file://{}", bench.path("index.html").display()));
    browser.click("a.picture");
    browser.until(SHOWN);
    browser.until("document.querySelector('#recipe').textContent === 'tray.rhai'");
    browser.fill("#knob-rows", "5");
    browser.until_text("#tally", "65");
}

fn a_link_that_was_damaged_is_told() {
    let first = opened();
    brought(&first, RECIPE);
    let link = link_of(&first);
    let second = Browser::start(Screen::Desk);
    second.open(&link[..link.len() - 40]);
    second.until_text("#notes", "damaged");
    second.until(SHOWN);
}

/// What the panel looks like.
const SEEN: &str = "document.querySelector('#view-now .part').toDataURL()";

fn a_recipe_that_does_not_end_leaves_the_last_picture() {
    let browser = opened();
    brought(&browser, RECIPE);
    let before = browser.value(SEEN);
    let loops = format!("{RECIPE}\nloop {{ }}\n");
    drop(&browser, "loops.rhai", loops.as_bytes());
    browser.until_text("#trouble", "steps");
    assert!(before.as_str().is_some_and(|src| src.len() > 1000));
    assert_eq!(browser.value(SEEN), before);
    // A chain that takes all the stack when it is let go of.
    let chain = include_str!("../suite/hostile/memory_closures.rhai");
    brought(&browser, RECIPE);
    browser.until(SHOWN);
    drop(&browser, "chain.rhai", chain.as_bytes());
    browser.until("!document.querySelector('#trouble').hidden");
    drop(&browser, "again.rhai", RECIPE.as_bytes());
    browser.until("document.querySelector('#recipe').textContent === 'again.rhai'");
    browser.until("document.querySelector('#trouble').hidden");
}

fn a_drawing_that_is_dropped_gives_its_recipe_back() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    bench
        .run(&[
            "preview",
            "tray.rhai",
            "--set",
            "rows=7",
            "--out",
            "tray.svg",
        ])
        .ended(0);
    bench
        .run(&[
            "preview",
            "tray.rhai",
            "--set",
            "rows=8",
            "--out",
            "tray.png",
        ])
        .ended(0);
    let browser = opened();
    let svg = bench.read("tray.svg");
    drop(&browser, "tray.svg", svg.as_bytes());
    browser.until_text("#tally", "91");
    let png = std::fs::read(bench.path("tray.png")).expect("a picture");
    drop(&browser, "other.png", &png);
    browser.until_text("#tally", "104");
    drop(&browser, "photo.png", b"\x89PNG\r\n\x1a\nand so on");
    browser.until_text("#notes", "photo.png");
    // As large as a photograph: no more is read than can hold a recipe.
    browser.run(
        "const data = new DataTransfer(); data.items.add(new File([new Uint8Array(50_000_000)], 'scan.svg')); \
         document.body.dispatchEvent(new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: data }));",
    );
    browser.until_text("#notes", "too large");
    browser.run(
        "const data = new DataTransfer(); \
         data.items.add(new File([new Uint8Array([137, 80, 78, 71, 13, 10, 26, 10]), new Uint8Array(50_000_000)], 'scan.png')); \
         document.body.dispatchEvent(new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: data }));",
    );
    browser.until_text("#notes", "scan.png:");
    browser.until_text("#tally", "104");
}

fn two_tabs_write_nothing_over() {
    let browser = opened();
    brought(&browser, RECIPE);
    let address = address();
    browser.in_second_tab(&address, |tab| {
        tab.until("document.querySelector('#recipe').textContent === 'tray.rhai'");
        tab.click("[data-room=variations]");
        tab.until("document.querySelectorAll('.wall .card img[src]').length >= 2");
        tab.click(".wall .card:first-child .star");
        tab.until("document.querySelectorAll('.shortlist .card').length === 1");
    });
    // The first tab hears of it, and goes on from there.
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.shortlist .card').length === 1");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 2");
    browser.click(".wall .card:nth-child(2) .star");
    browser.until("document.querySelectorAll('.shortlist .card').length === 2");
}

fn a_storage_that_is_full_is_told() {
    let browser = opened();
    browser.run(
        "IDBObjectStore.prototype.put = function () { throw new DOMException('no room', 'QuotaExceededError'); };",
    );
    drop(&browser, "tray.rhai", RECIPE.as_bytes());
    browser.until_text("#notes", "not kept");
    // It is shown all the same.
    browser.until_text("#tally", "52");
}

/// A browser at the file in which this script ran first.
pub(crate) fn opened_after(script: &str) -> Browser {
    let browser = Browser::start(Screen::Desk);
    browser.devtools(
        "Page.addScriptToEvaluateOnNewDocument",
        &json!({ "source": script }),
    );
    browser.open(&address());
    browser
}

fn a_storage_that_is_refused_is_told() {
    let browser = opened_after(
        "IDBFactory.prototype.open = () => { throw new DOMException('no storage here', 'SecurityError'); }; \
         Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('none', 'SecurityError'); } });",
    );
    browser.until(SHOWN);
    browser.until_text(
        "#notes",
        "The browser keeps nothing for this page (no storage here)",
    );
    drop(&browser, "tray.rhai", RECIPE.as_bytes());
    browser.until_text("#tally", "52");
    browser.until_text("#notes", "save it to a file");
    // Patterns are there all the same.
    browser.click("[data-room=recipes]");
    click_in_sight(&browser, "[aria-label='Open twill']");
    browser.until("document.querySelector('#recipe').textContent === 'twill.rhai'");
}

fn a_file_with_a_wrong_letter_is_told_to_be_damaged() {
    let whole = std::fs::read_to_string(page()).expect("the file");
    let (head, packed) = whole.split_once("id=\"packed\">").expect("what is packed");
    let (same, rest) = packed.split_at(packed.len() / 2);
    let other = if rest.starts_with('!') { '"' } else { '!' };
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("plyloom.html");
    let spoilt = format!("{head}id=\"packed\">{same}{other}{}", &rest[1..]);
    std::fs::write(&file, spoilt).expect("a file");
    let browser = Browser::start(Screen::Desk);
    browser.open(&format!("file://{}", file.display()));
    browser.until_text("#trouble", "This page is damaged: get it anew");
}

fn a_browser_that_is_too_old_is_told_what_it_lacks() {
    let browser = opened_after(
        "delete window.WebAssembly; delete window.indexedDB; delete Window.prototype.indexedDB;",
    );
    browser.until_text("#trouble", "too old for this page");
    browser.until_text("#trouble", "no WebAssembly");
}

/// Keeps what workers there are in `window.hired`.
const HIRED: &str = "window.hired = []; window.Worker = class extends Worker { \
                     constructor(...all) { super(...all); hired.push(this); \
                     this.addEventListener('message', ({ data }) => { \
                     if (data.held && window.armed) { window.armed = false; this.terminate(); } }); } };";

fn a_worker_that_breaks_down_is_told_and_another_goes_on() {
    let browser = opened_after(HIRED);
    browser.until(SHOWN);
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    let hired = browser.value("hired.length");
    browser.run("hired.at(-1).terminate(); hired.at(-1).dispatchEvent(new ErrorEvent('error'));");
    browser.fill("#knob-rows", "5");
    browser.until_text("#tally", "65");
    browser.until("document.querySelector('#trouble').hidden");
    browser.until(&format!("hired.length > {hired}"));
    // In the midst of a run the page says so.
    let hired = browser.value("hired.length");
    let long = format!("{RECIPE}\nloop {{ }}\n");
    drop(&browser, "loops.rhai", long.as_bytes());
    browser.until(&format!("hired.length > {hired}"));
    browser.run("hired.at(-1).terminate(); hired.at(-1).dispatchEvent(new ErrorEvent('error'));");
    browser.until_text("#trouble", "the program broke down over this recipe");
    drop(&browser, "again.rhai", RECIPE.as_bytes());
    browser.until("document.querySelector('#trouble').hidden");
    browser.until_text("#tally", "52");
}

/// The run of a recipe that is left is recalled; that of the one that is opened instead is not.
fn a_recipe_that_is_opened_during_a_run_is_carried_out() {
    // A run is recalled once it has lasted a while: here each has.
    let browser = opened_after(&format!(
        "{HIRED} window.setTimeout = ((set) => (deed, ms, ...rest) => set(deed, ms > 400 ? ms : 0, ...rest))(window.setTimeout);"
    ));
    browser.until(SHOWN);
    let hired = browser.value("hired.length");
    let long = format!("{RECIPE}\nloop {{ }}\n");
    drop(&browser, "loops.rhai", long.as_bytes());
    browser.until(&format!("hired.length > {hired}"));
    drop(&browser, "tray.rhai", RECIPE.as_bytes());
    browser.until_text("#tally", "52");
}

/// Ended from outside, a worker says nothing, and no other event comes. Were it not for the lock that it held, the page
/// would wait for as long as a run may take, and tell of the time.
fn a_worker_that_the_browser_ends_is_missed_at_once() {
    let browser = opened_after(HIRED);
    browser.until(SHOWN);
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    // The next worker is ended as soon as it says that it holds its lock: it is at work from then on.
    browser.run("window.armed = true");
    let long = format!("{RECIPE}\nloop {{ }}\n");
    drop(&browser, "loops.rhai", long.as_bytes());
    browser.until_text("#trouble", "the browser ended the work on this recipe");
    browser.until_text("#trouble", "close other tabs");
    // The last picture is there, and another worker goes on.
    assert_eq!(browser.value(SHOWN), true);
    drop(&browser, "again.rhai", RECIPE.as_bytes());
    browser.until("document.querySelector('#trouble').hidden");
    browser.until_text("#tally", "52");
    // One that is ended while nothing is asked of it is followed by another in silence.
    browser.run("hired.at(-1).terminate()");
    browser.fill("#knob-rows", "5");
    browser.until_text("#tally", "65");
    assert_eq!(
        browser.value("document.querySelector('#trouble').hidden"),
        true
    );
}

fn a_recipe_that_prints_a_flood_is_stopped() {
    let browser = opened();
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    let flood = format!("loop {{ print(\"more and more and more\"); }}\n{RECIPE}");
    drop(&browser, "flood.rhai", flood.as_bytes());
    browser.until("!document.querySelector('#trouble').hidden");
    assert!(
        browser.value("document.body.innerText.length").as_u64() < Some(200_000),
        "no more than can be read is shown"
    );
    drop(&browser, "again.rhai", RECIPE.as_bytes());
    browser.until("document.querySelector('#trouble').hidden");
    browser.until_text("#tally", "52");
}

fn a_value_that_is_held_twice_is_told_as_in_the_program() {
    let browser = opened();
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    let held = include_str!("../suite/hostile/memory_shared.rhai");
    drop(&browser, "held.rhai", held.as_bytes());
    browser.until_text("#trouble", "a value is used here while it is being changed");
    browser.until_text("#trouble", "hand over a copy");
}

fn recipes_are_opened_remixed_and_removed() {
    let browser = opened();
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    let card = |name: &str| format!("#room-recipes [data-recipe='{name}']");
    browser.click("[data-room=recipes]");
    browser.until(&format!(
        "Boolean(document.querySelector(\"{} img\")?.src)",
        card("tray")
    ));
    // A pattern that comes along is looked at as it is; it is kept once it is changed.
    click_in_sight(&browser, "[aria-label='Open twill']");
    browser.until("document.querySelector('#recipe').textContent === 'twill.rhai' && document.body.dataset.room === 'panel'");
    browser.click("[data-room=recipes]");
    browser.until(&format!(
        "!document.querySelector(\"{}[data-pattern=false]\")",
        card("twill")
    ));
    // One goes on from it under another name.
    let name = format!("{}[data-pattern=true] input", card("twill"));
    browser.run(&format!(
        "document.querySelector(\"{name}\").scrollIntoView({{ block: 'center' }})"
    ));
    browser.fill(&name, "no/path");
    browser.until_text("#notes", "made of letters");
    browser.fill(&name, "tray");
    browser.until_text("#notes", "there is a recipe tray already");
    browser.fill(&name, "hall");
    browser.until("document.querySelector('#recipe').textContent === 'hall.rhai'");
    browser.open("about:blank");
    browser.open(&address());
    browser.until("document.querySelector('#recipe').textContent === 'hall.rhai'");
    browser.click("[data-room=recipes]");
    browser.until_text(&card("hall"), "Open now");
    browser.click("[aria-label='Open tray']");
    browser.until_text("#tally", "52");
    browser.click("[data-room=recipes]");
    browser.click("[aria-label='Remove hall']");
    browser.until(&format!("!document.querySelector(\"{}\")", card("hall")));
    browser.open("about:blank");
    browser.open(&address());
    browser.until("document.querySelector('#recipe').textContent === 'tray.rhai'");
    browser.click("[data-room=recipes]");
    browser.until_text("#room-recipes", "tray");
    assert_eq!(
        browser.value(&format!("document.querySelector(\"{}\")", card("hall"))),
        json!(null)
    );
}

fn nothing_is_fetched() {
    let browser = opened();
    let tried = browser.awaited(
        "fetch('http://127.0.0.1:9/').then(() => done('fetched'), (error) => done(error.name));",
    );
    assert_eq!(tried, "TypeError");
    let asked = browser.value(
        "performance.getEntriesByType('resource').map((e) => e.name).filter((n) => !n.startsWith('blob:') && !n.startsWith('data:'))",
    );
    assert_eq!(asked, json!([]));
}
