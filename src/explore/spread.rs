//! A few of many, spread out over their measures, so that no two of them are much alike.
//!
//! Each measure is brought to the range from 0 to 1. The first of the list is taken, then again and
//! again the one farthest from all that are taken: Gonzalez, "Clustering to minimize the maximum
//! intercluster distance", Theoretical Computer Science 38 (1985). The gap between the nearest two
//! is then at least half of the widest that any choice could have.

use crate::watch;

/// The places of `keep` points of the list, in its order. Points are lists of measures, all as
/// long; a value that is not finite counts as the middle of its measure.
pub fn spread(points: &[Vec<f64>], keep: usize) -> Vec<usize> {
    if points.len() <= keep || keep == 0 {
        return (0..points.len().min(keep)).collect();
    }
    let points = scaled(points);
    let mut taken = vec![0];
    let mut gaps: Vec<f64> = points.iter().map(|p| distance(p, &points[0])).collect();
    gaps[0] = f64::NEG_INFINITY;
    while taken.len() < keep {
        watch::ask();
        let mut next = 0;
        for (i, gap) in gaps.iter().enumerate() {
            // Of equals the first in the list.
            if *gap > gaps[next] {
                next = i;
            }
        }
        taken.push(next);
        for (gap, point) in gaps.iter_mut().zip(&points) {
            *gap = gap.min(distance(point, &points[next]));
        }
        gaps[next] = f64::NEG_INFINITY;
    }
    taken.sort_unstable();
    taken
}

fn scaled(points: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let measures = points.iter().map(Vec::len).min().unwrap_or(0);
    let ranges: Vec<(f64, f64)> = (0..measures)
        .map(|m| {
            let finite = points.iter().map(|p| p[m]).filter(|v| v.is_finite());
            finite.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(v), high.max(v))
            })
        })
        .collect();
    let one = |value: f64, (low, high): (f64, f64)| {
        if value.is_finite() && high > low {
            (value - low) / (high - low)
        } else {
            0.5
        }
    };
    points
        .iter()
        .map(|p| p.iter().zip(&ranges).map(|(v, r)| one(*v, *r)).collect())
        .collect()
}

/// The square of the distance, which is enough for comparing.
fn distance(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| (x - y) * (x - y)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(values: &[f64]) -> Vec<Vec<f64>> {
        values.iter().map(|v| vec![*v]).collect()
    }

    #[test]
    fn far_ones_come_before_twins() {
        let points = line(&[0.0, 0.01, 0.02, 10.0, 10.01, 5.0]);
        assert_eq!(spread(&points, 1), [0]);
        assert_eq!(spread(&points, 2), [0, 4]);
        assert_eq!(spread(&points, 3), [0, 4, 5]);
        assert_eq!(spread(&points, 6), [0, 1, 2, 3, 4, 5]);
        assert_eq!(spread(&points, 60).len(), 6);
        assert!(spread(&points, 0).is_empty());
    }

    #[test]
    fn each_measure_weighs_the_same() {
        let points = vec![vec![0.0, 0.0], vec![1000.0, 0.0], vec![500.0, 0.001]];
        assert_eq!(spread(&points, 2), [0, 2], "sqrt(0.5^2 + 1) is more than 1");
    }

    #[test]
    fn points_without_measures_are_taken_in_order() {
        assert_eq!(spread(&vec![Vec::new(); 5], 3), [0, 1, 2]);
        let points = line(&[f64::NAN, 1.0, 2.0, f64::INFINITY]);
        assert_eq!(spread(&points, 3), [0, 1, 2]);
    }
}
