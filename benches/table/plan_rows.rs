//! Which scraps to rip, against a general solver that is given the plain model.
//!
//! `PLYLOOM_PYTHON` names an interpreter that has scipy, for the script `benches/python/scraps.py`.

use std::ffi::OsStr;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use plyloom::plan::scraps::{Effort, Problem, Proof, choose};
use serde_json::{Value, json};

use super::pair::{pair, timed};
use super::row::{Goal, Row};
use super::shop::{SCRAPS, shop};

/// The problem as the script reads it: every way there is one run of one part.
fn as_json(problem: &Problem) -> Value {
    let needs = problem.needs.iter().map(|need| {
        let each = |part| {
            let of_part = need.parts.iter().filter(move |(p, _)| *p == part);
            of_part.map(|(_, count)| count).sum::<u64>()
        };
        let parts: Vec<u64> = (0..problem.parts.len()).map(each).collect();
        json!({"slices": need.slices, "parts": parts})
    });
    let patterns = problem.patterns.iter().map(|pattern| {
        let scrap = problem.crosses[pattern.cross].lot;
        json!({
            "scrap": scrap,
            "slices": pattern.slices,
            "strips": pattern.runs[0].most,
            "part": pattern.runs[0].yields[0].0,
            "area": problem.lots[scrap].area,
        })
    });
    json!({
        "needs": needs.collect::<Vec<_>>(),
        "lengths": problem.lengths(),
        "ways": patterns.collect::<Vec<_>>(),
    })
}

/// The optimum that the solver proves, and how long it alone took.
fn plainly(interpreter: &OsStr, problem: &str) -> (Duration, u64) {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/python/scraps.py");
    let mut child = Command::new(interpreter)
        .arg(&script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the interpreter starts");
    let mut pipe = child.stdin.take().expect("it is piped");
    pipe.write_all(problem.as_bytes()).expect("it reads");
    drop(pipe);
    let output = child.wait_with_output().expect("it ends");
    assert!(output.status.success(), "{} fails", script.display());
    let told = String::from_utf8(output.stdout).expect("it tells numbers");
    let (optimum, seconds) = told.trim().split_once(' ').expect("it tells two");
    let seconds = seconds.parse().expect("seconds are a number");
    let optimum = optimum.parse().expect("an area is a whole number");
    (Duration::from_secs_f64(seconds), optimum)
}

/// A plan with 500 scraps.
pub(crate) fn scraps() -> Vec<Row> {
    let work = format!("plan with {SCRAPS} scraps");
    let against = "the plain model, given to a general MILP solver (HiGHS by scipy), its own time";
    let goal = Goal::AtMost(1.0);
    let problem = shop();
    let ours = choose(&problem, Effort::default()).expect("the stock suffices");
    assert!(problem.holds(&ours) && ours.short.iter().all(|&s| s == 0));
    let Some(interpreter) = std::env::var_os("PLYLOOM_PYTHON") else {
        return vec![Row::missing(work, against, "no `PLYLOOM_PYTHON`", goal)];
    };
    let plain = as_json(&problem).to_string();
    let (_, optimum) = plainly(&interpreter, &plain);
    if ours.proof == Proof::Optimal {
        assert_eq!(ours.taken, optimum, "both prove the same optimum");
    }
    let words = if ours.taken == optimum {
        "same optimum"
    } else {
        "NOT the same optimum"
    };
    let both = pair(
        3,
        || timed(|| choose(&problem, Effort::default()).expect("the stock suffices")).0,
        || plainly(&interpreter, &plain).0,
    );
    vec![Row::times(format!("{work}, {words}"), against, both, goal)]
}
