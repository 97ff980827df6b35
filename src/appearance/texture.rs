//! Grain on a picture: faint streaks along long grain, faint specks on end grain.
//!
//! It is decoration that makes a picture look like wood; no measure depends on it. The streaks are
//! noise that hangs on the tile's cell, the part and the layer alone, so that the same panel has the
//! same grain on every machine, and a larger panel keeps that of its tiles.

use super::{
    blur::Pixels,
    fibre::{Fibre, fibres},
    linear,
};
use crate::watch;
use crate::{
    geom::{Point, angle, region::Piece},
    layout::panel::{Cell, Panel},
};

/// Length and width of a streak in mm, and how much of the light it takes or gives; our choice by
/// eye.
const LONG: Streak = Streak {
    along: 9.0,
    across: 0.35,
    depth: 0.09,
};
/// The same for the specks of end grain.
const END: Streak = Streak {
    along: 0.3,
    across: 0.3,
    depth: 0.10,
};

struct Streak {
    along: f64,
    across: f64,
    depth: f64,
}

/// A picture of a panel alone, `scale` pixels a millimetre, with grain.
pub fn with_grain(panel: &Panel, mut picture: Pixels, scale: f64) -> Pixels {
    let (width, height) = (picture.width(), picture.height());
    let bytes = picture.bytes_mut();
    let faces: Vec<Vec<Fibre>> = panel.faces.iter().map(fibres).collect();
    for tile in &panel.tiles {
        let face = tile.face as usize;
        let regions = panel.faces[face].face.regions();
        for (number, (region, fibre)) in (0_u64..).zip(regions.iter().zip(&faces[face])) {
            watch::ask();
            let (streak, rising) = match fibre {
                Fibre::None => continue,
                Fibre::End => (&END, 0.0),
                Fibre::Face { rising } => (&LONG, *rising),
            };
            let noise = Noise {
                key: key(tile.cell, number),
                streak,
                turn: angle::sin_cos(rising),
            };
            // Beyond the finished outline is no wood.
            for piece in &panel.left_of_part(tile, &region.polygon) {
                each_pixel(piece, tile.at, scale, (width, height), |i, p| {
                    let gain = noise.at(p);
                    for byte in &mut bytes[4 * i..4 * i + 3] {
                        *byte = lit(*byte, gain);
                    }
                });
            }
        }
    }
    picture
}

/// Each pixel whose middle lies in a piece of a tile: its number, and where it lies from the tile's centre, which is
/// at `at`.
fn each_pixel(
    piece: &Piece,
    at: Point,
    scale: f64,
    (width, height): (usize, usize),
    mut then: impl FnMut(usize, Point),
) {
    let bounds = piece.rim.bounds();
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cast from f64 saturates, and the size bounds it"
    )]
    let span = |from: f64, to: f64, size: usize| {
        let pixel = |mm: f64| (libm::floor(mm * scale).max(0.0) as usize).min(size);
        pixel(from)..(pixel(to) + 1).min(size)
    };
    for y in span(bounds.min.y, bounds.max.y, height) {
        watch::ask();
        for x in span(bounds.min.x, bounds.max.x, width) {
            let p = Point::new((x as f64 + 0.5) / scale, (y as f64 + 0.5) / scale);
            if piece.holds(p) {
                then(y * width + x, p - at);
            }
        }
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and 255"
)]
fn lit(byte: u8, gain: f64) -> u8 {
    let light = linear::decode(f64::from(byte) / 255.0) * gain;
    libm::round(linear::encode(light.clamp(0.0, 1.0)) * 255.0) as u8
}

struct Noise<'a> {
    key: u64,
    streak: &'a Streak,
    turn: (f64, f64),
}

impl Noise<'_> {
    /// How much light a place gives, about 1: smooth between random values on a lattice of streaks.
    fn at(&self, p: Point) -> f64 {
        let (sin, cos) = self.turn;
        let u = (p.x * cos + p.y * sin) / self.streak.along;
        let v = (p.y * cos - p.x * sin) / self.streak.across;
        // Streaks of one row end where those of the next run on.
        let row = |v: f64| {
            let u = u + self.value(libm::floor(v), 0.5);
            let (from, share) = (libm::floor(u), ease(u - libm::floor(u)));
            self.value(from, v) * (1.0 - share) + self.value(from + 1.0, v) * share
        };
        let (from, share) = (libm::floor(v), ease(v - libm::floor(v)));
        let noise = row(from) * (1.0 - share) + row(from + 1.0) * share;
        1.0 + self.streak.depth * noise
    }

    /// From -1 to 1, the same for the same place.
    fn value(&self, u: f64, v: f64) -> f64 {
        // Minus zero is zero.
        let (u, v) = (u + 0.0, v + 0.0);
        let mixed = mix(mix(self.key ^ u.to_bits()) ^ v.to_bits());
        (mixed >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }
}

/// 3 t^2 - 2 t^3: flat at both ends.
fn ease(t: f64) -> f64 {
    t * t * (3.0 - 2.0 * t)
}

fn key(cell: Cell, region: u64) -> u64 {
    let part = |n: i32| u64::from(n.cast_unsigned());
    mix(mix(mix(part(cell.column)) ^ part(cell.course)) ^ region)
}

/// The finaliser of `SplitMix64` (Steele, Lea and Flood, Fast splittable pseudorandom number
/// generators, OOPSLA 2014; held by its published first output). Any good mixing of bits would do.
fn mix(n: u64) -> u64 {
    let n = n.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let n = (n ^ (n >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let n = (n ^ (n >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    n ^ (n >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first output of `SplitMix64` seeded with 0, as many independent public tests have it.
    #[test]
    fn mixes_as_published() {
        assert_eq!(mix(0), 0xe220_a839_7b1d_cdaf);
    }

    #[test]
    fn streaks_are_long_along_the_fibres_and_even_out() {
        let noise = Noise {
            key: 7,
            streak: &LONG,
            turn: (0.0, 1.0),
        };
        let steps = || (0..2000).map(|i| f64::from(i) * 0.37);
        let mean = |f: &dyn Fn(f64) -> f64| steps().map(f).sum::<f64>() / 2000.0;
        let p = |s: f64| Point::new(s, s * 1.7);
        assert!((mean(&|s| noise.at(p(s))) - 1.0).abs() < 0.01);
        let along = mean(&|s| (noise.at(p(s) + Point::new(0.3, 0.0)) - noise.at(p(s))).abs());
        let across = mean(&|s| (noise.at(p(s) + Point::new(0.0, 0.3)) - noise.at(p(s))).abs());
        assert!(across > 3.0 * along, "{along} {across}");
    }
}
