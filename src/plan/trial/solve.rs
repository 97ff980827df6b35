//! Few straight equations: the least-squares solution, how exact it is, and whether readings that
//! are only known within bounds can all be right.
//!
//! Small dense systems (a handful of settings), by the normal equations with each unknown scaled
//! to its own column. Any text on least squares; bounds on the readings give bounds on the
//! solution by the triangle inequality.

/// Readings y, each within its bound, that depend on unknowns x by the rates J: y = J x.
#[derive(Debug, Clone)]
pub(super) struct Equations {
    /// One row a reading, one column an unknown.
    pub(super) rates: Vec<Vec<f64>>,
    /// The readings.
    pub(super) readings: Vec<f64>,
    /// How far each may be off, above 0.
    pub(super) bounds: Vec<f64>,
}

/// What x is, and how far it may be off.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Solution {
    /// The unknowns.
    pub(super) x: Vec<f64>,
    /// How far each may be off when no reading is off by more than its bound.
    pub(super) within: Vec<f64>,
}

impl Equations {
    fn unknowns(&self) -> usize {
        self.rates.first().map_or(0, Vec::len)
    }

    /// The least-squares solution, readings weighted by their bounds; none where the readings do
    /// not tell the unknowns apart.
    pub(super) fn solve(&self) -> Option<Solution> {
        let n = self.unknowns();
        let weighted: Vec<Vec<f64>> = self
            .rates
            .iter()
            .zip(&self.bounds)
            .map(|(row, bound)| row.iter().map(|v| v / bound).collect())
            .collect();
        let scale: Vec<f64> = (0..n)
            .map(|i| weighted.iter().map(|r| r[i] * r[i]).sum::<f64>().sqrt())
            .collect();
        if scale.iter().any(|&s| s <= 0.0) {
            return None;
        }
        let normal: Vec<Vec<f64>> = (0..n)
            .map(|i| {
                let with = |j: usize| {
                    let sum: f64 = weighted.iter().map(|r| r[i] * r[j]).sum();
                    sum / (scale[i] * scale[j])
                };
                (0..n).map(with).collect()
            })
            .collect();
        let inverse = inverted(normal)?;
        // What each reading does to each unknown.
        let share = |i: usize, k: usize| -> f64 {
            let sum: f64 = (0..n)
                .map(|j| inverse[i][j] * weighted[k][j] / scale[j])
                .sum();
            sum / (scale[i] * self.bounds[k])
        };
        let rows = 0..self.readings.len();
        let x = (0..n).map(|i| rows.clone().map(|k| share(i, k) * self.readings[k]).sum());
        let within = (0..n).map(|i| {
            rows.clone()
                .map(|k| share(i, k).abs() * self.bounds[k])
                .sum()
        });
        Some(Solution {
            x: x.collect(),
            within: within.collect(),
        })
    }

    /// Whether some x explains every reading within its bound.
    ///
    /// Each reading allows a slab of x, and slabs are convex: all have a point in common when every
    /// n + 1 of them do (Helly, Jahresbericht der DMV 32, 1923). For n + 1 readings, the residual
    /// of the least-squares solution gives the one combination in which x drops out.
    pub(super) fn can_all_be_right(&self) -> bool {
        let n = self.unknowns();
        let m = self.readings.len();
        if n == 0 {
            let all = self.readings.iter().zip(&self.bounds);
            return all.into_iter().all(|(y, b)| y.abs() <= *b);
        }
        m <= n
            || subsets(m, n + 1)
                .iter()
                .all(|rows| self.chosen(rows).just_fits())
    }

    fn chosen(&self, rows: &[usize]) -> Self {
        Self {
            rates: rows.iter().map(|&r| self.rates[r].clone()).collect(),
            readings: rows.iter().map(|&r| self.readings[r]).collect(),
            bounds: rows.iter().map(|&r| self.bounds[r]).collect(),
        }
    }

    fn just_fits(&self) -> bool {
        let Some(solution) = self.solve() else {
            return true;
        };
        // In readings divided by their bounds, w = residual: w . y = |w|^2 must lie within sum |w|.
        let residual = self.rates.iter().zip(&self.readings).zip(&self.bounds);
        let residual: Vec<f64> = residual
            .map(|((row, y), bound)| {
                let fit: f64 = row.iter().zip(&solution.x).map(|(a, b)| a * b).sum();
                (y - fit) / bound
            })
            .collect();
        let square: f64 = residual.iter().map(|r| r * r).sum();
        square <= residual.iter().map(|r| r.abs()).sum::<f64>() * (1.0 + 1e-9)
    }
}

/// All ways to choose `k` of the numbers below `n`, each in order.
pub(super) fn subsets(n: usize, k: usize) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for _ in 0..k {
        all = all
            .into_iter()
            .flat_map(|chosen: Vec<usize>| {
                let from = chosen.last().map_or(0, |l| l + 1);
                (from..n).map(move |next| {
                    let mut more = chosen.clone();
                    more.push(next);
                    more
                })
            })
            .collect();
    }
    all
}

/// The inverse by Gauss and Jordan with the largest pivot of each column; none where it is (close
/// to) singular. The entries are correlations, so 1e-6 is a plain threshold.
fn inverted(mut a: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let n = a.len();
    for (i, row) in a.iter_mut().enumerate() {
        row.extend((0..n).map(|j| f64::from(u8::from(i == j))));
    }
    for column in 0..n {
        let pivot =
            (column..n).max_by(|&i, &j| a[i][column].abs().total_cmp(&a[j][column].abs()))?;
        if a[pivot][column].abs() < 1e-6 {
            return None;
        }
        a.swap(column, pivot);
        let head = a[column][column];
        for v in &mut a[column] {
            *v /= head;
        }
        let lead = a[column].clone();
        for (i, row) in a.iter_mut().enumerate() {
            if i != column {
                let factor = row[column];
                for (v, l) in row.iter_mut().zip(&lead) {
                    *v -= factor * l;
                }
            }
        }
    }
    Some(a.into_iter().map(|row| row[n..].to_vec()).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn equations(rates: &[&[f64]], readings: &[f64]) -> Equations {
        Equations {
            rates: rates.iter().map(|r| r.to_vec()).collect(),
            readings: readings.to_vec(),
            bounds: vec![0.1; readings.len()],
        }
    }

    #[test]
    fn two_unknowns_by_hand() {
        // x + y = 3, x - y = 1: x = 2, y = 1; each within (0.1 + 0.1) / 2.
        let s = equations(&[&[1.0, 1.0], &[1.0, -1.0]], &[3.0, 1.0])
            .solve()
            .unwrap();
        assert!((s.x[0] - 2.0).abs() < 1e-9 && (s.x[1] - 1.0).abs() < 1e-9);
        assert!(s.within.iter().all(|w| (w - 0.1).abs() < 1e-9));
    }

    #[test]
    fn columns_that_run_alike_cannot_be_told_apart() {
        assert!(
            equations(&[&[1.0, 2.0], &[2.0, 4.0]], &[1.0, 2.0])
                .solve()
                .is_none()
        );
        assert!(equations(&[&[1.0, 0.0]], &[1.0]).solve().is_none());
    }

    #[test]
    fn readings_of_one_thing_agree_within_their_bounds() {
        let both = |a: f64, b: f64| equations(&[&[1.0], &[1.0]], &[a, b]).can_all_be_right();
        assert!(both(1.0, 1.19) && !both(1.0, 1.21));
        // Each two of three may agree while all three do not only in more unknowns: here they do.
        let three = |c: f64| {
            equations(&[&[1.0, 0.0], &[0.0, 1.0], &[1.0, 1.0]], &[1.0, 1.0, c]).can_all_be_right()
        };
        assert!(three(2.29) && !three(2.31));
    }

    #[test]
    fn subsets_of_four() {
        assert_eq!(subsets(4, 2).len(), 6);
        assert_eq!(subsets(3, 3), [[0, 1, 2]]);
        assert_eq!(subsets(2, 0), [Vec::<usize>::new()]);
    }
}
