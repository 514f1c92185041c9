//! What is known before the first reading of a joint: defaults, or what earlier
//! joints of the same bowl taught.

use super::cuts::PLANE_SPREAD;
use super::model::Prior;

/// Where the estimate of a joint starts from.
#[derive(Debug, Clone, PartialEq)]
pub struct Start {
    /// Amplitudes before the evidence has moved them.
    pub prior: Prior,
    /// How far the evidence may move the waves' amplitude, the spring's, and the
    /// reading errors: standard deviations of their logarithms. The waves' is narrow: left
    /// free, a few rounds at the same stations make the edge look smoother than it is.
    pub spread: [f64; 3],
    /// Each plane's shaving as a share of what the job states, with its standard
    /// uncertainty; planes beyond the list are as stated.
    pub planes: Vec<(f64, f64)>,
    /// A reading this many standard deviations off what all others say is named.
    pub outlier: f64,
}

impl Default for Start {
    fn default() -> Self {
        Start { prior: Prior::default(), spread: [0.55, 0.7, 0.25], planes: Vec::new(), outlier: 4.5 }
    }
}

impl Start {
    /// A plane's shaving as a share of the stated one, with its standard uncertainty.
    pub fn plane(&self, plane: usize) -> (f64, f64) {
        self.planes.get(plane).copied().unwrap_or((1.0, PLANE_SPREAD))
    }

    /// For one round on something that is held in its place: no pose, no error of a
    /// drawn line, no spring. What is left is a gently curved surface through single
    /// readings, each with its own error.
    pub fn held(outlier: f64) -> Start {
        let usual = Start::default();
        let mut prior = usual.prior;
        prior.pose = 1e-3;
        prior.line.amplitude = 1e-3;
        prior.spring.amplitude = 1e-3;
        Start { prior, outlier, ..usual }
    }
}
