//! The targets: each takes any bytes, and panics where the program breaks over them.

use std::cell::RefCell;
use std::sync::OnceLock;

use arbitrary::Unstructured;
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use miniz_oxide::deflate::compress_to_vec_zlib;
use plyloom::bundle::{Bundle, from_picture};
use plyloom::draw::{
    Ground, PanelOptions, PreviewOptions, drawing_is_ours, panel_svg, png, preview_document,
};
use plyloom::explore::axis::Axis;
use plyloom::explore::choose::{Only, Sort};
use plyloom::explore::index::Index;
use plyloom::explore::link::Link;
use plyloom::explore::pinned::Pinned;
use plyloom::explore::sweep::{Sample, Shard, Sweep};
use plyloom::geom::region::Piece;
use plyloom::geom::{Rect, Region, length, path_data};
use plyloom::plan::{Shop, count_back, parts};
use plyloom::recipe::Outcome;
use plyloom::recipe::drawn;
use plyloom::recipe::hands::{Edit, edited};
use plyloom::recipe::memory_store::MemoryStore;
use plyloom::recipe::store::Reach;
use plyloom::session::knobs::seed;
use plyloom::session::{Given, Request, Session, Typed};
use plyloom::stock::Colour;

use super::{BUDGET, grammar, run, shapes};

/// What a target does with some bytes.
pub type Target = fn(&[u8]);

/// All targets by name.
pub const ALL: [(&str, Target); 14] = [
    ("recipe", recipe),
    ("chain", chain),
    ("hands", hands),
    ("request", request),
    ("unpack", unpack),
    ("link", link),
    ("drawing", drawing),
    ("pick", pick),
    ("index", index),
    ("set", set),
    ("typed", typed),
    ("shop", shop),
    ("geometry", geometry),
    ("outline", outline),
];

/// A third of them raw text, the others by grammar.
fn text(bytes: &[u8]) -> Option<String> {
    if bytes.first().is_some_and(|first| first % 3 == 0) {
        return Some(String::from_utf8_lossy(&bytes[1..]).into_owned());
    }
    grammar::recipe(&mut Unstructured::new(bytes)).ok()
}

/// Recipes. Those that make panels are drawn, counted back and packed as well.
pub fn recipe(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let Ok(outcome) = run(&text, &[]) else { return };
    let panels: Vec<_> = outcome.panels.iter().collect();
    for panel in &panels {
        let svg = preview_document(panel, &PreviewOptions::default()).to_text();
        assert!(!svg.contains("NaN") && !svg.contains("inf\""), "{text}");
        let _ = panel_svg(panel, &PanelOptions::default());
    }
    if !panels.is_empty() {
        let _ = count_back(&panels, &Shop::common());
    }
}

/// From a recipe by grammar to a picture in pixels and a plan.
pub fn chain(bytes: &[u8]) {
    let Ok(text) = grammar::recipe(&mut Unstructured::new(bytes)) else {
        return;
    };
    let Ok(outcome) = run(&text, &[]) else { return };
    for panel in outcome.panels.iter().filter(|p| p.tiles.len() <= 200) {
        let svg = panel_svg(panel, &PanelOptions::default());
        assert!(drawing_is_ours(&svg), "{text}");
        if let Ok(bytes) = png(&svg, 32, Ground::Paper) {
            assert!(bytes.starts_with(b"\x89PNG"), "{text}");
        }
        let _ = count_back(&[panel], &Shop::common());
    }
}

/// Pictures and packs of strangers: whatever is read can be packed again and is the same.
pub fn unpack(bytes: &[u8]) {
    let text = std::str::from_utf8(bytes).ok();
    for read in [
        from_picture(bytes).ok(),
        text.and_then(|text| Bundle::read(text).ok()),
    ] {
        let Some(read) = read else { continue };
        for module in &read.bundle.modules {
            assert!(!module.name.starts_with('/') && !module.name.contains(".."));
        }
        assert!(!read.bundle.name.contains(['/', '\\', '\0']));
        if let Ok(packed) = read.bundle.text() {
            let again = Bundle::read(&packed).expect("what was packed is read");
            assert!(again.bundle.is_same(&read.bundle));
            assert_eq!(again.bundle.text().as_ref(), Ok(&packed));
        }
    }
}

/// Drawings of strangers: what counts as ours holds no script.
pub fn drawing(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    if drawing_is_ours(text) {
        let lower = text.to_lowercase();
        assert!(
            !lower.contains("<script") && !lower.contains("javascript:"),
            "{text}"
        );
    }
}

/// Pinned choices: what is read is written and read again.
pub fn pick(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    if let Ok(pinned) = Pinned::read(text) {
        let again = Pinned::read(&pinned.text()).expect("what was written is read");
        assert_eq!(again.text(), pinned.text());
    }
}

/// The index of a sweep: what is read is written and read again.
pub fn index(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    if let Ok(index) = Index::read(text) {
        let again = Index::read(&index.json()).expect("what was written is read");
        assert_eq!(again.json(), index.json());
    }
}

/// Links: whatever is read can be linked again and is the same; what was compressed is bounded while it
/// is unpacked. Bytes that are no text are a link's content, to be compressed first.
pub fn link(bytes: &[u8]) {
    let own = |bytes: &[u8]| format!("#p1.{}", URL_SAFE_NO_PAD.encode(bytes));
    let text = String::from_utf8_lossy(bytes).into_owned();
    for link in [text, own(bytes), own(&compress_to_vec_zlib(bytes, 1))] {
        let Ok(read) = Link::read(&link) else {
            continue;
        };
        for module in &read.link.bundle.modules {
            assert!(!module.name.starts_with('/') && !module.name.contains(".."));
        }
        assert!(!read.link.bundle.name.contains(['/', '\\', '\0']));
        if let Ok(again) = read.link.text() {
            let again = Link::read(&again).expect("what was linked is read");
            assert_eq!(again.link, read.link);
        }
    }
}

/// What is typed beside values: sweeps, samples of them, measures to sort and choose by, lengths, colours,
/// seeds, parts at hand.
pub fn typed(bytes: &[u8]) {
    let Some((kind, Ok(text))) = bytes
        .split_first()
        .map(|(kind, rest)| (kind, std::str::from_utf8(rest)))
    else {
        return;
    };
    match kind % 8 {
        0 => {
            if let Ok(mm) = length::parse(text) {
                assert!(mm.is_finite(), "{text:?}");
            }
        }
        1 => drop(Colour::parse(text)),
        2 => drop(seed(text)),
        3 => drop(parts::parse(text)),
        4 => drop(Sort::read(text)),
        5 => drop(Only::read(text)),
        6 => drop(Shard::read(text)),
        _ => sweep(text),
    }
}

/// A sweep of an axis a line, the last one of seeds; some of its combinations, and a sample of them.
fn sweep(text: &str) {
    let mut lines: Vec<&str> = text.lines().take(4).collect();
    let seeds = (lines.len() > 1).then(|| lines.pop()).flatten();
    let axes = lines.iter().zip(["a", "b", "c", "d"]);
    let Ok(axes) = axes
        .map(|(line, name)| Axis::read(name, line))
        .collect::<Result<Vec<_>, _>>()
    else {
        return;
    };
    for sample in [None, Some(Sample { size: 7, seed: 1 })] {
        let Ok(sweep) = Sweep::new(axes.clone(), seeds, sample) else {
            continue;
        };
        let count = sweep.count();
        assert!(count > 0, "{text:?}");
        for number in [1, 2, count / 2, count] {
            if (1..=count).contains(&number) {
                let combination = sweep.combination(number);
                assert_eq!(combination.set.len(), axes.len(), "{text:?}");
            }
        }
    }
}

/// A recipe that hands work on, and a page shows.
const PANEL_RECIPE: &str = r#"
let wide = param("wide", 4, #{ from: 1, to: 6 });
let sheet = laminate([veneer(0.6, "navy"), plywood(5, 12)]);
let t = bar(sheet.square()).slice("t");
let u = bar(laminate([veneer(0.6, "maple"), plywood(5, 12)]).square()).slice("u");
panel("p", squares(t)).size(wide, 3).fill(random("mix", [t, u]));
"#;

/// Hands: edits as the page sends them. What they make of the recipe can be carried out.
pub fn hands(bytes: &[u8]) {
    static OUTCOME: OnceLock<Outcome> = OnceLock::new();
    let Ok(edits) = serde_json::from_slice::<Vec<Edit>>(bytes) else {
        return;
    };
    let outcome = OUTCOME.get_or_init(|| run(PANEL_RECIPE, &[]).expect("a recipe that works"));
    if let Ok(text) = edited(PANEL_RECIPE, outcome, 0, &edits)
        && text != PANEL_RECIPE
    {
        assert!(run(&text, &[]).is_ok(), "{text}");
    }
}

thread_local! {
    static SESSION: RefCell<Option<Session>> = const { RefCell::new(None) };
}

/// What a page or a program asks of a session: one request after the other, each on a line.
pub fn request(bytes: &[u8]) {
    let open = || {
        let store = MemoryStore::new().with("p.rhai", PANEL_RECIPE);
        let typed = Typed::within(BUDGET);
        let given = Given {
            recipe: "p.rhai".into(),
            reach: Reach::OwnFolder,
            typed,
        };
        Session::new(store, given)
    };
    let lines = bytes.split(|byte| *byte == b'\n').take(4);
    let asked: Vec<Request> = lines
        .filter_map(|line| serde_json::from_slice(line).ok())
        .collect();
    SESSION.with_borrow_mut(|kept| {
        for request in asked {
            let looks_only = matches!(
                request,
                Request::State { .. }
                    | Request::Tiles { .. }
                    | Request::Faces { .. }
                    | Request::Drawing { .. }
                    | Request::Pixels { .. }
                    | Request::Tile { .. }
                    | Request::Plan { .. }
            );
            let session = kept.get_or_insert_with(open);
            if let Ok(answer) = session.answer(request) {
                let _ = serde_json::to_string(&answer).expect("an answer has a form in JSON");
            }
            // The next case finds it as this one did.
            if !looks_only {
                *kept = None;
            }
        }
    });
}

/// Values of parameters as typed after `--set`, for one parameter of each kind.
pub fn set(bytes: &[u8]) {
    let Some((first, rest)) = bytes.split_first() else {
        return;
    };
    let Ok(text) = std::str::from_utf8(rest) else {
        return;
    };
    if let Ok(mm) = length::parse(text) {
        assert!(mm.is_finite(), "{text:?}");
    }
    let name = NAMES[usize::from(*first) % NAMES.len()];
    let set = [(name.to_owned(), text.to_owned())];
    if let Ok(outcome) = run(RECIPE, &set) {
        for parameter in &outcome.parameters {
            let _ = parameter.shown();
        }
    }
}

const RECIPE: &str = r#"
let a = param("whole", 8, #{ from: 2, to: 40 });
let b = param("mm", 18.0, #{ unit: "mm", from: 1, to: 400 });
let c = param("inch", "3/4 in", #{ unit: "in" });
let d = param("angle", 60.0, #{ kind: "angle" });
let e = param("dye", "navy", #{ kind: "colour" });
let f = param("choice", "x", #{ choices: ["x", "y"] });
let g = param("text", "x");
let h = param("yes", true);
"#;
const NAMES: [&str; 9] = [
    "whole", "mm", "inch", "angle", "dye", "choice", "text", "yes", "none",
];

static PANEL: OnceLock<Outcome> = OnceLock::new();

/// Shop files. A mistake is told at a place inside the text; a shop that can be read plans a panel.
pub fn shop(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let outcome = PANEL.get_or_init(|| {
        run(
            "let s = laminate([veneer(0.6, \"navy\"), plywood(5, 12)]);\n\
             let t = bar(s.square()).slice(\"t\");\n\
             panel(\"p\", squares(t)).size(3, 3).fill(t);",
            &[],
        )
        .expect("a recipe that works")
    });
    match Shop::parse(text) {
        Ok(shop) => {
            let panels: Vec<_> = outcome.panels.iter().collect();
            let _ = count_back(&panels, &shop);
        }
        Err(error) => assert!(text.get(error.span.clone()).is_some(), "{error:?}"),
    }
}

/// Paths and drawings as outlines: what they enclose, and what that leaves of a tile.
pub fn outline(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let found = if text.trim_start().starts_with('<') {
        drawn::contours(&text, "a").ok()
    } else {
        path_data::contours(&text).ok()
    };
    let Some(region) = found.and_then(|contours| Region::of(&contours).ok()) else {
        return;
    };
    let bounds = region.bounds();
    let tile = Rect {
        min: bounds.min,
        max: bounds.centre(),
    };
    let tile = tile.polygon();
    let left: f64 = region.parts(&tile).iter().map(Piece::area).sum();
    assert!(
        left <= region.area() * (1.0 + 1e-6) + 1e-3,
        "{left} of {}",
        region.area()
    );
    for line in tile.edges() {
        let _ = region.runs(line);
    }
}

/// See [`shapes`].
pub fn geometry(bytes: &[u8]) {
    shapes::check(bytes);
}
