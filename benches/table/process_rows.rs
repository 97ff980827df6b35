//! Whole processes: cold start, watching, memory, sweeps.

use std::fs;
use std::process::Child;
use std::time::{Duration, Instant};

use tempfile::TempDir;

use super::pair::pair;
use super::program::{floor, peak, plyloom, run};
use super::recipes::{Choice, MILLION, hexagons, swept, tiles};
use super::row::{Goal, Row};

/// Bounds that a million tiles do not reach.
const WIDE: [&str; 8] = [
    "--max-tiles",
    "2000000",
    "--max-operations",
    "1000000000",
    "--max-seconds",
    "600",
    "--max-memory",
    "4096",
];

fn folder_with(recipe: &str) -> TempDir {
    let folder = TempDir::new().expect("a folder for drawings");
    fs::write(folder.path().join("bench.rhai"), recipe).expect("room on the disk");
    folder
}

/// A picture of 400 tiles by a fresh process.
pub(crate) fn cold_start() -> Vec<Row> {
    let work = "cold start: `preview` of 400 tiles, whole process";
    let against = "the smallest program that runs a three-line script and writes a file";
    let goal = Goal::AtMost(3.0);
    let folder = folder_with(&hexagons(Choice::Rule, (20, 20)));
    if floor().is_none() {
        return vec![Row::missing(
            work,
            against,
            "benches/floor was not built",
            goal,
        )];
    }
    let ours = || {
        run(plyloom()
            .arg("preview")
            .arg(folder.path().join("bench.rhai")))
    };
    let theirs = || {
        run(floor()
            .expect("checked above")
            .arg(folder.path().join("floor.txt")))
    };
    vec![Row::times(work, against, pair(101, ours, theirs), goal)]
}

/// From a save to the new picture.
pub(crate) fn watch() -> Vec<Row> {
    let folder = folder_with(&hexagons(Choice::Rule, (20, 20)));
    let recipe = folder.path().join("bench.rhai");
    let picture = folder.path().join("watched.svg");
    let mut watching = Watching(
        plyloom()
            .arg("watch")
            .arg(&recipe)
            .arg("--out")
            .arg(&picture)
            .spawn()
            .expect("the program starts"),
    );
    let mut save = 0_u32;
    let saved = || {
        // Every save changes the title, so that its picture can be told from the one before.
        save += 1;
        let name = format!("save {save}");
        let text = hexagons(Choice::Rule, (20, 20)).replace("\"bench\"", &format!("\"{name}\""));
        let start = Instant::now();
        fs::write(&recipe, text).expect("room on the disk");
        while start.elapsed() < Duration::from_secs(20) {
            if fs::read_to_string(&picture).is_ok_and(|svg| svg.contains(&name)) {
                return start.elapsed();
            }
            std::thread::sleep(Duration::from_micros(100));
        }
        panic!("no picture after 20 s");
    };
    std::thread::sleep(Duration::from_millis(500));
    let cold = || {
        let other = folder.path().join("cold.svg");
        run(plyloom()
            .arg("preview")
            .arg(&recipe)
            .arg("--out")
            .arg(other))
    };
    let both = pair(41, saved, cold);
    watching.0.kill().expect("the program is ours");
    let slower = both.ours.as_secs_f64() / (both.floor.as_secs_f64() + 0.02);
    vec![Row::amounts(
        "save to picture in `watch`, 400 tiles",
        "one cold `preview`, and 20 ms to wait for quiet",
        (
            super::row::time(both.ours),
            format!("{} + 20 ms", super::row::time(both.floor)),
        ),
        slower,
        Goal::AtMost(1.0),
    )]
}

/// A process that ends with its owner.
struct Watching(Child);

impl Drop for Watching {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// The most memory of a process that draws a million tiles.
pub(crate) fn memory() -> Vec<Row> {
    let goal = Goal::AtMost(2.0);
    [
        (Choice::Rule, "a rule"),
        (Choice::Sequence, "`sequence`"),
        (Choice::Random, "`random`"),
    ]
    .into_iter()
    .map(|(choice, word)| {
        let work = format!("memory of `preview` of 10^6 tiles by {word}, whole process");
        let against = "64 bytes a tile, and the written file";
        let folder = folder_with(&hexagons(choice, MILLION));
        let recipe = folder.path().join("bench.rhai");
        let mut command = plyloom();
        command.arg("preview").arg(&recipe).args(WIDE);
        let ours = peak(&mut command);
        if ours == 0 {
            return Row::missing(work, against, "this system does not tell", goal);
        }
        let file = fs::metadata(folder.path().join("bench.svg")).map_or(0, |m| m.len());
        let floor = 64 * tiles(MILLION) as u64 + file;
        let shown = |bytes: u64| format!("{:.0} MB", bytes as f64 / 1e6);
        Row::amounts(
            work,
            against,
            (shown(ours), shown(floor)),
            ours as f64 / floor as f64,
            goal,
        )
    })
    .collect()
}

/// A sweep on two threads and on one.
pub(crate) fn sweep() -> Vec<Row> {
    let folder = folder_with(&swept());
    let made = |jobs: &str| {
        let out = folder.path().join(format!("out-{jobs}"));
        let _ = fs::remove_dir_all(&out);
        run(plyloom()
            .arg("vary")
            .arg(folder.path().join("bench.rhai"))
            .args(["--seeds", "1..300", "--jobs", jobs, "--out"])
            .arg(&out))
    };
    vec![Row::times(
        "`vary` of 300 variations of 400 tiles on 2 threads, whole process",
        "on 1 thread",
        pair(5, || made("2"), || made("1")),
        Goal::AtMost(0.55),
    )]
}
