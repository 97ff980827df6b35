//! Drawings: a resolved panel as SVG at true scale, as PNG, and as a template of PDF pages.
//!
//! Lives here: pure functions from a [`Panel`](crate::layout::panel::Panel) to text and bytes, the
//! same on any machine. Never here: choosing or counting what is placed, files, the terminal.
//!
//! A page is built from two things. The wood (`tiles`, `wood`) can be a million tiles: in a
//! `document` they stay tiles until it is written. The frame (`page`, `dimension`, `scale_bar`, `facts`,
//! `tally`) is small: it is built as a tree of elements, which escapes whatever text it is given.

mod about;
mod bar_section;
mod bench;
mod bitmap;
mod blocks;
mod board_map;
mod contact_page;
mod contact_sheet;
mod dimension;
mod document;
mod error;
mod face_art;
mod facts;
mod gallery_page;
pub mod glue_map;
mod html;
mod ink;
mod limits;
mod loaf_section;
pub(crate) mod number;
pub mod object_map;
mod options;
mod ours;
pub mod outlines;
mod page;
mod pixels;
mod plain;
pub mod plan_page;
mod png;
mod ripped;
pub mod saw_setup;
mod scale_bar;
mod side_by_side;
mod signs;
mod stamped;
pub mod step_drawings;
mod svg;
mod tally;
pub mod template;
mod thumbnail;
mod tiles;
mod wood;
mod words;

pub use self::{
    bitmap::{Bitmap, Ground},
    contact_page::{Growing, Missing, contact_page_html, growing_page_html},
    contact_sheet::{Picture, SMALL, SheetCard, contact_sheet_png, contact_sheet_svg},
    document::Document,
    error::DrawError,
    face_art::{FaceArt, corners, micrometres},
    gallery_page::{Exhibit, Hung, gallery_page_html},
    limits::{MOST_PIXELS, NARROWEST, WIDEST},
    options::{Form, PanelOptions, PreviewOptions},
    ours::drawing_is_ours,
    pixels::pixels_svg,
    plain::plain_svg,
    png::{bitmap, png},
    side_by_side::{Shot, side_by_side},
    stamped::{is_stamped, panel_bitmap, preview_bitmap},
    svg::{panel_document, panel_svg, preview_document},
    thumbnail::Thumbnails,
};
