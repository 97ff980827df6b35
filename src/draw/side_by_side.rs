//! Several panels on one page, each with a few words under it: to compare.

use std::fmt::Write as _;

use super::{
    about,
    document::Document,
    ink::{Anchor, group, text},
    number::{mm, snapped},
    options::Form,
    page::{INK, Page},
    pixels::push_image,
    svg::document,
    wood::Wood,
    words,
};
use crate::layout::panel::Panel;

/// The most lines of words under a panel.
const LINES: usize = 2;
/// No column is narrower than this, in ems.
const NARROWEST: f64 = 14.0;

/// A panel and what is said under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    /// The panel.
    pub panel: Panel,
    /// Words under it: two lines of them at most.
    pub words: String,
    /// Whether only the circle within its bounds is shown.
    pub round: bool,
    /// A PNG of the panel to show instead of drawing it.
    pub pixels: Option<Vec<u8>>,
}

/// A page of panels at true scale, so many in a row, with a title.
pub fn side_by_side<'a>(
    shots: &'a [Shot],
    columns: usize,
    title: &str,
    form: Form,
) -> Document<'a> {
    let columns = columns.clamp(1, shots.len().max(1));
    let most = |size: fn(&Panel) -> f64| shots.iter().map(|s| size(&s.panel)).fold(0.0, f64::max);
    let (wide, high) = (most(|p| p.bounds.width()), most(|p| p.bounds.height()));
    let page = Page::of(wide * columns as f64, high);
    let em = page.em;
    // Each column is as wide as its widest piece; words need some room even under a narrow one.
    let rooms: Vec<f64> = (0..columns)
        .map(|column| {
            let own = shots.iter().skip(column).step_by(columns);
            own.map(|s| s.panel.bounds.width())
                .fold(NARROWEST * em, f64::max)
        })
        .collect();
    let mut lefts = vec![page.margin];
    for room in &rooms {
        lefts.push(lefts[lefts.len() - 1] + room + 1.5 * em);
    }
    let mut top = page.margin + 4.0 * em;
    let mut tops = Vec::new();
    for row in shots.chunks(columns) {
        tops.push(top);
        let high = row.iter().map(|s| s.panel.bounds.height());
        top += high.fold(0.0, f64::max) + (2.8 + 1.2 * LINES as f64) * em;
    }
    let size = (
        lefts[columns] + page.margin - 1.5 * em,
        top + page.margin - 1.5 * em,
    );

    let mut definitions = Document::default();
    let mut wood = Document::default();
    let mut said = group().add(text(
        &words::fitted(
            &words::clean(title),
            (size.0 - 2.0 * page.margin) / (1.9 * em),
        ),
        (page.margin, page.margin + 1.5 * em),
        1.9 * em,
        INK,
        Anchor::Start,
    ));
    for (i, shot) in shots.iter().enumerate() {
        let ids = format!("d{}-", i + 1);
        let (x, room) = (lefts[i % columns], rooms[i % columns]);
        let y = tops[i / columns];
        let art = shot.pixels.is_none().then(|| Wood::of(&shot.panel));
        if let Some(art) = &art {
            art.define(&mut definitions, form, &ids);
        }
        if shot.round {
            let (w, h) = (shot.panel.bounds.width(), shot.panel.bounds.height());
            let _ = writeln!(
                definitions.text(),
                "<clipPath id=\"{ids}round\"><circle cx=\"{}\" cy=\"{}\" r=\"{}\"/></clipPath>",
                mm(x + w / 2.0),
                mm(y + h / 2.0),
                mm(w.min(h) / 2.0)
            );
            let _ = writeln!(wood.text(), "<g clip-path=\"url(#{ids}round)\">");
        }
        let bounds = shot.panel.bounds;
        match (&art, &shot.pixels) {
            (Some(art), _) => art.place(&mut wood, form, &ids, (snapped(x), snapped(y))),
            (None, Some(png)) => {
                push_image(wood.text(), (x, y), (bounds.width(), bounds.height()), png);
            }
            (None, None) => {}
        }
        if shot.round {
            wood.extend(["</g>\n"]);
        }
        let below = y + shot.panel.bounds.height();
        let lines = words::wrapped(&words::clean(&shot.words), room / em, LINES);
        for (number, line) in lines.iter().enumerate() {
            let down = 1.4 + 1.2 * number as f64;
            let at = (x, below + down * em);
            said = said.add(text(line, at, em, INK, Anchor::Start));
        }
    }
    let about = shots
        .first()
        .map_or_else(String::new, |s| about::about(&s.panel, title));
    let mut out = document(size, &about);
    out.extend(["<defs>\n"]);
    out.append(definitions);
    let (right, bottom) = (mm(size.0), mm(size.1));
    out.extend(["</defs>\n<path fill=\"#ffffff\" d=\"M0 0H"]);
    out.extend([&right, "V", &bottom, "H0z\"/>\n"]);
    out.append(wood);
    out.extend([said.to_string().as_str(), "\n</svg>\n"]);
    out
}
