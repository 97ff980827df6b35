//! The light across the layers, averaged along them, and where it changes.

use super::{
    error::NotFound,
    light::Light,
    solve::square,
    straight::{Across, columns},
};

/// A border between layers is at least this many times as strong as noise alone would be.
const SURE: f64 = 8.0;
/// A change of light from one sample to the next below this share of its mean counts as none.
const FAINTEST: f64 = 0.004;
/// A border has at least this share of the strongest one's contrast.
const LEAST_SHARE: f64 = 0.035;

/// The averaged light along lines between two lines, with the variance of each mean.
pub(super) struct Profile {
    pub(super) mean: Vec<[f64; 3]>,
    /// Variance of a mean, all colours together.
    pub(super) noise: f64,
}

pub(super) fn profile(light: &Light, lines: [Across; 2], samples: usize) -> Profile {
    let all: Vec<(f64, f64)> = columns(light).collect();
    let mut values: Vec<Vec<[f64; 3]>> = vec![Vec::with_capacity(all.len()); samples];
    for &(share, x) in &all {
        let (top, bottom) = (lines[0].at(share), lines[1].at(share));
        let mut column = Vec::with_capacity(samples);
        for i in 0..samples {
            let y = top + (bottom - top) * i as f64 / (samples - 1) as f64;
            column.push(light.at(x, y));
        }
        // Light falls unevenly along the edge: each column is brought to one brightness.
        let sum: f64 = column.iter().flatten().sum();
        let bright = sum / (3 * samples) as f64;
        for (at, c) in values.iter_mut().zip(&column) {
            at.push(c.map(|v| v / bright.max(1e-6)));
        }
    }
    let mut noise = 0.0;
    let mut mean = Vec::with_capacity(samples);
    for at in &mut values {
        let mut middle = [0.0; 3];
        for (channel, middle) in middle.iter_mut().enumerate() {
            at.sort_by(|a, b| a[channel].total_cmp(&b[channel]));
            // The middle half: knots, glue spots and scratches are left out.
            let quarter = at.len() / 4;
            let kept = &at[quarter..at.len() - quarter];
            *middle = kept.iter().map(|v| v[channel]).sum::<f64>() / kept.len() as f64;
        }
        mean.push(middle);
    }
    // How much a sample differs from the line through its neighbours is mostly noise.
    let mut differences: Vec<f64> = mean
        .windows(3)
        .map(|w| {
            (0..3)
                .map(|c| square(w[1][c] - f64::midpoint(w[0][c], w[2][c])) / 1.5)
                .sum::<f64>()
        })
        .collect();
    differences.sort_by(f64::total_cmp);
    noise += differences
        .get(differences.len() / 2)
        .copied()
        .unwrap_or(0.0)
        / 2.37
        * 3.0;
    Profile {
        mean,
        noise: noise.max(1e-9),
    }
}

/// The derivative of a profile, smoothed: how much the light changes at each sample.
pub(super) fn changes(profile: &Profile, sigma: f64) -> Vec<f64> {
    let reach = (3.0 * sigma).ceil() as isize;
    let n = profile.mean.len() as isize;
    let weight = |d: isize| {
        let d = d as f64;
        d * libm::exp(-d * d / (2.0 * sigma * sigma))
    };
    let norm: f64 = (-reach..=reach).map(|d| d as f64 * weight(d)).sum();
    (0..n)
        .map(|i| {
            let mut all = 0.0;
            for c in 0..3 {
                let slope: f64 = (-reach..=reach)
                    .map(|d| weight(d) * profile.mean[(i + d).clamp(0, n - 1) as usize][c])
                    .sum();
                all += square(slope / norm);
            }
            all.sqrt()
        })
        .collect()
}

/// Samples at which the light changes most: a given number, or all that stand out.
pub(super) fn peaks(profile: &Profile, wanted: Option<usize>) -> Result<Vec<f64>, NotFound> {
    let sigma = 1.6;
    let change = changes(profile, sigma);
    let mut found: Vec<(f64, f64)> = Vec::new();
    for i in 1..change.len() - 1 {
        let (a, b, c) = (change[i - 1], change[i], change[i + 1]);
        if b > a && b >= c {
            let shift = 0.5 * (a - c) / (a - 2.0 * b + c).min(-1e-12);
            found.push((i as f64 + shift.clamp(-0.5, 0.5), b));
        }
    }
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    let strongest = found.first().ok_or(NotFound::NoBorders)?.1;
    if strongest < FAINTEST {
        return Err(NotFound::NoBorders);
    }
    // The standard deviation that noise alone gives a smoothed slope.
    let chance = (profile.noise / ((sigma * sigma * sigma) * 7.1)).sqrt();
    let mut kept: Vec<f64> = match wanted {
        Some(wanted) => {
            if found.len() < wanted {
                return Err(NotFound::TooFew(found.len()));
            }
            found[..wanted].iter().map(|f| f.0).collect()
        }
        None => found
            .iter()
            .filter(|f| f.1 > LEAST_SHARE * strongest && f.1 > SURE * chance)
            .map(|f| f.0)
            .collect(),
    };
    if kept.len() < 2 {
        return Err(NotFound::NoBorders);
    }
    kept.sort_by(f64::total_cmp);
    Ok(kept)
}
