//! The ledger of a rack under hard use: killed in the middle, plans made other ways, racks of nothing and of very much.

use std::fmt::Write as _;
use std::process::Stdio;
use std::thread;
use std::time::{Duration, Instant};

use crate::common::Bench;

const BLOCKS: &str = "let sheet = laminate([veneer(0.6, \"teal\"), plywood(13, 18)]);\n\
    let r = sheet.rhombus(60);\n\
    let block = hexagon([r, r, r]).slice(\"block\");\n\
    panel(\"Blocks\", hexagons(block)).finished(300, 200).fill(block);\n";
const SQUARES: &str = "let t = bar(plywood(9, 24).square()).slice(\"t\");\n\
    panel(\"Squares\", squares(t)).size(8, 5).fill(t);\n";
const RACK: &str = "# The rack of the boat shed.\nrack = true\n\n\
    [[scrap]]\nname = \"shelf\"\ncount = 2\nwidth = 300\nlength = 700\nthickness = 18\n\n\
    [[scrap]]\nname = \"thick\"\ncount = 2\nwidth = 400\nlength = 900\nthickness = 24\n\n\
    [[veneer]]\ncolour = \"teal\"\ncount = 4\nwidth = 300\nlength = 2500\n";

/// Kills in a run of all tests, and when they are asked for.
const FEW: u32 = 8;
const MANY: u32 = 1_000;

fn planned(recipe: &str, arguments: &[&str]) -> Bench {
    let bench = Bench::new().file("a.rhai", recipe).file("rack.toml", RACK);
    let plan = [
        "plan",
        "a.rhai",
        "--shop",
        "rack.toml",
        "--out",
        "plan.json",
    ];
    bench.run(&[&plan[..], arguments].concat()).ended(0);
    bench
}

/// Kills a booking at moments spread over the time that it takes.
fn killed(kills: u32) {
    let bench = planned(BLOCKS, &[]);
    let began = Instant::now();
    bench.run(&["rack", "take", "plan.json"]).ended(0);
    let takes = began.elapsed();
    let booked = bench.read("rack.toml");
    let (mut old, mut new) = (0, 0);
    for kill in 0..kills {
        for name in bench
            .names(".")
            .iter()
            .filter(|n| n.starts_with("rack.toml.before"))
        {
            std::fs::remove_file(bench.path(name)).expect("a file that goes");
        }
        bench.write("rack.toml", RACK);
        let mut command = bench.command(&["rack", "take", "plan.json"]);
        let quiet = command.stdout(Stdio::null()).stderr(Stdio::null());
        let mut child = quiet.spawn().expect("the program runs");
        // Spread by the golden section, from the start to a little beyond the end.
        let share = (f64::from(kill) * 0.618_034).fract();
        thread::sleep(Duration::from_secs_f64(takes.as_secs_f64() * 1.1 * share));
        let _ = child.kill();
        child.wait().expect("its end");
        let text = bench.read("rack.toml");
        if text == booked {
            assert_eq!(bench.read("rack.toml.before-1"), RACK, "kill {kill}");
            new += 1;
        } else {
            assert_eq!(text, RACK, "kill {kill}: half a file");
            old += 1;
        }
    }
    assert!(old > 0, "{old} {new}");
    // What a kill leaves hinders nobody.
    bench.write("rack.toml", RACK);
    bench.run(&["rack", "take", "plan.json"]).ended(0);
    assert!(bench.read("rack.toml").contains("[[booked]]"));
    bench.run(&["rack", "undo"]).ended(0);
    assert_eq!(bench.read("rack.toml"), RACK);
}

#[test]
fn a_booking_that_is_killed_leaves_the_old_or_the_new_rack() {
    killed(FEW);
}

/// Some minutes.
///
///     cargo test --test cli -- --ignored a_thousand_bookings_that_are_killed
#[test]
#[ignore = "takes long"]
fn a_thousand_bookings_that_are_killed() {
    killed(MANY);
}

#[test]
fn plans_made_in_other_ways_are_booked() {
    for way in ["loaf of 4", "courses", "panels"] {
        let bench = planned(SQUARES, &["--way", way]);
        let ran = bench.run(&["rack", "take", "plan.json"]);
        ran.ended(0)
            .out_has("taken: ")
            .out_has(" \"thick\", 400 mm x 900 mm");
        if way == "panels" {
            ran.out_has("  glued of several pieces, so not listed: 1 x slice of loaf 1\n");
        }
        assert!(
            ran.out.contains("comes in: 1 scrap \"thick (rest)\""),
            "{way}: {}",
            ran.out
        );
        bench.run(&["rack", "check"]);
        bench
            .run(&["rack", "take", "plan.json"])
            .ended(1)
            .err_has("is booked already");
        bench.run(&["rack", "undo"]).ended(0);
        assert_eq!(bench.read("rack.toml"), RACK);
    }
}

#[test]
fn an_empty_rack_says_so() {
    let bench = Bench::new()
        .file("a.rhai", SQUARES)
        .file("rack.toml", "rack = true\n")
        .file("plan.json", "{}");
    bench
        .run(&["rack", "list"])
        .ended(0)
        .out_has("the rack is empty");
    bench
        .run(&["rack", "check"])
        .ended(1)
        .out_has("the rack is empty");
    bench
        .run(&["rack", "undo"])
        .ended(1)
        .err_has("nothing is booked");
    bench
        .run(&["rack", "take", "plan.json"])
        .ended(1)
        .err_has("no plan that can be booked");
    bench
        .run(&["plan", "a.rhai", "--shop", "rack.toml"])
        .ended(1)
        .out_has("NOT ENOUGH STOCK")
        .err_has("the stock is not enough");
    bench
        .run(&["plan", "a.rhai", "--shop", "rack.toml", "--largest"])
        .ended(1)
        .err_has("there is no sheet and no scrap on the rack")
        .err_has("plyloom rack add");
    bench
        .run(&["rack", "recipes", "."])
        .ended(0)
        .out_has("none")
        .out_has("m2 of board");
    assert_eq!(bench.read("rack.toml"), "rack = true\n");
}

#[test]
fn pieces_smaller_than_a_strip_are_told() {
    let small = "rack = true\n[[scrap]]\nname = \"end\"\ncount = 9\nwidth = 20\nlength = 140\nthickness = 24\n";
    let bench = Bench::new()
        .file("a.rhai", SQUARES)
        .file("rack.toml", small);
    bench
        .run(&["rack", "check"])
        .ended(1)
        .out_has("\"end\" is 140 mm long: shorter than this saw rips");
    let ran = bench.run(&["plan", "a.rhai", "--shop", "rack.toml"]);
    ran.ended(1).out_has("NOT ENOUGH STOCK").out_has("end");
    bench
        .run(&["plan", "a.rhai", "--shop", "rack.toml", "--largest"])
        .ended(1)
        .err_has("not even a panel of");
}

#[test]
fn a_rack_of_ten_thousand_kinds_is_read_checked_and_added_to() {
    let mut text = String::from("rack = true\n");
    for i in 0..10_000 {
        let _ = write!(
            text,
            "[[scrap]]\nname = \"s{i}\"\nwidth = {}\nlength = {}\nthickness = 18\n",
            200 + i % 97,
            400 + i % 89
        );
    }
    let bench = Bench::new().file("rack.toml", &text);
    bench
        .run(&["rack", "check"])
        .ended(0)
        .out_has("nothing to mend");
    let add = [
        "rack",
        "add",
        "scrap",
        "--name",
        "s77",
        "--width",
        "210",
        "--length",
        "450",
        "--thickness",
        "18",
    ];
    bench.run(&add).ended(0);
    let ran = bench.run(&["rack", "check"]);
    ran.ended(1).out_has("two entries are called \"s77\"");
    bench
        .run(&["rack", "list"])
        .ended(0)
        .out_has("and 9001 more entries");
}
