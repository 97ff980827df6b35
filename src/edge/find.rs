//! Where the layers of a sheet begin and end in a picture of its edge.
//!
//! The edge is straightened between two lines, its faces, which may converge. Along the edge everything is averaged;
//! across it a model of layers with soft borders is fitted; its standard errors say how certain each border is.

use super::{
    error::NotFound,
    fit::{echo, fit_all},
    light::Light,
    profile::{Profile, changes, peaks, profile},
    straight::{Across, columns, sharpened, straighten},
};
use crate::watch;

/// How far from the given place a face is searched for, as a share of the thickness: about half of a veneer.
const NEAR: f64 = 0.015;

/// Where the faces are in a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Faces {
    /// A darker or lighter ground lies beyond them, where they are found.
    Seen,
    /// The picture ends at them.
    Rims,
    /// Near these rows, in the middle of the picture: where the light changes most there, or else just there.
    Near([f64; 2]),
}

/// A border between layers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Border {
    /// Where it is, as a share of the thickness from the first face.
    pub at: f64,
    /// Its standard error, in the same share.
    pub error: f64,
    /// How much the light changes there, against what noise alone makes.
    pub clear: f64,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The faces in the picture: rows at its left and right end.
    pub faces: [Across; 2],
    /// Borders from face to face, the faces included.
    pub borders: Vec<Border>,
    /// Colour of each layer, in linear light: the median of its middle.
    pub colours: Vec<[f64; 3]>,
    /// How much each layer varies along the edge, as a share of its brightness.
    pub texture: Vec<f64>,
}

/// Finds layers in a picture in which they run from left to right. `plies` is how many there are, where that is
/// known.
///
/// # Errors
/// When there are too few pixels, or fewer borders than layers have.
pub fn find(light: &Light, plies: Option<usize>, wanted: Faces) -> Result<Found, NotFound> {
    if light.width() < 24 || light.height() < 24 {
        return Err(NotFound::TooSmall);
    }
    let tilt = straighten(light);
    let (mut faces, ground) = sought(light, tilt, plies, wanted)?;
    let told = matches!(wanted, Faces::Near(_));
    // The samples go a little beyond the faces, so that the faces are fitted as borders too.
    let most = if told { 2.0 * NEAR } else { 0.06 };
    let beyond = ground.map(|seen| if seen { most } else { 0.0 });
    let count = plies.map(|n| n - 1 + ground.iter().filter(|seen| **seen).count());
    let wide = |a: Across, b: Across, s: f64| Across {
        left: a.left + (b.left - a.left) * s,
        right: a.right + (b.right - a.right) * s,
    };
    let lines = [
        wide(faces[0], faces[1], -beyond[0]),
        wide(faces[0], faces[1], 1.0 + beyond[1]),
    ];
    let between = ((lines[1].left + lines[1].right - lines[0].left - lines[0].right) / 2.0).abs();
    let samples = (between * 1.5).round().max(48.0) as usize;
    let profile = profile(light, lines, samples);
    let peaks = peaks(&profile, count)?;
    let mut fit = fit_all(&profile, &peaks);
    if plies.is_none() {
        // Ripples that lossy compression leaves beside a strong border are no borders, nor is one found twice.
        while let Some(echo) = echo(&fit, samples as f64 / between) {
            watch::ask();
            let kept: Vec<f64> = (fit.iter().enumerate())
                .filter(|(i, _)| *i != echo)
                .map(|(_, f)| f.at)
                .collect();
            if kept.len() < 2 {
                return Err(NotFound::NoBorders);
            }
            fit = fit_all(&profile, &kept);
        }
    }
    let scale = (1.0 + beyond[0] + beyond[1]) / (samples - 1) as f64;
    let mut borders: Vec<Border> = fit
        .iter()
        .map(|f| Border {
            at: f.at * scale - beyond[0],
            error: f.error * scale,
            clear: f.clear,
        })
        .collect();
    if told {
        // The faces are where they were given, whatever lies beyond.
        let nearest = |face: f64| {
            let far = |b: &Border| (b.at - face).abs();
            let near = borders.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
            near.map_or(f64::NAN, |border| border.at)
        };
        let first = if ground[0] { nearest(0.0) } else { NEAR };
        let last = if ground[1] { nearest(1.0) } else { 1.0 - NEAR };
        borders.retain(|border| (first..=last).contains(&border.at));
    }
    let face = |at| Border {
        at,
        error: 0.0,
        clear: f64::INFINITY,
    };
    if !ground[0] {
        borders.insert(0, face(0.0));
    }
    if !ground[1] {
        borders.push(face(1.0));
    }
    let [Some(first), Some(last)] = [borders.first(), borders.last()].map(|b| b.map(|b| b.at))
    else {
        return Err(NotFound::NoBorders);
    };
    let thick = last - first;
    if thick <= 0.0 {
        return Err(NotFound::NoBorders);
    }
    // Shares of what lies between the faces as fitted.
    for border in &mut borders {
        border.at = (border.at - first) / thick;
        border.error /= thick;
    }
    faces = [first, last].map(|at| wide(faces[0], faces[1], at));
    let (colours, texture) = colours(light, faces, &borders);
    Ok(Found {
        faces,
        borders,
        colours,
        texture,
    })
}

/// The faces, and whether a ground is seen beyond each.
fn sought(
    light: &Light,
    tilt: [Across; 2],
    plies: Option<usize>,
    wanted: Faces,
) -> Result<([Across; 2], [bool; 2]), NotFound> {
    let rows = light.height();
    // Along lines that have the tilt of the whole picture.
    let whole = profile(light, tilt, rows * 2);
    let scale = (rows * 2 - 1) as f64;
    let at = |share: f64| Across {
        left: tilt[0].left + (tilt[1].left - tilt[0].left) * share,
        right: tilt[0].right + (tilt[1].right - tilt[0].right) * share,
    };
    let last = (rows - 1) as f64;
    let sharp = |sample: f64| sharpened(light, at(sample / scale));
    Ok(match wanted {
        Faces::Seen => {
            let rough = peaks(&whole, plies.map(|n| n + 1))?;
            let both = [rough[0], rough[rough.len() - 1]];
            (both.map(sharp), [true; 2])
        }
        Faces::Rims => {
            let row = |row| Across {
                left: row,
                right: row,
            };
            ([0.0, last].map(row), [false; 2])
        }
        Faces::Near(rows) => {
            let thick = rows[1] - rows[0];
            if thick < 24.0 {
                return Err(NotFound::TooSmall);
            }
            let reach = (NEAR * thick).max(2.0) / last * scale;
            let seen = rows.map(|row| nearby(&whole, row / last * scale, reach));
            let face = |i: usize| seen[i].map_or_else(|| at(rows[i] / last), sharp);
            ([face(0), face(1)], seen.map(|s| s.is_some()))
        }
    })
}

/// The sample at which the light changes most, near another one.
fn nearby(profile: &Profile, at: f64, reach: f64) -> Option<f64> {
    let change = changes(profile, 1.6);
    let near = (peaks(profile, None).ok()?.into_iter()).filter(|p| (p - at).abs() <= reach);
    near.max_by(|a, b| change[*a as usize].total_cmp(&change[*b as usize]))
}

/// The colour of each layer and how much it varies along the edge: of the middle half of the layer.
fn colours(light: &Light, faces: [Across; 2], borders: &[Border]) -> (Vec<[f64; 3]>, Vec<f64>) {
    let mut all = Vec::new();
    let mut texture = Vec::new();
    for pair in borders.windows(2) {
        let (from, to) = (pair[0].at, pair[1].at);
        let mut values: Vec<[f64; 3]> = Vec::new();
        for (share, x) in columns(light) {
            for part in [0.3, 0.4, 0.5, 0.6, 0.7] {
                let t = from + (to - from) * part;
                let (top, bottom) = (faces[0].at(share), faces[1].at(share));
                values.push(light.at(x, top + (bottom - top) * t));
            }
        }
        let mut spread = 0.0;
        let median = std::array::from_fn(|c| {
            let mut of: Vec<f64> = values.iter().map(|v| v[c]).collect();
            of.sort_by(f64::total_cmp);
            let at = |share: f64| of[((of.len() - 1) as f64 * share) as usize];
            spread += (at(0.84) - at(0.16)) / (2.0 * at(0.5).max(1e-4)) / 3.0;
            at(0.5)
        });
        all.push(median);
        texture.push(spread);
    }
    (all, texture)
}
