//! The panel stays where it is and in sight: under a fault, while a knob moves, from afar, on paper; and what
//! is pointed at is seen on it before it is taken.

use serde_json::json;

use crate::browser::{Browser, Screen};
use crate::hands::{DOWN, ENTER};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        a_fault_lies_over_the_picture_and_the_wrong_field_is_marked,
        an_emptied_field_is_the_default,
        the_distance_is_seen_while_its_slider_moves,
        woods_and_dyes_are_seen_before_they_are_taken,
        notes_neither_pile_up_nor_cover_what_has_the_focus,
        any_room_is_printed_as_the_panel_with_its_title,
        numbers_and_colours_of_the_text_are_knobs,
        the_panel_stays_in_sight_while_a_knob_moves,
    ],
}

const STAGE: &str = "((b) => [b.left, b.top, b.width, b.height].map(Math.round).join())\
    (document.querySelector('#view-now .stage').getBoundingClientRect())";

fn a_fault_lies_over_the_picture_and_the_wrong_field_is_marked() {
    for screen in [Screen::Desk, Screen::Narrow] {
        let scene = Scene::new(RECIPE);
        let browser = scene.shown(screen);
        let before = browser.value(STAGE);
        scene
            .bench
            .write("tray.rhai", RECIPE.replace("laminate([", "lamnate(["));
        browser.until_text("#trouble", "lamnate");
        assert_eq!(browser.value(STAGE), before);
        browser.until(
            "((t, s) => t.top >= s.top && t.bottom <= s.bottom && t.left >= s.left - 1 && t.right <= s.right + 1)(\
             document.querySelector('#trouble').getBoundingClientRect(), \
             document.querySelector('#view-now .stage').getBoundingClientRect())",
        );
        scene.bench.write("tray.rhai", RECIPE);
        browser.until("document.querySelector('#trouble').hidden");
        browser.fill("#knob-rows", "99");
        browser
            .until("document.querySelector('#knob-rows').getAttribute('aria-invalid') === 'true'");
        assert_eq!(
            browser.value("document.querySelectorAll('[aria-invalid]').length"),
            1
        );
        browser.fill("#knob-rows", "5");
        browser.until("!document.querySelector('[aria-invalid]')");
    }
}

fn an_emptied_field_is_the_default() {
    let scene = Scene::new(&format!("{RECIPE}let t = param(\"note\", \"mine\");\n"));
    let browser = scene.shown(Screen::Desk);
    for (field, other, own) in [
        ("#knob-rows", "6", "4"),
        ("#knob-dye", "poppy", "navy"),
        ("#knob-note", "yours", "mine"),
    ] {
        let is = |value: &str| format!("document.querySelector('{field}').value === '{value}'");
        browser.fill(field, other);
        browser.until(&format!(
            "document.body.dataset.state === 'ready' && {} && !document.querySelector('#reset').disabled",
            is(other)
        ));
        browser.fill(field, "");
        browser.until(&format!(
            "{} && document.querySelector('#reset').disabled",
            is(own)
        ));
    }
}

fn the_distance_is_seen_while_its_slider_moves() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.until("document.querySelector('#view-now').dataset.at === 'sharp'");
    // What is seen in the same moment, not what comes later.
    let filters = browser.value(
        "(() => { const s = document.querySelector('#distance'), w = document.querySelector('#view-now .whole'); \
         return [20, 40, 50, 0].map((n) => { s.value = n; s.dispatchEvent(new Event('input', { bubbles: true })); \
         return parseFloat((/blur\\(([0-9.]+)px/.exec(w.style.filter) ?? [0, '0'])[1]); }); })()",
    );
    let blurs: Vec<f64> = serde_json::from_value(filters).expect("numbers");
    assert!(
        0.0 < blurs[0] && blurs[0] < blurs[1] && blurs[1] < blurs[2] && blurs[3] == 0.0,
        "{blurs:?}"
    );
    // The exact picture follows once the hand rests.
    browser.run(
        "const s = document.querySelector('#distance'); s.value = 40; \
         for (const type of ['input', 'change']) s.dispatchEvent(new Event(type, { bubbles: true }));",
    );
    browser.until("document.querySelector('#view-now').dataset.path.includes('from=')");
    browser.until("document.querySelector('#view-now .whole').style.filter === ''");
    // Cards of the wall are seen from there too.
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 2");
    browser
        .until("document.querySelector('.wall .card img[src]').style.filter.startsWith('blur(')");
}

fn the_panel_stays_in_sight_while_a_knob_moves() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    // A small window, a desk's one at 200 %, a telephone.
    for (width, height) in [(800, 600), (640, 450), (360, 780)] {
        browser.devtools(
            "Emulation.setDeviceMetricsOverride",
            &json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false }),
        );
        browser.run("scrollTo(0, 0)");
        for field in ["[data-knob=rows] input[type=range]", "#look-finish"] {
            browser.run(&format!(
                "const f = document.querySelector('{field}'); f.scrollIntoView({{ block: 'center' }}); f.focus();"
            ));
            browser.until(&format!(
                "((s, f) => s.height > 80 && s.top >= 0 && s.bottom <= innerHeight / 2 && f.top >= s.bottom - 1 && f.bottom <= innerHeight)(\
                 document.querySelector('#view-now .stage').getBoundingClientRect(), \
                 document.querySelector('{field}').getBoundingClientRect())"
            ));
        }
    }
    // In a low window the knobs need all the room.
    browser.devtools(
        "Emulation.setDeviceMetricsOverride",
        &json!({ "width": 640, "height": 320, "deviceScaleFactor": 1, "mobile": false }),
    );
    browser.until("document.querySelector('#view-now .stage').getBoundingClientRect().bottom < 0");
}

/// A dye or wood in the list of a knob.
fn swatch(browser: &Browser, name: &str) -> String {
    browser.run("document.querySelector('[data-knob=dye] details').open = true");
    format!("[data-knob=dye] [data-colour={name}]")
}

fn woods_and_dyes_are_seen_before_they_are_taken() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    let picture = "document.querySelector('#view-now').dataset.picture";
    let first = browser.value(picture);
    let poppy = swatch(&browser, "poppy");
    browser.run(&format!("document.querySelector('{poppy}').focus()"));
    browser.until(&format!("{picture} !== {first}"));
    browser.until("document.querySelector('#knob-dye').value === 'poppy'");
    // It is no step, and nothing of it is left behind.
    browser.run("document.activeElement.blur()");
    browser.until("document.querySelector('#knob-dye').value === 'navy'");
    browser.until(
        "document.body.dataset.state === 'ready' && document.querySelector('#reset').disabled",
    );
    assert_eq!(
        browser.value("document.querySelector('#states-home').hidden"),
        true
    );
    // By keys to the next one, which is taken.
    browser.run(&format!("document.querySelector('{poppy}').focus()"));
    browser.press(&[DOWN, ENTER]);
    let next = browser.value(&format!(
        "document.querySelector('{poppy}').nextElementSibling.dataset.colour"
    ));
    let next = next.as_str().expect("a name").to_owned();
    browser.until_text("#states", &format!("dye {next}"));
    browser.run("document.activeElement.blur()");
    browser.click(&swatch(&browser, "walnut"));
    browser.until_text("#states", "dye walnut");
    browser.until("document.querySelectorAll('#states .state').length === 3");
}

fn notes_neither_pile_up_nor_cover_what_has_the_focus() {
    for screen in [Screen::Desk, Screen::Narrow] {
        let scene = Scene::new(RECIPE);
        let browser = scene.shown(screen);
        browser.awaited(
            "import('/page/make.js').then(({ note }) => { for (const n of [1, 2, 3, 4]) note(`What happened ${n}, in a line that is so long that it is broken`); done(true); });",
        );
        let notes = "[...document.querySelectorAll('.note span')].map((n) => n.textContent.match(/\\d/)[0]).join()";
        assert_eq!(browser.value(notes), "3,4");
        // Every control of the page, one after the other.
        let covered = browser.value(
            "[...document.querySelectorAll('aside button:enabled, aside input:enabled, aside select:enabled')] \
             .filter((e) => e.getClientRects().length && e.tabIndex >= 0).filter((e) => { e.focus(); \
             const n = document.querySelector('#notes').getBoundingClientRect(); const b = e.getBoundingClientRect(); \
             return b.bottom > n.top && b.top < n.bottom && b.right > n.left && b.left < n.right; }) \
             .map((e) => e.id || e.textContent).join()",
        );
        assert_eq!(covered, "");
    }
}

fn any_room_is_printed_as_the_panel_with_its_title() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    for room in ["panel", "variations", "plan"] {
        browser.click(&format!("[data-room={room}]"));
        browser.devtools("Emulation.setEmulatedMedia", &json!({ "media": "print" }));
        browser.until(
            "((p) => p.width > 300 && p.height > 50)(document.querySelector('#print canvas').getBoundingClientRect()) \
             && document.querySelector('#print figcaption').textContent.includes('tray.rhai: Tray')",
        );
        let rest = "[...document.querySelectorAll('button, input, select, nav, aside, .stage')] \
                    .filter((e) => e.getClientRects().length).length";
        assert_eq!(browser.value(rest), 0, "{room}");
        browser.devtools("Emulation.setEmulatedMedia", &json!({ "media": "" }));
    }
}

fn numbers_and_colours_of_the_text_are_knobs() {
    let text = "// Mine.\nlet sheet = laminate([veneer(2, \"navy\"), plywood(7, 9.2)]);\n\
                let tile = bar(sheet.square()).slice(\"tile\"); // stays\n\
                panel(\"p\", squares(tile)).size(4, 3).fill(tile);\n";
    let scene = Scene::new(text);
    let browser = scene.shown(Screen::Desk);
    let field = |what: &str| format!("[data-value='{what}'] input[type=text]");
    // Without a parameter they are offered at once.
    browser.fill(&field("courses of size"), "5");
    browser.until_text("#view-now figcaption", "20 tiles");
    assert_eq!(
        scene.bench.read("tray.rhai"),
        text.replace("size(4, 3)", "size(4, 5)")
    );
    assert_eq!(scene.bench.read("tray.rhai.before"), text);
    browser.until_text("#states", "courses of size 5");
    // Drawn along, it is one step.
    browser.run(
        "const s = document.querySelector(\"[data-value='columns of size'] input[type=range]\"); \
         for (const n of [5, 6, 7]) { s.value = n; s.dispatchEvent(new Event('input')); } s.dispatchEvent(new Event('change'));",
    );
    browser.until_text("#view-now figcaption", "35 tiles");
    browser.until("document.querySelectorAll('#states .state').length === 3");
    browser.run("document.querySelector(\"[data-value='colour of veneer'] details\").open = true");
    browser.click("[data-value='colour of veneer'] [data-colour=poppy]");
    browser.until_text("#states", "colour of veneer poppy");
    assert!(
        scene
            .bench
            .read("tray.rhai")
            .contains("veneer(2, \"poppy\")")
    );
    // And a parameter on a click.
    browser.click("[data-value='plies of plywood'] button.plain");
    browser.until("Boolean(document.querySelector('#knob-plies'))");
    assert!(
        scene
            .bench
            .read("tray.rhai")
            .contains("plywood(param(\"plies\", 7), 9.2)")
    );
    for _ in 0..4 {
        browser.click("#undo");
        browser.until("document.body.dataset.state === 'ready'");
    }
    browser.until("document.querySelector('#undo').disabled");
    assert_eq!(scene.bench.read("tray.rhai"), text);
}
