//! Small pictures of panels, by the thousand: stamped tile by tile, without a document in between.
//!
//! Each face is painted once for each of some places within a pixel, finer than it is needed, and
//! kept for all panels that have it. A panel is the sum of its stamps: tiles meet without gap or
//! overlap, so what they cover adds up to whole pixels, and nothing of the paper shows along joints.
//! Made for pictures in which a tile is some dozen pixels wide; for large ones see [`super::bitmap`].

use std::collections::BTreeMap;

use resvg::tiny_skia::{Color, FillRule, Mask, Paint, Path, PathBuilder, Pixmap, Transform};

use super::{
    error::DrawError,
    limits::{NARROWEST, WIDEST},
    number::{Spot, spot},
    png::{Bitmap, Ground, height},
    tiles::{areas, mean, painted},
};
use crate::watch;
use crate::{
    geom::Polygon,
    layout::{panel::Panel, trim::TrimShape},
    stock::{Colour, Face},
};

/// Places within a pixel, each way. Two neighbours are each at most a sixteenth of a pixel off.
const PLACES: usize = 8;
/// How much larger stamps are painted than they are used.
const FINER: usize = 4;
/// From this much cover on (of 255) a pixel is wood alone: what tiles that are a little off leave
/// open inside a panel is no paper.
const WHOLE: u16 = 218;
/// The most pixels of stamps that are kept, 16 MiB: where each panel has faces or a size of its own, stamps serve
/// once.
const MOST_KEPT: usize = 4 << 20;

/// A stamp: pixels with their colours multiplied by their cover, and where its top left lies from
/// the pixel that holds the tile's centre.
#[derive(Debug)]
struct Stamp {
    left: i64,
    top: i64,
    width: usize,
    pixels: Vec<[u8; 4]>,
}

/// What is painted of a face, in whole micrometres: faces that look the same share their stamps.
type Art = Vec<(Colour, Vec<Vec<Spot>>)>;

/// Makes small pictures, and keeps what they have in common.
#[derive(Debug, Default)]
pub struct Thumbnails {
    /// By pixels in a millimetre (as bits) and face: a stamp for each place within a pixel.
    stamps: BTreeMap<(u64, Art), Vec<Option<Stamp>>>,
    /// Pixels of all stamps.
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
            sums: vec![[0; 4]; width as usize * height as usize],
        };
        // Face by face: where tiles do not overlap the order does not show.
        for (number, face) in panel.faces.iter().enumerate() {
            let (art, paths) = painting(&face.face);
            let stamps = self.stamps.entry((per_mm.to_bits(), art)).or_default();
            stamps.resize_with(PLACES * PLACES, || None);
            for tile in panel.tiles.iter().filter(|t| t.face as usize == number) {
                watch::ask();
                let (x, across) = placed(tile.at.x * per_mm);
                let (y, down) = placed(tile.at.y * per_mm);
                let stamp = &mut stamps[down * PLACES + across];
                let stamp = stamp.get_or_insert_with(|| {
                    let stamp = Stamp::of(&paths, per_mm, (across, down));
                    self.kept += stamp.pixels.len();
                    stamp
                });
                sheet.add(stamp, (x, y));
            }
        }
        let on_ground = match ground {
            Ground::Paper => on_paper,
            Ground::None => on_nothing,
        };
        let mut rgba: Vec<u8> = sheet.sums.into_iter().flat_map(on_ground).collect();
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

/// What is painted of a face: by which stamps are known, and as paths in mm.
fn painting(face: &Face) -> (Art, Vec<(Colour, Path)>) {
    let areas = areas(face);
    let below = mean(areas.iter().map(|(c, a)| (*c, *a)));
    let mut all = vec![(below, vec![face.outline().clone()])];
    all.extend(painted(face, &areas));
    let spots = |p: &Polygon| p.corners().iter().map(|&c| spot(c)).collect();
    let art = (all.iter())
        .map(|(colour, polygons)| (*colour, polygons.iter().map(spots).collect()))
        .collect();
    let paths = all
        .iter()
        .filter_map(|(c, polygons)| Some((*c, path(polygons)?)));
    (art, paths.collect())
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

impl Stamp {
    /// Paints a face with its centre at a place within a pixel.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a tile is some dozen pixels wide"
    )]
    fn of(paths: &[(Colour, Path)], per_mm: f64, (across, down): (usize, usize)) -> Self {
        let within = |place: usize| place as f64 / PLACES as f64;
        let bounds = paths.iter().map(|(_, path)| path.bounds());
        let reach = |least: f64, at: f32, place: usize| {
            least.min((f64::from(at) * per_mm + within(place)).floor())
        };
        let left = bounds.clone().fold(0.0, |l, b| reach(l, b.left(), across));
        let top = bounds.clone().fold(0.0, |t, b| reach(t, b.top(), down));
        let extent = |most: f64, at: f32, place: usize, start: f64| {
            most.max((f64::from(at) * per_mm + within(place) - start).ceil())
        };
        let width = bounds
            .clone()
            .fold(1.0, |w, b| extent(w, b.right(), across, left)) as usize;
        let height = bounds.fold(1.0, |h, b| extent(h, b.bottom(), down, top)) as usize;
        let none = Self {
            left: left as i64,
            top: top as i64,
            width,
            pixels: vec![[0; 4]; width * height],
        };
        let Some(mut fine) = Pixmap::new((width * FINER) as u32, (height * FINER) as u32) else {
            return none;
        };
        let scale = (per_mm * FINER as f64) as f32;
        let at = Transform::from_row(
            scale,
            0.0,
            0.0,
            scale,
            ((within(across) - left) * FINER as f64) as f32,
            ((within(down) - top) * FINER as f64) as f32,
        );
        let mut paint = Paint::default();
        for (colour, path) in paths {
            paint.set_color(Color::from_rgba8(
                colour.red,
                colour.green,
                colour.blue,
                255,
            ));
            fine.fill_path(path, &paint, FillRule::Winding, at, None);
        }
        let (fine, _) = fine.data().as_chunks::<4>();
        let pixels = (0..width * height)
            .map(|i| {
                let mut sum = [0_u32; 4];
                for y in 0..FINER {
                    let start = (i / width * FINER + y) * width * FINER + i % width * FINER;
                    for pixel in &fine[start..start + FINER] {
                        for (s, &c) in sum.iter_mut().zip(pixel) {
                            *s += u32::from(c);
                        }
                    }
                }
                let all = (FINER * FINER) as u32;
                sum.map(|s| ((s + all / 2) / all) as u8)
            })
            .collect();
        Self { pixels, ..none }
    }
}

/// A picture in the making: the sum of all stamps.
struct Sheet {
    width: usize,
    sums: Vec<[u16; 4]>,
}

impl Sheet {
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
                for (s, &c) in sum.iter_mut().zip(pixel) {
                    *s += u16::from(c);
                }
            }
        }
    }
}

/// A sum as a pixel on white paper.
#[allow(clippy::cast_possible_truncation, reason = "at most 255")]
fn on_paper(sums: [u16; 4]) -> [u8; 4] {
    let cover = sums[3];
    if cover >= WHOLE {
        return on_nothing(sums);
    }
    let [red, green, blue, _] = sums.map(|sum| (sum + (255 - cover)).min(255) as u8);
    [red, green, blue, 255]
}

/// A sum as a pixel that is transparent where no wood is.
#[allow(clippy::cast_possible_truncation, reason = "at most 255")]
fn on_nothing(sums: [u16; 4]) -> [u8; 4] {
    let cover = u32::from(sums[3]);
    if cover == 0 {
        return [0; 4];
    }
    let [red, green, blue, _] =
        sums.map(|sum| ((u32::from(sum) * 255 + cover / 2) / cover).min(255) as u8);
    let alpha = if sums[3] >= WHOLE { 255 } else { cover as u8 };
    [red, green, blue, alpha]
}
