//! Form deviations: how far points stray from a line or a plane.
//!
//! Terms of ISO 12780-1 (straightness: STRt, STRp, STRv, STRq; reference lines
//! LSLI and MZLI) and ISO 12781-1 (flatness: FLTt, FLTp, FLTv, FLTq; reference
//! planes LSPL and MZPL); the wording of the parameters is from memory.
//!
//! **Signs.** The material lies on the side of lower `z`. A deviation is
//! negative on the material side: a point that stands proud of the reference
//! has a positive one, a hollow a negative one.
//!
//! **Units.** All coordinates in one unit. References are fitted along `z`, and
//! deviations are taken square to them. Fitting along `z` instead of square to
//! the reference changes a deviation by about `slope^2 / 2` of itself: 5e-5 for
//! 10 mm in 1 m. Turn the points first where the slope is larger.
//!
//! Minimum-zone and one-sided references are convex programs, solved to
//! rounding, with the points that touch, as nearest points of a polyhedron.
//! That a one-sided least-squares plane is convex: C. M. Shakarji and V.
//! Srinivasan (NIST).

use super::{least_squares, nearest::nearest};
use nalgebra::{DMatrix, DVector};

/// A point touches its reference when nearer than this share of the largest
/// deviation.
const TOUCH: f64 = 1e-7;

/// How far below itself the half width of a zone is pulled at first, in units
/// of the largest deviation from least squares; each pull is twice the last.
const PULL: f64 = 4.0;
const PULLS: usize = 30;

/// How the line or plane is laid to the points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reference {
    /// Least sum of squared deviations (LSLI, LSPL).
    LeastSquares,
    /// Midway in the narrowest zone that holds all points (MZLI, MZPL).
    MinimumZone,
    /// Least sum of squares among those that lie nowhere above a point: inside
    /// the material, no deviation negative.
    Under,
    /// Least sum of squares among those that lie nowhere below a point: the
    /// tangent from outside the material, no deviation positive.
    Over,
}

/// Deviations from a reference, square to it, in the points' unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Deviations {
    /// One a point, negative on the material side.
    pub each: Vec<f64>,
    /// From the lowest to the highest: STRt, FLTt.
    pub total: f64,
    /// The highest over the reference: STRp, FLTp; 0 when none stands over it.
    pub peak: f64,
    /// The lowest under the reference, as a positive number: STRv, FLTv.
    pub valley: f64,
    /// Root of the mean square: STRq, FLTq.
    pub rms: f64,
    /// Points (indices) that touch a one-sided reference, or a border of the
    /// minimum zone; empty for least squares.
    pub touching: Vec<usize>,
}

/// A reference line `z = offset + slope x` and the deviations from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Straightness {
    /// Height of the line at x = 0.
    pub offset: f64,
    /// Rise per unit of x.
    pub slope: f64,
    /// Deviations of the points.
    pub deviations: Deviations,
}

/// A reference plane `z = offset + slope_x x + slope_y y` and the deviations
/// from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Flatness {
    /// Height of the plane at x = y = 0.
    pub offset: f64,
    /// Rise per unit of x.
    pub slope_x: f64,
    /// Rise per unit of y.
    pub slope_y: f64,
    /// Deviations of the points.
    pub deviations: Deviations,
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
    /// The search for the reference did not end: heights of very unlike sizes.
    #[error("the reference could not be found; are the heights in one unit?")]
    NotFound,
}

/// Straightness of points `[x, z]` against the reference line.
///
/// # Errors
/// [`Error::Undetermined`] with fewer than two different x,
/// [`Error::NotFinite`] on NaN.
pub fn straightness(points: &[[f64; 2]], reference: Reference) -> Result<Straightness, Error> {
    let (offset, [slope], deviations) = associate(points, |p| ([p[0]], p[1]), reference)?;
    Ok(Straightness { offset, slope, deviations })
}

/// Flatness of points `[x, y, z]` against the reference plane.
///
/// # Errors
/// [`Error::Undetermined`] when all `[x, y]` lie on one line,
/// [`Error::NotFinite`] on NaN.
pub fn flatness(points: &[[f64; 3]], reference: Reference) -> Result<Flatness, Error> {
    let (offset, [slope_x, slope_y], deviations) = associate(points, |p| ([p[0], p[1]], p[2]), reference)?;
    Ok(Flatness { offset, slope_x, slope_y, deviations })
}

/// Offset, slopes and deviations; `split` parts a point into place and height.
fn associate<P, const K: usize>(
    points: &[P],
    split: impl Fn(&P) -> ([f64; K], f64),
    reference: Reference,
) -> Result<(f64, [f64; K], Deviations), Error> {
    let (places, heights): (Vec<_>, Vec<_>) = points.iter().map(split).unzip();
    let frame = Frame::of(&places);
    let design = DMatrix::from_fn(points.len(), K + 1, |i, j| frame.entry(&places[i], j));
    let z = DVector::from_vec(heights);
    let mut fit = Fit::least_squares(design, z)?;
    fit.shift(reference)?;
    let (offset, slopes) = frame.plane(&fit.coefficients);
    let square = 1.0 / (1.0 + slopes.iter().map(|s| s * s).sum::<f64>()).sqrt();
    Ok((offset, slopes, fit.deviations(reference, square)))
}

/// Centred places, scaled to about 1: a well-conditioned program.
struct Frame<const K: usize> {
    centre: [f64; K],
    half: [f64; K],
}

impl<const K: usize> Frame<K> {
    fn of(places: &[[f64; K]]) -> Frame<K> {
        let range = |k: usize| {
            let fold = |(low, high): (f64, f64), p: &[f64; K]| (low.min(p[k]), high.max(p[k]));
            places.iter().fold((f64::INFINITY, f64::NEG_INFINITY), fold)
        };
        let centre = std::array::from_fn(|k| 0.5 * (range(k).0 + range(k).1));
        let half = std::array::from_fn(|k| match 0.5 * (range(k).1 - range(k).0) {
            half if half > 0.0 => half,
            _ => 1.0,
        });
        Frame { centre, half }
    }

    fn entry(&self, place: &[f64; K], j: usize) -> f64 {
        match j {
            0 => 1.0,
            j => (place[j - 1] - self.centre[j - 1]) / self.half[j - 1],
        }
    }

    fn plane(&self, coefficients: &DVector<f64>) -> (f64, [f64; K]) {
        let slopes: [f64; K] = std::array::from_fn(|k| coefficients[k + 1] / self.half[k]);
        let down: f64 = slopes.iter().zip(&self.centre).map(|(s, c)| s * c).sum();
        (coefficients[0] - down, slopes)
    }
}

struct Fit {
    design: DMatrix<f64>,
    coefficients: DVector<f64>,
    /// Heights over the reference, along z.
    over: DVector<f64>,
    /// Size of the heights, to tell rounding from form.
    rounding: f64,
}

impl Fit {
    fn least_squares(design: DMatrix<f64>, z: DVector<f64>) -> Result<Fit, Error> {
        let solution = least_squares::solve(&design, &z, None).map_err(|e| match e {
            least_squares::Error::NotFinite { .. } => Error::NotFinite,
            _ => Error::Undetermined,
        })?;
        let coefficients = solution.estimates().ok_or(Error::Undetermined)?.clone();
        let rounding = 1e-14 * z.amax();
        Ok(Fit { design, coefficients, over: solution.residuals, rounding })
    }

    /// Moves the least-squares reference to the one asked for.
    fn shift(&mut self, reference: Reference) -> Result<(), Error> {
        let size = self.over.amax();
        if reference == Reference::LeastSquares || size <= self.rounding {
            return Ok(());
        }
        // In a basis of mean square 1 the nearest point is the least-squares one.
        let qr = self.design.clone().qr();
        let spread = (self.over.len() as f64).sqrt();
        let basis = qr.q() * spread;
        let over = &self.over / size;
        let least = match reference {
            Reference::MinimumZone => narrowest(&basis, &over),
            Reference::Over => one_sided(&-basis, &-over),
            Reference::Under | Reference::LeastSquares => one_sided(&basis, &over),
        };
        let step = least.and_then(|y| qr.r().solve_upper_triangular(&(y * (size * spread))));
        let step = step.ok_or(Error::NotFound)?;
        self.over -= &self.design * &step;
        self.coefficients += step;
        Ok(())
    }

    fn deviations(&self, reference: Reference, square: f64) -> Deviations {
        let each: Vec<f64> = self.over.iter().map(|v| v * square).collect();
        let high = each.iter().fold(f64::NEG_INFINITY, |a, b| a.max(*b));
        let low = each.iter().fold(f64::INFINITY, |a, b| a.min(*b));
        let near = TOUCH * high.max(-low) + self.rounding;
        let border = match reference {
            Reference::LeastSquares => None,
            Reference::MinimumZone => Some(0.5 * (high - low)),
            Reference::Under | Reference::Over => Some(0.0),
        };
        let touches = |v: f64| border.is_some_and(|b| (v.abs() - b).abs() <= near);
        let squares: f64 = each.iter().map(|v| v * v).sum();
        Deviations {
            total: high - low,
            peak: high.max(0.0),
            valley: (-low).max(0.0),
            rms: (squares / each.len() as f64).sqrt(),
            touching: (0..each.len()).filter(|i| touches(each[*i])).collect(),
            each,
        }
    }
}

/// The least step with `basis * step <= over`.
fn one_sided(basis: &DMatrix<f64>, over: &DVector<f64>) -> Option<DVector<f64>> {
    let start = DVector::zeros(basis.ncols());
    Some(nearest(&start, basis, over)?.x)
}

/// The step that leaves the least largest deviation h. Its unknowns are the
/// step and h, which is pulled down from where it stands, again and again: for
/// a linear program such proximal steps end on an exact answer (M. C. Ferris,
/// Mathematical Programming 50, 1991; from memory), here the first or second.
fn narrowest(basis: &DMatrix<f64>, over: &DVector<f64>) -> Option<DVector<f64>> {
    let (n, k) = basis.shape();
    let sign = |i: usize| if i < n { 1.0 } else { -1.0 };
    let rows = DMatrix::from_fn(2 * n, k + 1, |i, j| match j {
        j if j < k => sign(i) * basis[(i % n, j)],
        _ => -1.0,
    });
    let bounds = DVector::from_fn(2 * n, |i, _| sign(i) * over[i % n]);
    let mut at = DVector::zeros(k + 1);
    at[k] = over.amax();
    for pull in 0..PULLS as i32 {
        let before = at[k];
        let mut below = at;
        below[k] -= PULL * 2_f64.powi(pull);
        at = nearest(&below, &rows, &bounds)?.x;
        if at[k] >= before * (1.0 - 1e-13) {
            return Some(at.rows(0, k).into_owned());
        }
    }
    None
}
