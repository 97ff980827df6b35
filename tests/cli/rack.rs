//! `plyloom rack`: the ledger on the disk.

use serde_json::Value;

use crate::common::Bench;

const BLOCKS: &str = "let dyed = veneer(0.6, \"teal\");\n\
    let sheet = laminate([dyed, plywood(13, 18), dyed]);\n\
    let r = sheet.rhombus(60);\n\
    let block = hexagon([r, r, r]).slice(\"block\");\n\
    panel(\"Blocks\", hexagons(block)).finished(300, 200).fill(block);\n";

const RACK: &str = "# The rack of the boat shed.\nrack = true\n\n[[scrap]]\nname = \"left of the cabinet\"\ncount = 2   # counted twice\nwidth = 400\nlength = 800\nthickness = 18\nplace = \"north wall\"\n\n\
    [[scrap]]\nname = \"shelf\"\nwidth = 300\nlength = 700\nthickness = 18\n\n\
    [[veneer]]\ncolour = \"teal\"\ncount = 4\nwidth = 300\nlength = 2500\n";

fn bench() -> Bench {
    let bench = Bench::new().file("a.rhai", BLOCKS).file("rack.toml", RACK);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "rack.toml", "--json"]);
    ran.ended(0);
    bench.file("plan.json", &ran.out)
}

fn area(section: &Value) -> f64 {
    let corners: Vec<[f64; 2]> = serde_json::from_value(section.clone()).expect("corners");
    let next = corners.iter().cycle().skip(1);
    let twice: f64 = corners
        .iter()
        .zip(next)
        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
        .sum();
    twice.abs() / 2.0
}

#[test]
fn a_plan_is_booked_once_and_undone() {
    let bench = bench();
    let ran = bench.run(&["rack", "take", "plan.json"]);
    ran.ended(0);
    for part in [
        "taken: 1 scrap \"shelf\", 300 mm x 700 mm",
        "taken: 1 leaf of veneer \"teal\", 300 mm x 2500 mm",
        "comes in: 1 scrap \"shelf (rest)\"",
        "comes in: 1 leaf of veneer \"teal\"",
        "comes in: 4 tiles \"block\"",
        "the rack as it was is kept in rack.toml.before-1",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
    assert_eq!(bench.read("rack.toml.before-1"), RACK);
    let booked = bench.read("rack.toml");
    for part in [
        "# The rack of the boat shed.",
        "count = 2   # counted twice",
        "[[booked]]",
    ] {
        assert!(booked.contains(part), "{part}\n{booked}");
    }
    assert!(!booked.contains("name = \"shelf\"\n"), "{booked}");
    bench
        .run(&["rack", "take", "plan.json"])
        .ended(1)
        .err_has("is booked already");
    assert_eq!(bench.read("rack.toml"), booked);
    bench.run(&["rack", "undo"]).ended(0);
    assert_eq!(bench.read("rack.toml"), RACK);
    bench
        .run(&["rack", "undo"])
        .ended(1)
        .err_has("nothing is booked");
    bench.run(&["rack", "take", "plan.json"]).ended(0);
}

#[test]
fn what_comes_in_is_what_the_plan_leaves_over() {
    let bench = bench();
    let plan: Value = serde_json::from_str(&bench.read("plan.json")).expect("JSON");
    bench.run(&["rack", "take", "plan.json"]).ended(0);
    // All that stays by the plan's own balance: square ends of boards whole, of a bevelled edge what is upright.
    let pieces = plan["pieces"].as_array().expect("pieces");
    let put_back = plan["steps"]
        .as_array()
        .expect("steps")
        .last()
        .expect("a step");
    let mut left_over = 0.0;
    for of in put_back["takes"].as_array().expect("rests") {
        let piece = pieces
            .iter()
            .find(|p| p["id"] == of["piece"])
            .expect("a piece");
        let each = area(&piece["section"]) * piece["length"].as_f64().expect("mm");
        left_over += each * of["count"].as_f64().expect("a count");
    }
    let balance = plan["plan"]["balance"]["left_over"]
        .as_f64()
        .expect("a volume");
    assert!(
        (left_over - balance).abs() < 1e-6 * balance,
        "{left_over} {balance}"
    );
    let rack: toml::Table = bench.read("rack.toml").parse().expect("TOML");
    let mm = |scrap: &toml::Value, key: &str| -> f64 {
        let value = &scrap[key];
        value
            .as_float()
            .unwrap_or_else(|| value.as_integer().expect("mm") as f64)
    };
    let scraps = rack["scrap"].as_array().expect("scraps");
    let rests = scraps
        .iter()
        .filter(|s| s["name"].as_str().expect("a name").contains("(rest"));
    let came: f64 = rests.map(|s| mm(s, "width") * mm(s, "length") * 18.0).sum();
    assert!(
        came < left_over && came > 0.85 * left_over,
        "{came} of {left_over}"
    );
    let sheet = 300.0 * 206.4;
    assert!(
        scraps
            .iter()
            .any(|s| (mm(s, "width") * mm(s, "length") - sheet).abs() < 1e-6)
    );
    bench
        .run(&["plan", "a.rhai", "--shop", "rack.toml"])
        .ended(0);
}

#[test]
fn a_rack_is_begun_listed_and_checked() {
    let bench = Bench::new();
    bench
        .run(&["rack", "list"])
        .ended(1)
        .err_has("there is no rack `rack.toml`");
    let add = |arguments: &[&str]| bench.run(&[&["rack", "add"], arguments].concat());
    add(&[
        "scrap",
        "--name",
        "offcut",
        "--width",
        "8 in",
        "--length",
        "30 in",
        "--thickness",
        "3/4 in",
    ])
    .ended(0);
    add(&[
        "scrap", "--name", "offcut", "--width", "40", "--length", "50",
    ])
    .ended(0);
    add(&["veneer", "--width", "300", "--length", "2500"])
        .ended(2)
        .err_has("a veneer needs `--colour`");
    add(&[
        "veneer", "--colour", "tael", "--width", "300", "--length", "2500",
    ])
    .ended(1)
    .err_has("`tael` is no colour");
    add(&[
        "tile",
        "--name",
        "block",
        "--count",
        "12",
        "--width",
        "40",
        "--height",
        "40",
        "--thickness",
        "12",
    ])
    .ended(0);
    add(&[
        "tile",
        "--name",
        "block",
        "--count",
        "3",
        "--width",
        "40",
        "--height",
        "40",
        "--thickness",
        "12",
    ])
    .ended(0);
    let ran = bench.run(&["rack", "list"]);
    ran.ended(0);
    assert!(
        ran.out.contains("203.2 mm x 762 mm x 19.05 mm"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("block          15"), "{}", ran.out);
    let ran = bench.run(&["rack", "check"]);
    ran.ended(1);
    for part in [
        "two entries are called \"offcut\"",
        "shorter than this saw rips",
        "has no thickness",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
}

/// A box of tiles, strips of last week and an off-cut, typed in by their sizes alone: a plan takes them as they are.
#[test]
fn pieces_that_are_typed_in_go_into_a_plan_and_come_back() {
    let blocks = "let r = plywood(13, 18).rhombus(60);\n\
        let block = hexagon([r, r, r]).slice(\"block\");\n\
        panel(\"Blocks\", hexagons(block)).size(14, 8).fill(block);\n";
    let bench = Bench::new().file("a.rhai", blocks);
    let rack = |line: &str| {
        let words: Vec<&str> = line.split(' ').collect();
        bench.run(&[&["rack"], &words[..]].concat())
    };
    let added = [
        (
            "add scrap --name shelf --width 240 --length 700 --thickness 18",
            "1 scrap \"shelf\"",
        ),
        // Across the hexagon's flats, 2 x 18, and its corners, 36 / sin 60.
        (
            "add tile --name block --count 40 --width 41.57 --height 36 --thickness 13",
            "40 tiles \"block\"",
        ),
        (
            "add strip --name S1 --count 9 --width 20.8 --thickness 18 --length 400",
            "9 strips \"S1\"",
        ),
    ];
    for (line, said) in added {
        rack(line).ended(0).out_has(&format!("added {said}\n"));
    }
    rack("check").ended(0).out_has("nothing to mend");
    let before = bench.read("rack.toml");
    let plan = [
        "plan",
        "a.rhai",
        "--shop",
        "rack.toml",
        "--out",
        "plan.json",
    ];
    bench.run(&plan).ended(0);
    let took = rack("take plan.json");
    took.ended(0)
        .out_has("taken: 40 tiles \"block\", 41.57 mm x 36 mm")
        .out_has("taken: 9 strips \"S1\", 20.8 mm x 400 mm")
        .out_has("taken: 1 scrap \"shelf\"");
    // Nobody keeps a wedge without width.
    assert!(!took.out.contains(" 0 mm"), "{}", took.out);
    rack("take plan.json").ended(1).err_has("is booked already");
    for _ in 0..3 {
        rack("undo").ended(0);
    }
    assert!(before.len() > bench.read("rack.toml").len());
    // With its first piece the rack began.
    rack("undo")
        .ended(1)
        .err_has("nothing is booked on this rack that could be undone");
    rack("list").ended(0).out_has("shelf");
}

#[test]
fn a_bad_plan_or_rack_books_nothing() {
    let bench = bench()
        .file("empty.json", "")
        .file("bad.toml", "rack = true\n[[scrap]]\nwidth = 40\n");
    bench
        .run(&["rack", "take", "empty.json"])
        .ended(1)
        .err_has("no plan that can be booked: it is no JSON");
    bench.run(&["rack", "take", "none.json"]).ended(1);
    bench
        .run(&["rack", "take", "plan.json", "--rack", "bad.toml"])
        .ended(1)
        .err_has("bad.toml:2:1")
        .err_has("missing field `length`");
    let changed = RACK.replace("width = 300\nlength = 700", "width = 250\nlength = 700");
    let bench = bench.file("rack.toml", &changed);
    bench
        .run(&["rack", "take", "plan.json"])
        .ended(1)
        .err_has("\"shelf\" is 300 x 700 mm in the plan, and 250 x 700 mm on the rack")
        .err_has("Nothing was booked");
    assert_eq!(bench.read("rack.toml"), changed);
}

#[test]
fn recipes_are_tried_with_the_dyes_and_thicknesses_there_are() {
    let squares = "let t = bar(plywood(5, 24).rip(24, 90)).slice(\"t\");\n\
                   panel(\"Squares\", squares(t)).size(400, 4).fill(t);\n";
    let dyed = "let dye = param(\"dye\", \"poppy\", #{ kind: \"colour\" });\n\
                let thick = param(\"thick\", 18.0, #{ unit: \"mm\", from: 12, to: 24 });\n\
                let r = laminate([veneer(0.6, dye), plywood(13, thick)]).rhombus(60);\n\
                let block = hexagon([r, r, r]).slice(\"block\");\n\
                panel(\"Dyed\", hexagons(block)).finished(300, 200).fill(block);\n";
    let bench = bench()
        .file("some/dyed.rhai", dyed)
        .file("some/squares.rhai", squares)
        .file("some/rule.rhai", "fn one() { 1 }")
        .file(
            "thin.toml",
            RACK.replace("thickness = 18", "thickness = 17.6"),
        );
    let all = [
        "rack",
        "recipes",
        "some",
        "--rack",
        "thin.toml",
        "--out",
        "made.html",
    ];
    let ran = bench.run(&all);
    ran.ended(0);
    for part in [
        "dye=teal thick=17.6mm",
        "squares   none",
        "m2 of board",
        "wrote made.html",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
    assert!(!ran.out.contains("rule"), "{}", ran.out);
    let page = bench.read("made.html");
    assert!(page.contains("data:image/svg+xml;base64,") && page.contains("squares"));
    let alone = bench.run(&[&all[..], &["--jobs", "1"]].concat());
    assert_eq!((&alone.out, bench.read("made.html")), (&ran.out, page));
    bench
        .run(&["rack", "recipes", "some", "--out", "made.svg"])
        .ended(2)
        .err_has("ends in .html");
}

#[test]
fn a_recipe_is_as_thick_as_the_boards_of_the_rack() {
    let bench = bench().file(
        "thin.toml",
        RACK.replace("thickness = 18", "thickness = 17.6"),
    );
    let told =
        "plywood 17.6 mm thick, as \"left of the cabinet\" and \"shelf\"; the recipe has 18 mm";
    let drawn = |arguments: &[&str]| {
        let ran = bench.run(&[&["preview", "a.rhai", "--out", "a.svg"], arguments].concat());
        ran.ended(0);
        (bench.read("a.svg"), ran.err)
    };
    let thickness = ["--thickness", "from", "thin.toml"];
    let (thin, err) = drawn(&thickness);
    assert!(err.contains(told), "{err}");
    let bench = bench.file(
        "b.rhai",
        BLOCKS.replace("plywood(13, 18)", "plywood(13, 17.6)"),
    );
    bench
        .run(&["preview", "b.rhai", "--out", "b.svg", "--no-recipe"])
        .ended(0);
    let without = ["--thickness", "from", "thin.toml", "--no-recipe"];
    bench
        .run(&[&["preview", "a.rhai", "--out", "c.svg"], &without[..]].concat())
        .ended(0);
    assert_eq!(
        bench.read("c.svg"),
        bench.read("b.svg"),
        "as if it were written so"
    );
    assert!(
        thin.contains("17.6"),
        "the recipe in the drawing has it too"
    );
    let plan = |recipe: &str, more: &[&str]| {
        let ran = bench.run(&[&["plan", recipe, "--shop", "thin.toml"], more].concat());
        ran.ended(0);
        ran.out.replace(recipe, "RECIPE")
    };
    assert_eq!(plan("a.rhai", &thickness), plan("b.rhai", &[]));
    bench
        .run(&["preview", "a.rhai", "--thickness", "of", "thin.toml"])
        .ended(2)
        .err_has("--thickness from rack.toml");
    bench
        .run(&["preview", "a.rhai", "--thickness", "from", "missing.toml"])
        .ended(1)
        .err_has("there is no shop file");
}

#[test]
fn a_colour_that_the_rack_does_not_have_is_told() {
    let bench = bench().file("red.rhai", BLOCKS.replace("teal", "poppy"));
    let ran = bench.run(&["plan", "red.rhai", "--shop", "rack.toml"]);
    ran.ended(1);
    assert!(
        (ran.out)
            .contains("veneer poppy: there is no leaf of it on the rack; there are leaves of teal"),
        "{}",
        ran.out
    );
    bench
        .run(&[
            "plan",
            "red.rhai",
            "--shop",
            "rack.toml",
            "--out",
            "red.json",
        ])
        .ended(1);
    bench
        .run(&["rack", "take", "red.json"])
        .ended(1)
        .err_has("the stock is not enough");
}
