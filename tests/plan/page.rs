//! The plan as a page: whole, harmless, and fit to print.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::{num::NonZeroUsize, sync::Arc};

use crate::common::wood::{hexagon_tile, rectangle};
use plyloom::{
    draw::{
        plan_page::{PlanPage, plan_page_html},
        step_drawings::step_drawings,
    },
    layout::{Cells, Extent, Filling, Lattice, Panel, Rule, resolve},
    plan::{Plan, Shop, cautions},
    stock::Tile,
};

fn panel(name: &str, tile: &Tile, lattice: Lattice, columns: i64, courses: i64) -> Panel {
    let mut extent = Extent::default();
    extent.count(columns, courses).unwrap();
    let cells = Cells::new(Arc::new(lattice), &extent, 100_000).unwrap();
    let mut filling = Filling::new(Arc::new(cells));
    filling.fill(&Rule::One(tile.clone()), None, 1).unwrap();
    resolve(name, &filling, NonZeroUsize::MIN).unwrap()
}

fn hexagons(name: &str) -> Panel {
    let tile = hexagon_tile(18.0);
    panel(name, &tile, Lattice::hexagons(&tile).unwrap(), 5, 4)
}

fn page(panels: &[&Panel], shop: &Shop, words: &str) -> String {
    let plan = Plan::of(panels, shop).unwrap();
    plan_page_html(&PlanPage {
        panels,
        plan: &plan,
        shop,
        made_from: words,
        shop_name: words,
        thinner: None,
        objects: None,
    })
}

/// The drawings on a page, each as a document of its own.
fn drawings(html: &str) -> Vec<&str> {
    let mut all = Vec::new();
    let mut rest = html;
    while let Some(start) = rest.find("<svg") {
        let end = rest[start..].find("</svg>").unwrap() + start + "</svg>".len();
        all.push(&rest[start..end]);
        rest = &rest[end..];
    }
    all
}

#[test]
fn every_part_of_the_plan_is_on_the_page() {
    let panel = hexagons("Star");
    let shop = Shop::common();
    let html = page(&[&panel], &shop, "Recipe star.rhai");
    let plan = Plan::of(&[&panel], &shop).unwrap();
    for part in [
        "<h1>Shop plan: Star</h1>",
        "Recipe star.rhai",
        "Appendix: counting back",
        "To buy",
        "Fetch",
        "Steps, in working order",
        "The blade leans AWAY from the fence",
        "How exactly, and the trial bar",
        "0.1\u{b0} for every",
        "Gluing up: Star",
        "Thickness after flattening",
        "table_saw.kerf = 3.2 mm",
    ] {
        assert!(html.contains(part), "{part}");
    }
    assert!(html.contains(cautions::FIRST));
    // The panel, the drawings of the steps, the map.
    let drawings = drawings(&html);
    assert_eq!(drawings.len(), 1 + step_drawings(&plan, &shop).len() + 1);
    for drawing in drawings {
        assert!(!drawing.contains("NaN"));
        roxmltree::Document::parse(drawing).unwrap();
    }
    // The cautions of each set-up stand within its own step, once.
    let steps: Vec<&str> = html.split("<article").skip(1).collect();
    assert_eq!(steps.len(), plan.steps.steps.len());
    for (text, step) in steps.iter().zip(&plan.steps.steps) {
        let text = text.split("</article>").next().unwrap();
        if !step.set_ups.is_empty() {
            assert!(text.contains("Take care"), "{text}");
        }
        assert!(text.matches("AWAY from the fence").count() <= 1, "{text}");
    }
    for (number, _) in plan.set_ups() {
        assert!(steps[number - 1].contains("<svg"));
    }
}

#[test]
fn no_markup_of_others_no_script_no_request() {
    let bad = "</title></style><script>alert(1)</script><img src=http://x.test/ onerror='1'>\"&";
    let panel = hexagons(bad);
    let shop = Shop::parse(&format!(
        "[prices]\ncurrency = {bad:?}\n[[sheet]]\nname = {bad:?}\nwidth = 1220\nlength = 2440\nprice = 1\n"
    ))
    .unwrap();
    let html = page(&[&panel], &shop, bad);
    assert!(!html.contains("<script") && !html.contains("<img") && !html.contains("alert(1)</s"));
    assert!(html.contains("&lt;script&gt;"));
    assert!(!html.contains("href=\"http") && !html.contains(" src=\""));
    let within = html.matches("url(#").count();
    assert_eq!(
        html.matches("url(").count(),
        within,
        "only parts of the page"
    );
    assert!(!html.contains("<link") && !html.contains("@import"));
    let policy = html.find("default-src 'none'").unwrap();
    assert!(policy < html.find("<style>").unwrap());
    // Nothing of the page's own is held back by that policy: it has no `style=` and no handlers.
    assert!(!html.contains(" style=\"") && !html.contains(" onload="));
}

#[test]
fn drawings_do_not_take_each_others_parts() {
    let (one, two) = (hexagons("One"), {
        let tile = rectangle(40.0, 20.0);
        panel(
            "Two",
            &tile,
            Lattice::running_bond(&tile, 0.5).unwrap(),
            6,
            5,
        )
    });
    let html = page(&[&one, &two], &Shop::common(), "");
    let mut ids: Vec<&str> = html
        .split(" id=\"")
        .skip(1)
        .map(|s| s.split('"').next().unwrap())
        .collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all, "an id twice");
    for used in html.split("href=\"#").skip(1) {
        let id = used.split('"').next().unwrap();
        assert!(ids.binary_search(&id).is_ok(), "{id}");
    }
}

#[test]
fn what_is_short_cannot_be_missed() {
    let panel = hexagons("Star");
    let shop = Shop::parse("[[scrap]]\nwidth = 60\nlength = 400\n").unwrap();
    let html = page(&[&panel], &shop, "");
    let short = html.find("NOT ENOUGH STOCK").unwrap();
    assert!(short < html.find("<figure").unwrap(), "before the picture");
}

#[test]
fn paper_is_left_to_the_printer_and_ink_is_spared() {
    let html = page(&[&hexagons("Star")], &Shop::common(), "");
    let style = html.split("<style>").nth(1).unwrap();
    let style = style.split("</style>").next().unwrap();
    // A4 and Letter alike: margins are set, a size is not.
    assert!(style.contains("@page{margin:") && !style.contains(";size:"));
    assert!(style.contains("background:#fff") && style.contains("break-inside:avoid"));
}

#[test]
fn the_same_plan_gives_the_same_page() {
    let (panel, shop) = (hexagons("Star"), Shop::common());
    assert_eq!(page(&[&panel], &shop, "x"), page(&[&panel], &shop, "x"));
}
