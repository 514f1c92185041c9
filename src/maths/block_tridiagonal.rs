//! Cholesky factors of a band of blocks, stored row by row.
//!
//! Row r holds the entries at the columns of the block before and of its own
//! block, so that every step is linear in blocks.

use super::information::Shape;

/// In place Cholesky of the band, row by row.
pub(super) fn factor_band(shape: &Shape, band: &mut [f64]) -> Option<()> {
    let w = shape.band();
    for r in 0..shape.inner() {
        let start = shape.band_start(r);
        for c in start..=r {
            let from = shape.band_start(c).max(start);
            let mut sum = band[r * w + c - start];
            let c_start = shape.band_start(c);
            for k in from..c {
                sum -= band[r * w + k - start] * band[c * w + k - c_start];
            }
            band[r * w + c - start] = if c < r {
                sum / band[c * w + c - c_start]
            } else if sum > 0.0 {
                sum.sqrt()
            } else {
                return None;
            };
        }
    }
    Some(())
}

/// Solves L Y = border in place, all columns at once.
pub(super) fn forward_border(shape: &Shape, band: &[f64], border: &mut [f64]) {
    let (w, m) = (shape.band(), shape.border);
    for r in 0..shape.inner() {
        let start = shape.band_start(r);
        let (done, rest) = border.split_at_mut(r * m);
        let row = &mut rest[..m];
        for k in start..r {
            let l = band[r * w + k - start];
            if l != 0.0 {
                row.iter_mut().zip(&done[k * m..(k + 1) * m]).for_each(|(y, d)| *y -= l * d);
            }
        }
        let diagonal = band[r * w + r - start];
        row.iter_mut().for_each(|y| *y /= diagonal);
    }
}

/// Solves L y = right side in place.
pub(super) fn forward_vector(shape: &Shape, band: &[f64], y: &mut [f64]) {
    let w = shape.band();
    for r in 0..shape.inner() {
        let start = shape.band_start(r);
        let sum: f64 = (start..r).map(|k| band[r * w + k - start] * y[k]).sum();
        y[r] = (y[r] - sum) / band[r * w + r - start];
    }
}

/// Solves L' y = right side in place.
pub(super) fn backward_vector(shape: &Shape, band: &[f64], y: &mut [f64]) {
    let w = shape.band();
    for r in (0..shape.inner()).rev() {
        let start = shape.band_start(r);
        y[r] /= band[r * w + r - start];
        let value = y[r];
        (start..r).for_each(|k| y[k] -= band[r * w + k - start] * value);
    }
}

/// Solves L' Y = border in place, all columns at once.
pub(super) fn backward_border(shape: &Shape, band: &[f64], y: &mut [f64]) {
    let (w, m) = (shape.band(), shape.border);
    for r in (0..shape.inner()).rev() {
        let start = shape.band_start(r);
        let (before, rest) = y.split_at_mut(r * m);
        let row = &mut rest[..m];
        let diagonal = band[r * w + r - start];
        row.iter_mut().for_each(|v| *v /= diagonal);
        for k in start..r {
            let l = band[r * w + k - start];
            before[k * m..(k + 1) * m].iter_mut().zip(&*row).for_each(|(b, v)| *b -= l * v);
        }
    }
}

/// The inverse of the band's matrix, inside the band only (symmetric part, row >= column).
pub(super) fn inverse_band(shape: &Shape, band: &[f64]) -> Vec<f64> {
    let (w, n, b) = (shape.band(), shape.inner(), shape.size);
    let mut z = vec![0.0; band.len()];
    let l = |r: usize, c: usize| band[r * w + c - shape.band_start(r)];
    for j in (0..n).rev() {
        // Columns below j that are tied to it end with the next block.
        let end = ((j / b + 2) * b).min(n);
        let diagonal = l(j, j);
        for i in (j..end).rev() {
            let mut sum = if i == j { 1.0 / diagonal } else { 0.0 };
            for k in j + 1..end {
                let (hi, lo) = (i.max(k), i.min(k));
                sum -= l(k, j) * z[hi * w + lo - shape.band_start(hi)];
            }
            z[i * w + j - shape.band_start(i)] = sum / diagonal;
        }
    }
    z
}
