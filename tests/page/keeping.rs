//! What `plyloom.html` keeps and gives out: two tabs at once, a storage that fills, files, packs and links; the main
//! job by hand and by text; and how many workers there are.

use serde_json::json;

use crate::alone::{SHOWN, address, brought, drop, link_of, opened, opened_after, page};
use crate::browser::Browser;
use crate::common::Bench;
use crate::hands::CONTROL;
use crate::laying::{cell, draw, in_hand, then};
use crate::scene::RECIPE;

trials! {
    File: [
        the_main_job_is_done_by_hand,
        the_main_job_is_done_by_text,
        a_mistake_in_the_first_text_is_had_back,
        two_tabs_that_change_a_recipe_at_once_keep_both,
        changes_that_come_while_one_is_kept_are_kept_after_it,
        a_storage_that_is_nearly_full_is_told_before,
        a_link_that_is_too_long_is_told_with_what_to_do,
        a_pack_that_is_dropped_opens,
        what_is_saved_goes_to_a_file,
        a_shop_file_is_used_and_kept_until_it_is_taken_away,
        cards_are_made_by_as_many_workers_as_there_are_cores,
        the_file_is_no_larger_than_it_may_be,
    ],
}

/// The empty recipe that `plyloom new --like by-hand` writes.
fn empty() -> String {
    let bench = Bench::new();
    bench.run(&["new", "tray", "--like", "by-hand"]).ended(0);
    bench.read("tray.rhai")
}

fn the_main_job_is_done_by_hand() {
    let browser = opened();
    brought(&browser, &empty());
    in_hand(&browser, "80 tiles");
    browser.choose("#hand-reach", "stroke");
    browser.choose("#hand-brush", "left-right");
    for (kind, courses) in [("dark", 0..4), ("bend", 4..8)] {
        browser.click(&format!("[data-kind={kind}]"));
        for course in courses {
            let way: Vec<_> = (0..5)
                .map(|column| cell(&browser, column, course))
                .collect();
            then(&browser, || draw(&browser, &way));
        }
    }
    browser.until_text(".tray", "40 laid");
    browser.choose("#hand-brush", "one");
    then(&browser, || draw(&browser, &[cell(&browser, 3, 1)]));
    browser.until_text(".tray", "41 laid");
    then(&browser, || browser.click("#undo"));
    browser.until_text("[data-kind=bend]", "40 laid");
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan");
    browser.until_text(".plan", "bend");
    browser.until("document.querySelectorAll('#steps input').length > 3");
    // All of it is there when the page is opened again.
    browser.run("location.reload()");
    browser.until(SHOWN);
    browser.until_text("#tally", "40");
}

fn the_main_job_is_done_by_text() {
    let browser = opened();
    brought(&browser, RECIPE);
    browser.click("#text-switch");
    let inside = "document.querySelector('.text-home').shadowRoot?.querySelector('.cm-content')";
    browser.until(&format!("Boolean({inside}?.textContent.includes('Tray'))"));
    browser.run(&format!("{inside}.focus()"));
    browser.press_holding(&['\u{e009}'], &['\u{e010}']);
    let typed: Vec<char> = "panel(\"Two\", squares(tile)).size(3, 3).fill(tile);"
        .chars()
        .collect();
    browser.press(&typed);
    browser.until_text("#text-told", "Not saved yet");
    browser.press_holding(&['\u{e009}'], &['s']);
    browser.until_text("#text-told", "As in the file");
    browser.until("document.querySelectorAll('[aria-label=\"Which panel\"] option').length === 2");
    browser.choose("[aria-label='Which panel']", "1");
    browser.until_text("#view-now figcaption", "Two");
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan: Two");
}

/// Before anything else was done there is one state alone, which nothing was kept of.
fn a_mistake_in_the_first_text_is_had_back() {
    let browser = opened();
    browser.click("#text-switch");
    let inside = "document.querySelector('.text-home').shadowRoot?.querySelector('.cm-content')";
    browser.until(&format!("Boolean({inside}?.textContent.includes('panel'))"));
    browser.run(&format!("{inside}.focus()"));
    browser.press(&['?']);
    browser.press_holding(&[CONTROL], &['s']);
    browser.until("!document.querySelector('#trouble').hidden");
    // The message leaves the text in sight.
    assert_eq!(
        browser.value(&format!(
            "document.querySelector('#trouble').getBoundingClientRect().right <= {inside}.getBoundingClientRect().left"
        )),
        json!(true)
    );
    browser.click("#undo");
    browser.until("document.querySelector('#trouble').hidden");
    browser.until(&format!("!{inside}.textContent.includes('?')"));
}

fn two_tabs_that_change_a_recipe_at_once_keep_both() {
    let browser = opened();
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    let star = |tab: &Browser, card: usize| {
        tab.click("[data-room=variations]");
        tab.until("document.querySelectorAll('.wall .card img[src]').length >= 2");
        tab.click(&format!(".wall .card:nth-child({card}) .star"));
        tab.until("document.querySelectorAll('.shortlist .card').length === 1");
    };
    browser.in_second_tab(&address(), |tab| {
        tab.until("document.querySelector('#recipe').textContent === 'tray.rhai'");
        // It tells the other tab too late.
        tab.run("BroadcastChannel.prototype.postMessage = () => {};");
        star(tab, 1);
    });
    star(&browser, 2);
    browser.until_text("#notes", "Another tab has changed tray meanwhile");
    browser.until_text("#notes", "kept as tray-2");
    browser.click("[data-room=recipes]");
    for name in ["tray", "tray-2"] {
        browser.until(&format!(
            "Boolean(document.querySelector('#room-recipes [data-recipe=\"{name}\"]'))"
        ));
    }
}

/// Holds what is to be kept in the storage for as long as `held`, and counts what the core has told of its texts.
const SLOW_STORAGE: &str = "
    window.told = 0;
    const { put, get } = IDBObjectStore.prototype;
    IDBObjectStore.prototype.put = function (...all) {
        if (!window.held) return put.apply(this, all);
        const later = {};
        const again = () => {
            if (window.held) {
                get.call(this, '').onsuccess = again;
                return;
            }
            const request = put.apply(this, all);
            request.onsuccess = () => {
                later.result = request.result;
                later.onsuccess();
            };
        };
        get.call(this, '').onsuccess = again;
        return later;
    };
    const { postMessage } = Worker.prototype;
    Worker.prototype.postMessage = function (message, ...rest) {
        if (message.text === '{\"ask\":\"files\"}') {
            this.addEventListener('message', ({ data }) => { window.told += data.number === message.number; });
        }
        return postMessage.call(this, message, ...rest);
    };";

fn changes_that_come_while_one_is_kept_are_kept_after_it() {
    let browser = opened_after(SLOW_STORAGE);
    browser.until(SHOWN);
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 2");
    browser.run("window.told = 0; window.held = true");
    for card in [1, 2] {
        browser.click(&format!(".wall .card:nth-child({card}) .star"));
        browser.until(&format!("window.told === {card}"));
    }
    // What has been told was read by the page, too.
    browser.awaited("new Response('{}').json().then(() => setTimeout(done));");
    browser.run("window.held = false");
    let both = "document.querySelectorAll('.shortlist .card').length === 2";
    browser.until(both);
    assert_eq!(
        browser.value("document.querySelector('#notes').textContent.includes('Another tab')"),
        json!(false)
    );
    browser.run("location.reload()");
    browser.until("!('held' in window)");
    browser.until(both);
}

fn a_storage_that_is_nearly_full_is_told_before() {
    let browser =
        opened_after("navigator.storage.estimate = async () => ({ usage: 95, quota: 100 });");
    browser.until(SHOWN);
    brought(&browser, RECIPE);
    browser.until_text("#notes", "nearly full: save recipes to files");
    // Nothing is refused yet.
    browser.run("location.reload()");
    browser.until("document.querySelector('#recipe')?.textContent === 'tray.rhai'");
}

fn a_link_that_is_too_long_is_told_with_what_to_do() {
    let browser = opened();
    // Letters that no packing makes shorter by much.
    let mut state = 7_u64;
    let mut letters = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        format!("{:016x}", state ^ (state >> 29))
    };
    let noise: String = (0..1500).map(|_| letters()).collect();
    brought(&browser, &format!("{RECIPE}// {noise}\n"));
    browser.click("#desk-copy");
    browser.until_text("#notes", "many programs cut off what is longer than 8000");
    browser.until_text("#notes", "Save a pack instead");
    browser.until("document.querySelector('#desk-link').hidden");
    // Short again, it is copied.
    brought(&browser, RECIPE);
    assert!(link_of(&browser).len() < 8_000);
}

fn a_pack_that_is_dropped_opens() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    bench
        .run(&[
            "pack",
            "tray.rhai",
            "--set",
            "rows=7",
            "--out",
            "friend.txt",
        ])
        .ended(0);
    let browser = opened();
    drop(&browser, "friend.txt", bench.read("friend.txt").as_bytes());
    browser.until_text("#tally", "91");
    // What was changed on the way is told.
    let changed = bench
        .read("friend.txt")
        .replace("ferry house", "other house");
    drop(&browser, "friend.txt", changed.as_bytes());
    browser.until_text("#notes", "look at them before you trust them");
}

/// Saved where the browser lets one choose the place; it may be opened again from there.
fn what_is_saved_goes_to_a_file() {
    let browser = opened();
    brought(&browser, RECIPE);
    browser.run(
        "window.saved = {}; window.showSaveFilePicker = async ({ suggestedName }) => ({ createWritable: async () => ({ \
         write: async (blob) => { saved[suggestedName] = await blob.text(); }, close: async () => {} }) });",
    );
    browser.click("#desk-switch");
    browser.click("#desk-save");
    browser.until(&format!("saved['tray.rhai'] === {}", json!(RECIPE)));
    browser.click("#desk-pack");
    browser.until("Object.values(saved).some((text) => text.includes('// ==== plyloom pack '))");
    browser.click("#desk-drawing");
    browser.until("Boolean(saved['tray.svg']?.includes('<svg'))");
    // Elsewhere it goes among the downloads.
    browser.run(
        "delete window.showSaveFilePicker; window.showSaveFilePicker = undefined; \
         HTMLAnchorElement.prototype.click = function () { window.download = [this.download, this.href.slice(0, 5)]; };",
    );
    browser.click("#desk-save");
    browser.until("String(window.download) === 'tray.rhai,blob:'");
}

/// Plans follow it at once; it is there again when the page is opened anew, with the ticks of its plan, and a mistake in
/// it is told.
fn a_shop_file_is_used_and_kept_until_it_is_taken_away() {
    let use_it = |browser: &Browser, text: &str| {
        browser.click("#desk-switch");
        browser.run(&format!(
            "document.querySelector('#desk-shop').value = {}",
            json!(text)
        ));
        browser.click("#desk-shop-use");
        browser.until_text("#notes", "Plans are made with");
    };
    let browser = opened();
    brought(&browser, RECIPE);
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "stop 13 mm");
    use_it(&browser, "[slicing]\nthickness = 15\n");
    browser.until_text(".plan", "stop 15 mm");
    browser.click("#steps li:nth-child(1) label");
    browser.until_text("#steps-told", "1 of");
    browser.open("about:blank");
    browser.open(&address());
    browser.until_text(".plan", "stop 15 mm");
    // What was ticked of this plan is ticked.
    browser.until_text("#steps-told", "1 of");
    drop(&browser, "shop.toml", b"[slicing]\nthickness = \"thick\"\n");
    browser.until_text(
        ".plan",
        "shop.toml, line 2, column 13: `thick` is no length",
    );
    drop(&browser, "shop.toml", b"[slicing]\nthickness = 16\n");
    browser.until_text(".plan", "stop 16 mm");
    use_it(&browser, "");
    browser.until_text(".plan", "stop 13 mm");
}

fn cards_are_made_by_as_many_workers_as_there_are_cores() {
    let browser = opened_after(
        "Object.defineProperty(navigator, 'hardwareConcurrency', { get: () => 3 }); window.hired = []; \
         window.Worker = class extends Worker { constructor(...all) { super(...all); hired.push(this); this.cards = 0; } \
         postMessage(sent, ...rest) { if (sent.text?.startsWith('{\"ask\":\"card\"')) this.cards += 1; super.postMessage(sent, ...rest); } };",
    );
    browser.until(SHOWN);
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 6");
    assert_eq!(
        browser.value("hired.filter((worker) => worker.cards > 0).length"),
        3
    );
}

fn the_file_is_no_larger_than_it_may_be() {
    let bytes = std::fs::metadata(page()).expect("the file").len();
    assert!(bytes <= 2_500_000, "{bytes} bytes");
}
