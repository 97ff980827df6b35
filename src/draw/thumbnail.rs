//! Small pictures of panels, by the thousand: stamped tile by tile, without a document in between.
//!
//! Each face is painted once, finer than it is needed, and kept as a table of sums (Crow, "Summed-area tables for
//! texture mapping", SIGGRAPH 1984): what a pixel anywhere on it holds is the mean of the paint beneath, found from
//! the table's values at the pixel's four corners. A panel is the sum of its stamps: tiles meet without gap or
//! overlap, so what they cover adds up to whole pixels, and nothing of the paper shows along joints.

use resvg::tiny_skia::{Color, FillRule, Mask, Paint, Path, PathBuilder, Pixmap, Transform};

use super::{
    error::DrawError,
    limits::{NARROWEST, WIDEST},
    png::{Bitmap, Ground, height},
    tiles::{areas, mean, painted},
};
use crate::watch;
use crate::{
    geom::Polygon,
    layout::{panel::Panel, trim::TrimShape},
    stock::{Colour, Face},
};

/// How much finer than it is used a face is painted, at most: layers of a quarter of a pixel are told apart.
const FINEST: f64 = 8.0;
/// As many pixels as a face is painted with, where that makes it neither finer than [`FINEST`] nor coarser than it is
/// used.
const PAINTED: f64 = 65_536.0;
/// A face is painted with no more pixels than this: 31 bits hold the sum of as many.
const LARGEST: f64 = 8_000_000.0;
/// From this much cover on (of 255) a pixel is wood alone: what tiles that are a little off leave
/// open inside a panel is no paper.
const WHOLE: u16 = 246 * 16;
/// Sums of a picture are counted in sixteenths of a step, so that what is added tile by tile is not rounded away.
const PART: f32 = 1.0 / 16.0;
/// The most values of tables that are kept, 16 MiB: where each panel has faces or a size of its own, tables serve
/// once.
const MOST_KEPT: usize = 1 << 20;

/// Red, green, blue (each multiplied by the cover) and cover.
type Value<T> = [T; 4];

/// A face's paint, summed up.
#[derive(Debug)]
struct Table {
    /// How many painted pixels one of the picture takes.
    finer: f64,
    /// Where the paint's top left lies from the tile's centre, in painted pixels.
    left: f64,
    top: f64,
    /// How many values a row has: one more than pixels.
    row: usize,
    /// The sum of all paint above and to the left, row by row.
    sums: Vec<Value<i32>>,
}

/// Makes small pictures, and keeps what they have in common.
#[derive(Debug, Default)]
pub struct Thumbnails {
    /// By pixels in a millimetre, and face.
    tables: Vec<(f64, Face, Table)>,
    /// Values of all tables.
    kept: usize,
}

impl Thumbnails {
    /// Nothing kept yet.
    #[must_use]
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
        if self.kept > MOST_KEPT {
            *self = Self::new();
        }
        let (w, h) = (panel.bounds.width(), panel.bounds.height());
        let height = height(width, w, h)?;
        let per_mm = f64::from(width) / w;
        let mut sheet = Sheet {
            width: width as usize,
            height: height as usize,
            sums: vec![[0; 4]; width as usize * height as usize],
            columns: Vec::new(),
            above: Vec::new(),
            below: Vec::new(),
        };
        let tables: Vec<usize> = (panel.faces.iter())
            .map(|face| self.table(&face.face, per_mm))
            .collect();
        for tile in &panel.tiles {
            watch::ask();
            let (_, _, table) = &self.tables[tables[tile.face as usize]];
            sheet.add(table, tile.at.x * per_mm, tile.at.y * per_mm);
        }
        let on_ground = match ground {
            Ground::Paper => on_paper,
            Ground::None => on_nothing,
        };
        let mut rgba = vec![0; 4 * sheet.sums.len()];
        let (pixels, _) = rgba.as_chunks_mut::<4>();
        for (pixel, &sums) in pixels.iter_mut().zip(&sheet.sums) {
            *pixel = on_ground(sums);
        }
        // The picture's own rim cuts a rectangle.
        let trim = panel.trim.as_ref();
        if let Some(trim) = trim.filter(|t| t.shape() != TrimShape::Rectangle) {
            let size = (width, height);
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

    /// Where the table of a face at some size is.
    #[allow(clippy::float_cmp, reason = "the same size, not nearly the same")]
    fn table(&mut self, face: &Face, per_mm: f64) -> usize {
        let known = (self.tables.iter()).position(|(size, of, _)| *size == per_mm && of == face);
        known.unwrap_or_else(|| {
            let table = Table::of(face, per_mm);
            self.kept += table.sums.len();
            self.tables.push((per_mm, face.clone(), table));
            self.tables.len() - 1
        })
    }
}

/// Leaves the ground bare outside an outline.
#[allow(clippy::cast_possible_truncation, reason = "the renderer works in f32")]
fn blank_outside(
    rgba: &mut [u8],
    ground: Ground,
    outline: &[Polygon],
    per_mm: f64,
    (width, height): (u32, u32),
) {
    let (Some(path), Some(mut mask)) = (path(outline), Mask::new(width, height)) else {
        return;
    };
    let scale = per_mm as f32;
    let at = Transform::from_scale(scale, scale);
    mask.fill_path(&path, FillRule::EvenOdd, true, at);
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

/// What is painted of a face, in mm.
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

    /// How many painted pixels it is high.
    fn height(&self) -> usize {
        self.sums.len() / self.row - 1
    }
}

/// The value before a place on a line of so many, and how far the place lies beyond it.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "from 0 to the line's last value"
)]
fn split(at: f64, last: usize) -> (usize, f64) {
    let at = at.clamp(0.0, last as f64);
    let before = (at as usize).min(last.saturating_sub(1));
    (before, at - before as f64)
}

/// A picture in the making: the sum of all stamps, in [parts](PART) of a step.
struct Sheet {
    width: usize,
    height: usize,
    sums: Vec<Value<u16>>,
    /// For the tile that is added: where each pixel's left edge lies in the table.
    columns: Vec<(usize, f64)>,
    above: Vec<Value<f64>>,
    below: Vec<Value<f64>>,
}

impl Sheet {
    /// Adds the tile of a table with its centre at a place, in pixels; what lies outside the picture is left out.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "pictures are small, and what is negative is left out first"
    )]
    fn add(&mut self, table: &Table, x: f64, y: f64) {
        let finer = table.finer;
        let (wide, high) = (table.row - 1, table.height());
        let (left, top) = (x + table.left / finer, y + table.top / finer);
        let within = |from: f64, long: usize, most: usize| {
            let last = (from + long as f64 / finer).ceil().clamp(0.0, most as f64);
            (from.floor().clamp(0.0, last) as usize)..last as usize
        };
        let across = within(left, wide, self.width);
        let down = within(top, high, self.height);
        self.columns.clear();
        let columns = across.start..=across.end;
        (self.columns).extend(columns.map(|x| split((x as f64 - left) * finer, wide)));
        // What lies above and to the left of each pixel's corners, on the line above the pixels and on that below.
        let (mut above, mut below) = (&mut self.above, &mut self.below);
        let line = |line: &mut Vec<Value<f64>>, y: usize| {
            let (from, share) = split((y as f64 - top) * finer, high);
            let rows = &table.sums[from * table.row..(from + 2) * table.row];
            let (upper, lower) = rows.split_at(table.row);
            line.clear();
            line.extend((self.columns.iter()).map(|&(x, along)| {
                std::array::from_fn(|i| {
                    let between = |from: f64, to: f64, share: f64| from + (to - from) * share;
                    let at = |row: &[Value<i32>]| {
                        between(f64::from(row[x][i]), f64::from(row[x + 1][i]), along)
                    };
                    between(at(upper), at(lower), share)
                })
            }));
        };
        line(above, down.start);
        let scale = 1.0 / (finer * finer * f64::from(PART));
        for y in down {
            line(below, y + 1);
            let sums = &mut self.sums[y * self.width..][across.clone()];
            let corners = above.windows(2).zip(below.windows(2));
            for (sum, (above, below)) in sums.iter_mut().zip(corners) {
                for i in 0..4 {
                    let all = (below[1][i] - below[0][i]) - (above[1][i] - above[0][i]);
                    let more = (all * scale + 0.5) as u16;
                    sum[i] = sum[i].saturating_add(more);
                }
            }
            std::mem::swap(&mut above, &mut below);
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
    let cover = f32::from(sums[3]);
    if cover * PART < 0.5 {
        return [0; 4];
    }
    let full = 255.0 / cover;
    let [red, green, blue, _] = sums.map(|sum| byte(f32::from(sum) * full));
    let alpha = if sums[3] >= WHOLE {
        255
    } else {
        byte(cover * PART)
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
