//! The wall of variations, the shortlist, and picking from it.

use serde_json::json;

use crate::asking::{get, key, post, shown};
use crate::browser::Screen;
use crate::scene::{RECIPE, Scene};

trials! {
    Nothing: [
        a_look_that_there_is_not_is_refused,
    ],
    Browser: [
        from_the_wall_to_a_star_to_a_choice_to_a_plan,
        the_wall_grows_as_one_scrolls,
        on_a_narrow_screen_the_knobs_below_the_wall_are_reached,
        a_parameter_is_varied_over_its_range,
        seeds_that_make_no_difference_are_told,
        cards_are_seen_in_the_light_that_is_set_and_picked_as_they_are_seen,
        stars_side_by_side_are_at_one_scale,
        a_star_keeps_its_picture_where_the_recipe_has_lost_its_parameter,
    ],
}

const CARDS: &str = "document.querySelectorAll('.wall .card img[src]').length";

fn from_the_wall_to_a_star_to_a_choice_to_a_plan() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.click("[data-room=variations]");
    browser.until(&format!("{CARDS} >= 12"));
    assert_eq!(scene.bench.names("."), ["tray.rhai"], "no star, no file");
    browser.click(".wall .card:nth-child(3) .star");
    browser.until("document.querySelectorAll('.shortlist .card').length === 1");
    browser.click(".wall .card:nth-child(5) .star");
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 2");
    browser
        .until("document.querySelector('.wall .card:nth-child(3) .star').ariaPressed === 'true'");
    // Seeds go on from the recipe's own, 3.
    browser.until_text("[data-star='1']", "seed 5");
    browser.until_text("[data-star='2']", "seed 7");
    // With units, as they were typed.
    browser.until_text("[data-star='2']", "rows 4, wide 6 in, dye navy, mixed yes");
    browser.click("#mark-1");
    browser.click("#mark-2");
    browser.until("document.querySelectorAll('.together figure img[src]').length === 2");
    browser.click("[data-star='2'] [aria-label='Save as a choice star 2']");
    browser.until_text("#notes", "plyloom plan tray-choice-1.pick");
    scene
        .bench
        .run(&["plan", "tray-choice-1.pick"])
        .ended(0)
        .out_has("seed 7")
        .out_has("Tray");
    // What has a star stays when the program ends.
    drop(browser);
    let scene = scene.again();
    let browser = scene.shown(Screen::Desk);
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 2");
    browser.click("[data-star='1'] [aria-label='Drop star 1']");
    browser.until("document.querySelectorAll('.shortlist .card').length === 1");
    browser.click("[data-star='2'] [aria-label='Use star 2']");
    browser.until("document.querySelector('#seed').value === '7'");
}

fn the_wall_grows_as_one_scrolls() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.click("[data-room=variations]");
    browser.until(&format!("{CARDS} >= 12"));
    let before = browser.value("document.querySelectorAll('.wall .card').length");
    browser.run("window.scrollTo(0, document.body.scrollHeight)");
    browser.until(&format!("{CARDS} > {before}"));
}

fn on_a_narrow_screen_the_knobs_below_the_wall_are_reached() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Narrow);
    browser.click("[data-room=variations]");
    browser.until(&format!("{CARDS} === 12"));
    browser.run("window.scrollTo(0, document.body.scrollHeight)");
    browser.until("document.querySelector('#tally').getBoundingClientRect().top < innerHeight");
    // A picture more would have begun by the time that the knobs have answered.
    browser.fill("#knob-rows", "5");
    browser.until_text("#tally-facts", "60 mm");
    browser.until(&format!("{CARDS} === 12"));
    assert_eq!(
        browser.value("document.querySelectorAll('.wall .card').length"),
        serde_json::json!(12)
    );
    browser.click("#wall-more");
    browser.until(&format!("{CARDS} === 24"));
}

fn a_parameter_is_varied_over_its_range() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    browser.click("[data-room=variations]");
    browser.choose("#wall-axis", "set:rows");
    // From 2 to 12.
    browser.until(&format!("{CARDS} === 11"));
    browser.until_text(".wall .card:first-child", "rows 2");
    browser.until_text(".wall .card:last-child", "rows 12");
    browser.choose("#wall-axis", "set:edge");
    browser.until(&format!("{CARDS} === 2"));
    browser.choose("#wall-axis", "set:wide");
    browser.until_text(".wall .card:nth-child(3)", "wide 8 in");
    browser.click(".wall .card:nth-child(3) [aria-label='Use wide 8 in']");
    browser.until_text("#notes", "wide 8 in");
    browser.click("[data-room=panel]");
    browser.until_text("#view-now figcaption", "203.2");
}

fn seeds_that_make_no_difference_are_told() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    let told = "!document.querySelector('#wall-alike').hidden";
    browser.click("[data-room=variations]");
    browser.until(&format!("{CARDS} >= 12"));
    assert_eq!(browser.value(told), json!(false));
    browser.click("#knob-mixed");
    browser.until(told);
    browser.until_text(
        "#wall-alike",
        "does not seem to use chance. Vary something else.",
    );
    // More of the same is made only where it is asked for.
    let before = browser.value(CARDS);
    browser.click("#wall-more");
    browser.until(&format!("{CARDS} > {before}"));
    browser.choose("#wall-axis", "set:rows");
    browser.until(&format!("{CARDS} === 11 && !({told})"));
}

fn cards_are_seen_in_the_light_that_is_set_and_picked_as_they_are_seen() {
    let scene = Scene::new(RECIPE);
    let browser = scene.shown(Screen::Desk);
    let picture = |card: &str| format!("document.querySelector('{card} img').src");
    let (of_wall, of_star) = (
        picture(".wall .card:first-child"),
        picture(".shortlist .card"),
    );
    browser.click("[data-room=variations]");
    browser.until(&format!("{CARDS} >= 12"));
    browser.click(".wall .card:first-child .star");
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 1");
    let plain = [browser.value(&of_wall), browser.value(&of_star)];
    browser.keys("#light", "\u{e014}");
    browser.choose("#look-finish", "oil");
    browser.until("document.querySelector('#view-now').dataset.path.includes('finish=oil')");
    // The first card is the panel itself, so its picture is the panel's in that light.
    let path = format!("/api/drawing/{}/0?light=240&finish=oil", shown(&scene));
    let lit = json!(get(&scene, &path, &[&key(&scene)]).body);
    for (card, plain) in [&of_wall, &of_star].into_iter().zip(&plain) {
        browser.until(&format!(
            "{card} !== {plain} && decodeURIComponent({card}).endsWith({lit})"
        ));
    }
    browser.click("[aria-label='Save as a choice star 1']");
    browser.until_text("#notes", "plyloom plan tray-choice-1.pick");
    let pick = scene.bench.read("tray-choice-1.pick");
    for line in ["seed = 3", "light = 240.0", "finish = \"oil\""] {
        assert!(pick.contains(line), "{line}: {pick}");
    }
    // And plain again. What changes while nobody looks at the cards is seen on the way back.
    browser.click("#notes button");
    browser.click("[data-room=panel]");
    browser.choose("#look-finish", "raw");
    browser.click("#looking .dial-side button");
    browser.until("!document.querySelector('#view-now').dataset.path.includes('light')");
    browser.click("[data-room=variations]");
    for (card, plain) in [&of_wall, &of_star].into_iter().zip(&plain) {
        browser.until(&format!("{card} === {plain}"));
    }
    browser.click("[aria-label='Save as a choice star 1']");
    browser.until_text("#notes", "plyloom plan tray-choice-2.pick");
    let pick = scene.bench.read("tray-choice-2.pick");
    assert!(!pick.contains("look"), "{pick}");
}

fn a_look_that_there_is_not_is_refused() {
    let scene = Scene::new(RECIPE);
    shown(&scene);
    post(&scene, "/api/star", &json!({ "seed": "5" }));
    let look = json!({ "finish": "gold" });
    for (path, body) in [
        ("/api/card", json!({ "seed": "5", "look": look })),
        (
            "/api/keep",
            json!({ "as": "star", "number": 1, "look": look }),
        ),
    ] {
        let answer = post(&scene, path, &body);
        assert!(
            answer.status == 422 && answer.body.contains("no finish"),
            "{answer:?}"
        );
    }
    assert_eq!(scene.bench.names("."), ["tray.rhai", "tray.shortlist.json"]);
}

fn stars_side_by_side_are_at_one_scale() {
    let scene = Scene::new(RECIPE);
    shown(&scene);
    for rows in ["3", "9"] {
        let star = post(&scene, "/api/star", &json!({ "set": { "rows": rows } }));
        assert_eq!(star.status, 200, "{star:?}");
    }
    for screen in [Screen::Desk, Screen::Narrow] {
        let browser = scene.shown(screen);
        browser.click("[data-room=variations]");
        browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 2");
        browser.click("#mark-1");
        browser.click("#mark-2");
        // Both are 6 inches wide; 3 and 9 courses of 12 mm.
        browser.until(
            "(([a, b]) => a && b && a.naturalWidth > 0 && b.naturalWidth > 0 && \
             Math.abs(b.clientHeight / a.clientHeight - 3) < 0.1 && Math.abs(a.clientWidth - b.clientWidth) < 2 && \
             Math.abs(b.clientWidth / b.clientHeight - 152.4 / 108) < 0.05)\
             ([...document.querySelectorAll('.together img')])",
        );
    }
}

fn a_star_keeps_its_picture_where_the_recipe_has_lost_its_parameter() {
    let scene = Scene::new(RECIPE);
    shown(&scene);
    post(&scene, "/api/star", &json!({ "set": { "dye": "poppy" } }));
    let browser = scene.shown(Screen::Desk);
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 1");
    let picture = browser.value("document.querySelector('[data-star=\"1\"] img').src");
    let other = RECIPE.replace("\"dye\"", "\"stain\"");
    scene.bench.save_by_rename("tray.rhai", other);
    browser.until_text(
        "[data-star='1']",
        "the recipe no longer has the parameter dye",
    );
    assert_eq!(
        browser.value("document.querySelector('[data-star=\"1\"] img').src"),
        picture
    );
    browser.until("document.querySelector('[aria-label=\"Use star 1\"]').disabled");
    let card = post(&scene, "/api/card", &json!({ "set": { "dye": "teal" } }));
    assert_eq!(card.status, 409, "{card:?}");
}
