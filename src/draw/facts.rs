//! The row of facts under a panel: size, net area, tiles, joints.

use svg::node::element::Group;

use super::{
    ink::{Anchor, group, text},
    number::{inches, percent, rounded},
    page::{INK, Page, SOFT},
    wood::Wood,
};
use crate::{
    geom::{length::INCH, number::grouped_in_one_line},
    layout::{
        panel::{Panel, TileCount},
        trim::{Trim, TrimShape},
    },
};

/// Height of the row, in text sizes.
pub(crate) const HEIGHT: f64 = 4.2;

/// One fact: its name, its value, and the same value in another unit or form.
struct Fact {
    name: &'static str,
    value: String,
    more: String,
}

/// The row with its top at `top`.
pub(crate) fn facts(page: &Page, top: f64, panel: &Panel, wood: &Wood<'_>) -> Group {
    let em = page.em;
    let all = [
        size(panel),
        area(wood.net_area),
        tiles(wood.counts.iter().copied().sum()),
        joints(panel),
    ];
    let step = page.content / all.len() as f64;
    let step = step.min(16.0 * em);
    let mut row = group();
    for (i, fact) in all.iter().enumerate() {
        let x = page.left + step * i as f64;
        row = row
            .add(text(
                fact.name,
                (x, top + 0.8 * em),
                0.8 * em,
                SOFT,
                Anchor::Start,
            ))
            .add(text(
                &fact.value,
                (x, top + 2.2 * em),
                1.15 * em,
                INK,
                Anchor::Start,
            ))
            .add(text(
                &fact.more,
                (x, top + 3.4 * em),
                0.8 * em,
                SOFT,
                Anchor::Start,
            ));
    }
    row
}

fn size(panel: &Panel) -> Fact {
    let (w, h) = (panel.bounds.width(), panel.bounds.height());
    let round = |t: &Trim| t.shape() == TrimShape::Round;
    if panel.trim.as_ref().is_some_and(round) {
        return Fact {
            name: "Finished round",
            value: format!("\u{d8} {} mm", rounded(w, 1)),
            more: format!("{} in across", inches(w)),
        };
    }
    Fact {
        name: "Finished size",
        value: format!("{} \u{d7} {} mm", rounded(w, 1), rounded(h, 1)),
        more: format!("{} \u{d7} {} in", inches(w), inches(h)),
    }
}

fn area(net: f64) -> Fact {
    let square_inches = net / (INCH * INCH);
    let (value, more) = if net < 1e5 {
        (
            format!("{} cm\u{b2}", rounded(net / 100.0, 1)),
            format!("{} in\u{b2}", rounded(square_inches, 1)),
        )
    } else {
        (
            format!("{} m\u{b2}", rounded(net / 1e6, 3)),
            format!("{} ft\u{b2}", rounded(square_inches / 144.0, 2)),
        )
    };
    let name = "Net area";
    Fact { name, value, more }
}

fn tiles(all: TileCount) -> Fact {
    Fact {
        name: "Tiles",
        value: grouped_in_one_line(all.all()),
        more: if all.trimmed == 0 {
            "all whole".to_owned()
        } else {
            format!(
                "{} whole, {} trimmed",
                grouped_in_one_line(all.whole),
                grouped_in_one_line(all.trimmed)
            )
        },
    }
}

fn joints(panel: &Panel) -> Fact {
    let joints = panel.joints;
    let (value, more) = if joints.all == 0 {
        ("\u{2013}".to_owned(), "no joints".to_owned())
    } else {
        (
            format!("{} %", percent(joints.matched, joints.all)),
            format!(
                "{} of {} joints",
                grouped_in_one_line(joints.matched),
                grouped_in_one_line(joints.all)
            ),
        )
    };
    Fact {
        name: "Lines run on through",
        value,
        more,
    }
}
