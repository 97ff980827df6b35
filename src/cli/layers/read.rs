//! Pictures from files: PNG and JPEG, as red, green and blue bytes; and PNG to a file.

use std::io::Cursor;

use png::{ColorType, Decoder, Encoder, Transformations};
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use crate::edge::Light;

/// The most pixels on a side, and altogether.
const WIDEST: usize = 16_384;
const MOST_PIXELS: usize = 64_000_000;

/// A picture of a file.
///
/// # Errors
/// Why it is none that can be read, in a sentence.
pub(super) fn picture(bytes: &[u8]) -> Result<Light, String> {
    if bytes.starts_with(b"\x89PNG") {
        of_png(bytes)
    } else if bytes.starts_with(&[0xff, 0xd8]) {
        of_jpeg(bytes)
    } else {
        Err("it is neither a PNG nor a JPEG".to_owned())
    }
}

fn held(width: usize, height: usize) -> Result<(), String> {
    if width > WIDEST || height > WIDEST || width * height > MOST_PIXELS {
        return Err(format!(
            "{width} x {height} pixels are too many: crop it to a part of the edge"
        ));
    }
    Ok(())
}

fn of_png(bytes: &[u8]) -> Result<Light, String> {
    let bad = |error: png::DecodingError| error.to_string();
    let mut decoder = Decoder::new(Cursor::new(bytes));
    decoder.set_transformations(Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(bad)?;
    let (width, height) = (reader.info().width as usize, reader.info().height as usize);
    held(width, height)?;
    let size = reader.output_buffer_size().ok_or("it is too large")?;
    let mut data = vec![0; size];
    let info = reader.next_frame(&mut data).map_err(bad)?;
    data.truncate(info.buffer_size());
    let rgb: Vec<u8> = match info.color_type {
        ColorType::Grayscale => data.iter().flat_map(|&v| [v; 3]).collect(),
        ColorType::GrayscaleAlpha => data.chunks_exact(2).flat_map(|p| [p[0]; 3]).collect(),
        ColorType::Rgba => data
            .chunks_exact(4)
            .flat_map(|p| [p[0], p[1], p[2]])
            .collect(),
        _ => data,
    };
    Light::of(width, height, rgb).ok_or_else(|| "it is cut short".to_owned())
}

fn of_jpeg(bytes: &[u8]) -> Result<Light, String> {
    let options = DecoderOptions::default()
        .set_max_width(WIDEST)
        .set_max_height(WIDEST)
        .jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(Cursor::new(bytes), options);
    decoder
        .decode_headers()
        .map_err(|error| error.to_string())?;
    let (width, height) = decoder.dimensions().ok_or("it has no size")?;
    held(width, height)?;
    let rgb = decoder.decode().map_err(|error| error.to_string())?;
    Light::of(width, height, rgb).ok_or_else(|| "it is cut short".to_owned())
}

/// A PNG of red, green and blue bytes.
///
/// # Errors
/// When its size is none.
pub(super) fn png_of(light: &Light, rgb: &[u8]) -> Result<Vec<u8>, png::EncodingError> {
    let side = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, side(light.width()), side(light.height()));
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header()?.write_image_data(rgb)?;
    Ok(bytes)
}
