//! A session in memory, asked and answered in JSON as a browser does.

use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use plyloom::bundle::{Bundle, metadata};
use plyloom::recipe::memory_store::MemoryStore;
use plyloom::recipe::store::Reach;
use plyloom::session::{Given, Session, Typed};
use serde_json::{Value, json};

const RECIPE: &str = "import \"wood\" as wood;\nlet rows = param(\"rows\", 3, #{ from: 1, to: 9 });\n\
    let sheet = wood::sheet();\nlet tile = bar(sheet.rip(sheet.thickness)).slice(\"square\");\n\
    panel(\"Lid\", squares(tile)).finished(48, rows * 12).fill(tile);\n";
const WOOD: &str = "fn sheet() { plywood(5, 12, \"birch\") }\n";

fn session(recipe: &str) -> Session {
    let store = MemoryStore::new()
        .with("lids/lid.rhai", recipe)
        .with("lids/wood.rhai", WOOD);
    let given = Given {
        recipe: "lids/lid.rhai".into(),
        reach: Reach::OwnFolder,
        typed: Typed::default(),
    };
    Session::new(store, given)
}

/// Asked and answered in JSON, as a browser does.
fn ask(session: &mut Session, ask: Value) -> Value {
    let request = serde_json::from_value(ask).expect("a request");
    let answer = session.answer(request).expect("an answer");
    serde_json::to_value(answer).expect("JSON")["with"].take()
}

#[test]
fn a_recipe_in_memory_is_shown_turned_drawn_planned_kept_and_packed() {
    let mut it = session(RECIPE);
    let state = ask(&mut it, json!({ "ask": "state" }));
    assert_eq!(state["recipe"], "lid.rhai");
    assert_eq!(state["picture"]["panels"][0]["tiles"], 12, "{state}");
    let turn = json!({ "ask": "turn", "turn": { "set": { "rows": "2" } } });
    assert_eq!(ask(&mut it, turn)["turn"], 1);
    let turned = ask(&mut it, json!({ "ask": "run" }));
    assert_eq!(turned["answered"], 1);
    assert_eq!(turned["picture"]["panels"][0]["height"], 24.0);
    let picture = turned["shown"].clone();
    let about = |what: &str| json!({ "ask": what, "picture": picture, "panel": 0 });
    let svg = ask(&mut it, about("drawing"));
    assert!(svg.as_str().expect("text").starts_with("<svg"));
    let tiles = ask(&mut it, about("tiles"));
    assert!(tiles.as_str().expect("text").contains("\"faces\""));
    let at = |x, y| json!({ "ask": "tile", "picture": picture, "panel": 0, "x": x, "y": y });
    assert_eq!(ask(&mut it, at(6.0, 6.0)), 0);
    assert_eq!(ask(&mut it, at(47.0, 23.0)), 7);
    assert_eq!(ask(&mut it, at(60.0, 6.0)), json!(null));
    let plan = ask(&mut it, about("plan"));
    let text = plan["text"].as_str().expect("text");
    assert!(text.contains("Shop plan: Lid"), "{text}");
    assert_eq!(plan["sheets"].as_array().map(Vec::len), Some(2));
    let keep = json!({ "as": "choice", "picture": picture, "name": "low" });
    let kept = ask(&mut it, json!({ "ask": "keep", "keep": keep }));
    assert_eq!(kept["file"], "low.pick");
    let text = it.store().texts()[Path::new("lids/low.pick")].clone();
    assert!(
        text.contains("recipe = \"lid.rhai\"") && text.contains("rows = 2"),
        "{text}"
    );
    let keep = json!({ "as": "defaults", "picture": picture });
    ask(&mut it, json!({ "ask": "keep", "keep": keep }));
    let text = it.store().texts()[Path::new("lids/lid.rhai")].clone();
    assert!(text.contains("param(\"rows\", 2,"), "{text}");
    let pack = ask(&mut it, json!({ "ask": "pack", "picture": picture }))[0][1].clone();
    let files = ask(
        &mut it,
        json!({ "ask": "unpack", "base64": STANDARD.encode(pack.as_str().expect("text")) }),
    )["texts"]
        .take();
    let names: Vec<_> = files
        .as_array()
        .expect("a list")
        .iter()
        .map(|f| &f[0])
        .collect();
    assert_eq!(names, ["lid.rhai", "wood.rhai", "lid.pick"]);
    assert_eq!(files[1][1], WOOD);
    let bundle = Bundle::read(pack.as_str().expect("text")).expect("a pack");
    let made = it.state().good.clone().expect("a picture");
    let drawing = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\">{}</svg>",
        metadata(&bundle.bundle, &made.outcome, "Lid").expect("metadata")
    );
    let base64 = STANDARD.encode(drawing);
    let from_drawing = ask(&mut it, json!({ "ask": "unpack", "base64": base64 }));
    assert_eq!(
        (&from_drawing["texts"], &from_drawing["changed"]),
        (&files, &json!(false))
    );
}

#[test]
fn a_link_brings_the_recipe_its_values_and_its_look() {
    let mut it = session(RECIPE);
    let turn = json!({ "ask": "turn", "turn": { "set": { "rows": "2" } } });
    ask(&mut it, turn);
    let picture = ask(&mut it, json!({ "ask": "run" }))["shown"].take();
    let look = json!({ "finish": "oil" });
    let told = ask(
        &mut it,
        json!({ "ask": "link", "picture": picture, "look": look }),
    );
    let link = format!(
        "file:///plyloom.html{}",
        told["link"].as_str().expect("text")
    );
    let base64 = STANDARD.encode(link);
    let read = ask(&mut it, json!({ "ask": "unpack", "base64": base64 }));
    assert_eq!(read["changed"], false);
    assert_eq!(read["texts"][0], json!(["lid.rhai", RECIPE]));
    let choice = read["texts"][2][1].as_str().expect("text");
    assert!(
        choice.contains("rows = 2") && choice.contains("oil"),
        "{choice}"
    );
}

#[test]
fn the_text_is_written_over_what_it_was_made_from_and_a_copy_stays() {
    let mut it = session(RECIPE);
    let text = ask(&mut it, json!({ "ask": "text" }));
    let fresh = RECIPE.replace("Lid", "Cover");
    let new = json!({ "over": text["mark"], "text": fresh });
    let told = ask(&mut it, json!({ "ask": "write", "new": new }));
    assert_eq!(told["copy"], "lid.rhai.before");
    let state = ask(&mut it, json!({ "ask": "run" }));
    assert_eq!(state["picture"]["panels"][0]["name"], "Cover");
    let new = json!({ "over": text["mark"], "text": "// late" });
    let told = ask(&mut it, json!({ "ask": "write", "new": new }));
    assert_eq!(told["changed"]["text"], fresh);
    let files = ask(&mut it, json!({ "ask": "files" }));
    assert_eq!(files[1], json!(["lids/lid.rhai.before", RECIPE]));
}

#[test]
fn a_run_that_was_ended_from_outside_leaves_the_last_picture() {
    let mut it = session(RECIPE);
    let before = ask(&mut it, json!({ "ask": "state" }));
    let state = ask(&mut it, json!({ "ask": "ended", "how": "memory" }));
    assert_eq!(state["fault"]["code"], "recipe::too_much_memory");
    assert_eq!(state["shown"], before["shown"]);
}

#[test]
fn what_is_probably_meant_otherwise_is_a_notice() {
    let mut it = session(&format!("{RECIPE}tile.rotate(90);\n"));
    let state = ask(&mut it, json!({ "ask": "state" }));
    let told = state["notices"][0].as_str().expect("a notice");
    assert!(
        told.starts_with("lids/lid.rhai, line 6: what `rotate` gives"),
        "{told}"
    );
    assert_eq!(state["notices"].as_array().map(Vec::len), Some(1));
}

#[test]
fn a_sweep_is_a_list_of_cards() {
    let mut it = session(RECIPE);
    let sweep = json!({ "ask": "sweep", "set": [["rows", "1..3"]], "seeds": "5,6" });
    let cards = ask(&mut it, sweep);
    assert_eq!(cards.as_array().map(Vec::len), Some(6));
    let card = ask(&mut it, json!({ "ask": "card", "card": cards[5] }));
    assert_eq!((&card["seed"], &card["tiles"]), (&json!("6"), &json!(12)));
    let wild = ask(
        &mut it,
        json!({ "ask": "card", "card": { "set": { "rows": "99" } } }),
    );
    assert_eq!(wild["code"], "recipe::parameter_value");
}

#[test]
fn a_mistake_leaves_the_last_picture_and_is_told_with_its_place() {
    let mut it = session(RECIPE);
    let shown = it.state().good.as_ref().map(|made| made.id);
    it.store().put("lids/lid.rhai", "let a = shet(3);");
    let state = ask(&mut it, json!({ "ask": "run" }));
    assert_eq!(state["shown"].as_u64(), shown);
    assert_eq!(state["fault"]["place"]["column"], 9);
    it.store().put("lids/lid.rhai", RECIPE);
    assert!(ask(&mut it, json!({ "ask": "run" }))["fault"].is_null());
}
