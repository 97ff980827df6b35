//! The figures of `plyloom plan`: units, rounding, angles, shares; the same on terminal, page, drawings and in JSON.

use super::plan::BLOCKS;
use crate::common::Bench;

/// The texts of a drawing.
fn drawn(bench: &Bench, name: &str) -> Vec<String> {
    let svg = bench.read(name);
    let drawing = roxmltree::Document::parse(&svg).expect("a drawing");
    let texts = drawing
        .descendants()
        .filter(|node| node.has_tag_name("text"));
    texts
        .map(|node| node.text().unwrap_or_default().trim().to_owned())
        .collect()
}

/// 26 slices of 13 mm with cuts of 0.8 mm and 246.266 mm at the ends take a bar of 604.266 mm, which is 23.79 in: 23 25/32
/// gives 25 of them only. What a board of 100 in has left is 2540 - 604.266 - 3.2 = 1932.534 mm, 76.084 in.
#[test]
fn limits_are_rounded_to_the_safe_side_everywhere() {
    let slices = |length: f64| ((length - 246.266 + 0.8 + 1e-6) / 13.8).floor();
    assert!((slices(604.266) - 26.0).abs() < 0.5);
    assert!((slices((23.0 + 25.0 / 32.0) * 25.4) - 25.0).abs() < 0.5);
    for (units, needed, nearest, left, too_much) in [
        (
            "in",
            "23 13/16 in",
            "23 25/32 in",
            "76 1/16 in",
            "76 3/32 in",
        ),
        ("mm", "604.3 mm", "604.2 mm", "1932.5 mm", "1932.6 mm"),
    ] {
        let shop = format!(
            "units = \"{units}\"\n[cutting]\nbar_length = \"900 mm\"\n[slicing]\nend_trim = \"246.266 mm\"\n\
             [[sheet]]\nname = \"board\"\nwidth = \"48 in\"\nlength = \"100 in\"\n"
        );
        let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", &shop);
        let plan = |more: &[&'static str]| {
            let args = ["plan", "a.rhai", "--shop", "shop.toml"];
            let ran = bench.run(&[&args[..], more].concat());
            ran.ended(0);
            ran.out
        };
        let board = plan(&["--drawings", "d"]);
        assert!(board.contains("drawings are written"), "{board}");
        let board = drawn(&bench, "d/board-1.svg").join("|");
        for (what, text, bar) in [
            (
                "terminal",
                plan(&[]),
                Some(format!("1 of {needed} or more")),
            ),
            (
                "page",
                plan(&["--out", "-"]),
                Some(format!("1 of {needed} or more")),
            ),
            ("drawing", board, None),
        ] {
            for part in [&format!("{needed} long"), left]
                .into_iter()
                .map(|p| p as &str)
                .chain(bar.as_deref())
            {
                assert!(text.contains(part), "{what}: {part}\n{text}");
            }
            for wrong in [
                &format!("{nearest} long"),
                &format!("{nearest} or more"),
                too_much,
            ] {
                assert!(!text.contains(wrong), "{what}: {wrong}\n{text}");
            }
        }
        // Data are not rounded.
        let json: serde_json::Value = serde_json::from_str(&plan(&["--json"])).expect("JSON");
        let bar = json["plan"]["bars"][0]["lengths"][0]["length"].as_f64();
        assert!((bar.expect("a length") - 604.266).abs() < 1e-9);
        let steps = json["steps"].as_array().expect("steps");
        let cut = steps.iter().find(|step| step["work"]["do"] == "crosscut");
        let cut = cut.expect("boards are cut across")["work"]["length"].as_f64();
        assert!(cut.expect("a length") >= 604.266 - 1e-9);
    }
}

/// Three rhombi of 18.9 mm open by 0.1143 mm for 0.1 degree: 0.0875 degree keeps within 0.1 mm, and 0.09 does not.
#[test]
fn errors_that_are_allowed_are_rounded_down() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    bench
        .run(&["plan", "a.rhai"])
        .ended(0)
        .out_has("blade tilt 30.0\u{b0} within 0.08\u{b0}")
        .out_has("For gaps of at most 0.1 mm, keep it within 0.08\u{b0}.");
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

/// The whole plan in inches, its page and its drawings have no metric unit but kN, in brackets beside pounds-force.
#[test]
fn inch_plans_have_no_metric_units() {
    let bench = Bench::new()
        .file("a.rhai", BLOCKS)
        .file("shop.toml", "units = \"in\"\n[glue]\nprice = 9\n");
    let terminal = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    let page = bench.run(&["plan", "a.rhai", "--shop", "shop.toml", "--out", "-"]);
    bench
        .run(&["plan", "a.rhai", "--shop", "shop.toml", "--drawings", "d"])
        .ended(0);
    for name in bench.names("d") {
        for text in drawn(&bench, &format!("d/{name}")) {
            assert!(
                ![" mm", " cm", " m2", " kg", " dm3"]
                    .iter()
                    .any(|unit| text.contains(unit)),
                "{name}: {text}"
            );
        }
    }
    for ran in [&terminal, &page] {
        ran.ended(0);
        // What was assumed stands as one would write it into a shop file.
        let text = (ran.out.replace("(kg for each m3)", "")).replace("(g for each m2)", "");
        for unit in ["g/m2", " kg", "dm3", " m2", " m3", " g for", " cm"] {
            assert!(!text.contains(unit), "{unit}: {text}");
        }
        for unit in ["lbf", " lb", "sq ft", "cu ft", "oz"] {
            assert!(ran.out.contains(unit), "{unit}");
        }
    }
}

/// A tilt is told from vertical and as a gauge that is zeroed on the table reads it, in one line.
#[test]
fn angles_are_told_both_ways_in_one_line() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai"]);
    let tilts = ran
        .out
        .lines()
        .filter(|line| line.contains("from vertical"));
    assert!(tilts.clone().count() > 2);
    for line in tilts {
        assert!(
            line.contains("gauge") && line.contains("60.0\u{b0}"),
            "{line}"
        );
    }
}

/// Where the wood goes is one line, on the terminal and on the page, and its shares make 100 %; no drawing has a share
/// that could differ.
#[test]
fn percentages_agree_on_terminal_page_and_drawings() {
    let bench = Bench::new().file("a.rhai", BLOCKS);
    let ran = bench.run(&["plan", "a.rhai"]);
    let line = ran
        .out
        .lines()
        .find(|line| line.contains("left over") && line.contains(" %"));
    let line = line.expect("where the wood goes").trim();
    let page = bench.run(&["plan", "a.rhai", "--out", "-"]);
    assert!(page.out.contains(line), "{line}");
    let shares: Vec<f64> = (line.split(['%', ',']))
        .filter_map(|part| part.trim().rsplit(' ').next()?.parse().ok())
        .collect();
    let all: f64 = shares.iter().sum();
    assert!((all - 100.0).abs() < 0.21, "{shares:?}: {line}");
    bench.run(&["plan", "a.rhai", "--drawings", "d"]).ended(0);
    for name in bench.names("d") {
        let texts = drawn(&bench, &format!("d/{name}"));
        assert!(
            !texts.iter().any(|text| text.contains('%')),
            "{name}: {texts:?}"
        );
    }
}
