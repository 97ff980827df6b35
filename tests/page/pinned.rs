//! A page that is opened on a pinned choice.

use serde_json::{Value, json};

use crate::asking::{post, state};
use crate::browser::{Browser, Screen};
use crate::common::Bench;
use crate::scene::{RECIPE, Scene, address};

trials! {
    Browser: [
        a_choice_of_a_recipe_that_changed_since_says_so,
        a_choice_begins_with_the_look_that_is_kept_in_it,
        a_choice_without_a_look_begins_plain,
    ],
}

const PATH: &str = "document.querySelector('#view-now').dataset.path";

/// A choice with the look that was kept in it, as the page writes it.
fn kept(set: impl FnOnce(&Browser)) -> Bench {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    set(&browser);
    browser.fill("#keep-name", "low");
    browser.click("#keep-choice");
    browser.until_text("#notes", "Saved as low.pick");
    drop(browser);
    assert_eq!(scene.page.interrupt(), 0);
    scene.bench
}

fn a_choice_of_a_recipe_that_changed_since_says_so() {
    let scene = Scene::new(RECIPE);
    scene.page.until("shows Tray");
    let id = state(&scene, |s| !s["shown"].is_null())["shown"].clone();
    let keep = json!({ "as": "choice", "picture": id, "name": "low" });
    assert_eq!(post(&scene, "/api/keep", &keep).status, 200);
    assert_eq!(scene.page.interrupt(), 0);
    let same = Scene::of_path(scene.bench, "low.pick");
    let shown = |s: &Value| s["busy"] == false && !s["shown"].is_null();
    assert_eq!(state(&same, shown)["notices"], json!([]));
    same.bench.write("tray.rhai", format!("{RECIPE}\n"));
    let after = state(&same, |s| s["notices"] != json!([]));
    let words = "`tray.rhai` has changed since this choice was pinned";
    assert_eq!(after["notices"], json!([words]));
    same.browser(Screen::Desk)
        .until_text("#notice", &words.replace('`', ""));
}

fn a_choice_begins_with_the_look_that_is_kept_in_it() {
    let bench = kept(|browser| {
        browser.fill("#knob-rows", "3");
        browser.until_text("#view-now figcaption", "36 mm");
        browser.keys("#light", "\u{e014}");
        browser.choose("#look-finish", "oil");
        browser.choose("#look-eyes", "grey");
        browser.until(&format!("{PATH}.includes('view=grey')"));
    });
    let text = bench.read("low.pick");
    for line in ["light = 240.0", "finish = \"oil\"", "view = \"grey\""] {
        assert!(text.contains(line), "{line}: {text}");
    }
    let page = bench.start(&["watch", "low.pick", "--page"]);
    let address = address(&page);
    let browser = Browser::start(Screen::Desk);
    browser.open(&address);
    browser.until("Boolean(document.querySelector('#view-now').dataset.picture)");
    // The first picture already: no other was asked for before it.
    let asked = browser.value(
        "performance.getEntriesByType('resource').map((r) => r.name).filter((n) => n.includes('/api/faces/'))",
    );
    let asked = asked.as_array().expect("addresses");
    assert_eq!(asked.len(), 1, "{asked:?}");
    let first = asked[0].as_str().expect("an address");
    for part in ["light=240", "finish=oil", "view=grey"] {
        assert!(first.contains(part), "{part}: {first}");
    }
    browser.until_text("#view-now figcaption", "36 mm");
    browser.until("document.querySelector('#look-finish').value === 'oil'");
    browser.until("document.querySelector('#look-eyes').value === 'grey'");
    browser.until("document.querySelector('#light').value === '240'");
    browser.until_text("#looking", "from 240\u{b0}");
    // From here on the page has the say, whatever else changes.
    browser.choose("#look-finish", "raw");
    browser.until(&format!("!{PATH}.includes('finish')"));
    browser.fill("#knob-rows", "5");
    browser.until_text("#view-now figcaption", "60 mm");
    browser.until(&format!(
        "{PATH}.includes('light=240') && !{PATH}.includes('finish')"
    ));
}

fn a_choice_without_a_look_begins_plain() {
    let bench = kept(|_| ());
    let page = bench.start(&["watch", "low.pick", "--page"]);
    let address = address(&page);
    let browser = Browser::start(Screen::Desk);
    browser.open(&address);
    browser.until("Boolean(document.querySelector('#view-now').dataset.picture)");
    for look in ["light", "finish", "view="] {
        browser.until(&format!("!{PATH}.includes('{look}')"));
    }
    browser.until_text("#looking", "even light");
}
