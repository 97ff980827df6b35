//! Linear equations of a few unknowns.

/// Solves linear equations by elimination with pivots; none where there is no single answer.
pub(super) fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Option<Vec<f64>> {
    let n = b.len();
    for i in 0..n {
        let pivot = (i..n).max_by(|&x, &y| a[x][i].abs().total_cmp(&a[y][i].abs()))?;
        if a[pivot][i].abs() < 1e-14 {
            return None;
        }
        a.swap(i, pivot);
        b.swap(i, pivot);
        for row in i + 1..n {
            let factor = a[row][i] / a[i][i];
            if factor == 0.0 {
                continue;
            }
            for column in i..n {
                let above = a[i][column];
                a[row][column] -= factor * above;
            }
            b[row] -= factor * b[i];
        }
    }
    for i in (0..n).rev() {
        for column in i + 1..n {
            b[i] -= a[i][column] * b[column];
        }
        b[i] /= a[i][i];
    }
    Some(b)
}

pub(super) fn inverse(a: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = a.len();
    let columns: Option<Vec<Vec<f64>>> = (0..n)
        .map(|i| {
            let unit = (0..n).map(|j| if i == j { 1.0 } else { 0.0 }).collect();
            solve(a.to_vec(), unit)
        })
        .collect();
    columns
}

pub(super) fn square(number: f64) -> f64 {
    number * number
}
