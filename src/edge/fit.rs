//! Borders between layers, fitted to the light across them.

use super::{
    profile::Profile,
    solve::{inverse, solve, square},
};
use crate::watch;

/// Borders nearer to one another than this, in pixels, are one.
const NEAREST: f64 = 2.5;
/// Lossy compression leaves ripples up to this far from a strong border, in pixels (blocks of 16).
const RIPPLES: f64 = 20.0;
/// A border that is at least this share as clear as the strong one is no ripple.
const ECHO: f64 = 0.2;

/// The weakest border that is too near to a stronger one, or is a ripple of lossy compression beside one. `scale` is
/// samples a pixel.
pub(super) fn echo(fit: &[Fitted], scale: f64) -> Option<usize> {
    let beside = |i: usize| {
        let own = &fit[i];
        fit.iter().enumerate().any(|(j, other)| {
            let far = (other.at - own.at).abs() / scale;
            let near = far < NEAREST && (other.clear, j) > (own.clear, i);
            j != i && (near || far < RIPPLES && own.clear < ECHO * other.clear)
        })
    };
    let echoes = (0..fit.len()).filter(|&i| beside(i));
    echoes.min_by(|&a, &b| fit[a].clear.total_cmp(&fit[b].clear))
}

/// A border as fitted, in samples of the profile.
pub(super) struct Fitted {
    pub(super) at: f64,
    /// Its standard error.
    pub(super) error: f64,
    /// How much the light changes there, against what noise alone makes.
    pub(super) clear: f64,
}

/// The area below a bell curve up to z.
fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// Fits borders to a profile: layers of even or evenly falling light, between which it changes as softly as the
/// picture is sharp. Least squares, by the method of Gauss and Newton.
pub(super) fn fit_all(profile: &Profile, peaks: &[f64]) -> Vec<Fitted> {
    let n = profile.mean.len();
    let mut at = peaks.to_vec();
    let mut sigma: f64 = 1.2;
    let mut best: Option<(f64, Vec<f64>, f64)> = None;
    for _ in 0..30 {
        watch::ask();
        let model = Model::of(&at, sigma, n);
        let levels = model.levels(profile);
        let rest = model.rest(profile, &levels);
        let squares: f64 = rest.iter().flatten().map(|r| r * r).sum();
        if best.as_ref().is_none_or(|(least, ..)| squares < *least) {
            best = Some((squares, at.clone(), sigma));
        }
        let (normal, right) = model.normal(&levels, &rest, true);
        let Some(step) = solve(normal, right) else {
            break;
        };
        let m = at.len();
        let largest = step[..m].iter().fold(0.0_f64, |a, s| a.max(s.abs()));
        let scale = if largest > 1.0 { 1.0 / largest } else { 1.0 };
        for (a, s) in at.iter_mut().zip(&step) {
            *a += scale * s;
        }
        sigma = (sigma + scale * step[m].clamp(-0.3, 0.3)).clamp(0.5, 6.0);
        for i in 1..m {
            if at[i] < at[i - 1] + 0.5 {
                at[i] = at[i - 1] + 0.5;
            }
        }
        if largest < 1e-4 {
            break;
        }
    }
    if let Some((_, known, sharp)) = best {
        (at, sigma) = (known, sharp);
    }
    let model = Model::of(&at, sigma, n);
    let levels = model.levels(profile);
    let rest = model.rest(profile, &levels);
    let squares: f64 = rest.iter().flatten().map(|r| r * r).sum();
    let free = (3 * n)
        .saturating_sub(levels.len() * 3 + at.len() + 1)
        .max(1) as f64;
    let variance = squares / free;
    let (normal, _) = model.normal(&levels, &rest, true);
    let covariance = inverse(&normal);
    at.iter()
        .enumerate()
        .map(|(i, &at)| {
            // Neighbouring samples share pixels, so each counts half.
            let own = covariance.as_ref().map_or(1.0, |c| c[i][i].max(0.0));
            let step: f64 = (0..3).map(|c| square(model.jump(&levels, i, c))).sum();
            Fitted {
                at,
                error: (2.0 * variance * own).sqrt(),
                clear: (step / (3.0 * variance.max(profile.noise / 3.0))).sqrt(),
            }
        })
        .collect()
}

/// Layers with soft borders, as sums of given shapes.
struct Model<'a> {
    at: &'a [f64],
    sigma: f64,
    /// Of each shape, its value at each sample; and the layer that it belongs to, and whether it is a slope.
    shapes: Vec<(usize, bool, Vec<f64>)>,
    n: usize,
}

impl<'a> Model<'a> {
    fn of(at: &'a [f64], sigma: f64, n: usize) -> Self {
        let mut shapes = Vec::new();
        for layer in 0..=at.len() {
            let from = layer.checked_sub(1).map(|i| at[i]);
            let to = at.get(layer).copied();
            let window = |x: f64| {
                from.map_or(1.0, |f| below((x - f) / sigma))
                    - to.map_or(0.0, |t| below((x - t) / sigma))
            };
            let (a, b) = (from.unwrap_or(0.0), to.unwrap_or((n - 1) as f64));
            let values: Vec<f64> = (0..n).map(|i| window(i as f64)).collect();
            if b - a > 8.0 * sigma {
                let middle = f64::midpoint(a, b);
                let slope =
                    (0..n).map(|i| values[i] * ((i as f64 - middle) / (b - a)).clamp(-0.7, 0.7));
                shapes.push((layer, true, slope.collect()));
            }
            shapes.push((layer, false, values));
        }
        Self {
            at,
            sigma,
            shapes,
            n,
        }
    }

    /// The factor of each shape, for each colour.
    fn levels(&self, profile: &Profile) -> Vec<[f64; 3]> {
        let m = self.shapes.len();
        let mut normal = vec![vec![0.0; m]; m];
        for i in 0..m {
            for j in 0..=i {
                let sum: f64 = self.shapes[i]
                    .2
                    .iter()
                    .zip(&self.shapes[j].2)
                    .map(|(a, b)| a * b)
                    .sum();
                normal[i][j] = sum;
                normal[j][i] = sum;
            }
            normal[i][i] += 1e-9;
        }
        let mut levels = vec![[0.0; 3]; m];
        for c in 0..3 {
            let right = self
                .shapes
                .iter()
                .map(|s| s.2.iter().zip(&profile.mean).map(|(a, p)| a * p[c]).sum());
            if let Some(found) = solve(normal.clone(), right.collect()) {
                for (level, f) in levels.iter_mut().zip(found) {
                    level[c] = f;
                }
            }
        }
        levels
    }

    fn rest(&self, profile: &Profile, levels: &[[f64; 3]]) -> Vec<[f64; 3]> {
        (0..self.n)
            .map(|i| {
                std::array::from_fn(|c| {
                    let model: f64 = self
                        .shapes
                        .iter()
                        .zip(levels)
                        .map(|(s, l)| s.2[i] * l[c])
                        .sum();
                    profile.mean[i][c] - model
                })
            })
            .collect()
    }

    /// How much the light changes across a border.
    fn jump(&self, levels: &[[f64; 3]], border: usize, colour: usize) -> f64 {
        let side = |layer: usize, end: f64| -> f64 {
            let own = self.shapes.iter().zip(levels).filter(|(s, _)| s.0 == layer);
            own.map(|(s, l)| if s.1 { l[colour] * end } else { l[colour] })
                .sum()
        };
        side(border + 1, -0.5) - side(border, 0.5)
    }

    /// The normal equations of a step of the borders and of the softness.
    fn normal(
        &self,
        levels: &[[f64; 3]],
        rest: &[[f64; 3]],
        soft: bool,
    ) -> (Vec<Vec<f64>>, Vec<f64>) {
        let m = self.at.len() + usize::from(soft);
        let mut normal = vec![vec![0.0; m]; m];
        let mut right = vec![0.0; m];
        for c in 0..3 {
            let jumps: Vec<f64> = (0..self.at.len())
                .map(|i| self.jump(levels, i, c))
                .collect();
            for (x, r) in rest.iter().enumerate() {
                let mut row = vec![0.0; m];
                for (i, &at) in self.at.iter().enumerate() {
                    let z = (x as f64 - at) / self.sigma;
                    if z.abs() > 5.0 {
                        continue;
                    }
                    let bell = libm::exp(-z * z / 2.0)
                        / (self.sigma * (2.0 * std::f64::consts::PI).sqrt());
                    row[i] = -jumps[i] * bell;
                    if soft {
                        row[m - 1] += -jumps[i] * bell * z;
                    }
                }
                for i in 0..m {
                    if row[i] == 0.0 {
                        continue;
                    }
                    right[i] += row[i] * r[c];
                    for j in 0..m {
                        normal[i][j] += row[i] * row[j];
                    }
                }
            }
        }
        for (i, row) in normal.iter_mut().enumerate() {
            row[i] += 1e-9;
        }
        (normal, right)
    }
}
