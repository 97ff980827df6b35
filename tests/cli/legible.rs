//! `plyloom legible`, and looking with `plyloom preview`.

use crate::common::Bench;

const BLOCKS: &str = "let line = veneer(0.6, \"soot\");
let sheet = laminate([line, plywood(13, 18), line]);
let r = sheet.rhombus(60);
let block = hexagon([r, r, r]).slice(\"block\");
panel(\"Blocks\", hexagons(block)).finished(200, 150).fill(random(\"turn\", block.looks()));
";

const PLAIN: &str = "let r = plywood(13, 18).rhombus(60);
let block = hexagon([r, r, r]).slice(\"block\");
panel(\"Plain\", hexagons(block)).finished(200, 150).fill(block);
";

fn bench() -> Bench {
    Bench::new()
        .file("blocks.rhai", BLOCKS)
        .file("plain.rhai", PLAIN)
}

#[test]
fn tells_how_far_lines_and_pattern_read_and_what_helps() {
    let ran = bench().run(&["legible", "blocks.rhai", "--from", "2m", "--from", "30 ft"]);
    ran.ended(0)
        .out_has("2 x veneer, soot")
        .out_has("2.06 m")
        .out_has("veneers 2 times as thick")
        .out_has("handle, 110 x 25 mm")
        .out_has("round table: does not fit");
    bench()
        .run(&["legible", "plain.rhai", "--object", "handle"])
        .ended(0)
        .out_has("never plain")
        .out_has("veneer dyed soot on face and back: plain up to");
}

#[test]
fn the_same_as_json() {
    let ran = bench().run(&["legible", "blocks.rhai", "--json", "--object", "90x60"]);
    ran.ended(0);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["schema"], "plyloom-legible");
    let sheet = &json["panels"][0]["bars"][0]["sheets"][0];
    assert_eq!(sheet["thickness_mm"], 19.2);
    assert_eq!(sheet["lines"][0]["width_mm"], 0.6);
    assert_eq!(json["panels"][0]["objects"][0]["object"], "90x60");
}

#[test]
fn a_sweep_of_light_is_one_page_of_eight() {
    let bench = bench();
    bench
        .run(&["preview", "blocks.rhai", "--light", "sweep"])
        .ended(0);
    let svg = bench.read("blocks.svg");
    assert_eq!(svg.matches("<text").count(), 9, "a title and eight words");
    assert!(svg.contains("from above left (225"));
}

#[test]
fn light_and_finish_change_the_picture_and_nothing_else() {
    let bench = bench();
    let tally = |words: &[&str]| {
        let mut line = vec!["preview", "blocks.rhai", "--json"];
        line.extend(words);
        let ran = bench.run(&line);
        ran.ended(0);
        (ran.out, bench.read("blocks.svg"))
    };
    let (plain, drawn) = tally(&[]);
    let (lit, lit_drawn) = tally(&["--light", "225", "--finish", "oil"]);
    assert_eq!(plain, lit);
    assert_ne!(drawn, lit_drawn);
    let (_, same) = tally(&["--finish", "raw", "--view", "usual"]);
    assert_eq!(drawn, same);
}

#[test]
fn from_afar_is_a_picture_of_pixels() {
    let bench = bench();
    bench
        .run(&["preview", "blocks.rhai", "--from", "3m"])
        .ended(2)
        .err_has("--format png");
    bench
        .run(&["preview", "blocks.rhai", "--from", "3"])
        .ended(2)
        .err_has("3 ft");
    bench
        .run(&[
            "preview",
            "blocks.rhai",
            "--from",
            "3m",
            "--light",
            "sweep",
            "--format",
            "png",
        ])
        .ended(2)
        .err_has("one direction");
    bench
        .run(&[
            "preview",
            "blocks.rhai",
            "--from",
            "3m",
            "--out",
            "far.png",
            "--width",
            "300",
        ])
        .ended(0);
    assert!(bench.path("far.png").is_file());
}

#[test]
fn objects_and_eyes_that_nobody_knows() {
    bench()
        .run(&["legible", "blocks.rhai", "--object", "spoon"])
        .ended(2)
        .err_has("round coaster");
    bench()
        .run(&["preview", "blocks.rhai", "--view", "hawk"])
        .ended(2)
        .err_has("deuteranopia");
}

#[test]
fn objects_are_drawn_side_by_side_with_what_was_tried() {
    let bench = bench();
    let words = [
        "legible",
        "plain.rhai",
        "--object",
        "handle",
        "--object",
        "round coaster",
        "--out",
        "page.svg",
    ];
    bench.run(&words).ended(0);
    let svg = bench.read("page.svg");
    for part in ["handle", "round coaster", "<circle", "veneer dyed soot"] {
        assert!(svg.contains(part), "{part}");
    }
    bench
        .run(&[
            "legible",
            "plain.rhai",
            "--object",
            "round table",
            "--out",
            "t.svg",
        ])
        .ended(1)
        .err_has("smaller");
    bench
        .run(&["legible", "plain.rhai", "--width", "300"])
        .ended(2)
        .err_has("--out");
}

#[test]
fn grain_is_off_unless_asked_for_and_the_same_each_time() {
    let bench = bench();
    let draw = |words: &[&str], file: &str| {
        let mut line = vec![
            "preview",
            "blocks.rhai",
            "--bare",
            "--width",
            "300",
            "--out",
            file,
        ];
        line.extend(words);
        bench.run(&line).ended(0);
        std::fs::read(bench.path(file)).expect("a picture")
    };
    let smooth = draw(&[], "a.png");
    let grained = draw(&["--grain"], "b.png");
    assert_ne!(smooth, grained);
    assert_eq!(grained, draw(&["--grain"], "c.png"));
}

/// Round objects are cut round by whatever draws them: this page is what `watch` shows too.
#[test]
fn objects_are_previewed_at_true_scale_and_round_ones_round() {
    let bench = bench();
    let draw = |words: &[&str]| {
        let line = ["preview", "blocks.rhai", "--out", "x.svg"];
        let line: Vec<&str> = line.iter().chain(words).copied().collect();
        bench.run(&line).ended(0);
        bench.read("x.svg")
    };
    let two = draw(&["--object", "round 90", "--object", "handle"]);
    assert_eq!(two.matches("<clipPath id=\"d1-round\"><circle").count(), 1);
    assert!(
        two.contains("r=\"45\""),
        "a user unit is a millimetre: 90 mm across"
    );
    assert!(two.contains("handle: ") && two.contains("lines per 100 mm"));
    // All kinds with a name, on a panel that is large enough.
    for kind in ["coaster", "round coaster", "box lid"] {
        assert!(draw(&["--object", kind]).contains(kind), "{kind}");
    }
    let swept = draw(&["--object", "round 90", "--light", "sweep"]);
    assert_eq!(swept.matches("<circle").count(), 8);
    bench
        .run(&["preview", "blocks.rhai", "--object", "round table"])
        .ended(1)
        .err_has("does not fit");
    bench
        .run(&[
            "preview",
            "blocks.rhai",
            "--object",
            "round 40",
            "--from",
            "3m",
            "--grain",
            "--out",
            "far.png",
            "--width",
            "200",
        ])
        .ended(0);
    assert!(bench.path("far.png").is_file());
}

/// Small objects come out of the wood that an L with a hole has: none lies over its bay or its hole.
#[test]
fn objects_are_cut_from_the_wood_of_a_concave_outline() {
    let bench = Bench::new().file(
        "l.rhai",
        "let a = bar(plywood(9, 12).square()).slice(\"a\");\nlet b = bar(plywood(9, 12, \"walnut\").square()).slice(\"b\");\n\
         panel(\"l\", squares(a)).finished_outline(l_shape(300, 240, 110, 100).hole(circle(40), 20, 20))\n\
         .fill(|cell| if around(cell.column + cell.course, 3) == 0 { b } else { a });\n",
    );
    let ran = bench.run(&["legible", "l.rhai", "--json"]);
    ran.ended(0);
    let told: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let mut placed = 0;
    for (object, width, height) in [(0, 110.0, 25.0), (1, 100.0, 100.0)] {
        for best in ["boldest", "completest"] {
            let place = &told["panels"][0]["objects"][object][best];
            let middle = |axis: &str| place[axis].as_f64().expect("a length");
            let (x, y) = (middle("x_mm"), middle("y_mm"));
            let (left, right) = (x - width / 2.0, x + width / 2.0);
            let (top, bottom) = (y - height / 2.0, y + height / 2.0);
            assert!(
                left > -0.1 && top > -0.1 && (right < 110.1 || bottom < 100.1),
                "{place}"
            );
            assert!(
                top > 59.9 || left > 59.9 || bottom < 20.1,
                "over the hole: {place}"
            );
            placed += 1;
        }
    }
    assert_eq!(placed, 4);
}
