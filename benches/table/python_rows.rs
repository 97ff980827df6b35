//! The best that we can write in Python (`benches/python/panel.py`), whole process by whole process.
//!
//! `PLYLOOM_PYTHON` names an interpreter that has shapely, numpy and svgwrite.

use std::ffi::OsString;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use tempfile::TempDir;

use super::pair::pair;
use super::program::{plyloom, run};
use super::recipes::{Choice, HUNDRED_THOUSAND, TEN_THOUSAND, hexagons, in_words, tiles};
use super::row::{Goal, Row};

/// The two forms, each against the best Python for it. Of reused tiles no more than this can be: the smallest program
/// that runs a script and writes the file takes a fiftieth (10^4 tiles) to a thirty-seventh (10^5) of the time of
/// joined text, and we take three times as long as that one by our goal for a cold start.
pub(crate) fn python() -> Vec<Row> {
    let peers = [
        (
            "text",
            "the best Python (shapely, numpy, svgwrite; tiles joined as text)",
        ),
        ("tree", "the same Python, tiles as elements of svgwrite"),
    ];
    let forms = [
        ("flat", Choice::Rule, "flat, by a rule", 10.0),
        ("reused", Choice::Sequence, "reused tiles, in bulk", 12.0),
    ];
    let mut rows = Vec::new();
    for (form, choice, words, least) in forms {
        for (size, (way, against)) in [TEN_THOUSAND, HUNDRED_THOUSAND]
            .into_iter()
            .flat_map(|size| peers.map(|peer| (size, peer)))
        {
            let work = format!("{} {words}, whole process", in_words(tiles(size)));
            let goal = Goal::AtLeast(least);
            let Some(interpreter) = std::env::var_os("PLYLOOM_PYTHON") else {
                rows.push(Row::missing(work, against, "no `PLYLOOM_PYTHON`", goal));
                continue;
            };
            let folder = TempDir::new().expect("a folder for drawings");
            let recipe = folder.path().join("bench.rhai");
            fs::write(&recipe, hexagons(choice, size)).expect("room on the disk");
            let ours = || preview(&recipe, form);
            let theirs = || peer(&interpreter, folder.path(), (form, way), size);
            rows.push(Row::times(work, against, pair(5, ours, theirs), goal));
        }
    }
    rows
}

/// The panel alone, as Python draws it too.
fn preview(recipe: &Path, form: &str) -> Duration {
    let mut command = plyloom();
    command.arg("preview").arg(recipe).arg("--bare");
    if form == "flat" {
        command.arg("--flat");
    }
    run(&mut command)
}

fn peer(
    interpreter: &OsString,
    folder: &Path,
    (form, way): (&str, &str),
    (columns, courses): (u32, u32),
) -> Duration {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/python/panel.py");
    let mut command = Command::new(interpreter);
    command
        .arg(script)
        .arg(form)
        .arg(way)
        .arg(columns.to_string())
        .arg(courses.to_string())
        .arg(folder.join("peer.svg"))
        .stdout(Stdio::null());
    run(&mut command)
}
