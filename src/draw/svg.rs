//! SVG documents (SVG 1.1 with `xlink:href`, which every program reads) at true scale: user units
//! are millimetres, and so are width and height.

use super::{
    about, dimension,
    document::Document,
    facts,
    ink::{Anchor, group, text},
    number::{mm, snapped},
    options::{PanelOptions, PreviewOptions},
    page::{INK, Page, SOFT},
    scale_bar,
    tally::{self, Source},
    wood::Wood,
    words,
};
use crate::layout::panel::Panel;

/// How every document begins.
const OPENING: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" \
                       xmlns:xlink=\"http://www.w3.org/1999/xlink\" version=\"1.1\"";

/// The panel alone: the page is as large as the panel.
pub fn panel_document<'a>(panel: &'a Panel, options: &PanelOptions) -> Document<'a> {
    let wood = Wood::of(panel);
    let ids = options.ids();
    let size = (panel.bounds.width(), panel.bounds.height());
    let title = about::title(panel, options.title.as_deref());
    let mut out = document(size, &about::about(panel, &title));
    out.extend(["<defs>\n"]);
    wood.define(&mut out, options.form, &ids);
    out.extend(["</defs>\n"]);
    wood.place(&mut out, options.form, &ids, (0, 0));
    out.extend(["</svg>\n"]);
    out
}

/// [`panel_document`] as one text.
pub fn panel_svg(panel: &Panel, options: &PanelOptions) -> String {
    panel_document(panel, options).to_text()
}

/// The line under the title, where there is one.
fn noted(options: &PreviewOptions) -> Option<String> {
    let note = options.note.as_deref().map(words::clean);
    note.filter(|note| !note.is_empty())
}

fn panel_top(page: &Page, options: &PreviewOptions) -> f64 {
    let head = if noted(options).is_some() { 3.2 } else { 1.5 };
    page.margin + (head + 4.2) * page.em
}

/// Where the top left corner of the panel lies on the page of [`preview_document`], in mm.
pub(super) fn panel_place(panel: &Panel, options: &PreviewOptions) -> (f64, f64) {
    let page = Page::of(panel.bounds.width(), panel.bounds.height());
    (page.left, panel_top(&page, options))
}

/// A page with the panel, its finished size, scale bars, facts and the tally.
pub fn preview_document<'a>(panel: &'a Panel, options: &PreviewOptions) -> Document<'a> {
    let wood = Wood::of(panel);
    let ids = options.panel.ids();
    let ids = ids.as_str();
    let page = Page::of(panel.bounds.width(), panel.bounds.height());
    let em = page.em;
    let title = about::title(panel, options.panel.title.as_deref());

    let mut head = group().add(text(
        &words::fitted(&title, page.content / (1.9 * em)),
        (page.left, page.margin + 1.5 * em),
        1.9 * em,
        INK,
        Anchor::Start,
    ));
    if let Some(note) = noted(options) {
        let y = page.margin + 3.2 * em;
        let note = words::fitted(&note, page.content / (0.9 * em));
        head = head.add(text(&note, (page.left, y), 0.9 * em, SOFT, Anchor::Start));
    }
    let panel_top = panel_top(&page, options);
    let bars_top = panel_top + page.panel_height + 2.0 * em;
    let facts_top = bars_top + (scale_bar::HEIGHT + 1.0) * em;
    let tally_top = facts_top + (facts::HEIGHT + 0.6) * em;
    let (cards, end) = tally::tally(
        &page,
        tally_top,
        panel,
        &Source {
            wood: &wood,
            form: options.panel.form,
            ids,
        },
    );
    let height = end + page.margin - em;

    let about = about::about(panel, &title);
    let mut out = document((page.width(), height), &about);
    out.extend(["<defs>\n"]);
    wood.define(&mut out, options.panel.form, ids);
    let (right, bottom) = (mm(page.width()), mm(height));
    out.extend(["</defs>\n<path fill=\"#ffffff\" d=\"M0 0H"]);
    out.extend([&right, "V", &bottom, "H0z\"/>\n"]);
    let at = (snapped(page.left), snapped(panel_top));
    wood.place(&mut out, options.panel.form, ids, at);
    for part in [
        head,
        dimension::dimensions(&page, panel_top),
        scale_bar::scale_bar(&page, bars_top),
        facts::facts(&page, facts_top, panel, &wood),
        cards,
    ] {
        out.extend([part.to_string().as_str(), "\n"]);
    }
    out.extend(["</svg>\n"]);
    out
}

/// A document of this size in mm, begun, with a place for metadata.
pub(super) fn document<'a>(size: (f64, f64), about: &str) -> Document<'a> {
    let mut out = Document::default();
    open(out.text(), size, about);
    out.metadata_go_here();
    out
}

/// Begins a document of this size in mm.
pub(super) fn open(out: &mut String, (width, height): (f64, f64), about: &str) {
    let (width, height) = (mm(width), mm(height));
    *out += OPENING;
    out.extend([" width=\"", &width, "mm\" height=\"", &height, "mm\""]);
    out.extend([" viewBox=\"0 0 ", &width, " ", &height, "\">\n", about]);
}
