//! The targets: each takes any bytes, and panics where the program breaks over them.

use std::sync::OnceLock;

use arbitrary::Unstructured;
use plyloom::draw::{
    Ground, PanelOptions, PreviewOptions, drawing_is_ours, panel_svg, png, preview_svg,
};
use plyloom::explore::index::Index;
use plyloom::explore::pinned::Pinned;
use plyloom::geom::length;
use plyloom::parcel::{Parcel, from_picture};
use plyloom::plan::{Shop, count_back};
use plyloom::recipe::Outcome;

use super::{grammar, run, shapes};

/// What a target does with some bytes.
pub type Target = fn(&[u8]);

/// All targets by name.
pub const ALL: [(&str, Target); 9] = [
    ("recipe", recipe),
    ("chain", chain),
    ("unpack", unpack),
    ("drawing", drawing),
    ("pick", pick),
    ("index", index),
    ("set", set),
    ("shop", shop),
    ("geometry", geometry),
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
        let svg = preview_svg(panel, &PreviewOptions::default());
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
        text.and_then(|text| Parcel::read(text).ok()),
    ] {
        let Some(read) = read else { continue };
        for module in &read.parcel.modules {
            assert!(!module.name.starts_with('/') && !module.name.contains(".."));
        }
        assert!(!read.parcel.name.contains(['/', '\\', '\0']));
        if let Ok(packed) = read.parcel.text() {
            let again = Parcel::read(&packed).expect("what was packed is read");
            assert!(again.parcel.is_same(&read.parcel));
            assert_eq!(again.parcel.text().as_ref(), Ok(&packed));
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

/// See [`shapes`].
pub fn geometry(bytes: &[u8]) {
    shapes::check(bytes);
}
