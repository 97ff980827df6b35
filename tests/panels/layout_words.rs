//! What a recipe can say about layouts.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::sync::Arc;

use plyloom::{
    layout::{Panel, Tally},
    recipe::{
        Failure, Outcome, evaluate, memory_host::MemoryHost, settings::Settings, source::Source,
    },
};

/// Two square tiles, `light` and `dark`, 12 mm wide, and a hexagon `hex`.
pub(crate) const WOOD: &str = r#"
let light = bar(plywood(9, 12).square()).slice("light");
let dark = bar(laminate([ply(12, "walnut")]).square()).slice("dark");
let r = plywood(13, 18).rhombus(60);
let hex = hexagon([r, r, r.end_for_end()]).slice("hex");
"#;

pub(crate) fn run_with(text: &str, settings: &Settings) -> Result<Outcome, Failure> {
    let source = Arc::new(Source::new("trial.rhai", format!("{WOOD}{text}")));
    evaluate(&source, settings, Arc::new(MemoryHost::default()))
}

pub(crate) fn run(text: &str) -> Outcome {
    run_with(text, &Settings::default()).unwrap_or_else(|failure| panic!("{text}\n{failure}"))
}

/// The tiles by course, one letter each: that of the kind, capital when flipped.
pub(crate) fn picture(panel: &Panel) -> Vec<String> {
    panel
        .tiles
        .chunk_by(|a, b| a.cell.course == b.cell.course)
        .map(|course| {
            course
                .iter()
                .map(|tile| {
                    let face = &panel.faces[tile.face as usize];
                    let letter = face.kind.name().chars().next().unwrap();
                    match (face.pose.flip, face.pose.turn > 0.0) {
                        (true, _) => letter.to_ascii_uppercase(),
                        (false, true) => '/',
                        (false, false) => letter,
                    }
                })
                .collect()
        })
        .collect()
}

fn pictured(text: &str) -> Vec<String> {
    picture(&run(text).panels[0])
}

#[test]
fn chained_and_written_one_after_the_other_are_the_same() {
    let chained = pictured(
        "panel(\"p\", squares(light)).size(3, 2).fill(light).fill_where(|c| c.column == 1, dark);",
    );
    let in_turn = pictured(
        "let p = panel(\"p\", squares(light));
         p.size(3, 2);
         p.fill(light);
         p.fill_where(|c| c.column == 1, dark);",
    );
    assert_eq!(chained, ["ldl", "ldl"]);
    assert_eq!(chained, in_turn);
}

#[test]
fn a_function_may_leave_cells_as_they_are() {
    let text = "panel(\"p\", squares(light)).size(4, 2).fill(light)
        .fill(|cell| { if cell.number % 3 == 0 { dark } });";
    assert_eq!(pictured(text), ["dlld", "lldl"]);
}

#[test]
fn sequences_in_every_order() {
    for (order, expected) in [
        ("along courses", ["ldLl", "ldLl", "ldLl"]),
        ("down columns", ["llll", "dddd", "LLLL"]),
        ("falling left", ["ldLl", "dLld", "LldL"]),
        ("falling right", ["ldLl", "LldL", "dLld"]),
        ("reading", ["ldLl", "dLld", "LldL"]),
        ("back and forth", ["ldLl", "dlLd", "LldL"]),
        ("rings", ["dddd", "dlld", "dddd"]),
    ] {
        let text = format!(
            "let tiles = [light, dark, light.flip()];
             panel(\"p\", squares(light)).size(4, 3).fill(sequence(tiles, \"{order}\"));"
        );
        assert_eq!(pictured(&text), expected, "{order}");
    }
}

#[test]
fn cells_tell_where_they_lie() {
    run(r#"
        let p = panel("p", squares(light)).size(5, 4);
        p.fill(|c| {
            if c.number != c.course * 5 + c.column { throw "number"; }
            if c.columns != 5 || c.courses != 4 { throw "size"; }
            if c.x != 6 + 12 * c.column || c.y != 6.0 + 12 * c.course { throw "place"; }
            let rim = min(min(c.column, 4 - c.column), min(c.course, 3 - c.course));
            if c.from_edge != rim || c.edge != (rim == 0) { throw "rim"; }
            let ring = max(abs(c.column - 2), quotient(abs(2 * c.course - 3), 2));
            if c.ring != ring { throw `ring of ${c.column} ${c.course}`; }
            if abs(c.distance - sqrt(power(c.x - 30, 2) + power(c.y - 24, 2))) > 1e-9 { throw "distance"; }
            light
        });
        // A hexagon and its six neighbours, then twelve more.
        let rings = [];
        panel("h", hexagons(hex)).size(5, 5).fill(|c| { rings.push(c.ring); hex });
        if rings.filter(|r| r == 0).len() != 1 { throw "one in the middle"; }
        if rings.filter(|r| r == 1).len() != 6 { throw "six around it"; }
        if rings.filter(|r| r == 2).len() != 12 { throw "twelve around them"; }
        let negative = 0;
        panel("t", hexagons(hex)).finished(200, 100).fill(|c| {
            if c.column < 0 || c.course < 0 { negative += 1; }
            hex
        });
        if negative == 0 { throw "the top left corner of a hexagon is open"; }
    "#);
}

#[test]
fn chance_does_not_depend_on_the_panel_or_on_other_choices() {
    let small =
        pictured("panel(\"p\", squares(light)).size(9, 6).fill(random(\"a\", [light, dark]));");
    let large =
        pictured("panel(\"p\", squares(light)).size(12, 8).fill(random(\"a\", [light, dark]));");
    for (s, l) in small.iter().zip(&large) {
        assert!(l.starts_with(s.as_str()), "{s} {l}");
    }
    let by_cell = pictured(
        "panel(\"p\", squares(light)).size(9, 6).fill(|c| {
            c.chance(\"another\", 0.5);
            c.pick(\"a\", [light, dark])
        });",
    );
    assert_eq!(
        by_cell, small,
        "the word for one cell draws as the one for all"
    );
    let renamed =
        pictured("panel(\"p\", squares(light)).size(9, 6).fill(random(\"b\", [light, dark]));");
    assert_ne!(renamed, small);
    let seeded = |seed| {
        let settings = Settings {
            seed,
            ..Settings::default()
        };
        let text = "panel(\"p\", squares(light)).size(9, 6).fill(random(\"a\", [light, dark]));";
        picture(&run_with(text, &settings).unwrap().panels[0])
    };
    assert_eq!(seeded(Some(1)), small);
    assert_ne!(seeded(Some(2)), small);
}

/// What three seeds give, written down once: later versions must give the same. All panels
/// but `cut` were recomputed by an independent program from the scheme's description.
#[test]
fn chance_stays_as_it_was() {
    use std::fmt::Write;
    let mut all = String::new();
    for seed in [1, 2, u64::MAX] {
        let settings = Settings {
            seed: Some(seed),
            ..Settings::default()
        };
        let outcome = run_with(
            r#"
            let ways = [light, dark, light.flip(), dark.flip(), light.rotate(90)];
            panel("random", squares(light)).size(24, 6).fill(random("wood", ways));
            panel("cut", hexagons(hex)).finished(300, 150).fill(random("wood", [hex, hex.flip()]));
            panel("weighted", squares(light)).size(24, 6).fill(random("wood", [light, dark], [0.9, 0.1]));
            panel("bag", squares(light)).size(24, 3).fill(bag("wood", [[light, 60], [dark, 12]]));
            print(shuffle("list", [1, 2, 3, 4, 5, 6, 7, 8]));
            panel("drawn", squares(light)).size(24, 3).fill(|c| {
                if c.pick("number", -3..=3) < 0 && !c.chance("share", 0.25) { dark } else { light }
            });
            let one = [pick("one", 1..=1000000), pick("two", ["a", "b", "c", "d"]), chance("three", 0.5)];
            panel(`${one}`, squares(light)).size(1, 1).fill(light);
            "#,
            &settings,
        )
        .unwrap();
        writeln!(all, "seed {seed}").unwrap();
        for panel in &outcome.panels {
            writeln!(all, "  {}", panel.name).unwrap();
            for course in picture(panel) {
                writeln!(all, "    {course}").unwrap();
            }
        }
    }
    let golden = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/golden/random-stream-1.txt"
    );
    if std::env::var_os("PLYLOOM_BLESS").is_some() {
        std::fs::write(golden, &all).unwrap();
    }
    assert_eq!(all, std::fs::read_to_string(golden).unwrap());
}

#[test]
fn a_bag_places_just_what_there_is() {
    let outcome = run("panel(\"p\", squares(light)).size(8, 5)
            .fill(dark)
            .fill_where(|c| !c.edge, bag(\"inner\", [[light, 11], [light.flip(), 7]]));");
    let tally = Tally::of(&outcome.panels[0]);
    let counts: Vec<(String, bool, u64)> = (tally.rows.iter())
        .map(|r| (r.kind.clone(), r.pose.flip, r.total()))
        .collect();
    assert_eq!(
        counts,
        [
            ("dark".to_owned(), false, 22),
            ("light".to_owned(), false, 11),
            ("light".to_owned(), true, 7)
        ]
    );
    assert_eq!(tally.total(), 40);
}

#[test]
fn the_tally_adds_up_and_knows_what_looks_the_same() {
    let outcome = run(
        "let three = hexagon([r, r, r]).slice(\"three\");
         panel(\"p\", hexagons(three)).finished(400, 300).fill(random(\"x\", three.orientations()));",
    );
    let panel = &outcome.panels[0];
    let tally = Tally::of(panel);
    assert_eq!(tally.rows.len(), 12);
    assert_eq!(tally.total(), panel.tiles.len() as u64);
    assert_eq!(tally.rows.iter().map(|r| r.whole).sum::<u64>(), tally.whole);
    assert_eq!(
        tally.rows.iter().map(|r| r.trimmed).sum::<u64>(),
        tally.trimmed
    );
    assert!(tally.rows.iter().all(|r| r.total() > 0));
    // Three like rhombi look the same after a third of a turn: 4 of 12 are different.
    let same = tally.rows.iter().filter(|r| r.looks_like.is_some()).count();
    assert_eq!(same, 8);
    assert!((tally.net_area - 120_000.0).abs() < 0.01);
    assert!(panel.joints.matched <= panel.joints.all);
    assert!(tally.matched_share().unwrap() > 0.0);
}

#[test]
fn lines_run_on_where_plies_meet_plies() {
    let share = |text: &str| Tally::of(&run(text).panels[0]).matched_share().unwrap();
    // Plies that run level meet the same plies at the side, and face meets back above and below:
    // of 5 x 4 squares, 16 joints stand and 15 lie; birch of an odd number of plies has the same
    // grain outside.
    assert!((share("panel(\"p\", squares(light)).size(5, 4).fill(light);") - 1.0).abs() < 1e-12);
    let chequered = "panel(\"p\", squares(light)).size(5, 4)
        .fill(|c| if (c.column + c.course) % 2 == 0 { light } else { light.rotate(90) });";
    assert!(share(chequered) < 1e-12);
}

#[test]
fn tiles_placed_one_by_one() {
    let outcome = run(r#"
        let plank = bar(plywood(9, 12).rip(36)).slice("plank");
        let hub = bar(plywood(9, 24).square()).slice("hub");
        let p = panel("wheel");
        p.place(plank, -5, 3).place(plank.rotate(90), 31, 3);
        p.place(plank, 7, 39).place(plank.rotate(90), -5, 15);
        p.place(hub, 7, 15);
        panel("tee").place(plank, 0, 0).place(light, 0, 12).place(light, 12, 12).place(light, 24, 12);
        panel("cut").place(plank, 0, 0).place(plank, 36, 0).place(plank, 72, 0).finished(50, 10).shift(-2, -1);
    "#);
    let [wheel, tee, cut] = outcome.panels.as_slice() else {
        panic!("three panels")
    };
    assert_eq!((wheel.tiles.len(), wheel.joints.all), (5, 8));
    assert!((wheel.bounds.width() - 48.0).abs() < 1e-9 && wheel.bounds.min.x.abs() < 1e-12);
    assert!((Tally::of(wheel).net_area - 48.0 * 48.0).abs() < 1e-9);
    // One long edge against three short ones, and two joints between those.
    assert_eq!(tee.joints.all, 5);
    assert_eq!((cut.tiles.len(), cut.joints.all), (2, 1));
    assert!(cut.tiles.iter().all(|t| !t.whole));
}
