//! Finding the recipe that a picture carries.
//!
//! Pictures come from strangers: of SVG no document type is read, so that no entity can grow; of PNG
//! only what stands before the pixels, and no text is unpacked beyond a bound.

use std::io::Cursor;

use png::{Decoder, Limits};
use roxmltree::{Document, ParsingOptions};

use super::Parcel;
use super::error::ParcelError;
use super::metadata::NAMESPACE;
use super::read::Read;

/// The keyword of the text in a PNG.
pub const KEYWORD: &str = "Plyloom pack";

/// The most bytes of a packed text: more than a recipe with all its modules can have.
const MOST_BYTES: usize = 8 * 1024 * 1024;
/// The most nodes of an SVG document.
const MOST_NODES: u32 = 20_000_000;
/// How every PNG begins (PNG specification, third edition, section 5.2).
const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";

/// The recipe in the bytes of an SVG drawing or a PNG picture.
///
/// # Errors
/// When the bytes are neither, carry no recipe, or one that cannot be read.
pub fn from_picture(bytes: &[u8]) -> Result<Read, ParcelError> {
    let text = if bytes.starts_with(SIGNATURE) {
        from_png(bytes)?
    } else {
        let text = std::str::from_utf8(bytes).map_err(|error| ParcelError::Picture {
            form: "SVG",
            why: format!("byte {} is not UTF-8", error.valid_up_to() + 1),
        })?;
        from_svg(text.strip_prefix('\u{feff}').unwrap_or(text))?
    };
    Parcel::read(&text)
}

fn from_svg(text: &str) -> Result<String, ParcelError> {
    let options = ParsingOptions {
        allow_dtd: false,
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    let wrong = |error: roxmltree::Error| ParcelError::Picture {
        form: "SVG",
        why: error.to_string(),
    };
    let document = Document::parse_with_options(text, options).map_err(wrong)?;
    let pack = document
        .descendants()
        .find(|node| node.has_tag_name((NAMESPACE, "pack")))
        .ok_or(ParcelError::NoRecipe)?;
    Ok(pack.children().filter_map(|node| node.text()).collect())
}

fn from_png(bytes: &[u8]) -> Result<String, ParcelError> {
    let wrong = |why: String| ParcelError::Picture { form: "PNG", why };
    let limits = Limits { bytes: MOST_BYTES };
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), limits);
    let info = decoder
        .read_header_info()
        .map_err(|error| wrong(error.to_string()))?;
    // The header alone may end before the texts; what follows is read up to the pixels.
    let known = info.utf8_text.clone();
    let texts = if known.iter().any(|chunk| chunk.keyword == KEYWORD) {
        known
    } else {
        let reader = decoder
            .read_info()
            .map_err(|error| wrong(error.to_string()))?;
        reader.info().utf8_text.clone()
    };
    let mut chunk = texts
        .into_iter()
        .find(|chunk| chunk.keyword == KEYWORD)
        .ok_or(ParcelError::NoRecipe)?;
    chunk
        .decompress_text_with_limit(MOST_BYTES)
        .map_err(|error| wrong(error.to_string()))?;
    chunk.get_text().map_err(|error| wrong(error.to_string()))
}
