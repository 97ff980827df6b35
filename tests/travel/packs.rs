//! A packed recipe is taken by every command, is the same when packed again, and comes back to the
//! same texts.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use plyloom::bundle::{Bundle, Packed, Verdict};
use plyloom::recipe::parameter::Value;
use proptest::prelude::*;

use crate::common::Bench;

const RECIPE: &str = r#"
import "rings" as rings;
import "sequences" as seq;
let wide = param("wide", 36, #{ unit: "mm", from: 10, to: 50 });
let tile = bar(plywood(13, 18).rip(wide)).slice("tile");
panel("Front", squares(tile)).size(rings::count(), 2).fill(random("mix", tile.looks()));
"#;

fn bench() -> Bench {
    Bench::new()
        .file("in/tray.rhai", RECIPE)
        .file(
            "in/rings.rhai",
            "import \"deep/er\" as d;\nfn count() { 4 }\n",
        )
        .file("in/deep/er.rhai", "fn nothing() { }")
}

#[test]
fn every_command_takes_a_pack_like_the_recipe() {
    let bench = bench();
    bench
        .run(&["pack", "in/tray.rhai", "--out", "sent/gift.rhai"])
        .ended(1)
        .err_has("there is no folder");
    bench.write("sent/.keep", "");
    bench
        .run(&["pack", "in/tray.rhai", "--out", "sent/gift.rhai"])
        .ended(0)
        .out_has("holds the recipe with 3 rule modules");
    // Nothing but the pack is there: its modules come from nowhere else.
    assert_eq!(bench.names("sent"), [".keep", "gift.rhai"]);
    for command in [
        &["preview"][..],
        &["preview", "--json"],
        &["plan", "--json"],
        &["arrangements", "--repeat", "2x1"],
        &["legible"],
        &["compare"],
    ] {
        let run = |recipe| {
            let words = [&command[..1], &[recipe], &command[1..]].concat();
            let out = if command[0] == "compare" {
                bench.run(&[&words[..], &[recipe, "--out", "c.svg"]].concat())
            } else {
                bench.run(&words)
            };
            assert_eq!(out.code, 0, "{command:?} {out:#?}");
            out.out
        };
        let (one, other) = (run("in/tray.rhai"), run("sent/gift.rhai"));
        let plain = |text: &str, name: &str| text.replace(name, "RECIPE").replace([' ', '-'], "");
        let named = |text: &str, dir: &str, stem: &str| {
            plain(text, &format!("{dir}/{stem}.rhai"))
                .replace(&format!("{dir}/{stem}.svg"), "PICTURE")
        };
        assert_eq!(
            named(&one, "in", "tray"),
            named(&other, "sent", "gift"),
            "{command:?}"
        );
    }
    let (one, other) = (bench.read("in/tray.svg"), bench.read("sent/gift.svg"));
    assert_eq!(one, other, "the same picture with the same recipe in it");
    bench
        .run(&["vary", "sent/gift.rhai", "--seeds", "1..2", "--out", "v"])
        .ended(0);
    bench.run(&["pick", "v", "2", "--out", "two"]).ended(0);
    let ran = bench.run(&["preview", "two.pick", "--out", "two.svg"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
}

#[test]
fn a_pack_of_a_pack_is_itself_and_holds_what_was_set() {
    let bench = bench();
    let set = ["--set", "wide=1 in", "--seed", "3"];
    let pack = ["pack", "in/tray.rhai", "--out", "a.rhai"];
    bench.run(&[&pack[..], &set].concat()).ended(0);
    bench.run(&["pack", "a.rhai", "--out", "b.rhai"]).ended(0);
    assert_eq!(bench.read("a.rhai"), bench.read("b.rhai"));
    bench
        .run(&["pack", "a.rhai", "--out", "b.rhai"])
        .ended(0)
        .out_has("already exists, with the same content");
    let picture = ["preview", "in/tray.rhai", "--out", "one.svg"];
    bench.run(&[&picture[..], &set].concat()).ended(0);
    bench
        .run(&["preview", "a.rhai", "--out", "two.svg"])
        .ended(0);
    assert_eq!(bench.read("one.svg"), bench.read("two.svg"));
    // What is typed goes before what is packed.
    bench
        .run(&[
            "preview",
            "a.rhai",
            "--set",
            "wide=20",
            "--out",
            "three.svg",
        ])
        .ended(0)
        .out_has("80.0 x ");
    bench.run(&["unpack", "a.rhai", "--out", "out"]).ended(0);
    assert_eq!(bench.read("out/tray.rhai"), RECIPE);
    assert_eq!(
        bench.names("out"),
        ["deep", "rings.rhai", "tray.pick", "tray.rhai"],
        "the library's own module is not repeated"
    );
    bench
        .run(&["pack", "in/tray.rhai", "--out", "a.rhai"])
        .ended(1)
        .err_has("already exists");
    bench
        .run(&[
            "pack",
            "a.rhai",
            "--out",
            "a.rhai",
            "--overwrite",
            "--seed",
            "9",
        ])
        .ended(1);
}

#[test]
fn a_pack_that_was_edited_runs_with_a_word_about_it_and_a_broken_one_does_not() {
    let bench = bench();
    bench
        .run(&["pack", "in/tray.rhai", "--out", "a.rhai"])
        .ended(0);
    let text = bench.read("a.rhai");
    bench.write("edited.rhai", text.replace("\"Front\"", "\"Back\""));
    bench
        .run(&["preview", "edited.rhai"])
        .ended(0)
        .out_has("Back\n")
        .err_has("`edited.rhai` has changed since it was packed");
    bench.write("cut.rhai", &text[..text.len() - 60]);
    bench
        .run(&["preview", "cut.rhai"])
        .ended(1)
        .err_has("the pack is damaged")
        .err_has("ask for it again");
    bench.write("later.rhai", text.replace("pack 1 ", "pack 7 "));
    bench
        .run(&["preview", "later.rhai"])
        .ended(1)
        .err_has("format 7")
        .err_has("newer Plyloom");
    // A mistake in it is told by the lines of the file.
    bench.write("wrong.rhai", text.replace("squares(tile)", "sqares(tile)"));
    bench
        .run(&["preview", "wrong.rhai"])
        .ended(1)
        .err_has("wrong.rhai:6:");
}

#[test]
fn a_packed_library_module_goes_before_that_of_the_program() {
    let bench = Bench::new().file(
        "a.rhai",
        "import \"plyloom/sequences\" as seq;\n\
         let tile = bar(plywood(13, 18).square()).slice(\"tile\");\n\
         panel(\"p\", squares(tile)).size(seq::spread(1, 3).len(), 1).fill(tile);\n",
    );
    bench.run(&["pack", "a.rhai", "--out", "b.rhai"]).ended(0);
    // As if it had been packed with the library of another program.
    let text = bench.read("b.rhai").replace(
        "in 0..length {\n//|         list.push(if",
        "in 0..2 {\n//|         list.push(if",
    );
    bench.write("old.rhai", text);
    bench
        .run(&["preview", "old.rhai"])
        .ended(0)
        .out_has("36.0 x 18.0");
    bench
        .run(&["preview", "b.rhai"])
        .ended(0)
        .out_has("54.0 x 18.0");
}

/// Letters that texts are made of, those that give trouble more often than others.
fn text() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just("\n".to_owned()),
        Just("\r\n".to_owned()),
        Just("]]>".to_owned()),
        Just("--".to_owned()),
        Just("-->".to_owned()),
        Just("&#13;&lt;".to_owned()),
        Just("<![CDATA[".to_owned()),
        Just("//|".to_owned()),
        Just("// ==== end of plyloom pack ====".to_owned()),
        Just("  ".to_owned()),
        Just("\t".to_owned()),
        Just("\u{feff}\u{2028}\u{85}\u{1f600}ß".to_owned()),
        "[ -~]{0,12}",
        "\\PC{0,6}",
    ];
    prop::collection::vec(piece, 0..12).prop_map(|pieces| pieces.concat())
}

fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        any::<bool>().prop_map(Value::YesNo),
        any::<i64>().prop_map(Value::Whole),
        (-1e9..1e9).prop_map(Value::Number),
        text().prop_map(Value::Text),
    ]
}

pub(crate) fn bundle() -> impl Strategy<Value = Bundle> {
    let modules = prop::collection::btree_map(
        "[a-z]{1,8}(/[a-z][a-zé ]{0,6}x)?",
        (any::<bool>(), any::<bool>(), text()),
        0..4,
    );
    let values = prop::collection::btree_map("[a-z][a-z0-9_-]{0,9}", value(), 0..4);
    (text(), modules, prop::option::of(any::<u64>()), values).prop_map(
        |(recipe, modules, seed, values)| Bundle {
            name: "tray é".to_owned(),
            recipe,
            modules: modules
                .into_iter()
                .map(|(name, (library, used, text))| Packed {
                    name,
                    library,
                    used,
                    text,
                })
                .collect(),
            seed,
            values: values.into_iter().collect(),
            program: "0.1.0".to_owned(),
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_packed_comes_back(bundle in bundle()) {
        let text = bundle.text().unwrap();
        let read = Bundle::read(&text).unwrap();
        prop_assert_eq!(&read.bundle, &bundle);
        prop_assert_eq!(read.verdict, Verdict::Exact);
        prop_assert_eq!(read.bundle.text().unwrap(), text.clone());
        // Through a message that sets its own line ends, and one that trims lines.
        let lf = text.replace("\r\n", "\n");
        for sent in [lf.replace('\n', "\r\n"), lf.clone()] {
            let verdict = Bundle::read(&sent).unwrap().verdict;
            prop_assert_ne!(verdict, Verdict::Changed);
        }
    }

    #[test]
    fn a_drawing_and_a_picture_give_it_back(bundle in bundle()) {
        use plyloom::draw::{Ground, bitmap};
        use plyloom::bundle::{KEYWORD, from_picture, metadata};
        use plyloom::recipe::{evaluate, memory_host::MemoryHost, settings::Settings, source::Source};
        let source = Arc::new(Source::new("x", "let a = 1;"));
        let outcome = evaluate(&source, &Settings::default(), Arc::new(MemoryHost::new())).unwrap();
        let bare = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9mm\" height=\"9mm\">\n<desc>x</desc>\n</svg>\n";
        let carried = format!("</desc>\n{}", metadata(&bundle, &outcome, "panel").unwrap());
        let svg = bare.replacen("</desc>\n", &carried, 1);
        let read = from_picture(svg.as_bytes()).unwrap();
        prop_assert_eq!(&read.bundle, &bundle);
        prop_assert_eq!(read.verdict, Verdict::Exact);
        let pack = bundle.text().unwrap();
        let png = bitmap(bare, 16, Ground::Paper).unwrap().png_with(&[("Title", "x"), (KEYWORD, &pack)]).unwrap();
        let read = from_picture(&png).unwrap();
        prop_assert_eq!(&read.bundle, &bundle);
        prop_assert_eq!(read.verdict, Verdict::Exact);
    }

    #[test]
    fn mangled_packs_and_pictures_break_nothing(bundle in bundle(), at in 0.0..1.0_f64, with in "\\PC{0,3}") {
        let text = bundle.text().unwrap();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a part of the length")]
        let mut at = (text.len() as f64 * at) as usize;
        while !text.is_char_boundary(at) { at -= 1; }
        let mangled = format!("{}{with}{}", &text[..at], text[at..].chars().skip(1).collect::<String>());
        if let Ok(read) = Bundle::read(&mangled) && !read.bundle.is_same(&bundle) {
            prop_assert_ne!(read.verdict, Verdict::Exact);
        }
        let _ = Bundle::read(&text[..at]);
    }
}
