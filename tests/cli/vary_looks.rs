//! `plyloom vary`: how variations are looked at, and pictures of pixels.

use std::fs;

use super::vary::{bench, index, same};

#[test]
fn a_look_is_kept_with_the_pictures() {
    let bench = bench();
    let run = |out: &str, words: &[&str]| {
        let line = ["vary", "pair.rhai", "--seeds", "1..3", "--out", out];
        bench.run(&line.iter().chain(words).copied().collect::<Vec<_>>())
    };
    run("plain", &[]).ended(0);
    run("lit", &["--light", "225", "--finish", "oil"]).ended(0);
    run("lit-again", &["--finish", "oil", "--light", "-135"]).ended(0);
    same(&bench, "lit", "lit-again");
    assert_ne!(
        bench.read("plain/panels/1.svg"),
        bench.read("lit/panels/1.svg")
    );
    let lit = index(&bench, "lit");
    assert_eq!(lit["look"]["light"], 225.0);
    assert_eq!(lit["look"]["finish"], "oil");
    assert!(bench.read("lit/sheet.svg").contains("finish oil"));
    let contrast = |out: &str| {
        let index = index(&bench, out);
        index["variations"][0]["result"]["made"]["measures"]["contrast"].clone()
    };
    assert_ne!(contrast("plain"), contrast("lit"));
    // The same folder in another light would mix two looks.
    run("lit", &["--light", "90", "--finish", "oil"])
        .ended(1)
        .err_has("another light");
    bench.run(&["pick", "lit", "1", "--out", "oiled"]).ended(0);
    assert!(bench.read("oiled.pick").contains("light = 225"));
    let drawn = |words: &[&str]| {
        let line = ["preview", "oiled.pick", "--bare", "--out", "x.svg"];
        let line: Vec<&str> = line.iter().chain(words).copied().collect();
        bench.run(&line).ended(0);
        bench.read("x.svg")
    };
    let oiled = drawn(&[]);
    assert_ne!(
        oiled,
        drawn(&["--light", "even", "--finish", "raw"]),
        "what is typed goes first"
    );
    // Parts keep the look when they are joined.
    run(
        "1",
        &["--light", "225", "--finish", "oil", "--shard", "1/2"],
    )
    .ended(0);
    run(
        "2",
        &["--light", "225", "--finish", "oil", "--shard", "2/2"],
    )
    .ended(0);
    bench
        .run(&["vary", "--join", "1", "2", "--out", "whole"])
        .ended(0);
    same(&bench, "lit", "whole");
    bench
        .run(&["vary", "--join", "1", "2", "--out", "x", "--grain"])
        .ended(2)
        .err_has("when the parts are made");
}

#[test]
fn each_panel_has_a_small_picture_as_wide_as_is_wanted() {
    let bench = bench();
    let wide = |out: &str, words: &[&str]| {
        let line = ["vary", "pair.rhai", "--seeds", "1..2", "--out", out];
        let line: Vec<&str> = line.iter().chain(words).copied().collect();
        bench.run(&line).ended(0);
        assert_eq!(
            bench.names(&format!("{out}/thumbnails")),
            ["1.png", "2.png"]
        );
        let small = fs::read(bench.path(&format!("{out}/thumbnails/2.png"))).expect("a picture");
        let reader = png::Decoder::new(std::io::Cursor::new(small)).read_info();
        let info = reader.expect("PNG").info().clone();
        (info.width, info.height)
    };
    let (width, height) = wide("usual", &[]);
    assert_eq!(width.max(height), 310);
    assert_eq!(wide("small", &["--thumbnails", "90"]).0, 90);
    bench
        .run(&["vary", "pair.rhai", "--thumbnails", "3"])
        .ended(2)
        .err_has("16..=2000");
}

/// The sheet of pixels comes of the small pictures; where they are gone, of the drawings.
#[test]
fn parts_bring_their_small_pictures_and_a_sheet_does_without() {
    let bench = bench();
    let run = |out: &str, words: &[&str]| {
        let line = [
            "vary",
            "pair.rhai",
            "--seeds",
            "1..4",
            "--thumbnails",
            "320",
            "--out",
            out,
        ];
        let line: Vec<&str> = line.iter().chain(words).copied().collect();
        bench.run(&line).ended(0);
    };
    run("all", &[]);
    run("1", &["--shard", "1/2"]);
    run("2", &["--shard", "2/2"]);
    bench
        .run(&["vary", "--join", "1", "2", "--out", "whole"])
        .ended(0);
    same(&bench, "all", "whole");
    let bytes = |name: &str| fs::read(bench.path(name)).expect("a file");
    for small in bench.names("all/thumbnails") {
        let name = |of: &str| format!("{of}/thumbnails/{small}");
        assert!(bytes(&name("all")) == bytes(&name("whole")), "{small}");
    }
    let sheet = bytes("all/sheet.png");
    fs::remove_file(bench.path("all/thumbnails/1.png")).expect("it is there");
    bench.write("all/thumbnails/2.png", "no picture");
    run("all", &[]);
    assert!(
        bytes("all/sheet.png") != sheet,
        "two of its cards are rendered now"
    );
}

#[test]
fn variations_from_afar_are_pictures_of_pixels_in_every_sheet() {
    let bench = bench();
    let run = |out: &str, jobs: &str| {
        bench.run(&[
            "vary",
            "pair.rhai",
            "--seeds",
            "1..2",
            "--from",
            "3m",
            "--grain",
            "--out",
            out,
            "--jobs",
            jobs,
        ])
    };
    run("far", "1").ended(0);
    run("far-too", "3").ended(0);
    same(&bench, "far", "far-too");
    let drawing = bench.read("far/panels/1.svg");
    assert!(drawing.contains("<image ") && drawing.contains("data:image/png;base64,"));
    assert!(drawing.contains("width=\"36mm\""), "true size");
    assert!(bench.read("far/sheet.svg").contains("seen from 3 m"));
    assert_eq!(index(&bench, "far")["look"]["from_mm"], 3000.0);
    // The page of pixels shows them too: its middle is wood, not paper.
    let sheet = fs::read(bench.path("far/sheet.png")).expect("a picture");
    let mut decoder = png::Decoder::new(std::io::Cursor::new(sheet));
    decoder.set_transformations(png::Transformations::EXPAND);
    let mut reader = decoder.read_info().expect("PNG");
    let mut pixels = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut pixels).expect("pixels");
    let wood = pixels[..info.buffer_size()]
        .chunks_exact(3)
        .filter(|p| p[0] > p[2].saturating_add(30))
        .count();
    assert!(wood > pixels.len() / 3 / 20, "{wood} brown pixels");
    bench
        .run(&["vary", "pair.rhai", "--light", "sweep"])
        .ended(2)
        .err_has("eight pictures");
}
