//! A panel as a link: what goes into one comes out of it, by the library and by the commands; damaged
//! and hostile ones break nothing.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use plyloom::appearance::Look;
use plyloom::appearance::{Finish, Light, View};
use plyloom::bundle::{Bundle, Verdict};
use plyloom::explore::link::{LONGEST, Link, is_link};
use proptest::prelude::*;

use crate::common::Bench;
use crate::packs::bundle;

fn look() -> impl Strategy<Value = Look> {
    let light = prop::option::of(0.0..360.0_f64);
    let finish = prop::sample::select(vec![Finish::Raw, Finish::Oil]);
    let view = prop::sample::select(vec![View::Usual, View::Grey]);
    (light, finish, view).prop_map(|(light, finish, view)| Look {
        finish,
        light: light.map(|from| Light::new(from, Light::HALF_WAY).unwrap()),
        view,
        ..Look::default()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_linked_comes_back(bundle in bundle(), look in look(), page in "[a-z:/.]{0,20}") {
        let link = Link { bundle, look };
        let text = format!("{page}{}", link.text().unwrap());
        let read = Link::read(&text).unwrap();
        prop_assert_eq!(read.link, link);
        prop_assert_eq!(read.verdict, Verdict::Exact);
    }

    #[test]
    fn mangled_links_break_nothing(bundle in bundle(), at in 0.0..1.0_f64, with in "\\PC{0,3}") {
        let text = Link { bundle, look: Look::default() }.text().unwrap();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a part of the length")]
        let at = (text.len() as f64 * at) as usize;
        // A link is plain ASCII: it can be cut anywhere.
        let _ = Link::read(&text[..at]);
        let _ = Link::read(&format!("{}{with}{}", &text[..at], &text[at..]));
        let _ = Link::read(&format!("{}{with}{}", &text[..at], text.get(at + 1..).unwrap_or("")));
    }
}

const RECIPE: &str = "let wide = param(\"wide\", 36, #{ unit: \"mm\", from: 10, to: 50 });
let tile = bar(plywood(13, 18).rip(wide)).slice(\"tile\");
panel(\"Front\", squares(tile)).size(4, 2).fill(random(\"mix\", tile.looks()));
";

#[test]
fn the_commands_make_a_link_and_take_it_apart() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    let made = bench.run(&[
        "pack",
        "tray.rhai",
        "--link",
        "--set",
        "wide=20",
        "--seed",
        "9",
    ]);
    let link = made.ended(0).out.trim().to_owned();
    assert!(
        link.starts_with("plyloom.html#p1.") && link.len() < 1000,
        "{link}"
    );
    assert!(is_link(&link));
    bench.run(&["unpack", &link, "--out", "theirs"]).ended(0);
    assert_eq!(bench.names("theirs"), ["tray.pick", "tray.rhai"]);
    let same = |recipe: &str, more: &[&str]| {
        let words = [
            &["preview", recipe, "--no-recipe", "--bare", "--out", "-"],
            more,
        ]
        .concat();
        bench.run(&words).ended(0).out.clone()
    };
    assert_eq!(
        same("theirs/tray.pick", &[]),
        same("tray.rhai", &["--set", "wide=20", "--seed", "9"])
    );
    let there = bench.run(&[
        "pack",
        "tray.rhai",
        "--link",
        "https://example.org/p.html#old",
    ]);
    there.ended(0).out_has("https://example.org/p.html#p1.");
}

#[test]
fn a_look_travels_along() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    let outcome = Bundle {
        name: "tray".to_owned(),
        recipe: RECIPE.to_owned(),
        modules: Vec::new(),
        seed: Some(3),
        values: Vec::new(),
        program: "0.1.0".to_owned(),
    };
    let look = Look {
        finish: Finish::Oil,
        ..Look::default()
    };
    let link = Link {
        bundle: outcome,
        look,
    }
    .text()
    .unwrap();
    bench.run(&["unpack", &link, "--out", "theirs"]).ended(0);
    assert!(bench.read("theirs/tray.pick").contains("oil"));
    let again = bench.run(&["pack", "theirs/tray.pick", "--link"]);
    let again = again.ended(0).out.trim().to_owned();
    assert_eq!(Link::read(&again).unwrap().link.look, look);
}

#[test]
fn links_that_are_too_long_or_damaged_are_told() {
    // Numbers of no order, which nothing compresses much.
    let numbers = (0..9000_u32).map(|n| n.wrapping_mul(2_654_435_761).to_string());
    let noise = numbers.collect::<String>();
    let long = format!("{RECIPE}// {noise}\n");
    let bench = Bench::new().file("long.rhai", &long);
    let refused = bench.run(&["pack", "long.rhai", "--link"]);
    refused.ended(1).err_has(&format!("longer than {LONGEST}"));
    for (link, word) in [
        ("plyloom.html#p1.eNp", "damaged"),
        ("plyloom.html#p9.eNp", "format 9"),
    ] {
        bench.run(&["unpack", link]).ended(1).err_has(word);
    }
    assert!(bench.names(".").iter().all(|name| name == "long.rhai"));
}
