//! On a terminal: colours where they are welcome, and a line that moves when something takes more than
//! a second.

use std::fs::File;
use std::io::Read as _;
use std::process::Stdio;
use std::sync::mpsc::{Receiver, channel};
use std::thread;

use rustix::fs::{Mode, OFlags, open};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};

use crate::common::{Bench, LIMIT};

/// A recipe that takes as long as it is let.
const ENDLESS: &str = "let n = 0;\nwhile n >= 0 { n = 1; }";

/// Runs a command with its error stream on a terminal; what comes there, piece by piece.
fn on_terminal(bench: &Bench, arguments: &[&str], set: &[(&str, &str)]) -> Receiver<String> {
    let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a terminal");
    grantpt(&master).expect("leave to use it");
    unlockpt(&master).expect("leave to use it");
    let name = ptsname(&master, Vec::new()).expect("its name");
    let slave = open(&*name, OFlags::RDWR | OFlags::NOCTTY, Mode::empty()).expect("its other end");
    let mut command = bench.command(arguments);
    command
        .env("TERM", "xterm")
        .stdout(Stdio::null())
        .stderr(Stdio::from(slave));
    for (name, value) in set {
        command.env(name, value);
    }
    let mut child = command.spawn().expect("the program runs");
    // The command holds the terminal open: with it gone, reading ends.
    drop(command);
    let (sender, pieces) = channel();
    thread::spawn(move || {
        let mut terminal = File::from(master);
        let mut buffer = [0; 4096];
        while let Ok(count @ 1..) = terminal.read(&mut buffer) {
            let piece = String::from_utf8_lossy(&buffer[..count]).into_owned();
            if sender.send(piece).is_err() {
                break;
            }
        }
        let _ = child.wait();
    });
    pieces
}

/// All that comes until the command ends.
fn all(pieces: &Receiver<String>) -> String {
    let mut text = String::new();
    while let Ok(piece) = pieces.recv_timeout(LIMIT) {
        text.push_str(&piece);
    }
    text
}

#[test]
fn messages_are_coloured_unless_no_color_is_set() {
    let bench = Bench::new().file("bad.rhai", "let x = ;");
    let line = ["preview", "bad.rhai"];
    let coloured = "\u{1b}[3";
    assert!(all(&on_terminal(&bench, &line, &[])).contains(coloured));
    let plain = all(&on_terminal(&bench, &line, &[("NO_COLOR", "1")]));
    assert!(plain.contains("bad.rhai:1:9"), "{plain}");
    assert!(!plain.contains(coloured), "{plain:?}");
    // https://no-color.org: an empty value does not count.
    assert!(all(&on_terminal(&bench, &line, &[("NO_COLOR", "")])).contains(coloured));
}

#[test]
fn help_is_plain_where_no_color_is_set() {
    let bench = Bench::new();
    let wrong = all(&on_terminal(&bench, &["preview"], &[("NO_COLOR", "1")]));
    assert!(wrong.contains("--help"), "{wrong}");
    assert!(!wrong.contains("\u{1b}[3"), "{wrong:?}");
}

#[test]
fn what_takes_more_than_a_second_is_seen_to_be_at_work() {
    let bench = Bench::new().file("slow.rhai", ENDLESS);
    for command in ["preview", "plan", "legible", "arrangements", "compare"] {
        let recipes = if command == "compare" { 2 } else { 1 };
        let mut line = vec![command];
        line.extend(["slow.rhai"; 2].iter().take(recipes));
        line.extend(["--max-seconds", "3", "--max-operations", "100000000000"]);
        let shown = all(&on_terminal(&bench, &line, &[]));
        assert!(
            shown.contains("carrying out the recipe"),
            "{command}: {shown}"
        );
        let end = shown.rfind("carrying out").expect("the line");
        assert!(
            shown[end..].contains("still running"),
            "{command}: the message comes after the line: {shown}"
        );
    }
}

#[test]
fn what_is_quick_shows_no_line() {
    let bench = Bench::new().file(
        "a.rhai",
        "let b = bar(plywood(13, 36).square()).slice(\"b\"); panel(\"p\", squares(b)).size(1, 1).fill(b);",
    );
    assert_eq!(all(&on_terminal(&bench, &["preview", "a.rhai"], &[])), "");
}
