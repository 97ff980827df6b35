//! Where the layers of a sheet begin and end in a picture of its edge.
//!
//! The edge is straightened between two lines, its faces, which may converge. Along the edge everything is averaged;
//! across it a model of layers with soft borders is fitted, whose errors tell how sure each border is.

use super::{
    error::NotFound,
    fit::{echo, fit_all},
    light::Light,
    profile::{peaks, profile},
    straight::{Across, columns, sharpened, straighten},
};

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
/// known; `cropped` says that the picture ends at the faces.
///
/// # Errors
/// When there are too few pixels, or fewer borders than layers have.
pub fn find(light: &Light, plies: Option<usize>, cropped: bool) -> Result<Found, NotFound> {
    if light.width() < 24 || light.height() < 24 {
        return Err(NotFound::TooSmall);
    }
    let tilt = straighten(light);
    let rows = light.height();
    let wanted = plies.map(|n| if cropped { n - 1 } else { n + 1 });
    // First along lines of the whole picture's tilt, then between the faces that this shows.
    let whole = profile(light, tilt, rows * 2);
    let rough = peaks(&whole, wanted)?;
    let faces = if cropped {
        [
            Across {
                left: 0.0,
                right: 0.0,
            },
            Across {
                left: (rows - 1) as f64,
                right: (rows - 1) as f64,
            },
        ]
    } else {
        let (first, last) = (rough[0], rough[rough.len() - 1]);
        let scale = |p: f64| p / (rows * 2 - 1) as f64;
        let at = |share: f64| Across {
            left: tilt[0].left + (tilt[1].left - tilt[0].left) * share,
            right: tilt[0].right + (tilt[1].right - tilt[0].right) * share,
        };
        [
            sharpened(light, at(scale(first))),
            sharpened(light, at(scale(last))),
        ]
    };
    // A little beyond the faces, so that their own light can be fitted too.
    let beyond = if cropped { 0.0 } else { 0.06 };
    let wide = |a: Across, b: Across, s: f64| Across {
        left: a.left + (b.left - a.left) * s,
        right: a.right + (b.right - a.right) * s,
    };
    let lines = [
        wide(faces[0], faces[1], -beyond),
        wide(faces[0], faces[1], 1.0 + beyond),
    ];
    let between = ((lines[1].left + lines[1].right - lines[0].left - lines[0].right) / 2.0).abs();
    let samples = (between * 1.5).round().max(48.0) as usize;
    let profile = profile(light, lines, samples);
    let peaks = peaks(&profile, wanted)?;
    let mut fit = fit_all(&profile, &peaks);
    if plies.is_none() {
        // What a camera's file makes of a strong border, and a border found twice, are none.
        while let Some(echo) = echo(&fit, samples as f64 / between) {
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
    let share = |p: f64| (p / (samples - 1) as f64) * (1.0 + 2.0 * beyond) - beyond;
    let scale = (1.0 + 2.0 * beyond) / (samples - 1) as f64;
    let mut borders: Vec<Border> = fit
        .iter()
        .map(|f| Border {
            at: share(f.at),
            error: f.error * scale,
            clear: f.clear,
        })
        .collect();
    if cropped {
        let face = |at| Border {
            at,
            error: 0.0,
            clear: f64::INFINITY,
        };
        borders.insert(0, face(0.0));
        borders.push(face(1.0));
    } else if let (Some(first), Some(last)) = (borders.first().copied(), borders.last().copied()) {
        // Shares of what lies between the faces as fitted.
        let thick = last.at - first.at;
        for border in &mut borders {
            border.at = (border.at - first.at) / thick;
            border.error /= thick;
        }
    }
    let mut faces = faces;
    if !cropped && let (Some(first), Some(last)) = (fit.first(), fit.last()) {
        faces = [
            wide(faces[0], faces[1], share(first.at)),
            wide(faces[0], faces[1], share(last.at)),
        ];
    }
    let (colours, texture) = colours(light, faces, &borders);
    Ok(Found {
        faces,
        borders,
        colours,
        texture,
    })
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
