//! Form deviations: how far points stray from their least-squares line or plane.
//!
//! Terms of ISO 12780-1 (straightness: STRt, from the least-squares line LSLI) and ISO 12781-1
//! (flatness: FLTt, from the least-squares plane LSPL).
//!
//! **Signs.** The material lies on the side of lower height. A point that stands proud of the
//! reference has a positive deviation, a hollow a negative one.
//!
//! **Units.** All coordinates in one unit. The reference is fitted along the height, and
//! deviations are taken square to it. Fitting along the height instead of square to the reference
//! changes a deviation by about `slope^2 / 2` of itself: 5e-5 for 10 mm in 1 m.

use nalgebra::{DMatrix, DVector};

/// Points lie on one line (or at one place) when they leave it by less than this share of
/// their extent.
const UNDETERMINED: f64 = 1e-12;

/// A reference `height = offset + slopes . place`, a line (`K` = 1) or a plane (`K` = 2), and the
/// deviations from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Form<const K: usize> {
    /// Height of the reference at place 0.
    pub offset: f64,
    /// Its rise per unit of place.
    pub slopes: [f64; K],
    /// One a point, square to the reference, in the points' unit.
    pub deviations: Vec<f64>,
}

/// Why there is no reference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// A line needs two places, a plane three that are not on one line.
    #[error("the points do not fix the reference: a line needs 2, a plane 3 not on one line")]
    Undetermined,
    /// A coordinate is NaN or infinite.
    #[error("a coordinate is not a finite number")]
    NotFinite,
}

impl<const K: usize> Form<K> {
    /// The least-squares reference of `heights` over `places`, one a point.
    ///
    /// # Errors
    /// [`Error::Undetermined`] with too few different places, [`Error::NotFinite`] on NaN.
    pub fn of(places: &[[f64; K]], heights: &[f64]) -> Result<Form<K>, Error> {
        if !places.as_flattened().iter().chain(heights).all(|v| v.is_finite()) {
            return Err(Error::NotFinite);
        }
        let frame = Frame::of(places);
        let design = DMatrix::from_fn(places.len(), K + 1, |i, j| frame.entry(&places[i], j));
        let heights = DVector::from_column_slice(heights);
        let coefficients = least_squares(&design, &heights).ok_or(Error::Undetermined)?;
        let (offset, slopes) = frame.reference(&coefficients);
        let square = (1.0 + slopes.iter().map(|s| s * s).sum::<f64>()).sqrt();
        let over = (heights - design * coefficients) / square;
        Ok(Form { offset, slopes, deviations: over.as_slice().to_vec() })
    }

    /// From the lowest point to the highest: STRt, FLTt.
    pub fn total(&self) -> f64 {
        let high = self.deviations.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        high - self.deviations.iter().copied().fold(f64::INFINITY, f64::min)
    }
}

/// The coefficients, by the singular values of the design; `None` where one of them is nothing.
fn least_squares(design: &DMatrix<f64>, heights: &DVector<f64>) -> Option<DVector<f64>> {
    if design.nrows() < design.ncols() {
        return None;
    }
    let svd = design.clone().svd(true, true);
    let floor = UNDETERMINED * svd.singular_values.amax();
    (svd.rank(floor) == design.ncols()).then(|| svd.solve(heights, floor).ok())?
}

/// Places about their middle, scaled to -1 .. 1: a well-conditioned design.
struct Frame<const K: usize> {
    middle: [f64; K],
    half: [f64; K],
}

impl<const K: usize> Frame<K> {
    fn of(places: &[[f64; K]]) -> Frame<K> {
        let low = |k: usize| places.iter().map(|p| p[k]).fold(f64::INFINITY, f64::min);
        let high = |k: usize| places.iter().map(|p| p[k]).fold(f64::NEG_INFINITY, f64::max);
        let half = |k: usize| match 0.5 * (high(k) - low(k)) {
            half if half > 0.0 => half,
            _ => 1.0,
        };
        let middle = std::array::from_fn(|k| 0.5 * (high(k) + low(k)));
        Frame { middle, half: std::array::from_fn(half) }
    }

    fn entry(&self, place: &[f64; K], j: usize) -> f64 {
        match j {
            0 => 1.0,
            j => (place[j - 1] - self.middle[j - 1]) / self.half[j - 1],
        }
    }

    fn reference(&self, coefficients: &DVector<f64>) -> (f64, [f64; K]) {
        let slopes: [f64; K] = std::array::from_fn(|k| coefficients[k + 1] / self.half[k]);
        let down: f64 = slopes.iter().zip(&self.middle).map(|(s, c)| s * c).sum();
        (coefficients[0] - down, slopes)
    }
}
