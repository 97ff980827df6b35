//! The ledger of a rack: no wood is lost or made by booking, and a booking that is undone leaves no trace.
//!
//! The plans here are sawn by this file alone: it draws how a board is cut, adds up what the cuts and the panel
//! take, and writes the steps as a plan's JSON has them.

use std::fmt::Write as _;

use plyloom::rack::{List, New, Rack, RackError};
use serde_json::{Value, json};

/// How many bookings and undos are made.
const TURNS: usize = 1_000;
const THICKNESS: f64 = 18.1;

/// Numbers that look random and are the same everywhere.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.below(1_000_003) as f64 / 1_000_003.0
    }
}

fn volume(rack: &Rack) -> f64 {
    let each = |entry: plyloom::rack::RackEntry| {
        entry.volume.expect("a thickness") * f64::from(entry.count.expect("a count"))
    };
    rack.entries().into_iter().map(each).sum()
}

fn rectangle(width: f64, height: f64) -> Value {
    json!([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
}

fn piece(id: &str, kind: &str, width: f64, length: f64) -> Value {
    json!({
        "id": id, "kind": kind, "sheet": "A", "section": rectangle(width, THICKNESS),
        "layers": [{ "colour": "#d2b48c", "thickness": THICKNESS }], "length": length,
    })
}

fn of(piece: &str, count: u64) -> Value {
    json!({ "piece": piece, "count": count })
}

/// A plan for boards of an entry: each is cut across once, ripped to strips, and most strips go into a panel.
/// With what panel, cuts and pieces too small to keep take together.
fn sawn(dice: &mut Dice, rack: &Rack, number: usize) -> Option<(Value, f64)> {
    let entries = rack.entries();
    let large = entries
        .iter()
        .filter(|l| l.list == List::Scrap && l.width > 60.0 && l.length > 120.0);
    let large: Vec<_> = large.collect();
    let entry = large.get(usize::try_from(dice.below(large.len().max(1) as u64)).ok()?)?;
    let boards = 1 + dice.below(u64::from(entry.count?));
    let kerf = dice.between(0.8, 3.5);
    let blank = dice.between(60.0, entry.length - kerf - 1.0);
    let wide = dice.between(10.0, (entry.width - kerf) / 2.0);
    let each = 1 + dice.below(2);
    let made = each * boards;
    let used = dice.below(made + 1);
    let end = entry.length - blank - kerf;
    let rest = entry.width - each as f64 * (wide + kerf);
    let rest = if rest > 0.5 { rest } else { 0.0 };
    let mut gone = boards as f64 * kerf * entry.width * THICKNESS
        + used as f64 * wide * blank * THICKNESS
        + boards as f64 * blank * THICKNESS * (entry.width - each as f64 * wide - rest);
    let small = |width: f64, length: f64| width < 20.0 || length < 20.0;
    if small(entry.width, end) {
        gone += boards as f64 * entry.width * end * THICKNESS;
    }
    if small(rest, blank) {
        gone += boards as f64 * rest * blank * THICKNESS;
    }
    let mut steps = vec![
        json!({ "work": { "do": "crosscut", "along_length": true }, "takes": [of(&entry.name, boards)],
                "gives": [of("A1", boards), of("end of board", boards)] }),
        json!({ "work": { "do": "rip" }, "takes": [of("A1", boards)],
                "gives": [of("S1", made), of("rest of A1", if rest > 0.0 { boards } else { 0 })] }),
        json!({ "work": { "do": "glue" }, "takes": [of("S1", used)], "gives": [of("panel", 1)] }),
    ];
    steps.push(
        json!({ "work": { "do": "put_back" }, "takes": [of("end of board", boards)], "gives": [] }),
    );
    let plan = json!({
        "schema": "plyloom-plan", "version": 2, "recipe": format!("recipes/made-{number}.rhai"), "suffices": true,
        "plan": { "boards": [{ "boards": [[entry.name, boards]], "width": entry.width, "length": entry.length }],
                  "sheets": [], "veneers": [] },
        "pieces": [piece(&entry.name, "board", entry.width, entry.length), piece("A1", "blank", entry.width, blank),
                   piece("end of board", "rest", entry.width, end), piece("S1", "strip", wide, blank),
                   piece("rest of A1", "rest", rest, blank), piece("panel", "panel", 1.0, 1.0)],
        "fetch": [of(&entry.name, boards)], "steps": steps,
    });
    Some((plan, gone))
}

fn full_text() -> String {
    let mut text = String::from("# The rack of the boat shed\nrack = true\n");
    for i in 0..12 {
        let (width, length) = (180 + 13 * i, 400 + 37 * i);
        let count = 1 + i % 3;
        let _ = write!(
            text,
            "\n[[scrap]]\nname = \"off-cut {i}\"\ncount = {count}\nwidth = {width}.25\nlength = {length}\n\
             thickness = {THICKNESS} # as measured\n"
        );
    }
    text
}

fn full_rack() -> Rack {
    Rack::parse(&full_text()).expect("a rack")
}

#[test]
fn a_thousand_bookings_and_undos_lose_no_wood() {
    let mut dice = Dice(7);
    let mut rack = full_rack();
    let begun = volume(&rack);
    let mut texts: Vec<(String, f64)> = Vec::new();
    let mut text = String::new();
    let (mut gone, mut booked, mut undone) = (0.0, 0, 0);
    for turn in 0..TURNS {
        if dice.below(2) == 0 && !texts.is_empty() {
            let name = rack
                .former()
                .expect("pieces as they were booked")
                .to_owned();
            assert_eq!(name, format!("before-{}", texts.len()));
            let (former, less) = texts.pop().expect("a former text");
            rack.was(&former).expect("the former rack");
            rack = Rack::parse(&former).expect("a rack");
            text = former;
            gone -= less;
            undone += 1;
        } else {
            let Some((plan, less)) = sawn(&mut dice, &rack, turn) else {
                continue;
            };
            let before = volume(&rack);
            let former = format!("before-{}", texts.len() + 1);
            let booking = rack.take(&plan.to_string(), &former).expect("a booking");
            texts.push((if text.is_empty() { full_text() } else { text }, less));
            rack = Rack::parse(&booking.text).expect("a rack");
            text = booking.text;
            gone += less;
            booked += 1;
            let out = (before - volume(&rack) - less).abs() / before;
            assert!(out < 1e-6, "turn {turn}: {out}");
            assert!(matches!(
                rack.take(&plan.to_string(), "x"),
                Err(RackError::Twice(_))
            ));
        }
        let out = (begun - volume(&rack) - gone).abs() / begun;
        assert!(out < 1e-6, "after turn {turn}: {out}");
    }
    assert!(booked > 400 && undone > 200, "{booked} {undone}");
    assert!(text.contains("# The rack of the boat shed") && text.contains("# as measured"));
}

#[test]
fn what_is_not_as_the_plan_says_is_refused() {
    let mut dice = Dice(3);
    let rack = full_rack();
    let (plan, _) = sawn(&mut dice, &rack, 0).expect("a plan");
    let text = plan.to_string();
    let name = plan["fetch"][0]["piece"].as_str().expect("a name");
    let changed = |from: &str, to: &str| {
        let rack = Rack::parse(&full_text().replacen(from, to, 1)).expect("a rack");
        rack.take(&text, "former").expect_err("refused")
    };
    let entry = format!("name = \"{name}\"");
    assert!(matches!(
        changed(&entry, "name = \"another\""),
        RackError::Missing { .. }
    ));
    let other = if name == "off-cut 3" {
        "off-cut 4"
    } else {
        "off-cut 3"
    };
    let twice = changed(&format!("name = \"{other}\""), &entry);
    assert!(matches!(twice, RackError::Ambiguous { .. }), "{twice:?}");
    let mut short = plan.clone();
    short["suffices"] = json!(false);
    assert!(matches!(
        rack.take(&short.to_string(), "f"),
        Err(RackError::Short)
    ));
    let mut larger = plan.clone();
    larger["plan"]["boards"][0]["width"] = json!(999.0);
    assert!(matches!(
        rack.take(&larger.to_string(), "f"),
        Err(RackError::OtherSize { .. })
    ));
    let mut more = plan.clone();
    more["plan"]["boards"][0]["boards"][0][1] = json!(77);
    assert!(matches!(
        rack.take(&more.to_string(), "f"),
        Err(RackError::Fewer { takes: 77, .. })
    ));
    for text in [
        "",
        "[]",
        "{}",
        "{\"schema\": \"plyloom-plan\", \"version\": 9}",
        "nonsense",
    ] {
        assert!(
            matches!(rack.take(text, "f"), Err(RackError::NoPlan(_))),
            "{text}"
        );
    }
    // Written otherwise it is the same plan.
    let pretty = serde_json::to_string_pretty(&plan).expect("JSON");
    let number = |text: &str| rack.take(text, "f").expect("a booking").plan;
    assert_eq!(number(&pretty), number(&text));
}

#[test]
fn an_undo_is_refused_once_the_pieces_changed_and_for_another_file() {
    let mut dice = Dice(11);
    let rack = full_rack();
    let (plan, _) = sawn(&mut dice, &rack, 0).expect("a plan");
    let booked = rack
        .take(&plan.to_string(), "before-1")
        .expect("a booking")
        .text;
    let after = Rack::parse(&booked).expect("a rack");
    assert_eq!(after.former(), Ok("before-1"));
    let with_comment = Rack::parse(&format!("# seen on Monday\n{booked}")).expect("a rack");
    assert_eq!(
        with_comment.former(),
        Ok("before-1"),
        "comments are no pieces"
    );
    let changed = Rack::parse(&booked.replacen("width = 1", "width = 2", 1)).expect("a rack");
    assert!(matches!(
        changed.former(),
        Err(RackError::ChangedSince { .. })
    ));
    assert!(matches!(
        after.was(&booked),
        Err(RackError::NoFormer { .. })
    ));
    assert!(after.was(&full_text()).is_ok());
    let elsewhere =
        Rack::parse(&booked.replacen("\"before-1\"", "\"../before-1\"", 1)).expect("a rack");
    assert!(matches!(
        elsewhere.former(),
        Err(RackError::NoFormer { .. })
    ));
    assert_eq!(rack.former(), Err(RackError::NothingBooked));
}

#[test]
fn inches_stay_inches_and_lists_on_one_line_are_opened() {
    let rack = Rack::parse(
        "units = \"in\"\nrack = true\nscrap = [{ name = \"a\", width = \"8 in\", length = \"30 in\", \
         thickness = \"3/4 in\" }]\n",
    )
    .expect("a rack");
    let new = New {
        name: Some("b".to_owned()),
        count: Some(2),
        width: Some(203.2),
        length: Some(300.0),
        thickness: Some(19.05),
        ..New::default()
    };
    let text = rack.add(List::Scrap, &new, "former").expect("a piece").text;
    assert!(
        text.contains("width = \"8 in\"\nlength = \"11.811023622 in\""),
        "{text}"
    );
    let rack = Rack::parse(&text).expect("a rack");
    assert!((volume(&rack) - 203.2 * 762.0 * 19.05 - 2.0 * 203.2 * 300.0 * 19.05).abs() < 0.01);
}
