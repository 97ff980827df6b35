//! How a loaf is glued: its section with end 1 towards you, every bar with its number, its layers as they lie and
//! its pencil lines. Units of the drawing: CSS pixels.

use svg::{Document, Node, node::element::Title};

use super::{
    bar_section::{ON_TAPE, To, piece, place, polygon, ring, sign, wood},
    bench::{FIRST, GLUE, INK, SECOND, paper, words},
    words::{clean, fitted},
};
use crate::{
    geom::{Isometry, Point, Polygon},
    plan::steps::model::{BarAt, Step, Steps, Work, Workholding},
    watch,
};

const WIDTH: f64 = 620.0;
const LEFT: f64 = 14.0;
const TOP: f64 = 44.0;
/// Most pixels a millimetre, and most pixels down.
const LARGEST: f64 = 5.0;
const HIGHEST: f64 = 560.0;
const LINE: f64 = 17.0;
/// Pixels that a number takes.
const SIGN: f64 = 22.0;
/// How far a pencil mark stands from its corner, as a share of the way to the bar's middle.
const INSET: f64 = 0.2;

/// Draws the lay-up of a step that glues a loaf of several bars; none for any other step.
pub(super) fn loaf_section(step: &Step, steps: &Steps) -> Option<String> {
    let Work::GlueLoaf { bars, held, .. } = &step.work else {
        return None;
    };
    let loaf = piece(steps, &step.gives.first()?.piece)?;
    if bars.len() < 2 {
        return None;
    }
    let rim = polygon(&loaf.section);
    let bounds = rim.bounds();
    let room = WIDTH - 2.0 * LEFT;
    let scale = (room / bounds.width().max(1.0))
        .min(HIGHEST / bounds.height().max(1.0))
        .min(LARGEST);
    let to_paper = To {
        scale,
        origin: Point::new(LEFT + (room - bounds.width() * scale) / 2.0, TOP) - bounds.min * scale,
    };
    let key = [
        "Numbers: the order of gluing. Brown: glue. Red and blue dots: the pencil lines of each bar.",
        match held {
            Workholding::Tape => ON_TAPE,
            Workholding::Clamps(_) => "Clamped across the joints, a caul above and below.",
        },
    ];
    let foot = TOP + bounds.height() * scale + 16.0;
    let title = format!("{}: how its bars lie, end 1 towards you", clean(&loaf.id));
    let mut document =
        paper(WIDTH, foot + key.len() as f64 * LINE + 12.0).add(Title::new(title.clone()));
    document.append(
        words(&fitted(&title, 44.0), Point::new(LEFT, 24.0), "start").set("font-weight", "bold"),
    );
    for bar in bars {
        watch::ask();
        layers(&mut document, bar, steps, &to_paper)?;
    }
    for bar in bars {
        document.append(
            to_paper
                .shape(&polygon(&bar.outline), "none")
                .set("stroke", GLUE)
                .set("stroke-width", "2"),
        );
    }
    document.append(
        to_paper
            .shape(&rim, "none")
            .set("stroke", INK)
            .set("stroke-width", "2"),
    );
    // Where bars are narrow on paper, every second or third has its number.
    let narrowest = (bars.iter())
        .map(|bar| polygon(&bar.outline).bounds().width() * scale)
        .fold(f64::INFINITY, f64::min);
    let each = (1..=bars.len())
        .find(|&n| narrowest * n as f64 >= SIGN)
        .unwrap_or(1);
    for (bar, nth) in bars.iter().zip((0..each).cycle()) {
        marks(&mut document, bar, steps, &to_paper);
        if nth == 0 {
            let at = to_paper.at(polygon(&bar.outline).centroid());
            document.append(ring(at, 9.0).set("fill", "#fff").set("stroke", INK));
            document.append(sign(&bar.number.to_string(), at));
        }
    }
    for (i, text) in key.iter().enumerate() {
        let at = Point::new(LEFT, foot + 12.0 + i as f64 * LINE);
        document.append(words(text, at, "start").set("font-size", "12"));
    }
    Some(document.to_string())
}

/// The move from a bar's own frame to the loaf.
fn lies(bar: &BarAt, section: &Polygon) -> Isometry {
    let by = Isometry {
        flip: bar.end_for_end,
        turn: bar.roll,
        shift: Point::new(bar.at[0], bar.at[1]),
    };
    Isometry::shift(-section.centroid()).then(by)
}

/// The layers of a bar where it lies; none where it was never glued.
fn layers(to: &mut Document, bar: &BarAt, steps: &Steps, paper: &To) -> Option<()> {
    let of_bar = polygon(&piece(steps, &bar.piece)?.section);
    let by = lies(bar, &of_bar);
    let glued = steps.steps.iter().find(|step| {
        matches!(step.work, Work::GlueBar { .. })
            && step.gives.iter().any(|of| of.piece == bar.piece)
    })?;
    let Work::GlueBar { parts, .. } = &glued.work else {
        return None;
    };
    for part in parts {
        let of = piece(steps, &part.piece)?;
        wood(to, of, place(part).then(by), paper);
    }
    Some(())
}

/// The pencil lines of a bar.
fn marks(to: &mut Document, bar: &BarAt, steps: &Steps, paper: &To) {
    let corners = steps.steps.iter().find_map(|step| match step.work {
        Work::Mark { corners } if step.takes.iter().any(|of| of.piece == bar.piece) => {
            Some(corners)
        }
        _ => None,
    });
    let (Some(corners), Some(of)) = (corners, piece(steps, &bar.piece)) else {
        return;
    };
    let section = polygon(&of.section);
    let by = lies(bar, &section);
    for (corner, colour) in corners.into_iter().zip([FIRST, SECOND]) {
        let [x, y] = of.section[corner];
        let at = Point::new(x, y).towards(section.centroid(), INSET);
        let dot = ring(paper.at(by.apply(at)), 3.0).set("fill", colour);
        to.append(dot.set("stroke", "#fff"));
    }
}
