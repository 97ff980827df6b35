//! One page with its part of the panel.

use super::{
    pen::{Line, Pen, Side},
    tiling::Tiling,
};
use crate::watch;
use crate::{
    draw::{
        bench::{FIRST, SECOND},
        signs::{first_like, kinds, letter, marks},
        words::fitted,
    },
    geom::{Point, Rect, length::INCH},
    layout::panel::Panel,
    plan::glue_up::placements,
    stock::Colour,
};

/// Outlines of tiles: to be seen, and to vanish under glue.
const RIM: Line = Line {
    width: 0.2,
    grey: 120,
    dashes: None,
};
/// Numbers in the tiles.
const NUMBER: u8 = 140;
/// The frame along which a page is cut.
const CUT: Line = Line {
    width: 0.2,
    grey: 80,
    dashes: Some([2.0, 1.5]),
};
/// The finished size.
const FINISHED: Line = Line {
    width: 0.3,
    grey: 60,
    dashes: Some([9.0, 2.0]),
};
/// Marks and check lines.
pub(super) const MARK: Line = Line {
    width: 0.2,
    grey: 0,
    dashes: None,
};

/// Sizes of letters in mm.
const LARGE: f64 = 3.6;
pub(super) const SMALL: f64 = 2.8;
/// The largest number in a tile, in mm; small tiles get smaller ones.
const LARGEST_NUMBER: f64 = 5.0;

/// The text in each tile, by its index.
pub(super) struct Sign {
    number: String,
    below: String,
    marks: [Point; 2],
}

/// The signs of all tiles.
pub(super) fn signs(panel: &Panel) -> Vec<Sign> {
    let kinds = kinds(panel);
    let by_face: Vec<(String, [Point; 2], f64)> = panel
        .faces
        .iter()
        .zip(panel.laid_by())
        .enumerate()
        .map(|(i, (placed, laid))| {
            let kind = kinds.iter().position(|&k| k == first_like(panel, i));
            let flipped = if laid.flip { " F" } else { "" };
            let size = placed.face.outline().area().sqrt();
            (
                format!("{}{flipped}", letter(kind.unwrap_or(0))),
                marks(&placed.kind, 1.0, size * 0.12).map(|m| laid.apply(m)),
                size,
            )
        })
        .collect();
    let mut signs: Vec<(usize, Sign)> = placements(panel)
        .into_iter()
        .map(|p| {
            let (below, marks, _) = &by_face[panel.tiles[p.tile].face as usize];
            let sign = Sign {
                number: format!("{}-{}", p.course, p.number),
                below: below.clone(),
                marks: *marks,
            };
            (p.tile, sign)
        })
        .collect();
    signs.sort_by_key(|(tile, _)| *tile);
    signs.into_iter().map(|(_, sign)| sign).collect()
}

pub(super) fn draw(
    pen: &mut Pen<'_>,
    panel: &Panel,
    tiling: &Tiling,
    signs: &[Sign],
    number: usize,
    title: &str,
) {
    let part = &tiling.pages[number];
    let window = tiling.frame.window();
    let to_page = window.min - part.shows.min;
    pen.within(window, |pen| {
        for &tile in &part.tiles {
            watch::ask();
            let corners: Vec<Point> = tiling.rims[tile]
                .corners()
                .iter()
                .map(|&c| c + to_page)
                .collect();
            pen.lines(&corners, true, RIM);
        }
        for &tile in &part.tiles {
            sign(pen, panel, tile, &signs[tile], to_page);
        }
        for cut in panel
            .trim
            .iter()
            .chain(panel.pieces.list.iter().map(|p| &p.outline))
        {
            for rim in cut.shifted(to_page).loops() {
                pen.lines(rim.corners(), true, FINISHED);
            }
        }
    });
    pen.rectangle(window, CUT);
    for mark in tiling.marks.iter().filter(|m| m.pages.contains(&number)) {
        let at = mark.at + to_page;
        cross(pen, at);
        let name = format!("{}+{}", mark.pages[0] + 1, mark.pages[1] + 1);
        pen.text(&name, at + Point::new(1.2, -2.6), 2.4, 60, Side::Start);
    }
    head(pen, tiling, number, title);
    check_lines(pen, tiling.frame.foot());
    let foot = tiling.frame.foot();
    let map = Rect {
        min: Point::new(foot.max.x - 34.0, foot.min.y + 2.0),
        max: foot.max,
    };
    page_map(pen, tiling, map, Some(number));
}

fn sign(pen: &mut Pen<'_>, panel: &Panel, tile: usize, sign: &Sign, to_page: Point) {
    let placed = panel.tiles[tile];
    let face = &panel.faces[placed.face as usize].face;
    let at = placed.at + to_page;
    let (bounds, side) = (face.bounds(), face.outline().area().sqrt());
    let size = (side * 0.2).min(bounds.height() * 0.3).min(LARGEST_NUMBER);
    for (mark, colour) in sign.marks.into_iter().zip([FIRST, SECOND]) {
        let colour = Colour::parse(colour).expect("invariant: a colour of this program");
        pen.dot(at + mark, (size * 0.16).max(0.25), colour);
    }
    let number = fitted(&sign.number, bounds.width() / size);
    pen.text(
        &number,
        at + Point::new(0.0, size * 0.1),
        size,
        NUMBER,
        Side::Middle,
    );
    let below = at + Point::new(0.0, size * 0.95);
    pen.text(&sign.below, below, size * 0.7, NUMBER, Side::Middle);
}

fn cross(pen: &mut Pen<'_>, at: Point) {
    const ARM: f64 = 3.0;
    pen.lines(
        &[at - Point::new(ARM, 0.0), at + Point::new(ARM, 0.0)],
        false,
        MARK,
    );
    pen.lines(
        &[at - Point::new(0.0, ARM), at + Point::new(0.0, ARM)],
        false,
        MARK,
    );
    pen.ring(at, 1.5, MARK);
}

fn head(pen: &mut Pen<'_>, tiling: &Tiling, number: usize, title: &str) {
    let part = &tiling.pages[number];
    let window = tiling.frame.window();
    let baseline = window.min.y - 2.5;
    let right = if tiling.pages.len() == 1 {
        "one page".to_owned()
    } else {
        format!(
            "page {} of {}: column {}, row {}",
            number + 1,
            tiling.pages.len(),
            part.column + 1,
            part.row + 1
        )
    };
    let title = fitted(title, (window.width() - 75.0) / LARGE);
    let at = Point::new(window.min.x, baseline);
    pen.text(&title, at, LARGE, 0, Side::Start);
    let at = Point::new(window.max.x, baseline);
    pen.text(&right, at, LARGE, 0, Side::End);
}

/// Lines of 100 mm and of 4 in., and what to do with them.
pub(super) fn check_lines(pen: &mut Pen<'_>, foot: Rect) {
    let left = foot.min.x;
    for (y, length, name) in [
        (foot.min.y + 4.0, 100.0, "100 mm"),
        (foot.min.y + 9.5, 4.0 * INCH, "4 in."),
    ] {
        let (from, to) = (Point::new(left, y), Point::new(left + length, y));
        pen.lines(&[from, to], false, MARK);
        for end in [from, to] {
            let tick = Point::new(0.0, 1.5);
            pen.lines(&[end - tick, end + tick], false, MARK);
        }
        pen.text(name, to + Point::new(1.5, 1.0), SMALL, 0, Side::Start);
    }
    for (y, line) in [
        (
            14.0,
            "Print at 100 % (actual size), not fitted to the page. Then measure",
        ),
        (
            17.5,
            "both lines: if they are off, no outline of this page can be trusted.",
        ),
    ] {
        let at = Point::new(left, foot.min.y + y);
        pen.text(line, at, SMALL, 0, Side::Start);
    }
}

/// Where the pages lie, with their numbers; the one that this is in grey.
pub(super) fn page_map(pen: &mut Pen<'_>, tiling: &Tiling, into: Rect, this: Option<usize>) {
    if tiling.pages.len() == 1 {
        return;
    }
    let shown = tiling.pages.iter().flat_map(|p| [p.shows.min, p.shows.max]);
    let Some(all) = Rect::around(shown.collect::<Vec<_>>()) else {
        return;
    };
    let scale = (into.width() / all.width()).min(into.height() / all.height());
    // To the right and the bottom of its place.
    let origin = into.max - (all.max - all.min) * scale;
    let on_map = |p: Point| origin + (p - all.min) * scale;
    let cell = tiling
        .frame
        .window()
        .height()
        .min(tiling.frame.window().width())
        * scale;
    for (i, part) in tiling.pages.iter().enumerate() {
        watch::ask();
        let rect = Rect {
            min: on_map(part.shows.min),
            max: on_map(part.shows.max),
        };
        if this == Some(i) {
            pen.filled(rect, 215);
        }
        pen.rectangle(rect, Line { grey: 110, ..MARK });
        let size = (cell * 0.45).min(6.0);
        let at = rect.centre() + Point::new(0.0, size * 0.35);
        pen.text(&(i + 1).to_string(), at, size, 0, Side::Middle);
    }
}
