//! What is known of a joint before its first reading: stated defaults, or what earlier joints of
//! the same bowl taught.

use super::cuts::PLANE_SPREAD;
use super::field::Field;

/// Sizes of all that is unknown: standard deviations, mm, of what has mean zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amplitudes {
    /// The edge's waves.
    pub waves: Field,
    /// The rib's spring.
    pub spring: Field,
    /// The spring of a place's own at most places, see `fit::own`.
    pub own: f64,
    /// The line's error.
    pub line: Field,
    /// Size of the gentle curve.
    pub curve: f64,
    /// The reading errors as a multiple of what the maker stated.
    pub errors: f64,
    /// Size of the edge's own plane.
    pub plane: f64,
    /// Standard deviation of a pose, mm at half the joint's length.
    pub pose: f64,
}

impl Default for Amplitudes {
    fn default() -> Self {
        Amplitudes {
            waves: Field { amplitude: 0.15, length: 90.0 },
            spring: Field { amplitude: 0.06, length: 200.0 },
            own: 0.01,
            line: Field { amplitude: 1.0, length: 200.0 },
            curve: 0.5,
            errors: 1.0,
            plane: 5.0,
            pose: 2.0,
        }
    }
}

/// No amplitude leaves where it started by more than this many of its standard deviations
/// beforehand: readings without any error, as no maker has them, would else speak for any.
const FURTHEST: f64 = 4.0;

/// What the estimate of a joint starts from.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    /// Amplitudes before the evidence has moved them.
    pub amplitudes: Amplitudes,
    /// How far the evidence may move the waves' amplitude, the spring's, and the
    /// reading errors: standard deviations of their logarithms. The waves' is narrow: left
    /// free, a few rounds at the same stations make the edge look smoother than it is.
    pub spread: [f64; 3],
    /// How alike errors of neighbouring readings may be: standard deviation of their correlation.
    pub alike: f64,
    /// Each plane's shaving as a share of what the job states, with its standard
    /// uncertainty; planes beyond the list are as stated.
    pub planes: Vec<(f64, f64)>,
    /// A reading this many standard deviations off what all others say is named.
    pub outlier: f64,
}

impl Default for Prior {
    fn default() -> Self {
        let amplitudes = Amplitudes::default();
        Prior { amplitudes, spread: [0.3, 0.7, 0.25], alike: 0.6, planes: Vec::new(), outlier: 4.5 }
    }
}

impl Prior {
    /// A plane's shaving as a share of the stated one, with its standard uncertainty.
    pub fn plane(&self, plane: usize) -> (f64, f64) {
        self.planes.get(plane).copied().unwrap_or((1.0, PLANE_SPREAD))
    }

    /// The amplitudes of waves, spring and reading errors times the exponentials of `log`, each
    /// held within four of its standard deviations of [`Prior::spread`].
    pub fn scaled(&self, log: &[f64]) -> Amplitudes {
        let end = |k: usize| FURTHEST * self.spread[k];
        let factor = |k: usize| libm::exp(log[k].clamp(-end(k), end(k)));
        let mut amplitudes = self.amplitudes;
        amplitudes.waves.amplitude *= factor(0);
        amplitudes.spring.amplitude *= factor(1);
        amplitudes.errors *= factor(2);
        amplitudes
    }

    /// How unlikely such logarithms are before anything is read: minus their log density, normal
    /// with mean zero and the standard deviations [`Prior::spread`]; up to a constant.
    pub fn unlikely(&self, log: &[f64]) -> f64 {
        log.iter().zip(&self.spread).map(|(v, sd)| 0.5 * (v / sd).powi(2)).sum()
    }

    /// For one round on something that is held in its place: no pose, no error of a
    /// drawn line, no spring. What is left is a gently curved surface through single
    /// readings, each with its own error.
    pub fn held(outlier: f64) -> Prior {
        let usual = Prior::default();
        let mut amplitudes = usual.amplitudes;
        amplitudes.pose = 1e-3;
        amplitudes.line.amplitude = 1e-3;
        amplitudes.spring.amplitude = 1e-3;
        amplitudes.own = 1e-3;
        Prior { amplitudes, alike: 1e-6, outlier, ..usual }
    }
}
