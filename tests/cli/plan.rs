//! `plyloom plan`: shop files, the summary, JSON, and what is not enough.

use std::path::Path;

use crate::common::Bench;

pub(super) const BLOCKS: &str = "let dyed = veneer(0.6, \"teal\");\n\
    let sheet = laminate([dyed, plywood(13, 17.7), dyed]);\n\
    let r = sheet.rhombus(60);\n\
    let block = hexagon([r, r, r]).slice(\"block\");\n\
    panel(\"Blocks\", hexagons(block)).size(6, 4).fill(block);\n";

#[test]
fn without_a_shop_common_values_are_taken_and_named() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai"]);
    ran.ended(0);
    for part in [
        "Shop plan: Blocks",
        // 24 tiles and 5 %: 26.
        "block: 26 = 24 whole + 0 trimmed + 2 spare",
        "needed 3 = 1 bars x 3",
        // T = 18.9: (18.9 + 3.2) / sin 60 = 25.519.
        "each takes 25.5 mm = 21.824 + 3.2 / sin 60",
        "1 blank for sheet A; glue on before ripping: teal, teal",
        "table_saw.kerf = 3.2 mm",
        "Sawing can maim.",
        "blade 30.0\u{b0} from vertical",
        "no choice of boards takes less (proven, for boards cut across to blanks of one length)",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
}

#[test]
fn a_new_shop_file_is_written_once_and_works() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    bench.run(&["plan", "--new-shop", "shop.toml"]).ended(0);
    let text = bench.read("shop.toml");
    bench
        .run(&["plan", "--new-shop", "shop.toml"])
        .ended(1)
        .err_has("shop.toml");
    assert_eq!(bench.read("shop.toml"), text);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    ran.ended(0);
    assert!(!ran.out.contains("Common values taken"), "{}", ran.out);
}

#[test]
fn a_mistake_in_a_shop_file_is_shown_where_it_stands() {
    let bench = Bench::new()
        .file("a.rhai", BLOCKS)
        .file("shop.toml", "[table_saw]\nkref = 3.2\n");
    bench
        .run(&["plan", "a.rhai", "--shop", "shop.toml"])
        .ended(1)
        .err_has("shop.toml:2:1")
        .err_has("did you mean `kerf`?");
    bench
        .run(&["plan", "a.rhai", "--shop", "none.toml"])
        .ended(1)
        .err_has("--new-shop none.toml");
}

#[test]
fn what_is_short_is_said_first_and_ends_with_1() {
    let scrap = "[[scrap]]\nwidth = 60\nlength = 400\nface = \"teal\"\nback = \"teal\"\n";
    let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", scrap);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    ran.ended(1).err_has("the stock is not enough");
    let short = ran.out.find("NOT ENOUGH STOCK").expect("said");
    assert!(short < ran.out.find("Tiles to make").expect("the rest"));
    assert!(ran.out.contains("(teal, teal)") && ran.out.contains("to close it"));
}

#[test]
fn json_has_a_schema_and_every_figure_its_sum() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai", "--json"]);
    ran.ended(0);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["schema"], "plyloom-plan");
    assert_eq!(json["version"], 2);
    assert_eq!(json["plan"]["tiles"][0]["needed"]["value"], 26.0);
    assert_eq!(
        json["plan"]["tiles"][0]["needed"]["why"],
        "24 whole + 0 trimmed + 2 spare = 26"
    );
    assert_eq!(json["plan"]["proof"], "optimal");
    assert!(json["plan"]["balance"]["stock"].as_f64().expect("a number") > 0.0);
}

#[test]
fn what_does_not_go_together_is_wrong_usage() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    bench.run(&["plan"]).ended(2).err_has("RECIPE");
    bench
        .run(&["plan", "a.rhai", "--new-shop", "shop.toml"])
        .ended(2);
    bench
        .run(&["plan", "a.rhai", "--panel", "moon"])
        .ended(2)
        .err_has("\"Blocks\"");
}

/// Tile 1-1 is at the top left in the map, the steps, the gluing and the template.
#[test]
fn tiles_are_numbered_in_one_way() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let json = bench.run(&["plan", "a.rhai", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!(
        json["gluing"][0]["assemblies"][0]["from"],
        serde_json::json!([1, 1])
    );
    let steps = json["steps"].as_array().expect("steps");
    let lay = steps.iter().find(|s| s["work"]["do"] == "lay_dry");
    let tiles = lay.expect("it is laid")["work"]["tiles"]
        .as_array()
        .expect("tiles");
    let place = |tile: &serde_json::Value| {
        let at = |i: usize| tile["at"][i].as_f64().expect("a place");
        (at(1), at(0))
    };
    let first = (tiles.iter()).min_by(|a, b| place(a).partial_cmp(&place(b)).expect("numbers"));
    let first = first.expect("a tile");
    assert_eq!((&first["course"], &first["number"]), (&1.into(), &1.into()));
    for pair in tiles.windows(2) {
        let number = |tile: &serde_json::Value| (tile["course"].as_u64(), tile["number"].as_u64());
        assert!(number(&pair[0]) < number(&pair[1]));
    }
    bench.run(&["plan", "a.rhai", "--drawings", "d"]).ended(0);
    let map = bench.read("d/blocks-glue-up.svg");
    let numbers: Vec<&str> = map
        .lines()
        .map(str::trim)
        .filter(|line| line.len() == 3 && line.as_bytes()[1] == b'-')
        .collect();
    assert_eq!(numbers.first(), Some(&"1-1"));
    assert_eq!(numbers.len(), 24);
}

/// What is not ripped has no line: in no plan of a demo either.
#[test]
fn nothing_is_ripped_no_times() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/demos");
    let mut plans = 0;
    for entry in std::fs::read_dir(folder).expect("the plans of the demos") {
        let path = entry.expect("an entry").path();
        if !path.to_string_lossy().ends_with(".plan.txt") {
            continue;
        }
        plans += 1;
        let text = std::fs::read_to_string(&path).expect("a plan");
        for line in text.lines() {
            assert!(
                !line.contains("rip 0") && !line.contains(" 0 x "),
                "{}: {line}",
                path.display()
            );
        }
    }
    assert!(plans > 40);
}

/// A way that does not fit says why, and which ones do.
#[test]
fn bars_are_glued_side_by_side_where_that_fits() {
    let chance = BLOCKS.replace("fill(block)", "fill(random(\"x\", block.looks()))");
    let chance = chance.replace("size(6, 4)", "size(6, 20)");
    let bench = Bench::new()
        .file("a.rhai", BLOCKS)
        .file("chance.rhai", &chance)
        .file("shop.toml", "[slicing]\nway = \"courses\"\n");
    for args in [&["--way", "courses"], &["--shop", "shop.toml"]] {
        let ran = bench.run(&[&["plan", "a.rhai"], &args[..]].concat());
        ran.ended(0);
        for part in [
            "Glue loaf 1 of 6 x bar block",
            "Slice loaf 1: 5 x slice of loaf 1",
            "Lay 4 slices dry by the map",
            "this plan: loaves sliced to whole courses (the way \"courses\")",
        ] {
            assert!(ran.out.contains(part), "{part}\n{}", ran.out);
        }
    }
    // Where the open time holds one slice, there are no sub-assemblies.
    let hurried = "[slicing]\nway = \"courses\"\n[glue]\nopen_time = 2\n";
    bench.write("hurried.toml", hurried);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "hurried.toml"]);
    ran.ended(0)
        .out_has("Glue the panel, slice by slice: glued Blocks")
        .out_has("glue Blocks slice by slice, ");
    assert!(!ran.out.contains("sub-assemblies,"), "{}", ran.out);
    let back = bench.run(&["plan", "a.rhai", "--shop", "shop.toml", "--way", "tiles"]);
    assert!(!back.out.contains("loaf 1"));
    bench
        .run(&["plan", "chance.rhai", "--way", "courses"])
        .ended(1)
        .err_has("its courses are of more than 12 kinds")
        .err_has("plan it by `--way tiles`");
    bench
        .run(&["plan", "a.rhai", "--way", "loaf of 4"])
        .ended(1)
        .err_has("its courses of 6 tiles cannot be parted into runs of 4");
    bench
        .run(&["plan", "a.rhai", "--way", "crosswise"])
        .ended(2)
        .err_has("`crosswise` is nothing that can be sliced");
}

#[test]
fn slices_that_the_clamp_should_hold_are_told() {
    let shop = "[slicing]\nend_trim = 10\n";
    let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", shop);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    assert!(
        ran.out.contains("stretch that stays in the clamp"),
        "{}",
        ran.out
    );
    let common = bench.run(&["plan", "a.rhai"]);
    assert!(
        !common.out.contains("stretch that stays in the clamp"),
        "{}",
        common.out
    );
    assert!(
        common.out.contains("keep the last 150 mm"),
        "{}",
        common.out
    );
}

#[test]
fn a_page_is_written_and_the_plan_told_in_short() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai", "--out", "plan.html"]);
    ran.ended(0);
    let page = bench.read("plan.html");
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains("Recipe a.rhai: seed 1"));
    assert!(ran.out.contains("In short") && !ran.out.contains("Boards to rip"));
    // Settings of the saw are never told without a word of caution.
    ran.out_has("step 6: ")
        .out_has("local rules")
        .out_has("get qualified instruction before you cut")
        .out_has("common values, listed in the whole plan");
    assert!(ran.out.contains("wrote plan.html"), "{}", ran.out);
    let standard = bench.run(&["plan", "a.rhai", "--out", "-"]);
    standard.ended(0);
    assert_eq!(standard.out, page);
    for bad in ["plan.txt", "a.rhai"] {
        bench.run(&["plan", "a.rhai", "--out", bad]).ended(2);
    }
    bench
        .run(&["plan", "a.rhai", "--out", "-", "--json"])
        .ended(2)
        .err_has("not both");
}

#[test]
fn drawings_are_written_one_by_one() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai", "--drawings", "shop/drawings"]);
    ran.ended(0);
    // Three set-ups, a board, a bar, the map, and its sub-assemblies: 24 tiles at 20 s are 8 minutes, and 3/4 of 5
    // minutes hold 11 tiles, so single courses of 6: four.
    for name in [
        "set-up-3",
        "board-1",
        "bar-1",
        "blocks-glue-up",
        "blocks-glue-up-4",
    ] {
        let text = bench.read(&format!("shop/drawings/{name}.svg"));
        roxmltree::Document::parse(&text).expect("a drawing");
    }
    assert!(!bench.path("shop/drawings/blocks-glue-up-5.svg").exists());
    assert!(ran.out.contains("10 drawings are written"), "{}", ran.out);
}

#[test]
fn json_tells_set_ups_tolerances_and_gluing() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["set_ups"][0]["job"], "first_edge");
    let rip = &json["set_ups"][1];
    assert_eq!(
        (&rip["job"], &rip["tilt"]),
        (&"strips".into(), &30.0.into())
    );
    assert!(rip["cautions"].as_array().expect("a list").len() > 3);
    // 18.9 mm thick: the fence is at 18.9 / sin 60.
    let fence = rip["fence"].as_f64().expect("a number");
    assert!((fence - 18.9 / 0.75_f64.sqrt()).abs() < 1e-6, "{fence}");
    let blade = &json["tolerances"][0]["settings"][0];
    assert_eq!(blade["unit"], "degrees");
    // Side 21.824 x 3 x 0.1 degree: see tests/plan/tolerance.rs.
    let gap = blade["less"]["gap_outside"].as_f64().expect("a number");
    assert!((gap - 0.1143).abs() < 1e-3, "{gap}");
    assert_eq!(json["gluing"][0]["tiles"], 24);
    assert_eq!(
        json["gluing"][0]["assemblies"].as_array().map(Vec::len),
        Some(4)
    );
}

#[test]
fn limits_and_pace_of_the_shop_are_kept() {
    let shop = "[table_saw]\nnarrowest = \"1 in\"\n[glue]\npace = 5\n";
    let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", shop);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    ran.ended(0);
    for part in [
        // Strips of 21.82 mm stand on less than 25.4: they fall free, set by a stop at their overhang,
        // 18.9 / sin 60 + 18.9 / tan 60 = 32.74.
        "they fall free, set by a stop: tilt 30.0\u{b0} from vertical (gauge 60.0\u{b0}), stop 32.74 mm",
        // 24 tiles at 5 s are 2 minutes, and 1.25 for the clamps.
        "All of it fits the open time: about 4 min of 5 min at 5 s a tile.",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
    for (shop, word) in [
        ("[table_saw]\nnarrowest = 1\n", "narrowest"),
        ("[slicing]\nthinnest = 0\n", "thinnest"),
        (
            "[slicing]\nthinnest = 14\n",
            "slices of 13 mm are too thin to hold",
        ),
        (
            "[table_saw]\ndepth = 15\ndepth_at_45 = 10\n",
            "this saw cuts",
        ),
        ("[glue]\npace = 0\n", "pace"),
    ] {
        let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", shop);
        bench
            .run(&["plan", "a.rhai", "--shop", "shop.toml"])
            .ended(1)
            .err_has(word);
    }
}

#[test]
fn small_objects_have_their_place_in_the_plan() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let with = |more: &[&'static str]| -> Vec<&'static str> {
        let line = [
            "plan", "a.rhai", "--object", "round 60", "--object", "handle",
        ];
        line.into_iter().chain(more.iter().copied()).collect()
    };
    bench
        .run(&with(&[]))
        .ended(0)
        .out_has("Cut to an object")
        .out_has("round 60, 60 mm across")
        .out_has("from the left and")
        .out_has("wants a jig");
    let ran = bench.run(&with(&["--json"]));
    ran.ended(0);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let round = &json["objects"][0];
    assert_eq!(round["object"], "round 60");
    let number = |name: &str| round["boldest"][name].as_f64().expect("a number");
    assert!((number("x_mm") - 30.0 - number("left_mm")).abs() < 1e-9);
    assert!(number("left_mm") >= 0.0 && number("top_mm") >= 0.0);
    bench
        .run(&with(&["--drawings", "drawn", "--out", "plan.html"]))
        .ended(0);
    let map = bench.read("drawn/blocks-objects.svg");
    assert!(roxmltree::Document::parse(&map).is_ok());
    assert!(map.contains("r=\"30\""), "true size");
    assert!(bench.read("plan.html").contains("Cut to an object"));
    bench
        .run(&["plan", "a.rhai", "--object", "900x900"])
        .ended(0)
        .out_has("does not fit");
    bench
        .run(&["plan", "a.rhai", "--object", "spoon"])
        .ended(2)
        .err_has("coaster");
}

#[test]
fn what_no_shop_has_is_refused_where_it_stands() {
    for (shop, line, words) in [
        ("[table_saw]\nkerf = 0\n", 2, "`kerf` must lie between"),
        (
            "[table_saw]\nkerf = \"4 in\"\n",
            2,
            "`kerf` must lie between",
        ),
        ("[slicing]\nkerf = -1\n", 2, "`kerf` must lie between"),
        (
            "[[scrap]]\nwidth = 90\nlength = 400\ncount = -3\n",
            4,
            "`count` must lie",
        ),
        (
            "[[scrap]]\nwidth = -90\nlength = 400\n",
            2,
            "`width` must lie",
        ),
        (
            "[[sheet]]\nwidth = 900\nlength = 0\n",
            3,
            "`length` must lie",
        ),
        (
            "[[sheet]]\nwidth = 900\nlength = 900\nprice = -4\n",
            4,
            "`price` must lie between",
        ),
    ] {
        let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", shop);
        bench
            .run(&["plan", "a.rhai", "--shop", "shop.toml"])
            .ended(1)
            .err_has(words)
            .err_has(&format!("shop.toml:{line}:"));
    }
}

#[test]
fn scraps_smaller_than_a_strip_and_missing_prices_are_told() {
    let shop = "[[sheet]]\nwidth = 1220\nlength = 2440\n\
                [[scrap]]\nname = \"sliver\"\nwidth = 20\nlength = 500\n";
    let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", shop);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    ran.ended(0);
    for part in [
        "not used: sliver, which is too small for one strip",
        "cost: unknown; no price is given for: sheet 1, teal veneer, glue",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
}

#[test]
fn what_is_left_of_a_side_that_came_out_thinner_is_told() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    // 12.7 mm slices, 1 mm for flattening, 0.4 mm thinner: 11.3 mm.
    let run = |more: &[&'static str]| {
        let mut line = vec!["plan", "a.rhai", "--thinner", "0.4"];
        line.extend(more);
        bench.run(&line)
    };
    let ran = run(&["--json"]);
    ran.ended(0);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let number = |name: &str| json["thickness"][name].as_f64().expect("a number");
    assert!((number("flattened") - 0.4 - number("left")).abs() < 1e-9);
    run(&[])
        .ended(0)
        .out_has("One side came out 0.4 mm thinner: both faces come down to it, which leaves")
        .out_has("adds up over panel");
    run(&["--out", "plan.html"]).ended(0);
    assert!(bench.read("plan.html").contains("0.4 mm thinner"));
    bench
        .run(&["plan", "a.rhai", "--thinner", "40"])
        .ended(0)
        .out_has("nothing is left");
    bench
        .run(&["plan", "a.rhai", "--thinner", "-1"])
        .ended(2)
        .err_has("such as `0.4`");
}

/// 340 squares of 12 mm are called unwise, in a line with what to try; two dozen blocks are not. 11 tiles go into 3/4 of 5
/// minutes, so each course of 20 takes two sub-assemblies: 34 and 33 seams are 67 clampings, nine days of eight.
#[test]
fn a_plan_of_very_many_tiles_is_called_unwise() {
    let tiny = "let tile = bar(plywood(9, 12).square()).slice(\"tile\");\n\
        panel(\"Tiny\", squares(tile)).size(20, 17).fill(tile);\n";
    let bench = Bench::new().file("tiny.rhai", tiny).file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "tiny.rhai"]);
    ran.ended(0);
    let line = ran
        .out
        .lines()
        .find(|line| line.contains("unwise as it is"));
    let line = line.expect("it is said");
    for part in [
        "34 sub-assemblies and the seams between them are 67 clampings of an hour or more, about 9 days",
        "Try larger tiles, so that there are fewer, loaves (the way \"",
        " or a slower glue (an open time of 10 min: 17 sub-assemblies)",
    ] {
        assert!(line.contains(part), "{part}\n{line}");
    }
    let few = bench.run(&["plan", "a.rhai"]);
    assert!(!few.out.contains("unwise"), "{}", few.out);
}
