//! A periodic pattern of coloured pieces that fills the plane.
//!
//! The pieces of one repeat are given, in mm; two steps repeat them. Pieces are convex and lie
//! edge to edge without overlap (within the tolerance), which is what checked tiles on a checked
//! lattice give; that is not checked again here.

use std::collections::BTreeMap;

use super::periods::Periods;
use crate::watch;
use crate::{
    geom::{Isometry, Point, Polygon, Rect, TOLERANCE},
    stock::{Colour, Face},
};

/// Whether the joints between tiles belong to a pattern where both sides have the same colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joints {
    /// Only colours count: a joint in one colour is not seen.
    Unseen,
    /// A symmetry must map tiles to tiles as well.
    Seen,
}

/// A convex piece of one colour.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Where it lies, in mm.
    pub polygon: Polygon,
    /// Its colour.
    pub colour: Colour,
    /// Which tile of the repeat it belongs to, from 0.
    pub tile: usize,
}

/// A pattern, with an index to find the pieces near a place.
#[derive(Debug, Clone)]
pub struct Pattern {
    periods: Periods,
    joints: Joints,
    pieces: Vec<Piece>,
    outlines: Vec<Polygon>,
    copies: Vec<Copy>,
    buckets: BTreeMap<(i32, i32), Vec<u32>>,
    pitch: f64,
}

/// A piece repeated: which one, and where.
#[derive(Debug, Clone)]
pub(crate) struct Copy {
    pub(crate) piece: usize,
    pub(crate) tile: Instance,
    pub(crate) polygon: Polygon,
}

/// One tile in one repeat.
pub(crate) type Instance = (usize, i32, i32);

impl Pattern {
    /// The pattern of some tiles, each with the place of its centre, repeated by the periods.
    pub fn of_tiles(periods: Periods, tiles: &[(&Face, Point)], joints: Joints) -> Self {
        let pieces = tiles.iter().enumerate().flat_map(|(tile, &(face, at))| {
            face.regions().iter().map(move |r| Piece {
                polygon: r.polygon.shifted(at),
                colour: r.colour,
                tile,
            })
        });
        let outlines = tiles.iter().map(|&(face, at)| face.outline().shifted(at));
        Self::new(periods, pieces.collect(), outlines.collect(), joints)
    }

    /// The pattern of some pieces and the outlines of their tiles, repeated by the periods.
    pub fn new(
        periods: Periods,
        pieces: Vec<Piece>,
        outlines: Vec<Polygon>,
        joints: Joints,
    ) -> Self {
        let mut pattern = Self {
            periods,
            joints,
            pieces,
            outlines,
            copies: Vec::new(),
            buckets: BTreeMap::new(),
            pitch: 1.0,
        };
        pattern.fill();
        pattern
    }

    /// The steps that repeat it, as given; there may be finer ones.
    pub fn periods(&self) -> Periods {
        self.periods
    }

    /// Whether joints count.
    pub fn joints(&self) -> Joints {
        self.joints
    }

    /// The pieces of one repeat.
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// Lays out copies of the pieces as far as a question about a wrapped place can reach.
    fn fill(&mut self) {
        let extents: Vec<f64> = self
            .pieces
            .iter()
            .map(|p| {
                let b = p.polygon.bounds();
                b.width().max(b.height())
            })
            .collect();
        let largest = extents.iter().copied().fold(1.0, f64::max);
        self.pitch = extents.iter().sum::<f64>().max(1.0) / extents.len().max(1) as f64;
        let area = self.periods.bounds().grown(largest + 1.0);
        let [a, b] = self.periods.steps();
        for (index, piece) in self.pieces.iter().enumerate() {
            watch::ask();
            let bounds = piece.polygon.bounds();
            for (i, j) in repeats_into(self.periods, bounds, area) {
                watch::ask();
                let shift = a * f64::from(i) + b * f64::from(j);
                let number =
                    u32::try_from(self.copies.len()).expect("invariant: a repeat has few pieces");
                self.copies.push(Copy {
                    piece: index,
                    tile: (piece.tile, i, j),
                    polygon: piece.polygon.shifted(shift),
                });
                for key in keys(bounds.shifted(shift), self.pitch) {
                    self.buckets.entry(key).or_default().push(number);
                }
            }
        }
    }

    /// The copies whose bounds may meet a rectangle, which must lie where copies were laid out.
    /// One can come more than once.
    fn near(&self, rect: Rect) -> impl Iterator<Item = &Copy> + '_ {
        keys(rect, self.pitch)
            .filter_map(|key| self.buckets.get(&key))
            .flatten()
            .map(|&i| &self.copies[i as usize])
    }

    /// The colour of a copy's piece.
    pub(crate) fn colour(&self, copy: &Copy) -> Colour {
        self.pieces[copy.piece].colour
    }

    /// The copies that hold a wrapped place or have it on their rim, each once.
    pub(crate) fn touching(&self, wrapped: Point) -> Vec<&Copy> {
        let spot = Rect {
            min: wrapped,
            max: wrapped,
        };
        let mut found: Vec<&Copy> = self
            .near(spot.grown(TOLERANCE))
            .filter(|c| depth_of(&c.polygon, wrapped) >= -TOLERANCE)
            .collect();
        found.sort_by_key(|c| (c.piece, c.tile));
        found.dedup_by_key(|c| (c.piece, c.tile));
        found
    }

    /// Whether a move maps the pattern onto itself: no piece comes to lie, deeper than the
    /// tolerance, on another colour; and every tile on a tile, where joints count.
    ///
    /// Correct only for moves whose turn or mirror keeps all translations of the pattern.
    pub fn is_kept_by(&self, by: Isometry) -> bool {
        self.pieces.iter().all(|p| self.fits(p, by))
            && (self.joints == Joints::Unseen || self.outlines.iter().all(|o| self.falls(o, by)))
    }

    fn fits(&self, piece: &Piece, by: Isometry) -> bool {
        let image = piece.polygon.moved(by);
        let middle = image.centroid();
        let image = image.shifted(self.periods.wrapped(middle) - middle);
        self.near(image.bounds())
            .all(|c| self.colour(c) == piece.colour || apart(&image, &c.polygon, TOLERANCE))
    }

    fn falls(&self, outline: &Polygon, by: Isometry) -> bool {
        let image = outline.moved(by);
        let centre = image.centroid();
        self.outlines.iter().any(|o| {
            let way = centre - o.centroid();
            let off = self.periods.shortest(way);
            // Both centres and all corners may be off by the tolerance.
            off.length() <= 2.0 * TOLERANCE
                && o.shifted(way - off).coincides(&image, 2.0 * TOLERANCE)
        })
    }
}

/// Which repeats of a rectangle meet an area.
pub(crate) fn repeats_into(periods: Periods, rect: Rect, area: Rect) -> Vec<(i32, i32)> {
    let room = Rect {
        min: area.min - rect.max,
        max: area.max - rect.min,
    };
    let [a, b] = periods.steps();
    let corners: Vec<(f64, f64)> = room
        .polygon()
        .corners()
        .iter()
        .map(|&c| periods.shares(c))
        .collect();
    let range = |pick: fn(&(f64, f64)) -> f64| {
        let low = corners.iter().map(pick).fold(f64::INFINITY, f64::min);
        let high = corners.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
        whole(low.ceil())..=whole(high.floor())
    };
    let mut found = Vec::new();
    for i in range(|c| c.0) {
        for j in range(|c| c.1) {
            let shift = a * f64::from(i) + b * f64::from(j);
            if rect.shifted(shift).meets(area) {
                found.push((i, j));
            }
        }
    }
    found
}

fn keys(rect: Rect, pitch: f64) -> impl Iterator<Item = (i32, i32)> {
    let key = |v: f64| whole((v / pitch).floor());
    let columns = key(rect.min.x)..=key(rect.max.x);
    let (top, bottom) = (key(rect.min.y), key(rect.max.y));
    columns.flat_map(move |x| (top..=bottom).map(move |y| (x, y)))
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "saturates far outside any panel"
)]
fn whole(v: f64) -> i32 {
    v as i32
}

/// How deep a point lies in a convex polygon, in mm; negative outside.
pub(crate) fn depth_of(polygon: &Polygon, p: Point) -> f64 {
    polygon
        .edges()
        .map(|(a, b)| (b - a).cross(p - a) / a.distance(b))
        .fold(f64::INFINITY, f64::min)
}

/// Whether an edge of one of two convex polygons separates them, up to an overlap of `tolerance`
/// mm.
pub(crate) fn apart(a: &Polygon, b: &Polygon, tolerance: f64) -> bool {
    let parts = |one: &Polygon, other: &Polygon| {
        one.edges().any(|(p, q)| {
            let limit = tolerance * p.distance(q);
            other
                .corners()
                .iter()
                .all(|&c| (q - p).cross(c - p) <= limit)
        })
    };
    parts(a, b) || parts(b, a)
}
