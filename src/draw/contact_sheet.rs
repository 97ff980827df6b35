//! A contact sheet: many small pictures at one scale on a page, each with a number and a few words.
//!
//! It is put together from finished drawings of panels, whose ids must differ (see
//! [`super::PanelOptions::number`]); nothing in them is changed. Lengths in mm.

use std::fmt::Write as _;

use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};
use roxmltree::Node;
use svg::node::element::Group;

use super::{
    about,
    bitmap::{Bitmap, Ground},
    error::DrawError,
    ink::{Anchor, group, text},
    number::{mm, rounded},
    ours::{SVG, parsed},
    page::{INK, SOFT},
    png::{bitmap, sized},
    svg::open,
    words,
};
use crate::watch;

/// Width and height that the largest card is brought to, in mm.
const CARD: f64 = 62.0;
/// No card is narrower than this, in mm, as its text needs room.
const NARROWEST: f64 = 40.0;
/// Size of the words in mm; numbers and the title are larger.
const EM: f64 = 2.8;
/// Blank rim, and between cards, in mm.
const GAP: f64 = 8.0;
/// Width of a sheet over its height, as near as the number of cards allows.
const WIDE: f64 = 1.4;
/// Most cards in a row.
const MOST_COLUMNS: usize = 16;
/// The most pixels in a millimetre of a sheet.
const SHARPEST: f64 = 5.0;
/// The longer side, in pixels, of a small picture that serves every sheet: a card of 62 mm, 5 pixels in each.
pub const SMALL: u32 = 310;

/// A drawing of a panel, to stand inside of another document.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Its elements but for the metadata.
    body: String,
    /// Width of the panel in mm.
    pub width: f64,
    /// Height of the panel in mm.
    pub height: f64,
    /// A small picture of it on paper, as PNG, where there is one.
    small: Option<Vec<u8>>,
}

impl Picture {
    /// Reads a document of [`super::panel_document`], of this width and height in mm.
    ///
    /// # Errors
    /// When it is no SVG document.
    pub fn read(svg: &str, (width, height): (f64, f64)) -> Result<Self, DrawError> {
        let unreadable = |why: String| DrawError::Unreadable(why);
        let document = parsed(svg).map_err(|error| unreadable(error.to_string()))?;
        let root = document.root_element();
        if !root.has_tag_name((SVG, "svg")) {
            return Err(unreadable("it is no SVG".to_owned()));
        }
        let mut body = String::new();
        let shown =
            |node: &Node<'_, '_>| node.is_element() && !node.has_tag_name((SVG, "metadata"));
        for node in root.children().filter(shown) {
            body.extend([&svg[node.range()], "\n"]);
        }
        Ok(Self {
            body,
            width,
            height,
            small: None,
        })
    }

    /// The same with a small picture, from which a sheet of pixels is made where it is large enough.
    #[must_use]
    pub fn with_small(self, small: Option<Vec<u8>>) -> Self {
        Self { small, ..self }
    }

    /// Its pixels on paper in a given size: from the small picture where that is as large, else from the drawing.
    fn pixels(&self, size: (u32, u32)) -> Result<Bitmap, DrawError> {
        let per_mm = f64::from(size.0) / self.width;
        let small = self.small.as_ref().map(|png| Bitmap::read(png, per_mm));
        match small {
            Some(Ok(small)) if small.width >= size.0 && small.height >= size.1 => {
                Ok(small.shrunk(size))
            }
            _ => sized(&self.document(), size, Ground::Paper),
        }
    }

    /// The drawing as a document of its own.
    pub(super) fn document(&self) -> String {
        let mut out = String::new();
        open(&mut out, (self.width, self.height), &self.body);
        out += "</svg>\n";
        out
    }
}

/// One place on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetCard {
    /// Its number.
    pub number: u64,
    /// The text next to the number, such as how many variations look like this.
    pub times: String,
    /// What made it.
    pub made_with: String,
    /// Its figures.
    pub figures: String,
    /// Its panels, side by side.
    pub pictures: Vec<Picture>,
}

/// How cards lie on a sheet.
struct CardGrid {
    columns: usize,
    /// How much smaller than true size.
    scale: f64,
    width: f64,
    height: f64,
}

/// What the captions take, in mm.
const CAPTION: f64 = 5.4 * EM;
/// What the head takes, in mm.
const HEAD: f64 = GAP + 6.0 * EM;

/// The size of the largest card at true scale: panels side by side with a gap of a twentieth.
pub(super) fn largest(cards: &[SheetCard]) -> (f64, f64) {
    let width = |c: &SheetCard| {
        let all: f64 = c.pictures.iter().map(|p| p.width).sum();
        all * if c.pictures.len() > 1 { 1.05 } else { 1.0 }
    };
    let height = |c: &SheetCard| c.pictures.iter().map(|p| p.height).fold(0.0, f64::max);
    let most = |of: &dyn Fn(&SheetCard) -> f64| cards.iter().map(of).fold(1.0, f64::max);
    (most(&width), most(&height))
}

impl CardGrid {
    fn of(cards: &[SheetCard]) -> Self {
        let (width, height) = largest(cards);
        let scale = (CARD / width).min(CARD / height).min(1.0);
        let (width, height) = ((width * scale).max(NARROWEST), height * scale);
        let cell = (width + GAP, height + CAPTION + GAP);
        let count = cards.len().max(1);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "positive, and saturates"
        )]
        let ideal = (WIDE * count as f64 * cell.1 / cell.0).sqrt().round() as usize;
        Self {
            columns: ideal.clamp(1, MOST_COLUMNS.min(count)),
            scale,
            width,
            height,
        }
    }
}

/// A sheet: where its pictures go, and the text.
struct ContactSheet<'a> {
    width: f64,
    height: f64,
    places: Vec<PlacedPicture<'a>>,
    said: Group,
}

/// Where a picture goes, in mm.
struct PlacedPicture<'a> {
    picture: &'a Picture,
    left: f64,
    top: f64,
    width: f64,
    height: f64,
}

/// The sheet, under a title and a line of words.
pub fn contact_sheet_svg(cards: &[SheetCard], title: &str, note: &str) -> String {
    let sheet = sheet(cards, title, note);
    let mut pictures = String::new();
    for placed in &sheet.places {
        placed.push(&mut pictures);
    }
    document(&sheet, title, &pictures)
}

/// The sheet as a picture, at most so many pixels wide and 5 of them in a millimetre; as
/// [`contact_sheet_svg`] but that each picture begins at a whole pixel.
///
/// Each is made from its small picture, or rendered by itself where there is none, on all cores of the
/// current thread pool. Rendered as one document, each of them would take as much time as a picture as large
/// as the whole sheet.
///
/// # Errors
/// When the width is out of range, the sheet would be too large, or a picture cannot be read.
pub fn contact_sheet_png(
    cards: &[SheetCard],
    title: &str,
    note: &str,
    width: u32,
) -> Result<Vec<u8>, DrawError> {
    let sheet = sheet(cards, title, note);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "positive, and saturates"
    )]
    let sharp = (sheet.width * SHARPEST) as u32;
    let mut page = bitmap(
        &document(&sheet, title, ""),
        width.min(sharp),
        Ground::Paper,
    )?;
    let per_mm = f64::from(page.width) / sheet.width;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "places lie on the page, which is a picture of a size that was checked"
    )]
    let pixels = |mm: f64| (mm * per_mm).round() as u32;
    let drawn = |placed: &PlacedPicture<'_>| {
        watch::ask();
        let size = (pixels(placed.width).max(1), pixels(placed.height).max(1));
        placed.picture.pixels(size)
    };
    let handed = watch::handed();
    let pictures: Vec<Bitmap> = sheet
        .places
        .par_iter()
        .map(|placed| handed.over(|| drawn(placed)))
        .collect::<Result<_, DrawError>>()?;
    for (placed, picture) in sheet.places.iter().zip(pictures) {
        page.lay(&picture, (pixels(placed.left), pixels(placed.top)));
    }
    page.quick_png()
}

fn document(sheet: &ContactSheet<'_>, title: &str, pictures: &str) -> String {
    let mut out = String::new();
    open(
        &mut out,
        (sheet.width, sheet.height),
        &about::title_alone(title),
    );
    let _ = write!(
        out,
        "<path fill=\"#ffffff\" d=\"M0 0H{}V{}H0z\"/>\n{pictures}{}\n</svg>\n",
        mm(sheet.width),
        mm(sheet.height),
        sheet.said
    );
    out
}

fn sheet<'a>(cards: &'a [SheetCard], title: &str, note: &str) -> ContactSheet<'a> {
    let grid = CardGrid::of(cards);
    let rows = cards.len().div_ceil(grid.columns).max(1);
    // The title needs some width even over a single card.
    let width = (GAP + (grid.width + GAP) * grid.columns as f64).max(GAP * 2.0 + 40.0 * EM);
    let height = HEAD + (grid.height + CAPTION + GAP) * rows as f64 + GAP;
    let line = width - 2.0 * GAP;
    let note = format!("{note} \u{b7} scale 1 : {}", rounded(1.0 / grid.scale, 1));
    let mut said = group()
        .add(text(
            &words::fitted(&words::clean(title), line / (1.9 * EM)),
            (GAP, GAP + 1.5 * EM),
            1.9 * EM,
            INK,
            Anchor::Start,
        ))
        .add(text(
            &words::fitted(&words::clean(&note), line / EM),
            (GAP, GAP + 3.3 * EM),
            EM,
            SOFT,
            Anchor::Start,
        ));
    let mut places = Vec::new();
    for (i, card) in cards.iter().enumerate() {
        let left = GAP + (grid.width + GAP) * (i % grid.columns) as f64;
        let top = HEAD + (grid.height + CAPTION + GAP) * (i / grid.columns) as f64;
        place_pictures(&mut places, card, &grid, (left, top));
        // The number stands right under its picture, however low that is.
        let tallest = card.pictures.iter().map(|p| p.height).fold(0.0, f64::max);
        let base = top + tallest * grid.scale + 1.7 * EM;
        let number = card.number.to_string();
        let beside = left + (words::width(&number) * 1.4 + 0.7) * EM;
        let room = grid.width / (0.9 * EM);
        let small = |words: &str, down: f64| {
            text(
                &words::fitted(&words::clean(words), room),
                (left, base + down * EM),
                0.9 * EM,
                SOFT,
                Anchor::Start,
            )
        };
        said = said
            .add(text(&number, (left, base), 1.4 * EM, INK, Anchor::Start))
            .add(text(
                &words::fitted(&words::clean(&card.times), room / 2.0),
                (beside, base),
                0.9 * EM,
                SOFT,
                Anchor::Start,
            ))
            .add(small(&card.made_with, 1.4))
            .add(small(&card.figures, 2.6));
    }
    ContactSheet {
        width,
        height,
        places,
        said,
    }
}

fn place_pictures<'a>(
    places: &mut Vec<PlacedPicture<'a>>,
    card: &'a SheetCard,
    grid: &CardGrid,
    (left, top): (f64, f64),
) {
    let all: f64 = card.pictures.iter().map(|p| p.width).sum();
    let gap = match card.pictures.len() {
        0 | 1 => 0.0,
        n => all * 0.05 / (n - 1) as f64,
    };
    let mut x = left;
    for picture in &card.pictures {
        places.push(PlacedPicture {
            picture,
            left: x,
            top,
            width: picture.width * grid.scale,
            height: picture.height * grid.scale,
        });
        x += (picture.width + gap) * grid.scale;
    }
}

impl PlacedPicture<'_> {
    fn push(&self, out: &mut String) {
        let _ = write!(
            out,
            "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" viewBox=\"0 0 {} {}\">\n{}</svg>\n",
            mm(self.left),
            mm(self.top),
            mm(self.width),
            mm(self.height),
            mm(self.picture.width),
            mm(self.picture.height),
            self.picture.body
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card(number: u64, width: f64, height: f64) -> SheetCard {
        let mut svg = String::new();
        open(&mut svg, (width, height), "<title>t</title>\n");
        let _ = write!(svg, "<path id=\"d{number}-a\" d=\"M0 0\"/>\n</svg>\n");
        SheetCard {
            number,
            times: String::new(),
            made_with: "a < b & \u{1}c".to_owned(),
            figures: String::new(),
            pictures: vec![Picture::read(&svg, (width, height)).unwrap()],
        }
    }

    #[test]
    fn every_picture_is_there_at_one_scale() {
        let cards: Vec<SheetCard> = (1..=7).map(|n| card(n, 100.0 * n as f64, 200.0)).collect();
        let svg = contact_sheet_svg(&cards, "Title <1>", "note");
        let tree = roxmltree::Document::parse(&svg).unwrap();
        let nested: Vec<_> = tree
            .root_element()
            .children()
            .filter(|n| n.has_tag_name("svg"))
            .collect();
        assert_eq!(nested.len(), 7);
        for picture in nested {
            let width: f64 = picture.attribute("width").unwrap().parse().unwrap();
            let own = picture
                .attribute("viewBox")
                .unwrap()
                .split(' ')
                .nth(2)
                .unwrap();
            let own: f64 = own.parse().unwrap();
            assert!((width / own - CARD / 700.0).abs() < 1e-4);
        }
        assert!(svg.contains("scale 1 : 11.3"));
    }

    #[test]
    fn pixels_show_what_the_document_shows() {
        let fills = ["#102030", "#a08060", "#305070"];
        let cards: Vec<SheetCard> = (1..)
            .zip(fills)
            .map(|(number, fill)| {
                let mut card = card(number, 100.0, 60.0);
                let body = &mut card.pictures[0].body;
                let _ = writeln!(body, "<path fill=\"{fill}\" d=\"M0 0h100v60h-100z\"/>");
                card
            })
            .collect();
        let whole = bitmap(&contact_sheet_svg(&cards, "t", "n"), 600, Ground::Paper).unwrap();
        let pieced = contact_sheet_png(&cards, "t", "n", 600).unwrap();
        let mut decoder = ::png::Decoder::new(std::io::Cursor::new(pieced));
        decoder.set_transformations(::png::Transformations::EXPAND);
        let mut reader = decoder.read_info().unwrap();
        let mut data = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut data).unwrap();
        let (theirs, _) = whole.rgba.as_chunks::<4>();
        let (ours, _) = data.as_chunks::<3>();
        assert_eq!(ours.len(), theirs.len());
        let far = |(a, b): (&[u8; 3], &[u8; 4])| a.iter().zip(b).any(|(x, y)| x.abs_diff(*y) > 8);
        let off = ours.iter().zip(theirs).filter(|&pair| far(pair)).count();
        // Only along the rims of the pictures, which begin at whole pixels here.
        assert!(off < ours.len() / 100, "{off} of {}", ours.len());
    }

    #[test]
    fn metadata_are_left_out_and_what_is_no_drawing_is_refused() {
        let mut svg = String::new();
        open(&mut svg, (9.0, 9.0), "<title>a &gt; b</title>\n");
        let own = "<metadata><d xmlns=\"urn:uuid:1\">&lt;/metadata&gt;</d></metadata>\n";
        svg.extend([own, "<g>\n<path d=\"M0 0\"/>\n</g>\n</svg>\n"]);
        let picture = Picture::read(&svg, (9.0, 9.0)).unwrap();
        assert_eq!(picture.document(), svg.replace(own, ""));
        for other in ["<script>alert(1)</script>", "<svg/>", "<svg"] {
            assert!(Picture::read(other, (9.0, 9.0)).is_err(), "{other}");
        }
        assert!(roxmltree::Document::parse(&contact_sheet_svg(&[], "t", "n")).is_ok());
    }
}
