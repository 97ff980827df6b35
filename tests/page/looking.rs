//! Looking at a panel: tiles, marks, light, distance, keys, names that are markup, screens, and
//! what axe-core finds.

use serde_json::Value;

use crate::browser::Screen;
use crate::checker::{axe, faultless};
use crate::common::Bench;
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        a_tile_tells_what_it_is,
        the_tile_at_the_top_left_is_1_1_as_on_the_map,
        marks_light_and_distance_change_what_is_seen,
        no_number_floats_beside_the_panel,
        of_several_panels_one_is_shown_at_a_time_and_a_round_one_is_round,
        the_plan_is_worded_as_the_command_words_it,
        the_steps_of_the_plan_have_their_drawings,
        names_that_are_markup_show_as_text,
        no_mark_of_code_is_shown_as_it_is_written,
        a_narrow_screen_has_no_sideways_scroll,
        on_a_narrow_screen_a_line_of_the_plan_goes_on_farther_in,
        a_hundred_thousand_tiles_stay_usable,
    ],
    Axe: [
        axe_finds_no_fault_in_light_and_dark,
    ],
}

/// The middle of the stage, where the pointer is put.
const POINT: &str = "const s = document.querySelector('#view-now .stage'); \
    const b = s.getBoundingClientRect(); \
    const at = (type, dx) => s.dispatchEvent(new PointerEvent(type, { bubbles: true, pointerId: 1, \
    buttons: 0, clientX: b.left + b.width / 2 + dx, clientY: b.top + b.height / 2 + 5 }));";

const PATH: &str = "document.querySelector('#view-now').dataset.path";

fn a_tile_tells_what_it_is() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    // 12.6 mm a tile, 13 across: the last column and the last course are trimmed.
    browser.until(&format!(
        "(() => {{ {POINT} at('pointermove', 0); return document.querySelector('#tile').innerText.includes('square'); }})()"
    ));
    let tile = browser.value("document.querySelector('#tile').innerText");
    let tile = tile.as_str().expect("words");
    assert!(
        tile.contains("edges matched") && tile.contains("course ") && tile.contains("column "),
        "{tile}"
    );
    // By keys alone: to the middle tile, then along its course to the rim.
    browser.click("#fit");
    browser.run("document.querySelector('#view-now .stage').focus()");
    browser.keys("#view-now .stage", "\u{e007}");
    browser.until_text("#tile", "course");
    for _ in 0..14 {
        browser.keys("#view-now .stage", "\u{e008}\u{e014}\u{e000}");
    }
    browser.until_text("#tile", "column 12");
    browser.until_text("#tile", "trimmed");
}

fn the_tile_at_the_top_left_is_1_1_as_on_the_map() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.until(
        "(() => { const b = document.querySelector('#view-now .whole').getBoundingClientRect(); \
         document.querySelector('#view-now .stage').dispatchEvent(new PointerEvent('pointermove', \
         { bubbles: true, pointerId: 1, buttons: 0, clientX: b.left + 6, clientY: b.top + 6 })); \
         return document.querySelector('#tile').innerText.includes('tile 1-1'); })()",
    );
    browser.until_text("#tile", "column 0, course 0");
    let shop = scene
        .bench
        .run(&["plan", "tray.rhai", "--drawings", "drawings"]);
    shop.ended(0);
    let maps = scene.bench.names("drawings");
    let numbered = |name: &String| {
        let drawing = scene.bench.read(&format!("drawings/{name}"));
        drawing.lines().any(|line| line.trim() == "1-1")
    };
    assert!(maps.iter().any(numbered), "{maps:?}");
}

fn marks_light_and_distance_change_what_is_seen() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    let ink = "(() => { const c = document.querySelector('#view-now .marks'); \
               const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data; \
               let n = 0; for (let i = 3; i < d.length; i += 4) n += d[i] > 0; return n; })()";
    browser.until(&format!("{ink} === 0"));
    for mark in ["joints", "numbers", "trim", "layers"] {
        let button = format!("[data-mark={mark}]");
        browser.click(&button);
        browser.until(&format!("{ink} > 500"));
        browser.click(&button);
        browser.until(&format!("{ink} === 0"));
    }
    browser.keys("#light", "\u{e014}");
    browser.until(&format!("{PATH}.includes('light=240')"));
    browser.choose("#look-finish", "oil");
    browser.until(&format!("{PATH}.includes('finish=oil')"));
    browser.choose("#look-eyes", "deuteranopia");
    browser.until(&format!("{PATH}.includes('view=deuteranopia')"));
    browser.keys("#distance", "\u{e014}\u{e014}");
    browser.until(&format!(
        "{PATH}.includes('/pixels/') && {PATH}.includes('from=')"
    ));
    browser.until("document.querySelector('#view-now .part').hidden && document.querySelector('#view-now .whole').width === 1600");
}

fn no_number_floats_beside_the_panel() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    // The middles of the last column are trimmed away: 13 tiles of 12.6 mm, 152.4 mm wide.
    let ink = |from: &str, to: &str| {
        format!(
            "(() => {{ const c = document.querySelector('#view-now .marks'); \
             const [s, x] = document.querySelector('#view-now').dataset.camera.split(' ').map(Number); \
             const at = (mm) => Math.min(c.width, Math.max(0, Math.round(c.width / 2 + (mm - x) * s))); \
             const d = c.getContext('2d').getImageData(at({from}), 0, at({to}) - at({from}), c.height).data; \
             let n = 0; for (let i = 3; i < d.length; i += 4) n += d[i] > 0; return n; }})()"
        )
    };
    browser.click("[data-mark=numbers]");
    browser.until(&format!("{} > 500", ink("0", "151")));
    assert_eq!(browser.value(&ink("153", "1000")), Value::from(0));
}

fn of_several_panels_one_is_shown_at_a_time_and_a_round_one_is_round() {
    let text =
        format!("{RECIPE}panel(\"Coaster\", squares(tile)).finished_round(90).fill(tile);\n");
    let scene = Scene::new(&text);
    let browser = scene.shown(Screen::Desk);
    browser.until_text("#view-now figcaption", "Tray");
    browser.choose("#tools select", "1");
    browser.until_text("#view-now figcaption", "Coaster, 90 \u{d7} 90 mm");
    browser.until_text("#tally-facts", "90 \u{d7} 90 mm");
    // Nothing lies in the corner of a round panel.
    let corner = "(() => { const s = document.querySelector('#view-now .stage'); \
        const b = s.getBoundingClientRect(); const side = Math.min(b.width, b.height) * 0.96; \
        const at = (x, y) => { s.dispatchEvent(new PointerEvent('pointermove', { bubbles: true, \
        clientX: b.left + b.width / 2 + x * side, clientY: b.top + b.height / 2 + y * side })); \
        return document.querySelector('#tile').innerText.includes('square'); }; \
        return at(0.05, 0.05) && !at(0.45, 0.45) && at(0.3, 0.3); })()";
    browser.until(corner);
}

fn the_plan_is_worded_as_the_command_words_it() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan: Tray");
    let plan = browser.value("document.querySelector('.plan').textContent");
    let plan = plan.as_str().expect("a text").trim();
    assert!(
        plan.contains("get qualified instruction before you cut"),
        "{plan}"
    );
    let command = scene
        .bench
        .run(&["plan", "tray.rhai", "--out", "plan.html"]);
    assert!(command.out.starts_with(plan), "{plan}\n--\n{}", command.out);
    // The whole plan is the page that the command writes, and runs nothing.
    let shown = browser.awaited(
        "fetch(document.querySelector('.papers a').href).then(async (r) => done({ \
         policy: r.headers.get('content-security-policy'), text: await r.text() }));",
    );
    assert_eq!(shown["text"], Value::from(scene.bench.read("plan.html")));
    let policy = shown["policy"].as_str().expect("a policy");
    assert!(
        policy.contains("default-src 'none'") && !policy.contains("script-src"),
        "{policy}"
    );
    let template = browser.awaited(
        "fetch(document.querySelectorAll('.papers a')[1].href).then(async (r) => done({ \
         kind: r.headers.get('content-type'), text: (await r.text()).slice(0, 5) }));",
    );
    assert_eq!(
        template,
        serde_json::json!({ "kind": "application/pdf", "text": "%PDF-" })
    );
    browser.click(".papers a");
    browser.in_last_tab(|paper| {
        paper
            .until("document.title.includes('Shop plan: Tray') && document.styleSheets.length > 0");
    });
}

fn the_steps_of_the_plan_have_their_drawings() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Narrow);
    browser.click("[data-room=plan]");
    // A board, a leaf, the set-ups of the saw; each is loaded when it comes into sight.
    browser.until("document.querySelectorAll('#steps img').length >= 3");
    browser.until(
        "[...document.querySelectorAll('#steps img')].every((drawing) => { \
         drawing.scrollIntoView(); return drawing.alt && drawing.naturalWidth === 620; })",
    );
    browser.until(
        "[...document.querySelectorAll('#steps img')].every((d) => d.clientWidth <= innerWidth)",
    );
}

fn names_that_are_markup_show_as_text() {
    let bad = "<img src=x onerror=document.title=1><script>document.title=2</script>&lt;";
    let text = RECIPE
        .replace("\"square\"", &format!("\"{bad}\""))
        .replace("\"Tray\"", &format!("\"{bad}\""))
        .replace("courses of tiles", bad)
        .replace("\"walnut\"]", &format!("\"{bad}\"]"));
    let text = format!("{text}print(\"{bad}\");\n");
    let bench = Bench::new().file("tray.rhai", &text);
    let scene = Scene::with(bench, &[]);
    let browser = scene.shown(Screen::Desk);
    for place in [
        "#view-now figcaption",
        "#tally th .kind",
        "#knobs .help",
        "#knob-edge option",
        "#printed pre",
    ] {
        browser.until_text(place, bad);
    }
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "<img");
    browser.until("document.querySelectorAll('.papers a').length > 0");
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 12");
    browser.choose("#wall-axis", "set:edge");
    browser.until_text(".wall .card h3", bad);
    // A message too: the colour that is none.
    scene
        .bench
        .write("tray.rhai", text.replace("\"navy\"", &format!("\"{bad}\"")));
    browser.until_text("#trouble", "<img");
    browser.until_text("#trouble .source", "onerror");
    let made =
        browser.value("document.querySelectorAll('body script, img[onerror], [src=x]').length");
    assert_eq!(made, Value::from(0));
    let title = browser.value("document.title");
    assert!(
        title.as_str().is_some_and(|t| t.contains("tray.rhai")),
        "{title}"
    );
}

fn no_mark_of_code_is_shown_as_it_is_written() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    scene.everywhere(&browser, |stop| {
        let marked = browser.value(
            "document.body.innerText.split('\\n').filter((line) => line.includes('`')).join(' | ')",
        );
        assert_eq!(marked, "", "{stop}");
    });
}

fn a_narrow_screen_has_no_sideways_scroll() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Narrow);
    assert_eq!(browser.value("innerWidth"), Value::from(360));
    let fits = "document.documentElement.scrollWidth <= 360";
    browser.until(fits);
    for room in ["variations", "plan", "panel"] {
        browser.click(&format!("[data-room={room}]"));
        if room == "variations" {
            browser.until("document.querySelectorAll('.wall .card img[src]').length >= 4");
        }
        browser.until(fits);
    }
    scene.bench.write(
        "tray.rhai",
        RECIPE.replace("laminate([", &format!("lamnate([{}", "1, ".repeat(200))),
    );
    browser.until("!document.querySelector('#trouble').hidden");
    browser.until(fits);
}

fn on_a_narrow_screen_a_line_of_the_plan_goes_on_farther_in() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Narrow);
    browser.click("[data-room=plan]");
    browser.until_text(".plan", "Shop plan: Tray");
    // The rectangles of the words of each broken line: all but the first stand to the right of it.
    let lines = browser.value(
        "[...document.querySelectorAll('.plan .line')].map((line) => { const r = document.createRange(); \
         r.selectNodeContents(line); return [...r.getClientRects()].filter((b) => b.width > 1); }) \
         .filter((all) => all.length > 1).map((all) => all.slice(1).every((b) => b.left > all[0].left + 8))",
    );
    let lines = lines.as_array().expect("lines");
    assert!(
        lines.len() > 3 && lines.iter().all(|l| l == true),
        "{lines:?}"
    );
}

fn a_hundred_thousand_tiles_stay_usable() {
    let text = "let sheet = laminate([veneer(0.6, \"navy\"), plywood(5, 12)]);\n\
                let tile = bar(sheet.rip(sheet.thickness)).slice(\"square\");\n\
                panel(\"Large\", squares(tile)).size(316, 316).fill(random(\"turns\", tile.looks()));\n";
    let scene = Scene::new(text);
    let browser = scene.shown(Screen::Desk);
    // Of the whole, each tile is one colour.
    browser.until_text("#view-now figcaption", "99\u{a0}856 tiles");
    browser.until("document.querySelector('#view-now').dataset.part === 'plain'");
    // Closer, the part that is looked at is painted with its layers.
    browser.run("document.querySelector('#view-now .stage').focus()");
    for _ in 0..16 {
        browser.keys("#view-now .stage", "+");
    }
    browser.until("document.querySelector('#view-now').dataset.part === 'layers'");
    browser.keys("#view-now .stage", "\u{e007}");
    browser.until_text("#tile", "of 4 edges matched");
    browser.keys("#view-now .stage", "0");
    browser.until("document.querySelector('#view-now').dataset.part === 'plain'");
}

fn axe_finds_no_fault_in_light_and_dark() {
    for screen in [Screen::Desk, Screen::Dark, Screen::Narrow] {
        let scene = Scene::new(RECIPE);
        let browser = scene.shown(screen);
        let axe = axe();
        let dark = browser.value("matchMedia('(prefers-color-scheme: dark)').matches");
        assert_eq!(dark, Value::from(screen == Screen::Dark));
        browser.run(&axe);
        browser.until_text("#tally-facts", "tiles");
        scene.everywhere(&browser, |what| faultless(&browser, what));
    }
}
