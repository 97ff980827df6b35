//! A picture as pixels: laid over another one, shrunk, seen from a distance, read from PNG and written as PNG.

use std::collections::BTreeMap;
use std::io::Cursor;

use png::text_metadata::ITXtChunk;
use png::{
    BitDepth, ColorType, Decoder, DeflateCompression, Encoder, EncodingError, Filter, Limits,
    PixelDimensions, SrgbRenderingIntent, Transformations, Unit,
};

use super::error::DrawError;
use crate::appearance::blur::Pixels;
use crate::watch;

/// The most bytes that reading a small picture may take.
const MOST_READ: usize = 64 << 20;
/// How hard a picture of few colours is compressed where there are many pictures.
const LITTLE: u8 = 1;
/// Texts longer than this, in bytes, are compressed.
const LONG_TEXT: usize = 1024;

/// How hard a picture is compressed.
#[derive(Debug, Clone, Copy)]
enum Effort {
    /// For many pictures: a palette where the colours are few (a card of 400 squares takes half a millisecond less and
    /// no more room), else the encoder's quickest way, which takes a quarter of the time for a fifth more room.
    Little,
    /// By the encoder's default.
    Usual,
}

/// What lies behind the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ground {
    /// White paper.
    #[default]
    Paper,
    /// Nothing: the picture is transparent where nothing is drawn.
    None,
}

/// A picture as pixels, before it is written as PNG.
#[derive(Debug, Clone, PartialEq)]
pub struct Bitmap {
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Pixels in a millimetre of the drawing.
    pub per_mm: f64,
    /// Four bytes a pixel, row by row: red, green, blue in sRGB, and alpha, which is not multiplied
    /// in. On paper nothing is transparent.
    pub rgba: Vec<u8>,
    pub(super) ground: Ground,
}

impl Bitmap {
    /// Lays a picture over a part of this one, clipped to it.
    pub(super) fn lay(&mut self, picture: &Self, (left, top): (u32, u32)) {
        let across = 4 * picture.width.min(self.width.saturating_sub(left)) as usize;
        let stride = 4 * self.width as usize;
        let rows = self.rgba.chunks_mut(stride).skip(top as usize);
        for (row, new) in rows.zip(picture.rgba.chunks(4 * picture.width as usize)) {
            watch::ask();
            row[4 * left as usize..][..across].copy_from_slice(&new[..across]);
        }
    }

    /// A small picture that was written as PNG by this program: on paper, eight bits a channel, of a known number
    /// of pixels in a millimetre.
    ///
    /// # Errors
    /// When it is no such PNG, or a large one.
    pub(super) fn read(bytes: &[u8], per_mm: f64) -> Result<Self, DrawError> {
        let wrong = |why: String| DrawError::Unreadable(why);
        let limits = Limits { bytes: MOST_READ };
        let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), limits);
        decoder.set_transformations(Transformations::EXPAND);
        let mut reader = decoder.read_info().map_err(|e| wrong(e.to_string()))?;
        let size = reader
            .output_buffer_size()
            .filter(|&size| size <= MOST_READ);
        let mut rgb = vec![0; size.ok_or_else(|| wrong("it is a large picture".to_owned()))?];
        let frame = reader
            .next_frame(&mut rgb)
            .map_err(|e| wrong(e.to_string()))?;
        if (frame.color_type, frame.bit_depth) != (ColorType::Rgb, BitDepth::Eight) {
            return Err(wrong("it is no picture on paper".to_owned()));
        }
        let mut rgba = vec![255; rgb.len() / 3 * 4];
        let ((to, _), (from, _)) = (rgba.as_chunks_mut::<4>(), rgb.as_chunks::<3>());
        for (to, from) in to.iter_mut().zip(from) {
            to[..3].copy_from_slice(from);
        }
        Ok(Self {
            width: frame.width,
            height: frame.height,
            per_mm,
            rgba,
            ground: Ground::Paper,
        })
    }

    /// The same, not larger, in another size: each pixel is the mean of what it covers.
    pub(super) fn shrunk(self, (width, height): (u32, u32)) -> Self {
        if (width, height) == (self.width, self.height) {
            return self;
        }
        let across = shares(self.width, width);
        let down = shares(self.height, height);
        let stride = 4 * self.width as usize;
        let per_pixel = 1.0 / (f64::from(self.width) * f64::from(self.height));
        let mut column = vec![0_u32; stride];
        let mut rgba = Vec::with_capacity(4 * width as usize * height as usize);
        for rows in &down {
            watch::ask();
            column.fill(0);
            for &(y, high) in rows {
                for (sum, &c) in column.iter_mut().zip(&self.rgba[y * stride..]) {
                    *sum += high * u32::from(c);
                }
            }
            let (column, _) = column.as_chunks::<4>();
            for columns in &across {
                let mut sums = [0_u64; 4];
                for &(x, wide) in columns {
                    for (sum, &c) in sums.iter_mut().zip(&column[x]) {
                        *sum += u64::from(wide) * u64::from(c);
                    }
                }
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a mean of bytes"
                )]
                rgba.extend(sums.map(|sum| (sum as f64 * per_pixel + 0.5) as u8));
            }
        }
        Self {
            width,
            height,
            per_mm: self.per_mm * f64::from(width) / f64::from(self.width),
            rgba,
            ground: self.ground,
        }
    }

    /// The same as it is seen from this distance in mm.
    #[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
    #[must_use]
    pub fn seen_from(mut self, distance: f64) -> Self {
        let (width, height) = (self.width as usize, self.height as usize);
        let seen = Pixels::new(width, height, std::mem::take(&mut self.rgba))
            .and_then(|pixels| pixels.seen_from(distance, self.per_mm));
        let seen = seen.expect("invariant: a picture has its pixels, and a look its distance");
        self.rgba = seen.into_bytes();
        self
    }

    /// As PNG; what lies on paper without alpha.
    ///
    /// # Errors
    /// When the pixels were changed to a number that does not fit the size.
    pub fn png(&self) -> Result<Vec<u8>, DrawError> {
        self.png_with(&[])
    }

    /// The same, made in a fraction of the time, with a little more bytes: for cards and sheets, of which
    /// there are many.
    ///
    /// # Errors
    /// As [`png`](Self::png()).
    pub fn quick_png(&self) -> Result<Vec<u8>, DrawError> {
        encoded(self, &[], Effort::Little).map_err(|e| DrawError::Failed(e.to_string()))
    }

    /// The same with texts in it, each under its keyword; long ones are compressed.
    ///
    /// # Errors
    /// As [`png`](Self::png()), and when a keyword is not one of the PNG specification.
    pub fn png_with(&self, texts: &[(&str, &str)]) -> Result<Vec<u8>, DrawError> {
        encoded(self, texts, Effort::Usual).map_err(|e| DrawError::Failed(e.to_string()))
    }
}

/// For each of `to` pixels in a row: which of `from` pixels it covers, each with its share in `from`-ths of
/// the pixel.
fn shares(from: u32, to: u32) -> Vec<Vec<(usize, u32)>> {
    (0..to)
        .map(|pixel| {
            let (start, end) = (pixel * from, (pixel + 1) * from);
            (start / to..end.div_ceil(to))
                .map(|old| {
                    let covered = end.min((old + 1) * to) - start.max(old * to);
                    (old as usize, covered)
                })
                .collect()
        })
        .collect()
}

fn encoded(
    picture: &Bitmap,
    texts: &[(&str, &str)],
    effort: Effort,
) -> Result<Vec<u8>, EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, picture.width, picture.height);
    encoder.set_depth(BitDepth::Eight);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cast from f64 saturates"
    )]
    let per_metre = (picture.per_mm * 1000.0).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions {
        xppu: per_metre,
        yppu: per_metre,
        unit: Unit::Meter,
    }));
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    let (pixels, _) = picture.rgba.as_chunks::<4>();
    if let Effort::Little = effort {
        if let Some((colours, numbers)) = (picture.ground == Ground::Paper)
            .then(|| palette(pixels, picture.width as usize))
            .flatten()
        {
            encoder.set_color(ColorType::Indexed);
            encoder.set_palette(colours);
            encoder.set_deflate_compression(DeflateCompression::Level(LITTLE));
            encoder.set_filter(Filter::NoFilter);
            finished(encoder, &numbers, texts)?;
            return Ok(bytes);
        }
        encoder.set_filter(Filter::Paeth);
        encoder.set_deflate_compression(DeflateCompression::FdeflateUltraFast);
    }
    match picture.ground {
        Ground::Paper => {
            encoder.set_color(ColorType::Rgb);
            let mut data = vec![0; 3 * pixels.len()];
            let (opaque, _) = data.as_chunks_mut::<3>();
            for (to, [r, g, b, _]) in opaque.iter_mut().zip(pixels) {
                *to = [*r, *g, *b];
            }
            finished(encoder, &data, texts)?;
        }
        Ground::None => {
            encoder.set_color(ColorType::Rgba);
            finished(encoder, &picture.rgba, texts)?;
        }
    }
    Ok(bytes)
}

/// The colours of a picture on paper, three bytes each, and each pixel's number among them; none where they are more than
/// a palette's 256 (PNG specification, section 11.2.2).
fn palette(pixels: &[[u8; 4]], width: usize) -> Option<(Vec<u8>, Vec<u8>)> {
    let mut colours: Vec<[u8; 4]> = Vec::new();
    let mut known = BTreeMap::new();
    let mut numbers: Vec<u8> = Vec::with_capacity(pixels.len());
    for (i, pixel) in pixels.iter().enumerate() {
        // Most pixels have the colour of the one to the left or the one above.
        let before = [i.checked_sub(1), i.checked_sub(width)]
            .into_iter()
            .flatten();
        let number = { before }.find(|&before| pixels[before] == *pixel);
        let number = number.map_or_else(|| known.get(pixel).copied(), |at| Some(numbers[at]));
        let number = if let Some(number) = number {
            number
        } else {
            let new = u8::try_from(colours.len()).ok()?;
            known.insert(*pixel, new);
            colours.push(*pixel);
            new
        };
        numbers.push(number);
    }
    let colours = colours.iter().flat_map(|&[r, g, b, _]| [r, g, b]);
    Some((colours.collect(), numbers))
}

fn finished(
    encoder: Encoder<'_, &mut Vec<u8>>,
    data: &[u8],
    texts: &[(&str, &str)],
) -> Result<(), EncodingError> {
    let mut writer = encoder.write_header()?;
    for (keyword, text) in texts {
        let mut chunk = ITXtChunk::new(*keyword, *text);
        if text.len() > LONG_TEXT {
            chunk.compress_text()?;
        }
        writer.write_text_chunk(&chunk)?;
    }
    writer.write_image_data(data)?;
    writer.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shrunk_picture_keeps_its_light() {
        let mut picture = Bitmap {
            width: 7,
            height: 5,
            per_mm: 7.0,
            rgba: (0_u8..7 * 5 * 4).map(|i| i.wrapping_mul(37)).collect(),
            ground: Ground::Paper,
        };
        let read = Bitmap::read(&picture.quick_png().unwrap(), 7.0).unwrap();
        for (ours, theirs) in picture.rgba.chunks_mut(4).zip(read.rgba.chunks(4)) {
            ours[3] = 255;
            assert_eq!(ours, theirs);
        }
        let mean = |p: &Bitmap| {
            let all: u64 = p.rgba.iter().map(|&c| u64::from(c)).sum();
            all as f64 / p.rgba.len() as f64
        };
        for size in [(7, 5), (3, 5), (4, 2), (1, 1)] {
            let small = picture.clone().shrunk(size);
            assert_eq!(small.rgba.len(), 4 * (size.0 * size.1) as usize);
            assert!((mean(&small) - mean(&picture)).abs() < 0.5, "{size:?}");
        }
        // A third of the pixels' width: a whole one, and the half of its neighbour.
        let row = |rgba: &[[u8; 4]]| Bitmap {
            width: 3,
            height: 1,
            per_mm: 1.0,
            rgba: rgba.concat(),
            ground: Ground::Paper,
        };
        let small = row(&[[90; 4], [30; 4], [60; 4]]).shrunk((2, 1));
        assert_eq!(small.rgba, [[70; 4], [50; 4]].concat());
        assert!(Bitmap::read(b"no picture", 1.0).is_err());
    }
}
