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
fn small_pictures_are_written_where_they_are_wanted() {
    let bench = bench();
    bench
        .run(&["vary", "pair.rhai", "--seeds", "1..2", "--thumbnails", "90"])
        .ended(0);
    assert_eq!(
        bench.names("pair-variations/thumbnails"),
        ["1.png", "2.png"]
    );
    let small = fs::read(bench.path("pair-variations/thumbnails/2.png")).expect("a picture");
    let reader = png::Decoder::new(std::io::Cursor::new(small)).read_info();
    assert_eq!(reader.expect("PNG").info().width, 90);
    bench
        .run(&["vary", "pair.rhai", "--thumbnails", "3"])
        .ended(2)
        .err_has("16..=2000");
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
    let mut reader = png::Decoder::new(std::io::Cursor::new(sheet))
        .read_info()
        .expect("PNG");
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
