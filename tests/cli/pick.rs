//! `plyloom pick`, and choices wherever a recipe is taken.

use crate::common::Bench;

const DRIFT: &str = "let plain = param(\"plain\", 2, #{ from: 0, to: 9 });
let dye = param(\"dye\", \"navy\", #{ kind: \"colour\" });
let wide = param(\"wide\", 120, #{ unit: \"mm\" });
let line = veneer(0.6, dye);
let sheet = laminate([line, plywood(5, 6.4), line]);
let r = sheet.rhombus(60);
let block = hexagon([r, r.roll(), r.end_for_end()]).slice(\"block\");
panel(\"Drift\", hexagons(block)).finished(wide, 60).fill(random(\"drift\", block.looks()));
";

fn bench() -> Bench {
    let bench = Bench::new().file("in/drift.rhai", DRIFT);
    bench
        .run(&[
            "vary",
            "in/drift.rhai",
            "--seeds",
            "5..7",
            "--set",
            "wide=\"4 1/2 in\",90",
            "--out",
            "out",
        ])
        .ended(0);
    bench
}

#[test]
fn a_choice_is_the_variation_again() {
    let bench = bench();
    bench
        .run(&["pick", "out", "2", "--out", "keep/../tray"])
        .ended(1)
        .err_has("no folder");
    bench
        .run(&["pick", "out", "2", "--out", "tray"])
        .ended(0)
        .out_has("pinned variation 2 in tray.pick")
        .out_has("plyloom preview tray.pick");
    let text = bench.read("tray.pick");
    for line in [
        "recipe = \"in/drift.rhai\"",
        "seed = 6",
        "wide = 114.3",
        "dye = \"navy\"",
        "plain = 2",
    ] {
        assert!(text.contains(line), "{line} is not in {text}");
    }
    let tally = |words: &[&str]| {
        let ran = bench.run(words);
        ran.ended(0);
        let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
        (
            json["panels"][0]["kinds"].clone(),
            json["seed"].clone(),
            ran.err,
        )
    };
    let (pinned, seed, err) = tally(&["preview", "tray.pick", "--json"]);
    let typed = [
        "preview",
        "in/drift.rhai",
        "--json",
        "--seed",
        "6",
        "--set",
        "wide=4.5in",
    ];
    assert_eq!(pinned, tally(&typed).0);
    assert_eq!((seed, err.as_str()), (6.into(), ""));
    // The picture goes beside the choice.
    assert!(bench.path("tray.svg").is_file());
    // What is typed goes first.
    let (_, seed, _) = tally(&["preview", "tray.pick", "--json", "--seed", "9"]);
    assert_eq!(seed, 9);
}

#[test]
fn other_commands_take_a_choice_too() {
    let bench = bench();
    bench
        .run(&["pick", "out", "3"])
        .ended(0)
        .out_has("drift-3.pick");
    bench.run(&["legible", "drift-3.pick"]).ended(0);
    bench
        .run(&[
            "vary",
            "drift-3.pick",
            "--set",
            "plain=0,4",
            "--out",
            "near",
        ])
        .ended(0)
        .out_has("2 variations");
    bench.run(&["pick", "near", "1", "--out", "again"]).ended(0);
    let text = bench.read("again.pick");
    assert!(
        text.contains("seed = 7") && text.contains("wide = 114.3"),
        "{text}"
    );
}

#[test]
fn a_recipe_that_changed_since_is_told() {
    let bench = bench();
    bench.run(&["pick", "out", "1", "--out", "a"]).ended(0);
    bench.write("in/drift.rhai", format!("// new\n{DRIFT}"));
    bench
        .run(&["preview", "a.pick"])
        .ended(0)
        .err_has("has changed since this choice was pinned");
    bench
        .run(&["pick", "out", "1", "--out", "b"])
        .ended(0)
        .out_has("has changed since the variations were made");
    bench.write(
        "in/drift.rhai",
        DRIFT.replace("param(\"plain\"", "param(\"bare\""),
    );
    bench
        .run(&["preview", "a.pick"])
        .ended(2)
        .err_has("may have changed")
        .err_has("no parameter `plain`");
    std::fs::remove_file(bench.path("in/drift.rhai")).expect("removed");
    bench
        .run(&["preview", "a.pick"])
        .ended(1)
        .err_has("there is no file `in/drift.rhai`");
}

#[test]
fn a_choice_reaches_its_own_folder_only() {
    let bench = bench();
    bench.write("mine/secret.txt", "the key is 1234");
    bench
        .run(&["pick", "out", "1", "--out", "keep"])
        .ended(0)
        .out_has("plyloom preview keep.pick\n");
    let inside = bench.read("keep.pick");
    // A choice in another folder than its recipe's is told so when it is pinned.
    bench
        .run(&["pick", "out", "1", "--out", "out/far"])
        .ended(0)
        .out_has("plyloom preview out/far.pick --elsewhere");
    bench
        .run(&["preview", "out/far.pick"])
        .ended(1)
        .err_has("`out/far.pick` names the recipe `../in/drift.rhai`, which lies outside")
        .err_has("`--elsewhere`");
    bench
        .run(&["preview", "out/far.pick", "--elsewhere"])
        .ended(0);
    // What is no recipe is not opened, so nothing of it is told.
    for name in ["mine/secret.txt", "/etc/passwd", "mine/nothing.txt"] {
        bench.write("bad.pick", inside.replace("in/drift.rhai", name));
        for elsewhere in [&[][..], &["--elsewhere"]] {
            let words = [&["preview", "bad.pick"], elsewhere].concat();
            let ran = bench.run(&words);
            ran.ended(1).err_has("which is not the name of a recipe");
            assert!(!ran.err.contains("1234") && !ran.err.contains("root:"));
        }
    }
    bench
        .run(&["compare", "keep.pick", "out/far.pick"])
        .ended(1)
        .err_has("lies outside");
}

#[cfg(unix)]
#[test]
fn a_link_leads_a_choice_nowhere_else() {
    let bench = bench();
    bench.write("mine/private.rhai", DRIFT);
    std::fs::create_dir(bench.path("theirs")).expect("a folder");
    let link = bench.path("theirs/drift.rhai");
    std::os::unix::fs::symlink(bench.path("mine/private.rhai"), link).expect("a link");
    bench.run(&["pick", "out", "1", "--out", "keep"]).ended(0);
    let text = bench.read("keep.pick").replace("in/drift", "drift");
    bench.write("theirs/their.pick", text);
    bench
        .run(&["preview", "theirs/their.pick"])
        .ended(1)
        .err_has("lies outside the folder of the choice");
    bench
        .run(&["preview", "theirs/their.pick", "--elsewhere"])
        .ended(0);
}

#[test]
fn slips_are_told() {
    let bench = bench();
    bench
        .run(&["pick", "out", "99"])
        .ended(1)
        .err_has("numbers from 1 to 6");
    bench
        .run(&["pick", "in", "1"])
        .ended(1)
        .err_has("has no variations");
    bench.run(&["pick", "out", "one"]).ended(2);
    bench.run(&["pick", "out", "1", "--out", "a.pick"]).ended(0);
    bench
        .run(&["pick", "out", "2", "--out", "a"])
        .ended(1)
        .err_has("was not changed");
    bench.write("shop.pick", "kerf = 3\n");
    bench
        .run(&["preview", "shop.pick"])
        .ended(1)
        .err_has("is not a pinned choice");
    bench.write("torn.pick", "schema = ");
    bench
        .run(&["preview", "torn.pick"])
        .ended(1)
        .err_has("is not a pinned choice");
    let later = bench.read("a.pick").replace("version = 1", "version = 9");
    bench.write("later.pick", later);
    bench
        .run(&["preview", "later.pick"])
        .ended(1)
        .err_has("format 9");
    bench
        .run(&[
            "preview",
            "a.pick",
            "--out",
            "in/drift.rhai",
            "--format",
            "svg",
        ])
        .ended(2)
        .err_has("belongs to the recipe");
}

#[test]
fn a_parameter_in_inches_keeps_its_length() {
    let bench = Bench::new().file(
        "in/inch.rhai",
        "let w = param(\"wide\", \"3/4 in\", #{ unit: \"in\", from: \"1/4 in\", to: \"2 in\" });\n\
         let t = bar(plywood(13, 18).rip(w)).slice(\"t\");\n\
         panel(\"p\", squares(t)).size(2, 2).fill(t);\n",
    );
    bench
        .run(&["vary", "in/inch.rhai", "--set", "wide=1/2,1", "--out", "v"])
        .ended(0);
    bench.run(&["pick", "v", "1", "--out", "a.pick"]).ended(0);
    let ran = bench.run(&["preview", "a.pick", "--out", "a.svg"]);
    ran.ended(0).out_has("25.4 x 36.0 mm");
    assert_eq!(ran.err, "");
}
