//! From a rack of 40 pieces: the largest panel beside one plan, and a folder of recipes.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use plyloom::layout::panel::Panel;
use plyloom::plan::parts::Mirrored;
use plyloom::plan::{Shop, count_back};
use plyloom::rack::largest::{Adjustment, Search, Shape};
use plyloom::recipe::memory_host::MemoryHost;
use plyloom::recipe::settings::Settings;
use plyloom::recipe::source::Source;
use plyloom::recipe::{Outcome, evaluate};

use super::pair::{median, pair, timed};
use super::program::plyloom;
use super::row::{Goal, Row, time};

const ROUNDS: usize = 7;

/// So many recipes are tried, in no more than so long.
const DEMOS: usize = 32;
const SECONDS: Duration = Duration::from_secs(10);

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

fn carried_out(change: &Adjustment) -> Option<Outcome> {
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

/// The largest panel, beside one plan of a panel of that size.
pub(crate) fn largest() -> Vec<Row> {
    let shop = Shop::parse(&rack()).expect("a rack");
    let base = carried_out(&Adjustment::default()).expect("a recipe");
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
    vec![Row::times(
        "`--largest` from a rack of 40 pieces",
        "one plan of the panel that it finds",
        pair(ROUNDS, || timed(search).0, || plan(&best, &shop)),
        Goal::AtMost(10.0),
    )]
}

/// What could be made of the rack: so many demos, whole process, beside ten seconds.
pub(crate) fn recipes() -> Vec<Row> {
    let work = format!("`rack recipes`: {DEMOS} demos from a rack of 40 pieces, whole process");
    let (against, goal) = ("ten seconds", Goal::AtMost(1.0));
    let row = match tried() {
        Ok(took) => Row::amounts(
            work,
            against,
            (time(took), time(SECONDS)),
            took.as_secs_f64() / SECONDS.as_secs_f64(),
            goal,
        ),
        Err(why) => Row::missing(work, against, &why, goal),
    };
    vec![row]
}

/// How long the program tries the demos, the median of some runs, or what went wrong.
fn tried() -> Result<Duration, String> {
    let folder = tempfile::TempDir::new().map_err(|e| e.to_string())?;
    let file = folder.path().join("rack.toml");
    fs::write(&file, rack()).map_err(|e| e.to_string())?;
    let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-patterns");
    let all = fs::read_dir(demos).map_err(|e| e.to_string())?;
    let mut all: Vec<PathBuf> = all.filter_map(|entry| Some(entry.ok()?.path())).collect();
    all.retain(|path| path.extension().is_some_and(|ending| ending == "rhai"));
    all.sort();
    for recipe in all.iter().take(DEMOS) {
        let name = recipe.file_name().unwrap_or_default();
        fs::copy(recipe, folder.path().join(name)).map_err(|e| e.to_string())?;
    }
    let mut times = Vec::new();
    for _ in 0..3 {
        let mut command = plyloom();
        command.args(["rack", "recipes", "--rack"]);
        let (took, ran) = timed(|| command.arg(&file).arg(folder.path()).output());
        let ran = ran.map_err(|e| e.to_string())?;
        if !ran.status.success() {
            let said = String::from_utf8_lossy(&ran.stderr);
            let line = said.lines().find(|line| !line.trim().is_empty());
            return Err(format!("the program failed: {}", line.unwrap_or("no word")));
        }
        times.push(took);
    }
    Ok(median(times.into_iter()))
}
