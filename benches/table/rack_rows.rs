//! From a rack of 40 pieces: the largest panel beside one plan, and a folder of recipes.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use plyloom::layout::panel::Panel;
use plyloom::plan::parts::Mirrored;
use plyloom::plan::{Shop, count_back};
use plyloom::rack::largest::{Change, Search, Shape};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Outcome, evaluate};

use super::pair::{pair, timed};
use super::program::plyloom;
use super::row::{Goal, Row};

const ROUNDS: usize = 7;

const BLOCKS: &str = "let wide = param(\"wide\", 420, #{ unit: \"mm\", from: 40, to: 2400 });\n\
    let sheet = laminate([veneer(0.6, \"teal\"), plywood(13, 18)]);\n\
    let r = sheet.rhombus(60);\n\
    let block = hexagon([r, r, r]).slice(\"block\");\n\
    panel(\"Blocks\", hexagons(block)).finished(wide, 420).fill(block);\n";

/// Forty pieces: 32 off-cuts that all differ, six leaves, and two sheets.
fn rack() -> String {
    let mut text = String::from("rack = true\n");
    for i in 0..32 {
        let _ = write!(
            text,
            "[[scrap]]\nname = \"{i}\"\nwidth = {}\nlength = {}\nthickness = 18\n",
            90 + i * 7 % 230,
            380 + i * 53 % 700
        );
    }
    text.push_str("[[sheet]]\ncount = 2\nwidth = 600\nlength = 1200\nthickness = 18\n");
    text.push_str("[[veneer]]\ncolour = \"teal\"\ncount = 6\nwidth = 300\nlength = 2500\n");
    text
}

fn carried_out(change: &Change) -> Option<Outcome> {
    let settings = Settings {
        set: change.set.clone(),
        ..Settings::default()
    };
    let text = change.text.as_deref().unwrap_or(BLOCKS);
    let source = Arc::new(Source::new("bench.rhai", text));
    evaluate(&source, &settings, Arc::new(MemoryHost::new())).ok()
}

fn plan(outcome: &Outcome, shop: &Shop) -> Duration {
    let panels: Vec<&Panel> = outcome.panels.iter().collect();
    timed(|| count_back(&panels, shop).expect("a plan")).0
}

/// The largest panel, beside one plan of a panel of that size; and the demos, beside making their index page.
pub(crate) fn rack_rows() -> Vec<Row> {
    let shop = Shop::parse(&rack()).expect("a rack");
    let base = carried_out(&Change::default()).expect("a recipe");
    let search = || {
        let search = Search {
            base: &base,
            text: Some(BLOCKS),
            shop: &shop,
            wanted: None,
            mirrored: Mirrored::default(),
            thorough: true,
            run: &mut carried_out,
        };
        search.largest(Shape::Recipe).expect("a panel")
    };
    let best = carried_out(&search().change).expect("a recipe");
    let largest = pair(ROUNDS, || timed(search).0, || plan(&best, &shop));
    let folder = tempfile::TempDir::new().expect("a folder");
    let file = folder.path().join("rack.toml");
    std::fs::write(&file, rack()).expect("a rack");
    let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns");
    let made = || {
        let (took, ran) = timed(|| {
            plyloom()
                .args(["rack", "recipes", "--rack"])
                .args([&file, &demos])
                .status()
        });
        assert!(ran.expect("the program runs").success());
        took
    };
    let shown = || {
        let (took, ran) = timed(|| {
            plyloom()
                .arg("gallery")
                .arg(&demos)
                .arg("--out")
                .arg(folder.path())
                .status()
        });
        assert!(ran.expect("the program runs").success());
        took
    };
    vec![
        Row::times(
            "`--largest` from a rack of 40 pieces",
            "one plan of the panel that it finds",
            largest,
            Goal::AtMost(10.0),
        ),
        Row::times(
            "`rack recipes`: all demos from a rack of 40 pieces, whole process",
            "`gallery` of the same folder",
            pair(3, made, shown),
            Goal::AtMost(10.0),
        ),
    ]
}
