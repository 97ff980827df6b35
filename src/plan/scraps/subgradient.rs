//! Good prices for [`super::relaxed`]: its concave bound, climbed by Shor's method of space dilation
//! (N. Z. Shor, Minimization Methods for Non-Differentiable Functions, Springer 1985, chapter 3),
//! which stretches the space along the last change of slope. It takes sums, products and roots
//! alone, which are the same on every machine.

use crate::watch;

/// How much the space is stretched.
const STRETCH: f64 = 2.5;
/// Steps grow by this after every third along one direction.
const LONGER: f64 = 1.2;
/// The first step along a new direction, where one was enough along the last.
const SHORTER: f64 = 0.92;

/// Work of one climb: bounds it to seconds.
const WORK: u64 = 50_000_000;

/// So many looks as are wanted, or fewer where each takes much work.
pub(super) fn looks(work: u64, wanted: u64) -> u64 {
    wanted.min(WORK / work.max(1))
}

/// How to climb.
pub(super) struct Climb {
    /// The first step, in units.
    pub step: f64,
    /// How many points to look at; with fewer than two it stays where it is.
    pub looks: u64,
}

/// Climbs from `start`, moving each price in its own unit, over prices of at least 0. `look` tells
/// the value at some prices and writes its slope. The best prices.
pub(super) fn climb(
    start: &[f64],
    units: &[f64],
    how: &Climb,
    mut look: impl FnMut(&[f64], &mut [f64]) -> f64,
) -> Vec<f64> {
    if how.looks < 2 {
        return start.to_vec();
    }
    let n = start.len();
    let mut prices = vec![0.0; n];
    let mut slope = vec![0.0; n];
    // Beyond 0 lies the mirror image.
    let mut look_at = |at: &[f64], up: &mut [f64]| -> f64 {
        for ((price, x), unit) in prices.iter_mut().zip(at).zip(units) {
            *price = x.abs() * unit;
        }
        let value = look(&prices, &mut slope);
        for (((out, s), x), unit) in up.iter_mut().zip(&slope).zip(at).zip(units) {
            *out = if *x < 0.0 { -s * unit } else { s * unit };
        }
        value
    };
    let mut at: Vec<f64> = start.iter().zip(units).map(|(s, u)| s / u).collect();
    let mut up = vec![0.0; n];
    let mut next = vec![0.0; n];
    let mut pattern = vec![0.0; n];
    let mut best = (look_at(&at, &mut up), at.clone());
    let mut space = identity(n);
    let mut step = how.step;
    let mut looks = 1;
    while looks < how.looks {
        watch::ask();
        // The slope as the stretched space shows it.
        let shown = across(&space, &up);
        let size = length(&shown);
        if size <= 1e-9 {
            break;
        }
        for (w, row) in pattern.iter_mut().zip(space.chunks(n)) {
            *w = dot(row, &shown) / size;
        }
        let mut taken = 0;
        loop {
            for (x, w) in at.iter_mut().zip(&pattern) {
                *x += step * w;
            }
            let value = look_at(&at, &mut next);
            looks += 1;
            taken += 1;
            if value > best.0 {
                best.0 = value;
                best.1.copy_from_slice(&at);
            }
            if dot(&next, &pattern) <= 0.0 || looks >= how.looks {
                break;
            }
            if taken % 3 == 0 {
                step *= LONGER;
            }
        }
        if taken == 1 {
            step *= SHORTER;
        }
        if step * length(&pattern) < 1e-9 {
            break;
        }
        for (change, now) in up.iter_mut().zip(&next) {
            *change = now - *change;
        }
        let mut turn = across(&space, &up);
        let size = length(&turn);
        if size > 1e-12 {
            for t in &mut turn {
                *t /= size;
            }
            stretch(&mut space, &turn);
        }
        up.copy_from_slice(&next);
    }
    best.1.iter().zip(units).map(|(x, u)| x.abs() * u).collect()
}

fn identity(n: usize) -> Vec<f64> {
    let mut space = vec![0.0; n * n];
    for i in 0..n {
        space[i * n + i] = 1.0;
    }
    space
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn length(v: &[f64]) -> f64 {
    dot(v, v).sqrt()
}

/// The transposed space times a vector.
fn across(space: &[f64], v: &[f64]) -> Vec<f64> {
    let mut out = vec![0.0; v.len()];
    for (row, &x) in space.chunks(v.len()).zip(v) {
        if x != 0.0 {
            for (o, b) in out.iter_mut().zip(row) {
                *o += b * x;
            }
        }
    }
    out
}

/// Shrinks the space along a direction of length 1.
fn stretch(space: &mut [f64], turn: &[f64]) {
    let less = 1.0 / STRETCH - 1.0;
    for row in space.chunks_mut(turn.len()) {
        let along = less * dot(row, turn);
        for (b, t) in row.iter_mut().zip(turn) {
            *b += along * t;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The highest point of a roof of three planes over two prices: all three are 6 at (2, 1); past
    /// 0 nothing is sought.
    #[test]
    fn a_roof_is_climbed_to_its_ridge() {
        let how = Climb {
            step: 0.3,
            looks: 300,
        };
        let planes = [(6.0, 3.0, 1.0), (6.0, -2.0, 1.0), (6.0, 0.0, -4.0)];
        let roof = |prices: &[f64], slope: &mut [f64]| {
            let at =
                |&(c, x, y): &(f64, f64, f64)| c + x * (prices[0] - 2.0) + y * (prices[1] - 1.0);
            let lowest = planes.iter().min_by(|a, b| at(a).total_cmp(&at(b)));
            let lowest = lowest.expect("there are three");
            slope.copy_from_slice(&[lowest.1, lowest.2]);
            at(lowest)
        };
        let best = climb(&[1.0, 4.0], &[1.0, 1.0], &how, roof);
        assert!(
            (best[0] - 2.0).abs() < 1e-4 && (best[1] - 1.0).abs() < 1e-4,
            "{best:?}"
        );
        let down = |_: &[f64], slope: &mut [f64]| {
            slope.copy_from_slice(&[-1.0]);
            0.0
        };
        assert!(climb(&[1.0], &[1.0], &how, down)[0] >= 0.0);
    }
}
