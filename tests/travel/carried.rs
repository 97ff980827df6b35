//! Pictures carry their recipe, in standard metadata, and give it back.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::fs;
use std::io::Cursor;

use oxrdfxml::RdfXmlParser;

use crate::common::{Bench, names};

const RECIPE: &str = r#"// Für "die" <Fähre> & ]]> -- ende
about(#{
    title: "Tray <b> & more",
    author: "the joiners of Sandle Ness",
    licence: "CC-BY-4.0 OR MIT",
    purpose: "a tray",
});
import "rules/rings" as rings;
let wide = param("wide", "3/4 in", #{ unit: "in", from: "1/4 in", to: "2 in" });
let spare = param("spare", false);
if spare { import "spare" as s; }
let tile = bar(plywood(13, 18).rip(wide)).slice("tile");
panel("Front <i>", squares(tile)).size(rings::count(), 2).fill(random("mix", tile.looks()));
"#;
const RINGS: &str = "about(#{ author: \"A. Cooper\" });\r\nfn count() { 3 }\r\n// no end";

fn bench() -> Bench {
    Bench::new()
        .file("in/tray.rhai", RECIPE)
        .file("in/rules/rings.rhai", RINGS)
        .file("in/spare.rhai", "// spare\n")
}

/// All triples of the RDF in a drawing's metadata as `predicate object`, read by another program's
/// reader of RDF/XML (W3C Recommendation of 25 February 2014).
fn triples(svg: &str) -> Vec<String> {
    let start = svg.find("<rdf:RDF").unwrap();
    let end = svg.find("</rdf:RDF>").unwrap() + "</rdf:RDF>".len();
    RdfXmlParser::new()
        .with_base_iri("file:///picture.svg")
        .unwrap()
        .for_slice(&svg.as_bytes()[start..end])
        .map(|triple| {
            let triple = triple.unwrap();
            assert_eq!(triple.subject.to_string(), "<file:///picture.svg>");
            format!("{} {}", triple.predicate, triple.object)
        })
        .collect()
}

#[test]
fn a_drawing_tells_in_standard_terms_what_it_is() {
    let bench = bench();
    bench
        .run(&["preview", "in/tray.rhai", "--seed", "5", "--set", "wide=1"])
        .ended(0)
        .out_has("Tray <b> & more, by the joiners of Sandle Ness (CC-BY-4.0 OR MIT)\na tray\n");
    let svg = bench.read("in/tray.svg");
    roxmltree::Document::parse(&svg).unwrap();
    let triples = triples(&svg);
    let dc = "<http://purl.org/dc/elements/1.1/";
    let own = format!("<{}", plyloom::bundle::NAMESPACE);
    for wanted in [
        format!("{dc}title> \"Tray <b> & more\""),
        format!("{dc}creator> \"the joiners of Sandle Ness\""),
        format!("{dc}contributor> \"A. Cooper\""),
        format!("{dc}rights> \"CC-BY-4.0 OR MIT\""),
        format!("{dc}description> \"a tray\""),
        format!("{dc}format> \"image/svg+xml\""),
        format!("{dc}type> <http://purl.org/dc/dcmitype/StillImage>"),
        format!("{own}panel> \"Front <i>\""),
        format!("{own}seed> \"5\""),
        format!("{own}language> \"1\""),
        format!("{own}parameter> \"wide = 1 in\""),
        format!("{own}parameter> \"spare = no\""),
        format!("{own}module> \"rules/rings\""),
        format!("{own}module> \"spare\""),
    ] {
        assert!(triples.contains(&wanted), "no {wanted} in {triples:#?}");
    }
}

#[test]
fn both_kinds_of_picture_give_the_recipe_back_with_what_was_set() {
    let bench = bench();
    let set = ["--seed", "5", "--set", "wide=1"];
    for picture in ["a.svg", "a.png"] {
        let preview = ["preview", "in/tray.rhai", "--out", picture];
        bench.run(&[&preview[..], &set].concat()).ended(0);
        let out = format!("out-{picture}");
        bench
            .run(&["unpack", picture, "--out", &out])
            .ended(0)
            .out_has("preview")
            .out_has(&format!("{out}/tray.pick"));
        assert_eq!(
            bench.names(&out),
            ["rules", "spare.rhai", "tray.pick", "tray.rhai"]
        );
        assert_eq!(bench.read(&format!("{out}/tray.rhai")), RECIPE);
        assert_eq!(bench.read(&format!("{out}/rules/rings.rhai")), RINGS);
        let again = format!("again-{picture}");
        let ran = bench.run(&["preview", &format!("{out}/tray.pick"), "--out", &again]);
        ran.ended(0);
        assert_eq!(ran.err, "", "the choice agrees with the recipe");
        assert_eq!(
            fs::read(bench.path(picture)).unwrap(),
            fs::read(bench.path(&again)).unwrap(),
            "the stranger's picture, byte for byte"
        );
    }
}

#[test]
fn a_png_says_what_it_is_by_the_keywords_of_its_standard() {
    let bench = bench();
    bench
        .run(&[
            "preview",
            "in/tray.rhai",
            "--out",
            "a.png",
            "--width",
            "300",
        ])
        .ended(0);
    let bytes = fs::read(bench.path("a.png")).unwrap();
    let reader = png::Decoder::new(Cursor::new(bytes)).read_info().unwrap();
    let texts = &reader.info().utf8_text;
    let text = |keyword: &str| {
        let chunk = texts.iter().find(|c| c.keyword == keyword).unwrap();
        (chunk.get_text().unwrap(), chunk.compressed)
    };
    assert_eq!(text("Title").0, "Tray <b> & more");
    assert_eq!(text("Author").0, "the joiners of Sandle Ness");
    assert_eq!(text("Copyright").0, "CC-BY-4.0 OR MIT");
    assert!(text("Software").0.starts_with("Plyloom "));
    let (pack, compressed) = text("Plyloom pack");
    assert!(pack.starts_with(RECIPE), "{pack}");
    assert_eq!(compressed, pack.len() > 1024, "{}", pack.len());
}

#[test]
fn no_recipe_leaves_it_out() {
    let bench = bench();
    for picture in ["a.svg", "a.png"] {
        bench
            .run(&["preview", "in/tray.rhai", "--no-recipe", "--out", picture])
            .ended(0);
        let bytes = fs::read(bench.path(picture)).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        assert!(!text.contains("joiners") && !text.contains("metadata"));
        bench
            .run(&["unpack", picture, "--out", "out"])
            .ended(1)
            .err_has("carries no recipe")
            .err_has("--no-recipe");
        assert!(!bench.path("out").exists());
    }
}

#[test]
fn variations_carry_the_recipe_too() {
    let bench = bench();
    bench
        .run(&[
            "vary",
            "in/tray.rhai",
            "--seeds",
            "1..3",
            "--set",
            "wide=1/2,3/4",
            "--out",
            "v",
        ])
        .ended(0);
    bench
        .run(&["unpack", "v/panels/6.svg", "--list"])
        .ended(0)
        .out_has("seed      3\nset       wide = 19.05");
    for sheet in ["v/sheet.svg", "v/sheet.html"] {
        let sheet = bench.read(sheet);
        assert!(!sheet.contains("rings::count"), "sheets do not repeat it");
    }
    assert!(
        bench
            .read("v/sheet.html")
            .contains("by the joiners of Sandle Ness (CC-BY-4.0 OR MIT)"),
        "the page names the author"
    );
    bench
        .run(&[
            "vary",
            "in/tray.rhai",
            "--seeds",
            "1",
            "--out",
            "w",
            "--no-recipe",
        ])
        .ended(0);
    assert!(!bench.read("w/panels/1.svg").contains("metadata"));
}

#[test]
fn a_text_that_would_not_survive_is_not_carried_and_the_maker_is_told() {
    let bench = Bench::new().file("a.rhai", RECIPE.replace("// Für", "// \u{1} Für"));
    bench.write("rules/rings.rhai", RINGS);
    bench
        .run(&["preview", "a.rhai"])
        .ended(0)
        .err_has("the recipe is not stored in the picture: the recipe, line 1, holds the control character U+0001");
    assert!(!bench.read("a.svg").contains("<metadata>"));
    bench
        .run(&["pack", "a.rhai"])
        .ended(1)
        .err_has("U+0001")
        .err_has("leave it out of the text");
}

#[test]
fn nothing_is_replaced_unless_told_and_nothing_lies_outside_the_folder() {
    let bench = bench();
    bench
        .run(&["preview", "in/tray.rhai", "--out", "a.svg"])
        .ended(0);
    bench.write("out/tray.rhai", "mine\n");
    bench
        .run(&["unpack", "a.svg", "--out", "out"])
        .ended(1)
        .err_has("`out/tray.rhai` already exists")
        .err_has("--overwrite");
    assert_eq!(bench.read("out/tray.rhai"), "mine\n");
    assert_eq!(bench.names("out"), ["tray.rhai"], "nothing half done");
    bench
        .run(&["unpack", "a.svg", "--out", "out", "--overwrite"])
        .ended(0);
    assert_eq!(bench.read("out/tray.rhai"), RECIPE);

    // Names that a forged picture may hold.
    let good = bench.read("a.svg");
    for name in [
        "../up",
        "/tmp/up",
        "a/../../up",
        "C:up",
        ".up",
        "a\\\\up",
        "a//up",
        "up\\u0000",
    ] {
        let forged = good.replace(
            "// module \"rules/rings\"",
            &format!("// module \"{name}\""),
        );
        assert_ne!(forged, good);
        bench.write("forged.svg", forged);
        bench
            .run(&["unpack", "forged.svg", "--out", "out2", "--changed"])
            .ended(1)
            .err_has("is damaged");
        assert!(!bench.path("out2").exists());
    }
    for name in ["..", "a/b", "", "/x", "x\\n"] {
        let forged = good.replace("// recipe \"tray\"", &format!("// recipe \"{name}\""));
        bench.write("forged.svg", forged);
        bench
            .run(&["unpack", "forged.svg", "--out", "out2", "--changed"])
            .ended(1)
            .err_has("not a name for a recipe");
        assert!(!bench.path("out2").exists());
    }
}

#[cfg(unix)]
#[test]
fn links_in_the_folder_lead_nowhere_else() {
    let bench = bench();
    bench
        .run(&["preview", "in/tray.rhai", "--out", "a.svg"])
        .ended(0);
    fs::create_dir_all(bench.path("out")).unwrap();
    fs::create_dir_all(bench.path("elsewhere")).unwrap();
    std::os::unix::fs::symlink(bench.path("elsewhere"), bench.path("out/rules")).unwrap();
    bench
        .run(&["unpack", "a.svg", "--out", "out", "--overwrite"])
        .ended(1)
        .err_has("outside");
    assert_eq!(names(&bench.path("elsewhere")), Vec::<String>::new());
}

#[test]
fn a_changed_recipe_is_noticed_by_its_hash() {
    let bench = bench();
    bench
        .run(&["preview", "in/tray.rhai", "--out", "a.svg"])
        .ended(0);
    let forged = bench.read("a.svg").replace("{ 3 }", "{ 4 }");
    bench.write("a.svg", forged);
    bench
        .run(&["unpack", "a.svg", "--out", "out"])
        .ended(1)
        .err_has("hash does not agree")
        .err_has("--changed");
    assert!(!bench.path("out").exists());
    bench
        .run(&["unpack", "a.svg", "--list"])
        .ended(0)
        .out_has("(changed since it was packed)");
    bench
        .run(&["unpack", "a.svg", "--out", "out", "--changed"])
        .ended(0)
        .err_has("changed after it was packed");
}

#[test]
fn what_is_no_picture_is_told_so() {
    let bench = bench()
        .file("empty.svg", "")
        .file(
            "half.svg",
            "<svg xmlns='http://www.w3.org/2000/svg'><metadata>",
        )
        .file("plain.svg", "<svg xmlns='http://www.w3.org/2000/svg'/>")
        .file(
            "laughs.svg",
            "<!DOCTYPE svg [<!ENTITY a 'ha'><!ENTITY b '&a;&a;'>]><svg>&b;</svg>",
        )
        .file("half.png", &b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR"[..])
        .file("odd.bin", &b"\xff\xfe\0"[..]);
    for (file, why) in [
        ("empty.svg", "cannot be read as SVG"),
        ("half.svg", "cannot be read as SVG"),
        ("plain.svg", "carries no recipe"),
        ("laughs.svg", "cannot be read as SVG"),
        ("half.png", "cannot be read as PNG"),
        ("odd.bin", "cannot be read as SVG"),
        ("in/tray.rhai", "it is not a pack"),
        ("none.svg", "there is no file"),
    ] {
        bench.run(&["unpack", file]).ended(1).err_has(why);
    }
}
