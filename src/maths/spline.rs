//! A smooth curve through given points: the cubic spline with not-a-knot ends.
//!
//! The tridiagonal system for the knots' second derivatives is the textbook
//! one (de Boor, *A Practical Guide to Splines*, ch. IV; from memory); the
//! not-a-knot condition makes the first two and the last two pieces one cubic,
//! so a cubic is reproduced exactly. Cost grows linearly with the points.

/// A cubic spline `y(t)` through `n >= 1` knots with growing `t`.
#[derive(Debug, Clone)]
pub struct Spline {
    t: Vec<f64>,
    y: Vec<f64>,
    /// Second derivatives at the knots.
    m: Vec<f64>,
}

/// Value, first and second derivative of a curve at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jet {
    /// The value.
    pub value: f64,
    /// The first derivative.
    pub first: f64,
    /// The second derivative.
    pub second: f64,
}

impl Spline {
    /// The spline through `(t[i], y[i])`; `t` must grow strictly.
    ///
    /// Two points give a line, three the parabola through them.
    pub fn through(t: &[f64], y: &[f64]) -> Spline {
        debug_assert_eq!(t.len(), y.len());
        let m = match t.len() {
            0..=2 => vec![0.0; t.len()],
            3 => vec![2.0 * divided(t, y, 1); 3],
            _ => second_derivatives(t, y),
        };
        Spline { t: t.to_vec(), y: y.to_vec(), m }
    }

    /// Value and first two derivatives by `t` at `t`; beyond the ends the end pieces go on.
    pub fn at(&self, t: f64) -> Jet {
        if self.t.len() < 2 {
            return Jet { value: self.y.first().copied().unwrap_or(0.0), first: 0.0, second: 0.0 };
        }
        let i = self.t.partition_point(|&k| k <= t).clamp(1, self.t.len() - 1) - 1;
        let h = self.t[i + 1] - self.t[i];
        let (a, b) = ((self.t[i + 1] - t) / h, (t - self.t[i]) / h);
        let (ma, mb) = (self.m[i], self.m[i + 1]);
        Jet {
            value: a * self.y[i]
                + b * self.y[i + 1]
                + ((a * a * a - a) * ma + (b * b * b - b) * mb) * h * h / 6.0,
            first: (self.y[i + 1] - self.y[i]) / h
                + ((1.0 - 3.0 * a * a) * ma + (3.0 * b * b - 1.0) * mb) * h / 6.0,
            second: a * ma + b * mb,
        }
    }
}

/// Second divided difference at the three points around knot `i`.
fn divided(t: &[f64], y: &[f64], i: usize) -> f64 {
    let right = (y[i + 1] - y[i]) / (t[i + 1] - t[i]);
    let left = (y[i] - y[i - 1]) / (t[i] - t[i - 1]);
    (right - left) / (t[i + 1] - t[i - 1])
}

/// Solves the tridiagonal system for the knots' second derivatives.
fn second_derivatives(t: &[f64], y: &[f64]) -> Vec<f64> {
    let n = t.len();
    let h: Vec<f64> = t.windows(2).map(|w| w[1] - w[0]).collect();
    let inner = n - 2;
    let (mut low, mut diag, mut up) = (vec![0.0; inner], vec![0.0; inner], vec![0.0; inner]);
    let mut rhs: Vec<f64> = (1..n - 1).map(|i| 6.0 * divided(t, y, i)).collect();
    for j in 0..inner {
        let (l, r) = (h[j], h[j + 1]);
        low[j] = l / (l + r);
        up[j] = r / (l + r);
        diag[j] = 2.0;
    }
    // Not-a-knot: m0 = m1 (1 + h0/h1) - m2 h0/h1, and the same at the far end.
    let (q, p) = (h[0] / h[1], h[n - 2] / h[n - 3]);
    diag[0] += low[0] * (1.0 + q);
    up[0] -= low[0] * q;
    diag[inner - 1] += up[inner - 1] * (1.0 + p);
    low[inner - 1] -= up[inner - 1] * p;
    for j in 1..inner {
        let f = low[j] / diag[j - 1];
        diag[j] -= f * up[j - 1];
        rhs[j] -= f * rhs[j - 1];
    }
    let mut m = vec![0.0; n];
    for j in (0..inner).rev() {
        let next = if j + 1 < inner { up[j] * m[j + 2] } else { 0.0 };
        m[j + 1] = (rhs[j] - next) / diag[j];
    }
    m[0] = m[1] * (1.0 + q) - m[2] * q;
    m[n - 1] = m[n - 2] * (1.0 + p) - m[n - 3] * p;
    m
}
