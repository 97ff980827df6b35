//! Shops that nobody has: absurd values are one clear error each, absurd stocks a plan with its bound.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use plyloom::{
    geom::TOLERANCE,
    plan::{CountBack, Shop, count_back, scraps::Proof},
    stock::{Bar, Strip, hexagon::hexagon, shapes},
};

use crate::balance::imbalance;
use crate::count::{birch, panel, shop, veneered};

fn plan(bars: &[(Bar, u64)], text: &str) -> CountBack {
    let count = count_back(&[&panel(bars)], &shop(text)).unwrap();
    assert!(imbalance(&count.balance) < 1e-9, "{:?}", count.balance);
    if let Proof::AtLeast(bound) = count.proof {
        assert!(bound as f64 <= count.taken.value + 1.0);
    }
    count
}

/// So many scraps, their sizes spread by a fixed rule.
fn scraps(count: u32) -> String {
    let scrap = |i: u32| {
        let (w, l) = (60 + (i * 7919) % 340, 320 + (i * 104_729) % 700);
        format!("[[scrap]]\nwidth = {w}.{:02}\nlength = {l}\n", i % 100)
    };
    (0..count).map(scrap).collect()
}

#[test]
fn absurd_values_are_one_error_each_at_their_place() {
    for value in [
        "-3",
        "0",
        "inf",
        "-inf",
        "nan",
        "1e300",
        "\"\"",
        "\"1 ell\"",
        "true",
        "[]",
    ] {
        for key in ["width", "length", "thickness"] {
            let mut sides = vec![("width", "300"), ("length", "600"), ("thickness", "18")];
            sides.retain(|(k, _)| *k != key);
            sides.push((key, value));
            let lines: Vec<String> = sides.iter().map(|(k, v)| format!("{k} = {v}")).collect();
            let text = format!("[[scrap]]\n{}\n", lines.join("\n"));
            let error = Shop::parse(&text).unwrap_err();
            assert_eq!(error.line_column(&text).0, 4, "{text}{error}");
            assert!(!error.message.contains('\n'), "{error}");
        }
        for table in ["table_saw", "slicing"] {
            let text = format!("[{table}]\nkerf = {value}\n");
            let error = Shop::parse(&text).unwrap_err();
            assert_eq!(error.line_column(&text).0, 2, "{text}{error}");
        }
        let text = format!("[glue]\nspread = {value}\n");
        assert!(Shop::parse(&text).is_err(), "{text}");
    }
    for count in ["-1", "1.5", "inf", "1000001", "9223372036854775807"] {
        let text = format!("[[scrap]]\nwidth = 300\nlength = 600\ncount = {count}\n");
        assert_eq!(
            Shop::parse(&text).unwrap_err().line_column(&text).0,
            4,
            "{text}"
        );
    }
    for missing in ["width", "length"] {
        let text = format!("[[scrap]]\n{missing} = 300\n");
        let error = Shop::parse(&text).unwrap_err();
        let other = if missing == "width" {
            "length"
        } else {
            "width"
        };
        assert!(error.message.contains(other), "{error}");
    }
}

/// What is no number, or has hundreds of digits, is told so that it can be read aloud.
#[test]
fn absurd_numbers_are_told_as_they_can_be_read() {
    for (text, told) in [
        (
            "[table_saw]\nkerf = inf\n",
            "`kerf` must lie between 0.3 mm and 12 mm, and inf is no number",
        ),
        (
            "[clamps]\nforce = nan\n",
            "`force` must lie between 0.1 kN and 50 kN, and nan is no number",
        ),
        (
            "[glue]\nspread = -inf\n",
            "`spread` must lie between 1 and 2000, and -inf is no number",
        ),
        (
            "[[scrap]]\nwidth = 1e300\nlength = 600\n",
            "`width` must lie between 1 mm and 20000 mm, not 1e300 mm",
        ),
    ] {
        assert_eq!(Shop::parse(text).unwrap_err().message, told);
    }
}

#[test]
fn many_scraps_of_three_sheets_state_their_bound() {
    let rhombus = |c: &str| shapes::rhombus(&veneered(c, c), 60.0).unwrap();
    let strips = ["teal", "white", "crimson"].map(rhombus).to_vec();
    let bar = hexagon(strips, TOLERANCE).unwrap();
    let text = scraps(1000);
    let count = plan(&[(bar, 800)], &text);
    assert!(count.short.is_empty(), "{:?}", count.short);
}

/// Bars of 200 kinds, each of one strip of its own width.
#[test]
fn two_hundred_kinds_of_strips_make_a_plan() {
    let sheet = birch(18.0);
    let bar = |i: u32| {
        let strip = Strip::rip(&sheet, 15.0 + f64::from(i) * 0.25, 90.0, 90.0).unwrap();
        (Bar::plain(strip).unwrap(), 1 + u64::from(i % 40))
    };
    let bars: Vec<(Bar, u64)> = (0..200).map(bar).collect();
    let endless = plan(&bars, "");
    assert!(endless.short.is_empty());
    assert!(plan(&bars, &scraps(300)).short.is_empty());
}

#[test]
fn what_nothing_can_make_says_what_is_missing() {
    let bar = Bar::plain(shapes::square(&birch(18.0)).unwrap()).unwrap();
    let text = "[[sheet]]\nname = \"oak\"\nwidth = 1220\nlength = 2440\nwood = \"oak\"\n";
    let count = plan(&[(bar, 100)], text);
    assert!(!count.suffices() && count.boards.is_empty());
    assert_eq!(
        count.short[0].missing.count(),
        count.strips[0].needed.count()
    );
}
