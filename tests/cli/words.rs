//! `plyloom words`, and what holds for every command: usage, exit codes, closed output.

use std::process::Stdio;

use crate::common::{Bench, Ran};

#[test]
fn words_are_listed_by_group() {
    Bench::new()
        .run(&["words"])
        .ended(0)
        .out_has("maths: ")
        .out_has("\n  sqrt ")
        .out_has("import \"sequences\" as sequences;");
}

#[test]
fn one_word_is_told_in_full() {
    Bench::new()
        .run(&["words", "sqrt"])
        .ended(0)
        .out_has("sqrt (maths)")
        .out_has("  sqrt(")
        .out_has("\nExample\n    ");
}

#[test]
fn a_slip_is_answered_with_the_nearest_word() {
    Bench::new()
        .run(&["words", "sqr"])
        .ended(2)
        .err_has("there is no word `sqr`")
        .err_has("did you mean `sqrt`?");
}

#[test]
fn words_are_data_too() {
    let ran = Bench::new().run(&["words", "--json"]);
    ran.ended(0);
    let words: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let words = words.as_array().expect("a list");
    let sqrt = words.iter().find(|w| w["name"] == "sqrt").expect("sqrt");
    assert_eq!(sqrt["group"], "maths");
    assert!(!sqrt["example"].as_str().unwrap_or("").is_empty());
}

#[test]
fn definitions_for_editors_are_written() {
    let bench = Bench::new().file("defs/.keep", "");
    let ran = bench.run(&["words", "--definitions", "defs"]);
    ran.ended(0).out_has("plyloom.d.rhai is written");
    assert!(
        bench
            .read("defs/plyloom.d.rhai")
            .contains("fn sqrt(number: ?) -> float;")
    );
    bench
        .run(&["words", "--definitions", "nowhere"])
        .ended(1)
        .err_has("mkdir -p nowhere");
    bench
        .run(&["words", "sqrt", "--definitions", "defs"])
        .ended(2);
}

#[test]
fn wrong_usage_ends_with_2_and_help_with_0() {
    let bench = Bench::new();
    for wrong in [
        &["saw"][..],
        &["preview"],
        &["preview", "a.rhai", "--seed", "x"],
        &["preview", "a.rhai", "--set", "x"],
        &["preview", "a.rhai", "--max-tiles", "0"],
        &["preview", "a.rhai", "--width", "100"],
        &["preview", "a.rhai", "--out", "a.gif"],
        &["man", "saw"],
    ] {
        bench.run(wrong).ended(2);
    }
    for right in [
        &[][..],
        &["--help"],
        &["--version"],
        &["preview", "--help"],
        &["watch", "-h"],
        &["man"],
        &["man", "preview"],
        &["completions", "bash"],
    ] {
        bench.run(right).ended(0);
    }
}

#[test]
fn output_that_nobody_reads_is_no_failure() {
    for command in [
        &["words"][..],
        &["man"],
        &["completions", "zsh"],
        &["--help"],
    ] {
        let mut child = Bench::new()
            .command(command)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program runs");
        drop(child.stdout.take());
        let ran = Ran::of(&child.wait_with_output().expect("the program ends"));
        ran.ended(0);
        assert_eq!(ran.err, "");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_cannot_be_written_is_a_failure() {
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("a device of the system");
    let output = Bench::new()
        .command(&["words"])
        .stdout(full)
        .stderr(Stdio::piped())
        .output()
        .expect("the program runs");
    Ran::of(&output)
        .ended(1)
        .err_has("the output could not be written");
}

#[test]
fn nothing_is_coloured_into_a_pipe() {
    let bench = Bench::new();
    let ran = bench.run(&["words", "sqr"]);
    assert!(!ran.err.contains('\u{1b}'), "{ran:#?}");
    let ran = bench.run(&["preview", "missing.rhai"]);
    assert!(!ran.err.contains('\u{1b}'), "{ran:#?}");
}
