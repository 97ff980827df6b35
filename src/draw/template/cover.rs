//! The first page: how the other pages lie, and how they are put together to a template.

use super::{
    pen::{Line, Pen, Side},
    sheet::{SMALL, check_lines, page_map},
    tiling::Tiling,
};
use crate::watch;
use crate::{
    draw::words::fitted,
    geom::{Point, Rect},
    layout::panel::Panel,
};

/// More tiles than this are not drawn small.
const MOST_TILES: usize = 5000;

const STEPS: [&str; 9] = [
    "1. Print all pages at 100 % (actual size), not fitted to the page.",
    "2. Measure the two lines at the foot of every page: 100 mm and 4 in.",
    "3. Cut each page along its dashed frame, on the left and above only, where a page adjoins.",
    "4. Lay it over its neighbour so that crosses with the same numbers fall on each other: pin",
    "    through two of them, or hold both against a window. Tape, then check across the seam.",
    "5. Numbers are COURSE-TILE, as on the glue-up map. A letter names the kind; F: the other side up.",
    "6. The red and the blue dot are the two pencil lines along the bar.",
    "7. Long dashes are the finished size: what lies beyond is trimmed when the glue is hard.",
    "8. Cover the template with release film before you glue on it.",
];

pub(super) fn draw(pen: &mut Pen<'_>, panel: &Panel, tiling: &Tiling, title: &str) {
    let window = tiling.frame.window();
    let (left, top) = (window.min.x, window.min.y);
    let name = fitted(&format!("{title}: template"), window.width() / 6.0);
    pen.text(&name, Point::new(left, top), 6.0, 0, Side::Start);
    let size = format!(
        "{:.1} x {:.1} mm over {} pages, at true scale",
        panel.bounds.width(),
        panel.bounds.height(),
        tiling.pages.len()
    );
    pen.text(&size, Point::new(left, top + 7.0), 4.0, 60, Side::Start);
    let mut y = top + 15.0;
    for step in STEPS {
        watch::ask();
        pen.text(step, Point::new(left, y), SMALL + 0.6, 0, Side::Start);
        y += 5.4;
    }
    let room = Rect {
        min: Point::new(left, y + 4.0),
        max: window.max - Point::new(0.0, 4.0),
    };
    map(pen, tiling, room);
    check_lines(pen, tiling.frame.foot());
}

/// The pages over the panel itself.
fn map(pen: &mut Pen<'_>, tiling: &Tiling, room: Rect) {
    let shown = tiling.pages.iter().flat_map(|p| [p.shows.min, p.shows.max]);
    let Some(all) = Rect::around(shown.collect::<Vec<_>>()) else {
        return;
    };
    let scale = (room.width() / all.width()).min(room.height() / all.height());
    let size = (all.max - all.min) * scale;
    let place = Rect {
        min: room.min,
        max: room.min + size,
    };
    let on_map = |p: Point| place.min + (p - all.min) * scale;
    let pale = Line {
        width: 0.1,
        grey: 190,
        dashes: None,
    };
    if tiling.rims.len() <= MOST_TILES {
        for rim in &tiling.rims {
            watch::ask();
            let corners: Vec<Point> = rim.corners().iter().map(|&c| on_map(c)).collect();
            pen.lines(&corners, true, pale);
        }
    } else {
        let rim = Rect {
            min: on_map(tiling.extent.min),
            max: on_map(tiling.extent.max),
        };
        pen.rectangle(rim, pale);
    }
    page_map(pen, tiling, place, None);
}
