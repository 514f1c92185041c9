//! The rigid motion that best carries one set of points onto another.
//!
//! `min sum |y_i - (c R x_i + t)|^2` over rotations R (never reflections),
//! translations t and, where asked for, the scale c: S. Umeyama, IEEE TPAMI
//! 13(4):376-380, 1991. For the rotation of a rotation vector there is
//! nalgebra's `Rotation3::new`.

use nalgebra::{DMatrix, SMatrix, SVector};

/// A turn counts as undetermined when what fixes it is this small a share of
/// the points' spread.
const UNDETERMINED: f64 = 1e-10;

/// `y = scale * rotation * x + translation`, in D = 2 or 3 dimensions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose<const D: usize> {
    /// Proper rotation, determinant +1.
    pub rotation: SMatrix<f64, D, D>,
    /// In the points' unit.
    pub translation: SVector<f64, D>,
    /// 1 for a rigid motion.
    pub scale: f64,
    /// Mean squared distance left between the points, unit squared.
    pub mean_square: f64,
}

impl<const D: usize> Pose<D> {
    /// Where the pose takes `point`.
    pub fn apply(&self, point: &SVector<f64, D>) -> SVector<f64, D> {
        self.rotation * point * self.scale + self.translation
    }
}

/// Whether the points may also grow or shrink.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// Rigid: scale 1.
    Kept,
    /// The best scale too.
    Free,
}

/// Why there is no pose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// The two sets are empty or differ in number.
    #[error("the two sets of points are empty or differ in number")]
    Shape,
    /// A coordinate is NaN or infinite.
    #[error("a coordinate is not a finite number")]
    NotFinite,
    /// The points leave a turn free: too few, on one line, or mirrored evenly.
    #[error("the points leave a turn free; take some that are not all on one line")]
    Undetermined,
}

/// The pose that carries `from[i]` nearest to `to[i]`.
///
/// # Errors
/// [`Error`]; points that leave the rotation open are an error, not a guess.
pub fn pose<const D: usize>(
    from: &[SVector<f64, D>],
    to: &[SVector<f64, D>],
    size: Size,
) -> Result<Pose<D>, Error> {
    check(from, to)?;
    let (mean_from, mean_to) = (mean(from), mean(to));
    let count = from.len() as f64;
    let mut cross = DMatrix::zeros(D, D);
    let (mut spread_from, mut spread_to) = (0.0, 0.0);
    for (x, y) in from.iter().zip(to) {
        let (x, y) = (x - mean_from, y - mean_to);
        cross += DMatrix::from_fn(D, D, |i, j| y[i] * x[j] / count);
        spread_from += x.norm_squared() / count;
        spread_to += y.norm_squared() / count;
    }
    let (rotation, trace) = nearest_rotation(cross)?;
    let scale = match size {
        Size::Kept => 1.0,
        Size::Free => trace / spread_from,
    };
    let left = spread_to + scale * (scale * spread_from - 2.0 * trace);
    Ok(Pose {
        rotation,
        translation: mean_to - rotation * mean_from * scale,
        scale,
        mean_square: left.max(0.0),
    })
}

fn check<const D: usize>(from: &[SVector<f64, D>], to: &[SVector<f64, D>]) -> Result<(), Error> {
    if from.is_empty() || from.len() != to.len() {
        return Err(Error::Shape);
    }
    let finite = |p: &SVector<f64, D>| p.iter().all(|v| v.is_finite());
    if from.iter().chain(to).all(finite) { Ok(()) } else { Err(Error::NotFinite) }
}

fn mean<const D: usize>(points: &[SVector<f64, D>]) -> SVector<f64, D> {
    points.iter().sum::<SVector<f64, D>>() / points.len() as f64
}

/// The rotation R with the largest `trace(R' cross)`, and that trace.
fn nearest_rotation<const D: usize>(cross: DMatrix<f64>) -> Result<(SMatrix<f64, D, D>, f64), Error> {
    let svd = cross.svd(true, true);
    let (Some(mut u), Some(v_t)) = (svd.u, svd.v_t) else {
        return Err(Error::Undetermined);
    };
    let s = svd.singular_values;
    // A mirrored set is turned as well as it can be: give up its thinnest way.
    let sign = (u.determinant() * v_t.determinant()).signum();
    u.column_mut(D - 1).scale_mut(sign);
    let fixes = if D > 1 { s[D - 2] + sign * s[D - 1] } else { s[0] };
    if s[0] <= 0.0 || fixes <= UNDETERMINED * s[0] {
        return Err(Error::Undetermined);
    }
    let trace = s.sum() - (1.0 - sign) * s[D - 1];
    let turned = u * v_t;
    Ok((SMatrix::from_fn(|i, j| turned[(i, j)]), trace))
}
