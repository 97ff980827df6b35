//! One numbering of tiles, from 1-1 at the top left: on the page, on the map, on the template, in the steps as JSON, and
//! in messages. Each is read for itself, and held against an order found here by where the tiles lie.

use std::{collections::BTreeMap, path::PathBuf, sync::Arc};

use lopdf::{Dictionary, Document, Object, content::Content};
use plyloom::draw::{
    glue_map::glue_map,
    template::{TemplateOptions, template_pdf},
};
use plyloom::geom::Point;
use plyloom::layout::panel::Panel;
use plyloom::plan::{Plan, Shop};
use plyloom::recipe::{
    Failure, Outcome, evaluate, memory_host::MemoryHost, memory_store::MemoryStore,
    settings::Settings, source::Source, store::Reach,
};
use plyloom::session::{Answer, Given, PanelOf, Request, Session, Typed};

/// Courses of nine and ten hexagons in turn; in rules, some begin at column -1. `first` is asked of each cell.
fn recipe(first: &str) -> String {
    format!(
        "let r = laminate([veneer(0.6, \"navy\"), plywood(13, 18.6)]).rhombus(60);
         let block = hexagon([r, r, r]).slice(\"block\");
         let lone = bar(r).slice(\"lone\");
         panel(\"In turn\", hexagons(block)).finished(345, 250).fill(|cell| {{ {first} block }});"
    )
}

fn made(text: &str) -> Result<Outcome, Failure> {
    let source = Arc::new(Source::new("recipe.rhai", text));
    evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
}

/// The tiles from the top down, and in a course from the left: their middles, numbered.
fn by_place(panel: &Panel) -> Vec<(String, Point)> {
    let mut all: Vec<Point> = panel.tiles.iter().map(|t| t.at).collect();
    all.sort_by(|a, b| a.y.total_cmp(&b.y));
    let mut courses: Vec<Vec<Point>> = Vec::new();
    for at in all {
        match courses.last_mut() {
            Some(course) if at.y - course[0].y < 1.0 => course.push(at),
            _ => courses.push(vec![at]),
        }
    }
    for course in &mut courses {
        course.sort_by(|a, b| a.x.total_cmp(&b.x));
    }
    let number = |course: usize, tile: usize| format!("{}-{}", course + 1, tile + 1);
    let each = courses.iter().enumerate();
    each.flat_map(|(i, course)| (course.iter().enumerate()).map(move |(j, at)| (number(i, j), *at)))
        .collect()
}

fn same(what: &str, found: &[(String, Point)], places: &[(String, Point)]) {
    for (number, at) in places {
        let there = found.iter().find(|(_, other)| other.distance(*at) < 0.02);
        assert_eq!(there.map(|(n, _)| n), Some(number), "{what}, at {at:?}");
    }
}

#[test]
fn page_map_template_and_steps_number_tiles_alike() {
    let text = recipe("");
    let outcome = made(&text).expect("a panel");
    let panel = &outcome.panels[0];
    let places = by_place(panel);
    assert_eq!(places.len(), panel.tiles.len());
    assert!(panel.tiles.iter().any(|t| t.cell.column < 0));
    same("page", &on_page(&text), &places);
    let plan = Plan::of(&[panel], &Shop::common()).expect("a plan");
    same("steps", &in_steps(&plan), &places);
    // The map is drawn larger, and elsewhere: it has the numbers in the same order.
    let map = glue_map(panel, &plan.gluing[0], None, "");
    let on_map: Vec<&str> = (map.split("font-weight=\"bold\"").skip(1))
        .filter_map(|rest| rest.split_once('>')?.1.split('<').next())
        .map(str::trim)
        .filter(|text| text.contains('-'))
        .collect();
    let mut numbers: Vec<&str> = places.iter().map(|(n, _)| n.as_str()).collect();
    assert_eq!(on_map.first(), Some(&"1-1"));
    assert_eq!(on_map, numbers);
    let template = template_pdf(panel, &TemplateOptions::default()).expect("a template");
    let pages = texts(&template.pdf);
    let sheets = &pages[usize::from(template.cover)..];
    numbers.sort_unstable();
    let mut seen: Vec<&str> = Vec::new();
    for (page, shows) in sheets.iter().zip(&template.pages) {
        let signs: Vec<(&str, Point)> = (page.iter())
            .filter(|(text, _)| numbers.binary_search(&text.as_str()).is_ok())
            .map(|(text, at)| (text.as_str(), *at))
            .collect();
        // All numbers of a page are set off by the same way from the tiles that have them.
        let off = |(number, at): &(&str, Point)| {
            let (_, place) = places.iter().find(|(n, _)| n == number).expect("a tile");
            *at - *place
        };
        let first = signs.first().map(off).expect("a number on each page");
        for sign in &signs {
            assert!(off(sign).distance(first) < 3.0, "{sign:?} on {shows:?}");
        }
        seen.extend(signs.iter().map(|(number, _)| number));
    }
    seen.sort_unstable();
    seen.dedup();
    assert_eq!(seen, numbers);
}

#[test]
fn messages_number_cells_as_the_map_does() {
    let outcome = made(&recipe("")).expect("a panel");
    let panel = &outcome.panels[0];
    for (number, at) in by_place(panel).iter().step_by(7) {
        let tile = panel.tiles.iter().find(|t| t.at == *at).expect("a tile");
        let (column, course) = (tile.cell.column, tile.cell.course);
        let here = format!("cell.column == {column} && cell.course == {course}");
        let place = format!("{number} (column {column}, course {course} in rules)");
        let fails = |what: &str| {
            let text = recipe(&format!("if {here} {{ return {what}; }}"));
            made(&text).expect_err("nothing fits there").to_string()
        };
        let empty = fails("()");
        assert!(empty.contains(&format!("have no tile: {place}")), "{empty}");
        let misfit = fails("lone");
        assert!(
            misfit.contains(&format!("does not fit at {place}")),
            "{misfit}"
        );
    }
}

fn on_page(text: &str) -> Vec<(String, Point)> {
    let store = MemoryStore::new().with("recipe.rhai", text);
    let given = Given {
        recipe: PathBuf::from("recipe.rhai"),
        reach: Reach::default(),
        typed: Typed::default(),
    };
    let mut session = Session::new(store, given);
    let tiles = Request::Tiles(PanelOf {
        picture: 1,
        panel: 0,
    });
    let Ok(Answer::Data(tiles)) = session.answer(tiles) else {
        panic!("no tiles");
    };
    let tiles: serde_json::Value = serde_json::from_str(&tiles).expect("JSON");
    let mm = |axis: &str, i: usize| tiles[axis][i].as_f64().expect("a number") / 1000.0;
    let numbers = tiles["numbers"].as_array().expect("numbers").iter();
    (numbers.enumerate())
        .map(|(i, n)| {
            (
                format!("{}-{}", n[0], n[1]),
                Point::new(mm("x", i), mm("y", i)),
            )
        })
        .collect()
}

fn in_steps(plan: &Plan) -> Vec<(String, Point)> {
    let steps = serde_json::to_value(&plan.steps).expect("JSON");
    let mut all = steps["steps"].as_array().expect("steps").iter();
    let lay = all.find(|s| s["work"]["do"] == "lay_dry").expect("laying");
    let tiles = lay["work"]["tiles"].as_array().expect("tiles").iter();
    let number = |value: &serde_json::Value| value.as_f64().expect("a number");
    tiles
        .map(|t| {
            let at = Point::new(number(&t["at"][0]), number(&t["at"][1]));
            (format!("{}-{}", t["course"], t["number"]), at)
        })
        .collect()
}

/// The texts of each page with where they stand, in mm from the upper left corner.
fn texts(pdf: &[u8]) -> Vec<Vec<(String, Point)>> {
    let document = Document::load_mem(pdf).expect("a PDF");
    let pages = document.get_pages();
    let each = pages.values().map(|&id| {
        let content = Content::decode(&document.get_page_content(id)).expect("content");
        let fonts = document.get_page_fonts(id).expect("fonts");
        let letters: BTreeMap<Vec<u8>, BTreeMap<u8, String>> = (fonts.into_iter())
            .map(|(name, font)| (name, letters(&document, font)))
            .collect();
        let mut font: &[u8] = &[];
        let mut at = Point::ZERO;
        let mut found: Vec<(String, Point)> = Vec::new();
        for operation in &content.operations {
            match operation.operator.as_str() {
                "Tf" => font = operation.operands[0].as_name().expect("a name"),
                "Tm" => {
                    let n =
                        |i: usize| f64::from(operation.operands[i].as_float().expect("a number"));
                    at = Point::new(n(4), n(5));
                }
                "TJ" => {
                    let items = operation.operands[0].as_array().expect("a list").iter();
                    let codes = items.filter_map(|o| o.as_str().ok()).flatten();
                    let text = codes.map(|code| letters[font][code].as_str()).collect();
                    found.push((text, at));
                }
                _ => {}
            }
        }
        found
    });
    each.collect()
}

/// What the codes of a font stand for: its `ToUnicode` map (ISO 32000-2, 9.10.3).
fn letters(document: &Document, font: &Dictionary) -> BTreeMap<u8, String> {
    let map = font.get_deref(b"ToUnicode", document);
    let map = map.and_then(Object::as_stream).expect("a map");
    let map = map.get_plain_content().expect("its text");
    let map = String::from_utf8(map).expect("text");
    let pairs = (map.lines()).filter_map(|line| {
        let (code, text) = line
            .strip_prefix('<')?
            .strip_suffix('>')?
            .split_once("> <")?;
        let units: Vec<u16> = (0..text.len() / 4)
            .filter_map(|i| u16::from_str_radix(&text[4 * i..4 * i + 4], 16).ok())
            .collect();
        Some((
            u8::from_str_radix(code, 16).ok()?,
            String::from_utf16(&units).ok()?,
        ))
    });
    pairs.collect()
}
