//! `plyloom plan`: shop files, the summary, JSON, and what is not enough.

use crate::common::Bench;

const BLOCKS: &str = "let dyed = veneer(0.6, \"teal\");\n\
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
        "1 blank(s) for sheet A; glue on before ripping: teal, teal",
        "table_saw.kerf = 3.2 mm",
        "Sawing can maim.",
        "blade tilted 30.0\u{b0} from vertical",
        "no choice of boards takes less: proven",
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
    ran.ended(1).err_has("the stock does not suffice");
    let short = ran.out.find("NOT ENOUGH STOCK").expect("said");
    assert!(short < ran.out.find("Tiles to make").expect("the rest"));
    assert!(ran.out.contains("(teal, teal)") && ran.out.contains("to close it"));
}

#[test]
fn inches_are_printed_where_the_shop_asks() {
    let bench = Bench::new()
        .file("a.rhai", BLOCKS)
        .file("shop.toml", "units = \"in\"\n");
    let ran = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    ran.ended(0);
    // 25.519 mm = 1.0047 in.
    assert!(
        ran.out
            .contains("each takes 1 in = 0.8592 + 0.126 / sin 60"),
        "{}",
        ran.out
    );
}

#[test]
fn json_has_a_schema_and_every_figure_its_sum() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai", "--json"]);
    ran.ended(0);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["schema"], "plyloom-plan");
    assert_eq!(json["version"], 1);
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

#[test]
fn from_parts_tells_the_largest_panel_and_what_remains() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai", "--from-parts", "block=14"]);
    ran.ended(0);
    // Of 6 x 4, with 14 tiles at most: 4 x 3 = 12, 3 x 4 = 12, 6 x 2 = 12; the first has least
    // courses.
    for part in [
        "6 columns x 2 courses, 12 tiles",
        "block: 12 used, 2 remain",
    ] {
        assert!(ran.out.contains(part), "{part}\n{}", ran.out);
    }
    let json = bench.run(&["plan", "a.rhai", "--from-parts", "block=14", "--json"]);
    json.ended(0);
    let json: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!(json["from_parts"][0]["largest"]["tiles"], 12);
    bench
        .run(&["plan", "a.rhai", "--from-parts", "blok=14"])
        .ended(2)
        .err_has("did you mean \"block\"?");
    bench
        .run(&["plan", "a.rhai", "--from-parts", "14 blocks"])
        .ended(2)
        .err_has("name=count");
}

#[test]
fn slices_that_the_clamp_should_hold_are_told() {
    let shop = "[slicing]\nend_trim = 10\n";
    let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", shop);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    assert!(
        ran.out.contains("stretch that must stay in the clamp"),
        "{}",
        ran.out
    );
    let common = bench.run(&["plan", "a.rhai"]);
    assert!(
        !common.out.contains("must stay in the clamp"),
        "{}",
        common.out
    );
    assert!(
        common.out.contains("keep the last 150 mm"),
        "{}",
        common.out
    );
}
