//! Smooth quantities along the joint line: a Matérn 3/2 process.
//!
//! Once differentiable, with a standard amplitude and a length over which it
//! changes. As a two-number state (value and scaled slope) it ties each
//! station to the next one only, exactly and at any spacing, so its precision
//! is banded (state-space form of the Matérn covariance: Hartikainen and
//! Särkkä, 2010; from memory, tested against the covariance).
//!
//! **Why this process?** It is as smooth as long planes leave an edge, and nothing has to be
//! invented between stations. Stations nearer than half a millimetre
//! share one state and its bounds: alone they would tell their values apart only by rounding,
//! and the same bound many times over says no more than once.

use crate::maths::information::Information;

/// A smooth field's prior: standard amplitude and length, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// Standard deviation of the value anywhere, mm.
    pub amplitude: f64,
    /// Length over which it changes, mm.
    pub length: f64,
}

impl Field {
    /// Correlation of the values at two places `d` mm apart.
    pub fn correlation(&self, d: f64) -> f64 {
        let a = 3f64.sqrt() * d.abs() / self.length;
        (1.0 + a) * libm::exp(-a)
    }

    /// What the scaled slope adds to the value a small way `d` (mm) further.
    pub fn slope(&self, d: f64) -> f64 {
        3f64.sqrt() * d / self.length
    }

    /// Adds the field's prior precision to `information`.
    ///
    /// The field's two numbers stand at `place` and `place + 1` in each block
    /// of `size`; returns the log determinant of what was added.
    pub fn add_prior(&self, information: &mut Information, arc: &[f64], size: usize, place: usize) -> f64 {
        self.precision(arc, size, place, |row, column, weight| information.add_inner(row, column, weight))
    }

    /// Tells every entry of the prior's precision on and below its diagonal: row, column, weight;
    /// returns its log determinant.
    pub fn precision(
        &self,
        arc: &[f64],
        size: usize,
        place: usize,
        mut entry: impl FnMut(usize, usize, f64),
    ) -> f64 {
        let variance = self.amplitude * self.amplitude;
        if arc.is_empty() {
            return 0.0;
        }
        (0..2).for_each(|k| entry(place + k, place + k, 1.0 / variance));
        let mut log_determinant = -2.0 * libm::log(variance);
        for i in 1..arc.len() {
            let step = Step::over(self.slope(arc[i] - arc[i - 1]));
            let (before, here) = ((i - 1) * size + place, i * size + place);
            step.tell(before, here, 1.0 / variance, &mut entry);
            log_determinant -= libm::log(step.q_determinant()) + 2.0 * libm::log(variance);
        }
        log_determinant
    }
}

/// Transition `F` and innovation covariance `Q` of a field of unit amplitude.
struct Step {
    f: [[f64; 2]; 2],
    q: [[f64; 2]; 2],
}

impl Step {
    /// Over the distance `a`, in units of length / sqrt 3.
    fn over(a: f64) -> Step {
        let decay = libm::exp(-a);
        let f = [[decay * (1.0 + a), decay * a], [-decay * a, decay * (1.0 - a)]];
        // 1 - F F', written as sums of positive terms so that nothing cancels.
        let tail = tail_of_exponential(2.0 * a);
        let twice = decay * decay;
        let q12 = 2.0 * a * a * twice;
        Step { f, q: [[twice * tail, q12], [q12, twice * (4.0 * a + tail)]] }
    }

    fn q_determinant(&self) -> f64 {
        self.q[0][0] * self.q[1][1] - self.q[0][1] * self.q[1][0]
    }

    /// Tells the entries of `[-F I]' Q^-1 [-F I] weight`.
    fn tell(&self, before: usize, here: usize, weight: f64, entry: &mut impl FnMut(usize, usize, f64)) {
        let d = self.q_determinant();
        let inverse = [[self.q[1][1] / d, -self.q[0][1] / d], [-self.q[1][0] / d, self.q[0][0] / d]];
        let row = |k: usize| {
            [-self.f[k][0], -self.f[k][1], f64::from(u8::from(k == 0)), f64::from(u8::from(k == 1))]
        };
        let places = [before, before + 1, here, here + 1];
        for p in 0..4 {
            for q in 0..=p {
                let mut sum = 0.0;
                for (r, line) in inverse.iter().enumerate() {
                    sum += line.iter().enumerate().map(|(c, v)| row(r)[p] * v * row(c)[q]).sum::<f64>();
                }
                entry(places[p], places[q], weight * sum);
            }
        }
    }
}

/// `e^x - 1 - x - x^2/2`, without cancellation for small x.
fn tail_of_exponential(x: f64) -> f64 {
    if x > 1.0 {
        return libm::exp(x) - 1.0 - x - x * x / 2.0;
    }
    let mut term = x * x * x / 6.0;
    let mut sum = 0.0;
    for k in 4..25 {
        sum += term;
        term *= x / f64::from(k);
    }
    sum
}
