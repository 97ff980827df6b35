//! Small pictures of panels, by the thousand: stamped tile by tile, without a document in between.
//!
//! Each face is painted once, finer than it is needed, and kept as a table of sums (Crow, "Summed-area tables for
//! texture mapping", SIGGRAPH 1984): what a pixel anywhere on it holds is the mean of the paint beneath, found from
//! the table's values at the pixel's four corners. What a tile looks like at each of some places within a pixel is
//! its stamp. A panel is the sum of its stamps: tiles meet without gap or overlap, so what they cover adds up to
//! whole pixels, and nothing of the paper shows along joints.

use resvg::tiny_skia::{Color, FillRule, Mask, Paint, Path, PathBuilder, Pixmap, Transform};

use super::{
    bitmap::{Bitmap, Ground},
    error::DrawError,
    limits::{NARROWEST, WIDEST},
    png::height,
    tiles::{areas, mean, painted},
    wood::WASTE_VEIL,
};
use crate::watch;
use crate::{
    geom::Polygon,
    layout::{
        panel::{Panel, PlacedTile},
        trim::TrimShape,
    },
    stock::{Colour, Face},
};

/// Places within a pixel, each way. A tile is at most a thirty-second of a pixel off.
const PLACES: usize = 16;
/// How much finer than it is used a face is painted, at most: layers of a quarter of a pixel are told apart.
const FINEST: f64 = 9.0;
/// The number of pixels that a face is painted with, where that makes it neither finer than [`FINEST`] nor
/// coarser than it is used.
const PAINTED: f64 = 131_072.0;
/// A face is painted with no more pixels than this: 31 bits hold the sum of as many.
const LARGEST: f64 = 8_000_000.0;
/// From this much cover on (of 255) a pixel is wood alone: what tiles that are a little off leave
/// open inside a panel is no paper.
const WHOLE: u16 = 224 * 16;
/// Sums of a picture are counted in sixteenths of a step, so that what is added tile by tile is not rounded away.
const PART: f32 = 1.0 / 16.0;
/// The most bytes of tables and stamps that are kept: where each panel has faces or a size of its own, tables serve
/// once.
const MOST_KEPT: usize = 32 << 20;

/// Red, green and blue, each multiplied by the coverage, and the coverage.
type Value<T> = [T; 4];

/// A face's paint, summed up.
#[derive(Debug)]
struct Table {
    /// How many painted pixels one pixel of the picture has, each way.
    finer: f64,
    /// Where the paint's top left lies from the tile's centre, in painted pixels.
    left: f64,
    top: f64,
    /// How many values a row has: one more than pixels.
    row: usize,
    /// The sum of all paint above and to the left, row by row.
    sums: Vec<Value<i32>>,
}

/// A stamp: the parts of each pixel's sum that the tile brings, and where its top left lies from the pixel that holds
/// the tile's centre.
#[derive(Debug)]
struct Stamp {
    left: i64,
    top: i64,
    width: usize,
    pixels: Vec<Value<u16>>,
}

/// Makes small pictures, and keeps the tables and stamps that they share.
#[derive(Debug, Default)]
pub struct Thumbnails {
    /// By pixels in a millimetre and face: its table, and a stamp for each place within a pixel.
    faces: Vec<(f64, Face, Table, Vec<Option<Stamp>>)>,
    /// Bytes of all tables and stamps.
    kept: usize,
}

impl Thumbnails {
    /// Nothing kept yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// A picture of a panel, `width` pixels wide.
    ///
    /// # Errors
    /// When the width is out of range, or the picture would be too large.
    pub fn of(&mut self, panel: &Panel, width: u32, ground: Ground) -> Result<Bitmap, DrawError> {
        if !(NARROWEST..=WIDEST).contains(&width) {
            return Err(DrawError::Width { width });
        }
        let (w, h) = (panel.bounds.width(), panel.bounds.height());
        let height = height(width, w, h)?;
        let per_mm = f64::from(width) / w;
        let mut sheet = Sheet {
            width: width as usize,
            sums: vec![[0; 4]; width as usize * height as usize],
        };
        let mut tiles: Vec<&PlacedTile> = panel.tiles.iter().collect();
        tiles.sort_by_key(|tile| tile.face);
        for tiles in tiles.chunk_by(|a, b| a.face == b.face) {
            if self.kept > MOST_KEPT {
                *self = Self::new();
            }
            let face = self.face(&panel.faces[tiles[0].face as usize].face, per_mm);
            let (_, _, table, stamps) = &mut self.faces[face];
            for tile in tiles {
                watch::ask();
                let (x, across) = placed(tile.at.x * per_mm);
                let (y, down) = placed(tile.at.y * per_mm);
                let stamp = stamps[down * PLACES + across].get_or_insert_with(|| {
                    let stamp = table.stamp(across, down);
                    self.kept += size_of_val(&*stamp.pixels);
                    stamp
                });
                sheet.add(stamp, (x, y));
            }
        }
        let mut rgba = match ground {
            Ground::Paper => sheet.pixels(on_paper),
            Ground::None => sheet.pixels(on_nothing),
        };
        let size = (width, height);
        veil(&mut rgba, &panel.waste(), per_mm, size);
        // The picture's own rim cuts a rectangle.
        let trim = panel.trim.as_ref();
        if let Some(trim) = trim.filter(|t| t.shape() != TrimShape::Rectangle) {
            blank_outside(&mut rgba, ground, &trim.loops(), per_mm, size);
        }
        Ok(Bitmap {
            width,
            height,
            per_mm,
            rgba,
            ground,
        })
    }

    /// Where a face at some size is.
    #[allow(clippy::float_cmp, reason = "the same size, not nearly the same")]
    fn face(&mut self, face: &Face, per_mm: f64) -> usize {
        let known = self.faces.iter();
        let mut known = known.map(|(size, of, ..)| *size == per_mm && of == face);
        known.position(|same| same).unwrap_or_else(|| {
            let table = Table::of(face, per_mm);
            self.kept += size_of_val(&*table.sums);
            let mut stamps = Vec::new();
            stamps.resize_with(PLACES * PLACES, || None);
            self.faces.push((per_mm, face.clone(), table, stamps));
            self.faces.len() - 1
        })
    }
}

/// The pixel that a place lies in, and which of the places within it.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    reason = "pictures are small, and the remainder is from 0 to PLACES"
)]
fn placed(at: f64) -> (i64, usize) {
    let steps = (at * PLACES as f64).round() as i64;
    let places = PLACES as i64;
    (steps.div_euclid(places), steps.rem_euclid(places) as usize)
}

/// How much of each pixel an odd number of outlines holds, of 255; none where they hold nothing.
#[allow(clippy::cast_possible_truncation, reason = "the renderer works in f32")]
fn cover(outlines: &[Polygon], per_mm: f64, (width, height): (u32, u32)) -> Option<Mask> {
    let (path, mut mask) = (path(outlines)?, Mask::new(width, height)?);
    let at = Transform::from_scale(per_mm as f32, per_mm as f32);
    mask.fill_path(&path, FillRule::EvenOdd, true, at);
    Some(mask)
}

/// Shows what falls away pale.
fn veil(rgba: &mut [u8], waste: &[Polygon], per_mm: f64, size: (u32, u32)) {
    let Some(mask) = cover(waste, per_mm, size) else {
        return;
    };
    let (pixels, _) = rgba.as_chunks_mut::<4>();
    for (pixel, &cover) in pixels.iter_mut().zip(mask.data()) {
        let white = WASTE_VEIL * f32::from(cover) / 255.0;
        for channel in &mut pixel[..3] {
            *channel = byte(f32::from(*channel) * (1.0 - white) + 255.0 * white);
        }
    }
}

/// Leaves the ground bare outside an outline.
#[allow(clippy::cast_possible_truncation, reason = "a share of 255 is no more")]
fn blank_outside(
    rgba: &mut [u8],
    ground: Ground,
    outline: &[Polygon],
    per_mm: f64,
    size: (u32, u32),
) {
    let Some(mask) = cover(outline, per_mm, size) else {
        return;
    };
    let (pixels, _) = rgba.as_chunks_mut::<4>();
    for (pixel, &cover) in pixels.iter_mut().zip(mask.data()) {
        let cover = u16::from(cover);
        let (changed, bare) = match ground {
            Ground::Paper => (0..3, 255 * (255 - cover)),
            Ground::None => (3..4, 0),
        };
        for channel in &mut pixel[changed] {
            *channel = ((u16::from(*channel) * cover + bare + 127) / 255) as u8;
        }
    }
}

/// The part of a face that is painted, in mm.
fn painting(face: &Face) -> Vec<(Colour, Path)> {
    let areas = areas(face);
    let below = mean(areas.iter().map(|(c, a)| (*c, *a)));
    let mut all = vec![(below, vec![face.outline().clone()])];
    all.extend(painted(face, &areas));
    let paths = all
        .iter()
        .filter_map(|(c, polygons)| Some((*c, path(polygons)?)));
    paths.collect()
}

#[allow(clippy::cast_possible_truncation, reason = "the renderer works in f32")]
fn path(polygons: &[Polygon]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for polygon in polygons {
        let mut corners = polygon.corners().iter().map(|c| (c.x as f32, c.y as f32));
        if let Some((x, y)) = corners.next() {
            path.move_to(x, y);
            corners.for_each(|(x, y)| path.line_to(x, y));
            path.close();
        }
    }
    path.finish()
}

impl Table {
    /// Paints a face for pictures of this many pixels in a millimetre.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a picture of a tile, whose size is checked"
    )]
    fn of(face: &Face, per_mm: f64) -> Self {
        let bounds = face.outline().bounds();
        let pixels = bounds.width() * bounds.height() * per_mm * per_mm;
        let finer = (PAINTED / pixels)
            .sqrt()
            .clamp(1.0, FINEST)
            .min((LARGEST / pixels).sqrt());
        let scale = per_mm * finer;
        let (left, top) = (
            (bounds.min.x * scale).floor(),
            (bounds.min.y * scale).floor(),
        );
        let width = ((bounds.max.x * scale).ceil() - left).max(1.0) as usize;
        let height = ((bounds.max.y * scale).ceil() - top).max(1.0) as usize;
        let row = width + 1;
        let mut sums = vec![[0_i32; 4]; row * (height + 1)];
        if let Some(mut paper) = Pixmap::new(width as u32, height as u32) {
            let size = scale as f32;
            let at = Transform::from_row(size, 0.0, 0.0, size, -left as f32, -top as f32);
            let mut paint = Paint::default();
            for (colour, path) in painting(face) {
                let Colour { red, green, blue } = colour;
                paint.set_color(Color::from_rgba8(red, green, blue, 255));
                paper.fill_path(&path, &paint, FillRule::Winding, at, None);
            }
            let (pixels, _) = paper.data().as_chunks::<4>();
            for (y, pixels) in pixels.chunks(width).enumerate() {
                let (above, below) = sums.split_at_mut((y + 1) * row);
                let above = &above[y * row + 1..];
                let mut so_far = [0; 4];
                for ((sum, above), pixel) in below[1..].iter_mut().zip(above).zip(pixels) {
                    for channel in 0..4 {
                        so_far[channel] += i32::from(pixel[channel]);
                        sum[channel] = above[channel] + so_far[channel];
                    }
                }
            }
        }
        Self {
            finer,
            left,
            top,
            row,
            sums,
        }
    }

    /// The stamp of the face with the tile's centre at a place within a pixel.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a picture of a tile, whose size is checked"
    )]
    fn stamp(&self, across: usize, down: usize) -> Stamp {
        let (wide, high) = (self.row - 1, self.sums.len() / self.row - 1);
        // For each line between pixels from the tile's first one to its last: the value before it, and how far beyond
        // that it lies.
        let lines = |place: usize, from: f64, long: usize| {
            let from = place as f64 / PLACES as f64 + from / self.finer;
            let pixels = (from + long as f64 / self.finer).ceil() - from.floor();
            let lines = (0..=pixels as usize).map(|line| {
                let at = (from.floor() + line as f64 - from) * self.finer;
                let at = at.clamp(0.0, long as f64);
                let before = (at as usize).min(long - 1);
                (before, at - before as f64)
            });
            (from.floor() as i64, lines.collect::<Vec<_>>())
        };
        let (left, columns) = lines(across, self.left, wide);
        let (top, rows) = lines(down, self.top, high);
        let between = |from: f64, to: f64, share: f64| from + (to - from) * share;
        let corners: Vec<Value<f64>> = (rows.iter())
            .flat_map(|&(y, below)| {
                let (upper, lower) = self.sums[y * self.row..(y + 2) * self.row].split_at(self.row);
                columns.iter().map(move |&(x, along)| {
                    std::array::from_fn(|i| {
                        let at = |row: &[Value<i32>]| {
                            between(f64::from(row[x][i]), f64::from(row[x + 1][i]), along)
                        };
                        between(at(upper), at(lower), below)
                    })
                })
            })
            .collect();
        let scale = 1.0 / (self.finer * self.finer * f64::from(PART));
        let lines: Vec<&[Value<f64>]> = corners.chunks(columns.len()).collect();
        let pixels = (lines.windows(2))
            .flat_map(|lines| lines[0].windows(2).zip(lines[1].windows(2)))
            .map(|(above, below)| {
                std::array::from_fn(|i| {
                    let all = (below[1][i] - below[0][i]) - (above[1][i] - above[0][i]);
                    (all * scale + 0.5) as u16
                })
            });
        Stamp {
            left,
            top,
            width: columns.len() - 1,
            pixels: pixels.collect(),
        }
    }
}

/// A picture in the making: the sum of all stamps.
struct Sheet {
    width: usize,
    sums: Vec<Value<u16>>,
}

impl Sheet {
    fn pixels(&self, of: impl Fn(Value<u16>) -> [u8; 4]) -> Vec<u8> {
        let mut rgba = vec![0; 4 * self.sums.len()];
        let (pixels, _) = rgba.as_chunks_mut::<4>();
        for (pixel, &sums) in pixels.iter_mut().zip(&self.sums) {
            *pixel = of(sums);
        }
        rgba
    }

    /// Adds a stamp whose tile has its centre in a pixel; what lies outside the picture is left out.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_possible_wrap,
        reason = "pictures are small, and what is negative is left out first"
    )]
    fn add(&mut self, stamp: &Stamp, (x, y): (i64, i64)) {
        let (left, top) = (x + stamp.left, y + stamp.top);
        let skipped = (-left).max(0) as usize;
        let last = (self.width as i64 - left).clamp(0, stamp.width as i64) as usize;
        if skipped >= last {
            return;
        }
        for (row, pixels) in stamp.pixels.chunks(stamp.width).enumerate() {
            let y = top + row as i64;
            if y < 0 {
                continue;
            }
            let start = (y as usize * self.width) as i64 + left + skipped as i64;
            let end = start as usize + (last - skipped);
            let Some(sums) = self.sums.get_mut(start as usize..end) else {
                return;
            };
            for (sum, pixel) in sums.iter_mut().zip(&pixels[skipped..last]) {
                for (sum, &more) in sum.iter_mut().zip(pixel) {
                    *sum = sum.saturating_add(more);
                }
            }
        }
    }
}

/// A sum as a pixel on white paper.
fn on_paper(sums: Value<u16>) -> [u8; 4] {
    let cover = sums[3];
    if cover >= WHOLE {
        return on_nothing(sums);
    }
    let bare = 255.0 - f32::from(cover) * PART;
    let [red, green, blue, _] = sums.map(|sum| byte(f32::from(sum) * PART + bare));
    [red, green, blue, 255]
}

/// A sum as a pixel that is transparent where no wood is.
fn on_nothing(sums: Value<u16>) -> [u8; 4] {
    let cover = sums[3];
    if f32::from(cover) * PART < 0.5 {
        return [0; 4];
    }
    // One division for three channels, in 65,536ths.
    let full = (255 << 16) / u32::from(cover);
    let [red, green, blue] = [sums[0], sums[1], sums[2]].map(|sum| {
        let steps = (u32::from(sum.min(cover)) * full + (1 << 15)) >> 16;
        u8::try_from(steps).unwrap_or(255)
    });
    let alpha = if cover >= WHOLE {
        255
    } else {
        byte(f32::from(cover) * PART)
    };
    [red, green, blue, alpha]
}

/// The nearest step that a channel can have.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast saturates"
)]
fn byte(steps: f32) -> u8 {
    (steps + 0.5) as u8
}
