//! A PDF (ISO 32000-2) of pages that were drawn, all of one size, with one typeface. It has no date and
//! no name of a machine, so the same pages give the same bytes.

use std::io::Write;

use flate2::{Compression, write::ZlibEncoder};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, TextStr};

use super::{pen::font_name, typeface::Typeface};

/// Puts pages together; each is the content of one.
pub(super) fn document(
    title: &str,
    sheet: Rect,
    pages: &[Vec<u8>],
    typeface: &Typeface,
) -> Vec<u8> {
    let mut last = 0;
    let mut next = || {
        last += 1;
        Ref::new(last)
    };
    let (catalog, tree, info) = (next(), next(), next());
    let fonts: Vec<Ref> = (0..typeface.fonts()).map(|_| next()).collect();
    let ids: Vec<(Ref, Ref)> = pages.iter().map(|_| (next(), next())).collect();
    let count = i32::try_from(pages.len()).expect("invariant: a template has few pages");
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(tree);
    pdf.document_info(info)
        .title(TextStr(title))
        .creator(TextStr("Plyloom"));
    let mut all = pdf.pages(tree);
    all.kids(ids.iter().map(|(page, _)| *page)).count(count);
    all.media_box(sheet);
    let mut resources = all.resources();
    let mut named = resources.fonts();
    for (number, &font) in fonts.iter().enumerate() {
        named.pair(Name(font_name(number).as_bytes()), font);
    }
    named.finish();
    resources.finish();
    all.finish();
    for ((page, content), drawn) in ids.iter().zip(pages) {
        let mut sheet_of = pdf.page(*page);
        sheet_of.parent(tree).media_box(sheet).contents(*content);
        sheet_of.finish();
        pdf.stream(*content, &packed(drawn))
            .filter(Filter::FlateDecode);
    }
    typeface.write(&mut pdf, &fonts, &mut next);
    pdf.finish()
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::default());
    encoder
        .write_all(bytes)
        .and_then(|()| encoder.finish())
        .expect("invariant: writing to memory does not fail")
}
