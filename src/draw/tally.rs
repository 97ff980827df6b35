//! The tally: a picture of each kind and pose, and how many of it there are.

use svg::node::element::{Group, Path, Use};

use super::{
    ink::{Anchor, group, stroke, text},
    number::{mm, rounded},
    options::Form,
    page::{INK, Page, SOFT},
    wood::Wood,
    words,
};
use crate::{
    geom::number::grouped_in_one_line,
    layout::{
        panel::{Panel, TileCount},
        tally::order,
    },
    stock::{Colour, Pose},
};

/// The most kinds and poses that get a card of their own.
const MOST_CARDS: usize = 120;
/// Measures of a card, in text sizes.
const CARD: (f64, f64) = (16.5, 5.6);
/// Side of the square that holds a picture, in text sizes.
const PICTURE: f64 = 4.4;
/// Room for the heading, in text sizes.
const HEADING: f64 = 2.8;

/// Where the pictures come from.
#[derive(Debug)]
pub(crate) struct Source<'a> {
    /// The panel's wood.
    pub(crate) wood: &'a Wood<'a>,
    /// How tiles are written.
    pub(crate) form: Form,
    /// What ids begin with.
    pub(crate) ids: &'a str,
}

/// The tally's cards, from `top` down; and where it ends.
pub(crate) fn tally(page: &Page, top: f64, panel: &Panel, source: &Source<'_>) -> (Group, f64) {
    let em = page.em;
    let counts = &source.wood.counts;
    // Whole columns, spread over the width.
    let columns = columns(page.content / em);
    let step = page.content / columns as f64;
    let scale = scale(panel, PICTURE * em);
    let heading = if scale < 1.0 {
        format!(
            "Tiles, pictures at {} % of true size",
            rounded(scale * 100.0, 0)
        )
    } else {
        "Tiles, pictures at true size".to_owned()
    };
    let rule = format!("M{} {}h{}", mm(page.left), mm(top), mm(page.content));
    let mut all = group().add(stroke(rule, 0.04 * em)).add(text(
        &heading,
        (page.left, top + 1.5 * em),
        0.8 * em,
        SOFT,
        Anchor::Start,
    ));
    let shown = counts.len().min(MOST_CARDS);
    let rows = shown.div_ceil(columns);
    let order: Vec<usize> = order(panel).into_iter().map(|(_, face)| face).collect();
    for (place, &i) in order.iter().enumerate().take(shown) {
        let at = (
            page.left + step * (place % columns) as f64,
            top + em * (HEADING + CARD.1 * (place / columns) as f64),
        );
        all = all.add(card((em, step), at, panel, (i, counts[i]), scale, source));
    }
    let mut end = top + em * (HEADING + CARD.1 * rows as f64);
    if let Some(rest) = order.get(MOST_CARDS..).filter(|r| !r.is_empty()) {
        let all_of = |&i: &usize| counts[i].whole + counts[i].trimmed;
        let tiles: u64 = rest.iter().map(all_of).sum();
        let line = format!(
            "and {} more kinds and poses with {} tiles",
            grouped_in_one_line(rest.len() as u64),
            grouped_in_one_line(tiles)
        );
        all = all.add(text(
            &line,
            (page.left, end + 0.4 * em),
            em,
            INK,
            Anchor::Start,
        ));
        end += 1.4 * em;
    }
    (all, end)
}

fn columns(ems: f64) -> usize {
    (1..=8)
        .rev()
        .find(|&n| n as f64 * CARD.0 <= ems)
        .unwrap_or(1)
}

/// The common scale of all pictures: true size where every face fits its square.
fn scale(panel: &Panel, side: f64) -> f64 {
    let largest = panel.faces.iter().map(|f| {
        let b = f.face.bounds();
        b.width().max(b.height())
    });
    (side / largest.fold(side, f64::max)).min(1.0)
}

fn card(
    (em, width): (f64, f64),
    (x, y): (f64, f64),
    panel: &Panel,
    (i, counted): (usize, TileCount),
    scale: f64,
    source: &Source<'_>,
) -> Group {
    let face = &panel.faces[i];
    let middle = face.face.bounds().centre();
    let half = PICTURE * em / 2.0;
    let place = format!(
        "translate({} {}) scale({})",
        mm(x + half - middle.x * scale),
        mm(y + half - middle.y * scale),
        mm(scale)
    );
    let art = &source.wood.art[i];
    let outline = art.outline.data();
    let filled = |colour: Colour, data: String| {
        let path = Path::new().set("d", data);
        path.set("fill", colour.to_string())
    };
    let mut picture = Group::new()
        .set("transform", place)
        .add(filled(art.mean, outline.clone()));
    match source.form {
        Form::Placed | Form::Blank => {
            let face = Use::new().set("xlink:href", format!("#{}f{i}", source.ids));
            picture = picture.add(face.set("stroke-width", 0));
        }
        Form::Flat => {
            for (colour, rings) in &art.paths {
                picture = picture.add(filled(*colour, rings.data()));
            }
        }
    }
    picture = picture.add(stroke(outline, 0.03 * em / scale));
    let right = x + (PICTURE + 1.0) * em;
    let room = width / em - PICTURE - 1.6;
    let name = words::fitted(&words::clean(face.kind.name()), room);
    let (total, parts) = amount(counted);
    Group::new()
        .add(picture)
        .add(text(&name, (right, y + 0.9 * em), em, INK, Anchor::Start))
        .add(text(
            &posed(face.pose),
            (right, y + 2.0 * em),
            0.8 * em,
            SOFT,
            Anchor::Start,
        ))
        .add(text(&total, (right, y + 3.3 * em), em, INK, Anchor::Start))
        .add(text(
            &parts,
            (right, y + 4.4 * em),
            0.8 * em,
            SOFT,
            Anchor::Start,
        ))
}

/// How a tile stands, in words.
fn posed(pose: Pose) -> String {
    let turn = rounded(pose.turn, 1);
    match (pose.flip, turn.as_str()) {
        (false, "0") => "as sliced".to_owned(),
        (true, "0") => "flipped".to_owned(),
        (false, _) => format!("turned {turn}\u{b0}"),
        (true, _) => format!("flipped, turned {turn}\u{b0}"),
    }
}

/// How many, and how many of them are cut at the rim.
fn amount(c: TileCount) -> (String, String) {
    let total = grouped_in_one_line(c.all());
    let parts = match (c.whole, c.trimmed) {
        (_, 0) => "whole".to_owned(),
        (0, _) => "trimmed".to_owned(),
        (whole, trimmed) => format!(
            "{} whole, {} trimmed",
            grouped_in_one_line(whole),
            grouped_in_one_line(trimmed)
        ),
    };
    (total, parts)
}
