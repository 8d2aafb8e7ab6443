//! A symmetric positive matrix as a product of a lower factor with its mirror, and what is solved by it. A handful of rows.

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The lower factor of a matrix that is symmetric and positive.
pub(super) fn cholesky(mut a: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    for row in 0..a.len() {
        for column in 0..=row {
            let sum = dot(&a[row][..column], &a[column][..column]);
            let rest = a[row][column] - sum;
            a[row][column] = if row == column {
                // Readings of nothing but rounding apart are taken as so far apart.
                rest.max(1e-12).sqrt()
            } else {
                rest / a[column][column]
            };
        }
    }
    a
}

pub(super) fn forward(factor: &[Vec<f64>], right: &[f64]) -> Vec<f64> {
    let mut out: Vec<f64> = Vec::with_capacity(right.len());
    for (row, value) in right.iter().enumerate() {
        let known = dot(&factor[row][..row], &out);
        out.push((value - known) / factor[row][row]);
    }
    out
}

pub(super) fn backward(factor: &[Vec<f64>], mut right: Vec<f64>) -> Vec<f64> {
    for row in (0..right.len()).rev() {
        let known: f64 = (row + 1..right.len())
            .map(|below| factor[below][row] * right[below])
            .sum();
        right[row] = (right[row] - known) / factor[row][row];
    }
    right
}
