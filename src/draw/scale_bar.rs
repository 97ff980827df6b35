//! Scale bars: a round length in mm and one in inches, to check a print by.

use svg::node::element::{Group, Path};

use super::{
    ink::{Anchor, group, stroke, text},
    number::{mm, rounded},
    page::{INK, Page, SOFT},
};
use crate::geom::length::INCH;

/// Lengths in mm that a bar may have, with the number of its fields.
const METRIC: [(f64, u32); 11] = [
    (5.0, 5),
    (10.0, 5),
    (20.0, 4),
    (50.0, 5),
    (100.0, 5),
    (200.0, 4),
    (500.0, 5),
    (1000.0, 5),
    (2000.0, 4),
    (5000.0, 5),
    (10_000.0, 5),
];

/// Lengths in inches that a bar may have, with the number of its fields.
const IMPERIAL: [(f64, u32); 11] = [
    (0.25, 4),
    (0.5, 4),
    (1.0, 4),
    (2.0, 4),
    (4.0, 4),
    (8.0, 4),
    (20.0, 4),
    (40.0, 4),
    (80.0, 4),
    (200.0, 4),
    (400.0, 4),
];

/// Height of both bars and their text, in text sizes.
pub(crate) const HEIGHT: f64 = 3.1;

/// Both bars with their top at `top`, and how to use them.
pub(crate) fn scale_bar(page: &Page, top: f64) -> Group {
    let em = page.em;
    let room = page.content * 0.4;
    let (metric, fields) = longest(&METRIC, room);
    let (imperial, parts) = longest(&IMPERIAL, room / INCH);
    let under = top + 1.7 * em;
    let label = |words: &str, length: f64, y: f64| {
        let place = (page.left + length + 0.6 * em, y + 0.72 * em);
        text(words, place, em, INK, Anchor::Start)
    };
    let inches = if imperial < 1.0 {
        super::number::inches(imperial * INCH)
    } else {
        rounded(imperial, 0)
    };
    let mut all = group();
    for (length, n, y) in [(metric, fields, top), (imperial * INCH, parts, under)] {
        for part in bar(page.left, y, length, n, em) {
            all = all.add(part);
        }
    }
    let hint = (
        page.left + metric.max(imperial * INCH) + 6.5 * em,
        top + 1.55 * em,
    );
    all.add(label(&format!("{} mm", rounded(metric, 0)), metric, top))
        .add(label(&format!("{inches} in"), imperial * INCH, under))
        .add(text(
            "True scale: print at 100 % and measure a bar.",
            hint,
            0.9 * em,
            SOFT,
            Anchor::Start,
        ))
}

/// A bar of `n` fields, every other one filled.
fn bar(left: f64, top: f64, length: f64, n: u32, em: f64) -> [Path; 2] {
    let height = 0.7 * em;
    let field = |from: f64, to: f64| {
        format!(
            "M{} {}H{}V{}H{}z",
            mm(left + from),
            mm(top),
            mm(left + to),
            mm(top + height),
            mm(left + from)
        )
    };
    let step = length / f64::from(n);
    let filled: String = (0..n)
        .step_by(2)
        .map(|i| field(step * f64::from(i), step * f64::from(i + 1)))
        .collect();
    let rim = stroke(field(0.0, length), 0.05 * em).set("stroke", INK);
    [Path::new().set("d", filled).set("fill", INK), rim]
}

fn longest(choices: &[(f64, u32)], room: f64) -> (f64, u32) {
    let fitting = choices.iter().rev().find(|(length, _)| *length <= room);
    fitting.copied().unwrap_or(choices[0])
}
