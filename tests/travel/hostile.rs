//! Recipes that mean harm: `tests/suite/hostile/CASE.rhai`, each run by the real program, each stopped
//! within its bounds, with its message at its place, or harmless.
//!
//! The first three lines of a case say what it comes to (`stopped: CODE at FILE:LINE:COLUMN`,
//! `stopped: CODE or CODE` where the machine decides which bound comes first, or `works: why`), the bounds it is run with beyond the usual, and the most memory that the process may
//! have taken at its peak, as the system counts it (`ru_maxrss` of getrusage(2)).
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::Instant;

use rayon::prelude::*;
use wait4::Wait4 as _;

use crate::common::{Bench, names};

const MIB: u64 = 1024 * 1024;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/hostile")
}

struct Case {
    name: String,
    stopped: Option<String>,
    bounds: Vec<String>,
    peak: u64,
}

fn cases() -> Vec<Case> {
    let mut cases: Vec<Case> = names(&folder())
        .into_iter()
        .filter_map(|file| {
            let name = file.strip_suffix(".rhai")?.to_owned();
            let text = fs::read_to_string(folder().join(&file)).unwrap();
            let mut head = text
                .lines()
                .map(|line| line.strip_prefix("// ").unwrap_or(line));
            let stopped = head
                .next()
                .unwrap()
                .strip_prefix("stopped: ")
                .map(str::to_owned);
            let bounds = head
                .next()
                .unwrap()
                .trim_start_matches("//")
                .trim()
                .strip_prefix("bounds:")
                .unwrap();
            let peak = head.next().unwrap().strip_prefix("peak: ").unwrap();
            Some(Case {
                name,
                stopped,
                bounds: bounds.split_whitespace().map(str::to_owned).collect(),
                peak: peak.strip_suffix(" MiB").unwrap().parse().unwrap(),
            })
        })
        .collect();
    cases.sort_by(|a, b| a.name.cmp(&b.name));
    cases
}

/// What a run came to: exit code, output and errors, and its peak in bytes.
fn ran(bench: &Bench, arguments: &[&str]) -> (i32, Vec<u8>, Vec<u8>, u64) {
    // To files: a program that prints a lot must not wait for a reader.
    let (out, err) = (bench.path("stdout"), bench.path("stderr"));
    let child = bench
        .command(arguments)
        .stdin(Stdio::null())
        .stdout(fs::File::create(&out).unwrap())
        .stderr(fs::File::create(&err).unwrap())
        .spawn()
        .unwrap();
    let used = child.wait4().unwrap();
    (
        used.status.code().unwrap_or(-1),
        fs::read(out).unwrap(),
        fs::read(err).unwrap(),
        used.rusage.maxrss,
    )
}

/// Runs a case and holds it against what its first lines say; the most memory that it took, in bytes.
fn held(case: &Case) -> u64 {
    let bench = Bench::new().file("out/.keep", "");
    let recipe = folder().join(format!("{}.rhai", case.name));
    let recipe = recipe.to_str().unwrap();
    let mut words = vec!["preview", recipe, "--out", "out/"];
    words.extend(case.bounds.iter().map(String::as_str));
    let (code, out, err, peak) = ran(&bench, &words);
    let err = String::from_utf8(err).unwrap();
    let told = String::from_utf8(out).unwrap() + err.as_str();
    assert!(
        peak <= case.peak * MIB,
        "{} took {} MiB",
        case.name,
        peak / MIB
    );
    assert!(
        !told
            .chars()
            .any(|c| c.is_control() && c != '\n' || "\u{202e}\u{200b}\u{feff}".contains(c)),
        "{}: codes reach the terminal: {told:?}",
        case.name
    );
    if let Some(expected) = &case.stopped {
        assert_eq!(code, 1, "{}: {told}", case.name);
        let (codes, place) = expected.split_once(" at ").unwrap_or((expected, ""));
        let told = |line: &str| codes.split(" or ").any(|code| code == line);
        assert!(err.lines().any(told), "{}: {err}", case.name);
        assert!(err.contains(place), "{}: not at {place}: {err}", case.name);
        assert_eq!(bench.names("out"), [".keep"], "{} drew", case.name);
    } else {
        assert_eq!(code, 0, "{}: {told}", case.name);
        harmless(&bench, &case.name);
    }
    peak
}

#[test]
fn each_is_stopped_within_its_bounds_or_harmless() {
    let cases = cases();
    assert!(cases.len() >= 250, "{} cases", cases.len());
    let stopped = cases.iter().filter(|case| case.stopped.is_some()).count();
    // All are told, not the first alone.
    let came: Vec<_> = cases
        .par_iter()
        .map(|case| (case.name.as_str(), std::panic::catch_unwind(|| held(case))))
        .collect();
    let wrong: Vec<_> = (came.iter())
        .filter(|(_, peak)| peak.is_err())
        .map(|(name, _)| name)
        .collect();
    let worst = (came.iter())
        .filter_map(|(name, peak)| Some((*peak.as_ref().ok()?, name)))
        .max()
        .unwrap();
    assert!(wrong.is_empty(), "{wrong:?}");
    println!(
        "{} hostile recipes, {stopped} stopped; the largest peak is {} MiB, of {}",
        cases.len(),
        worst.0 / MIB,
        worst.1
    );
}

/// All drawings are documents without scripts, and lie in the folder.
fn harmless(bench: &Bench, name: &str) {
    let drawings = bench.names("out");
    assert!(drawings.len() > 1, "{name} draws");
    for drawing in drawings.iter().filter(|d| *d != ".keep") {
        assert!(
            !drawing.contains(['/', '\\']) && !drawing.starts_with('.'),
            "{drawing}"
        );
        let svg = bench.read(&format!("out/{drawing}"));
        let document = roxmltree::Document::parse(&svg).unwrap_or_else(|e| panic!("{name}: {e}"));
        for node in document.descendants().filter(roxmltree::Node::is_element) {
            assert_ne!(node.tag_name().name().to_lowercase(), "script", "{name}");
            let on = |a: roxmltree::Attribute<'_, '_>| a.name().to_lowercase().starts_with("on");
            assert!(!node.attributes().any(on), "{name}");
        }
    }
}

#[test]
fn every_form_of_harm_has_its_cases() {
    let cases = cases();
    for (form, least) in [
        ("loop_", 14),
        ("recursion_", 8),
        ("nesting_", 8),
        ("memory_", 15),
        ("panel_", 8),
        ("number_", 7),
        ("import_", 14),
        ("name_", 5),
    ] {
        let count = cases
            .iter()
            .filter(|case| case.name.starts_with(form))
            .count();
        assert!(count >= least, "{form}: {count}");
    }
}

#[test]
fn other_commands_stop_them_too() {
    let case = |name: &str| folder().join(name).to_str().unwrap().to_owned();
    let bench = Bench::new();
    for (command, recipe) in [
        (&["plan"][..], case("memory_closures.rhai")),
        (&["legible"], case("loop_in_cell_rule.rhai")),
        (&["check"], case("import_laughs.rhai")),
        (&["pack"], case("import_circle.rhai")),
        (
            &["arrangements", "--repeat", "2x2"],
            case("recursion_mutual.rhai"),
        ),
        (
            &["vary", "--seeds", "1..3", "--out", "v"],
            case("loop_counting.rhai"),
        ),
    ] {
        let words = [command, &[recipe.as_str(), "--max-memory", "64"]].concat();
        let (code, _, err, peak) = ran(&bench, &words);
        assert_eq!(code, 1, "{words:?}: {}", String::from_utf8_lossy(&err));
        assert!(peak <= 260 * MIB, "{words:?} took {} MiB", peak / MIB);
    }
}

/// The commands that take a recipe, each as it goes furthest: `RECIPE` stands for the case, `FOLDER` for one that
/// holds it alone.
const COMMANDS: [&[&str]; 12] = [
    &["preview", "RECIPE", "--flat", "--out", "x.svg"],
    &["preview", "RECIPE", "--out", "x.png", "--width", "300"],
    &["plan", "RECIPE"],
    &["legible", "RECIPE"],
    &["check", "RECIPE", "--samples", "1"],
    &["pack", "RECIPE", "--out", "x.rhai"],
    &["arrangements", "RECIPE", "--repeat", "2x2"],
    &["template", "RECIPE", "--paper", "a4", "--out", "x.pdf"],
    &["outline", "RECIPE", "--out", "x.svg"],
    &["compare", "RECIPE", "RECIPE", "--window", "110x25"],
    &["gallery", "FOLDER"],
    // The bound on memory holds for each of those that are made at a time.
    &[
        "vary", "RECIPE", "--seeds", "1..2", "--jobs", "1", "--out", "v",
    ],
];

/// What a command came to over a case: exit code, peak in MiB, seconds.
fn tried(command: &[&str], case: &str, bounds: &[&str]) -> (i32, u64, f64) {
    let recipe = folder().join(format!("{case}.rhai"));
    let text = fs::read_to_string(&recipe).unwrap();
    let bench = Bench::new().file("alone/case.rhai", &text);
    let words: Vec<&str> = command
        .iter()
        .map(|&word| match word {
            "RECIPE" => recipe.to_str().unwrap(),
            "FOLDER" => "alone",
            word => word,
        })
        .chain(bounds.iter().copied())
        .collect();
    let began = Instant::now();
    let (code, _, err, peak) = ran(&bench, &words);
    let err = String::from_utf8_lossy(&err);
    assert!([0, 1, 2].contains(&code), "{words:?}: {code}: {err}");
    assert!(!err.contains("recipe::broken"), "{words:?}: {err}");
    let unfinished = bench
        .names(".")
        .into_iter()
        .find(|name| name.contains(".plyloom-"));
    assert_eq!(unfinished, None, "{words:?}");
    (code, peak / MIB, began.elapsed().as_secs_f64())
}

#[test]
fn every_command_stays_within_its_bounds() {
    let bounds = ["--max-seconds", "4", "--max-memory", "100"];
    // One of each form for each command, another one each time.
    let cases = cases();
    let some = |number| cases.iter().skip(number).step_by(41);
    let pairs: Vec<_> = (COMMANDS.iter().enumerate())
        .flat_map(|(number, command)| some(number).map(move |case| (command, &case.name)))
        .collect();
    pairs.par_iter().for_each(|(command, case)| {
        let (_, peak, _) = tried(command, case, &bounds);
        assert!(peak <= 260, "{command:?} of {case} took {peak} MiB");
    });
}

/// All cases by all commands, worst first, as a table: some half an hour on two cores. None takes more
/// than its bound and 64 MiB.
///
///     cargo test --test travel -- --ignored --nocapture table_of_all
#[test]
#[ignore = "prints a table, and takes long"]
fn table_of_all() {
    const BOUND: u64 = 256;
    let bounds = ["--max-seconds", "5", "--max-memory", &BOUND.to_string()];
    let cases = cases();
    let pairs: Vec<_> = cases
        .iter()
        .flat_map(|case| COMMANDS.map(|command| (case.name.as_str(), command)))
        .collect();
    let mut rows: Vec<_> = pairs
        .par_iter()
        .map(|(case, command)| (tried(command, case, &bounds), *case, command.join(" ")))
        .collect();
    rows.sort_by(|((_, peak, seconds), ..), ((_, other, others), ..)| {
        other.cmp(peak).then(others.total_cmp(seconds))
    });
    println!(
        "{:>8} {:>7} {:>4}  command, case",
        "peak/MiB", "time/s", "exit"
    );
    for ((code, peak, seconds), case, command) in &rows {
        println!("{peak:>8} {seconds:>7.1} {code:>4}  {command}, {case}");
    }
    let ((_, peak, _), case, command) = &rows[0];
    assert!(*peak <= BOUND + 64, "{command} of {case} took {peak} MiB");
}
