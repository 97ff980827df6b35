//! The wall arranged: what makes a difference first, two knobs side by side, order and size, what is pointed
//! at enlarged, and all of it where it was when one comes back.

use fantoccini::actions::{InputSource as _, MouseActions, PointerAction};

use crate::browser::{Browser, Screen};
use crate::scene::{RECIPE, Scene};

trials! {
    Browser: [
        the_wall_opens_on_what_makes_a_difference,
        two_knobs_stand_side_by_side_and_a_click_takes_a_card,
        cards_are_put_in_order_and_hidden_by_what_they_measure,
        what_is_pointed_at_is_enlarged_and_the_place_is_kept,
    ],
}

fn wall(scene: &Scene, screen: Screen) -> Browser {
    let browser = scene.shown(screen);
    browser.click("[data-room=variations]");
    browser.until("document.querySelectorAll('.wall .card img[src]').length >= 2");
    browser
}

const WORDS: &str = "[...document.querySelectorAll('.wall .card:not([hidden])')].map((c) => c.querySelector('h3').textContent)";

fn the_wall_opens_on_what_makes_a_difference() {
    let scene = Scene::new(RECIPE);
    let browser = wall(&scene, Screen::Desk);
    assert_eq!(
        browser.value("document.querySelector('#wall-axis').value"),
        "seed"
    );
    // Where nothing is chosen by chance, knobs are varied.
    scene.bench.write(
        "tray.rhai",
        RECIPE.replace("random(\"turns\", ways)", "ways[0]"),
    );
    let scene = scene.again();
    browser.open(&scene.address);
    browser.until("document.querySelector('#wall-axis').options.length > 3");
    let browser = wall(&scene, Screen::Desk);
    assert_eq!(
        browser.value("document.querySelector('#wall-axis').value"),
        "set:rows"
    );
    browser.until(&format!("{WORDS}[0] === 'rows 2'"));
}

fn two_knobs_stand_side_by_side_and_a_click_takes_a_card() {
    let scene = Scene::new(RECIPE);
    let browser = wall(&scene, Screen::Desk);
    browser.choose("#wall-axis", "set:edge");
    browser.choose("#wall-across", "set:mixed");
    browser.until("document.querySelectorAll('.wall .card img[src]').length === 4");
    assert_eq!(
        browser.value(WORDS),
        serde_json::json!([
            "edge birch, mixed yes",
            "edge birch, mixed no",
            "edge walnut, mixed yes",
            "edge walnut, mixed no"
        ])
    );
    // Two columns, one for each value of the second.
    browser.until(
        "((a) => a[0].top === a[1].top && a[2].left === a[0].left && a[2].top > a[0].bottom - 1)(\
         [...document.querySelectorAll('.wall .card')].map((c) => c.getBoundingClientRect()))",
    );
    browser.click(".wall .card:nth-child(4) img");
    browser.until("document.querySelector('#knob-edge').value === 'walnut' && !document.querySelector('#knob-mixed').checked");
    // It is one step, to be had back.
    browser.click("#rooms [data-room=panel]");
    browser.until_text("#states", "mixed no, edge walnut");
}

fn cards_are_put_in_order_and_hidden_by_what_they_measure() {
    let scene = Scene::new(RECIPE);
    let browser = wall(&scene, Screen::Desk);
    browser.choose("#wall-axis", "set:rows");
    browser.until("document.querySelectorAll('.wall .card img[src]').length === 11");
    browser.choose("#wall-order", "many");
    browser.until(&format!(
        "{WORDS}[0] === 'rows 12' && {WORDS}.length === 11"
    ));
    browser.choose("#wall-order", "made");
    browser.until(&format!("{WORDS}[0] === 'rows 2'"));
    browser.fill("#wall-least", "100");
    browser.until(&format!("{WORDS}.length < 11"));
    browser.fill("#wall-least", "0");
    browser.until(&format!("{WORDS}.length === 11"));
    // A knob that changes nothing to be seen.
    scene.bench.write(
        "tray.rhai",
        format!("{RECIPE}let t = param(\"idle\", 1, #{{ from: 1, to: 4 }});\n"),
    );
    browser.until(
        "[...document.querySelector('#wall-axis').options].some((o) => o.value === 'set:idle')",
    );
    browser.choose("#wall-axis", "set:idle");
    browser.until("document.querySelectorAll('.wall .card img[src]').length === 4");
    browser.click("#wall-once");
    browser.until(&format!("{WORDS}.length === 1"));
}

fn what_is_pointed_at_is_enlarged_and_the_place_is_kept() {
    let scene = Scene::new(RECIPE);
    let browser = wall(&scene, Screen::Desk);
    let (x, y) = browser.place(
        "((b) => [b.left + b.width / 2, b.top + b.height / 2])(document.querySelector('.wall .card img').getBoundingClientRect())",
    );
    browser.act(
        MouseActions::new("mouse".to_owned())
            .then(PointerAction::MoveTo {
                duration: None,
                x,
                y,
            })
            .into(),
    );
    browser.until("!document.querySelector('.large').hidden");
    browser.until("document.querySelector('.large img').getBoundingClientRect().width > 400");
    browser.press(&[crate::hands::ESCAPE]);
    browser.until("document.querySelector('.large').hidden");
    browser.run(
        "const s = document.querySelector('#wall-size'); s.value = 20; s.dispatchEvent(new Event('input'));",
    );
    browser.until("document.querySelector('.wall .card').getBoundingClientRect().width >= 300");
    browser.run("scrollTo(0, 300)");
    browser.run("document.querySelector('#rooms [data-room=plan]').click()");
    browser.until_text(".plan", "Shop plan");
    browser.run("document.querySelector('#rooms [data-room=variations]').click()");
    browser.until("Math.abs(scrollY - 300) < 3");
    let cards = browser.value("document.querySelectorAll('.wall .card').length");
    browser.run("location.reload()");
    browser.until("document.querySelector('#wall-size')?.value === '20'");
    browser.until(&format!(
        "document.querySelectorAll('.wall .card').length >= Math.min(12, {cards})"
    ));
}
