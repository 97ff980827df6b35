//! A recipe reaches its own folder and nothing beyond it.

use crate::common::Bench;
use plyloom::files::DiskHost;
use plyloom::recipe::host::{Host, HostError};

fn host(bench: &Bench) -> DiskHost {
    DiskHost::new(&bench.path("project/main.rhai"), |_| ())
}

fn bench() -> Bench {
    Bench::new()
        .file("secret.rhai", "let outside = 1;")
        .file("project/main.rhai", "")
        .file("project/rings.rhai", "let rings = 1;")
        .file("project/rules/waves.rhai", "let waves = 1;")
        .file("project/notes.txt", "no module")
}

fn refused(answer: Result<plyloom::recipe::source::Source, HostError>) -> String {
    match answer {
        Err(HostError::Refused { reason }) => reason,
        other => panic!("expected a refusal, not {other:?}"),
    }
}

#[test]
fn modules_come_from_the_folder_and_those_below() {
    let bench = bench();
    let host = host(&bench);
    let module = host.module("rules/waves").unwrap();
    assert_eq!(module.text, "let waves = 1;");
    assert!(
        module.name.ends_with("project/rules/waves.rhai"),
        "{}",
        module.name
    );
    assert_eq!(host.module("rings").unwrap().text, "let rings = 1;");
}

#[test]
fn a_missing_module_tells_what_there_is() {
    let bench = bench();
    let answer = host(&bench).module("wave");
    let known = ["main", "rings", "rules/waves"].map(str::to_owned).to_vec();
    assert_eq!(answer, Err(HostError::NotFound { known }));
}

#[test]
fn names_that_lead_out_are_refused() {
    let bench = bench();
    let host = host(&bench);
    assert!(refused(host.module("../secret")).contains("`..`"));
    assert!(refused(host.module("rules/../../secret")).contains("`..`"));
    let absolute = bench.path("secret");
    assert!(refused(host.module(absolute.to_str().unwrap())).contains("root"));
    assert!(refused(host.module("rules\\waves")).contains("plain names"));
}

#[cfg(unix)]
#[test]
fn links_that_lead_out_are_refused_and_others_are_not() {
    use std::os::unix::fs::symlink;
    let bench = bench().file("outside/deep.rhai", "");
    symlink(bench.path("secret.rhai"), bench.path("project/leak.rhai")).unwrap();
    symlink("../outside", bench.path("project/door")).unwrap();
    symlink("rings.rhai", bench.path("project/alias.rhai")).unwrap();
    symlink("loop.rhai", bench.path("project/loop.rhai")).unwrap();
    let host = host(&bench);
    assert!(refused(host.module("leak")).contains("link"));
    assert!(refused(host.module("door/deep")).contains("link"));
    assert_eq!(host.module("alias").unwrap().text, "let rings = 1;");
    assert!(matches!(
        host.module("loop"),
        Err(HostError::Unreadable { .. })
    ));
}

#[cfg(unix)]
#[test]
fn pipes_and_folders_are_no_modules() {
    let bench = bench();
    std::fs::create_dir(bench.path("project/sub.rhai")).unwrap();
    let made = std::process::Command::new("mkfifo")
        .arg(bench.path("project/pipe.rhai"))
        .status();
    let host = host(&bench);
    assert!(matches!(
        host.module("sub"),
        Err(HostError::Unreadable { .. })
    ));
    if made.is_ok_and(|status| status.success()) {
        // Opening it would wait for ever.
        assert!(refused(host.module("pipe")).contains("plain file"));
    }
}

#[test]
fn bytes_that_are_no_text_are_named_with_their_place() {
    let bench = bench().file("project/bad.rhai", b"let a = \"\xe9\";");
    match host(&bench).module("bad") {
        Err(HostError::Unreadable { reason }) => {
            assert!(
                reason.contains("byte 10 (0xe9) on line 1, column 10"),
                "{reason}"
            );
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn one_run_sees_one_text() {
    let bench = bench();
    let host = host(&bench);
    assert_eq!(host.module("rings").unwrap().text, "let rings = 1;");
    bench.write("project/rings.rhai", "let rings = 2;");
    assert_eq!(host.module("rings").unwrap().text, "let rings = 1;");
    let witnesses = host.witnesses();
    assert_eq!(witnesses.len(), 1);
    assert!(witnesses[0].differs());
}

#[test]
fn what_was_tried_in_vain_is_a_witness_too() {
    let bench = bench();
    let host = host(&bench);
    assert!(host.module("later").is_err());
    let witnesses = host.witnesses();
    assert_eq!(witnesses[0].path, bench.path("project/later.rhai"));
    assert!(!witnesses[0].differs());
    bench.write("project/later.rhai", "");
    assert!(witnesses[0].differs());
}

#[test]
fn what_a_recipe_prints_goes_to_the_printer() {
    use std::sync::{Arc, Mutex};
    let lines = Arc::new(Mutex::new(Vec::new()));
    let sink = Arc::clone(&lines);
    let bench = bench();
    let host = DiskHost::new(&bench.path("project/main.rhai"), move |line| {
        sink.lock().unwrap().push(line.to_owned());
    });
    host.printed("hello");
    assert_eq!(*lines.lock().unwrap(), ["hello"]);
}
