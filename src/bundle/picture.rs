//! Finding the recipe that a picture carries.
//!
//! Pictures come from strangers: of SVG no more is read than can hold the pack (see [`svg`]); of PNG
//! only what stands before the pixels, and no text is unpacked beyond a bound.

use std::io::Cursor;

use png::{Decoder, Limits};

use super::Bundle;
use super::error::BundleError;
use super::read::Read;
use super::svg;

/// The keyword of the text in a PNG.
pub const KEYWORD: &str = "Plyloom pack";

/// The most bytes of a packed text: more than a recipe with all its modules can have.
const MOST_BYTES: usize = 8 * 1024 * 1024;
/// How every PNG begins (PNG specification, third edition, section 5.2).
const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";

/// The recipe in the bytes of an SVG drawing or a PNG picture.
///
/// # Errors
/// When the bytes are neither, carry no recipe, or one that cannot be read.
pub fn from_picture(bytes: &[u8]) -> Result<Read, BundleError> {
    let text = if bytes.starts_with(SIGNATURE) {
        from_png(bytes)?
    } else {
        let text = std::str::from_utf8(bytes).map_err(|error| BundleError::Picture {
            form: "SVG",
            why: format!("byte {} is not UTF-8", error.valid_up_to() + 1),
        })?;
        svg::pack(text.strip_prefix('\u{feff}').unwrap_or(text))?
    };
    Bundle::read(&text)
}

fn from_png(bytes: &[u8]) -> Result<String, BundleError> {
    let wrong = |why: String| BundleError::Picture { form: "PNG", why };
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
        .ok_or(BundleError::NoRecipe)?;
    chunk
        .decompress_text_with_limit(MOST_BYTES)
        .map_err(|error| wrong(error.to_string()))?;
    chunk.get_text().map_err(|error| wrong(error.to_string()))
}
