//! The edge's large forms: its plane, and the low modes of a gentle curve.
//!
//! Planing an edge from one plane down to another moves the rib rigidly, so the slice, and every
//! edge that lies in a plane, is `(A + B x + C z) / cos a` at a station with bevel `a`, where `x`
//! is the place along the chord and `z` the rise. Here `x` and `z` count from the pivot in units
//! of half the joint's length, so that the three numbers are lengths of one size. The modes are
//! Legendre's polynomials over the arc, of degree 2 to 4, less their parts in the plane.

use nalgebra::{Matrix3, Vector3};

use crate::joint::Joint;

/// Shapes over the stations that make up the edge's large form.
#[derive(Debug, Clone)]
pub struct Forms {
    /// Per station: 1, x and z about the pivot in units of the half length, over cos bevel.
    pub plane: Vec<[f64; 3]>,
    /// Gentle-curve modes, each of largest size 1, free of any plane.
    pub modes: Vec<Vec<f64>>,
}

impl Forms {
    /// The forms of a joint, with up to two curve modes.
    pub fn of(joint: &Joint) -> Forms {
        let arm = (joint.arc_length() / 2.0).max(1.0);
        let plane: Vec<[f64; 3]> = joint
            .frames
            .iter()
            .map(|f| {
                let d = f.joint - joint.pivot;
                [1.0 / f.cos_bevel, d.x / arm / f.cos_bevel, d.z / arm / f.cos_bevel]
            })
            .collect();
        let modes = curve_modes(joint, &plane);
        Forms { plane, modes }
    }

    /// The least-squares plane of values at the stations: its three numbers.
    pub fn plane_of(&self, values: &[f64]) -> Vector3<f64> {
        let mut normal = Matrix3::identity() * 1e-9;
        let mut rhs = Vector3::zeros();
        for (value, row) in values.iter().zip(&self.plane) {
            let row = Vector3::from(*row);
            normal += row * row.transpose();
            rhs += row * *value;
        }
        normal.cholesky().map_or_else(Vector3::zeros, |c| c.solve(&rhs))
    }

    /// Values less their least-squares plane.
    pub fn over_plane(&self, values: &[f64]) -> Vec<f64> {
        let plane = self.plane_of(values);
        let rest = |(v, row): (&f64, &[f64; 3])| v - Vector3::from(*row).dot(&plane);
        values.iter().zip(&self.plane).map(rest).collect()
    }
}

/// Low polynomials over the arc with every plane taken out, largest size 1.
fn curve_modes(joint: &Joint, plane: &[[f64; 3]]) -> Vec<Vec<f64>> {
    let n = joint.len();
    if n < 7 {
        return Vec::new();
    }
    let length = joint.arc_length();
    let mut basis: Vec<Vec<f64>> = (0..3).map(|k| plane.iter().map(|p| p[k]).collect()).collect();
    basis = orthonormal(basis);
    let mut modes = Vec::new();
    for degree in 2..=4 {
        let raw: Vec<f64> =
            joint.frames.iter().map(|f| legendre(degree, 2.0 * f.arc / length - 1.0)).collect();
        let rest = without(&raw, &basis);
        // A form that is nearly a plane on this joint can't be told from one.
        if norm(&rest) < 0.2 * norm(&raw) || modes.len() == 2 {
            continue;
        }
        let largest = rest.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
        let size = norm(&rest);
        basis.push(rest.iter().map(|v| v / size).collect());
        modes.push(rest.iter().map(|v| v / largest).collect());
    }
    modes
}

fn legendre(degree: usize, u: f64) -> f64 {
    match degree {
        2 => (3.0 * u * u - 1.0) / 2.0,
        3 => (5.0 * u * u - 3.0) * u / 2.0,
        _ => (35.0 * u.powi(4) - 30.0 * u * u + 3.0) / 8.0,
    }
}

fn norm(v: &[f64]) -> f64 {
    v.iter().map(|v| v * v).sum::<f64>().sqrt()
}

fn without(v: &[f64], basis: &[Vec<f64>]) -> Vec<f64> {
    let mut rest = v.to_vec();
    for b in basis {
        let along: f64 = rest.iter().zip(b).map(|(r, b)| r * b).sum();
        rest.iter_mut().zip(b).for_each(|(r, b)| *r -= along * b);
    }
    rest
}

fn orthonormal(vectors: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let mut basis: Vec<Vec<f64>> = Vec::new();
    for v in vectors {
        let rest = without(&v, &basis);
        let size = norm(&rest);
        if size > 1e-9 * norm(&v).max(1e-300) {
            basis.push(rest.iter().map(|r| r / size).collect());
        }
    }
    basis
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, Station};

    /// A joint line on a parabola 120 mm high, bevels growing along it.
    fn joint(stations: usize) -> Joint {
        let share = |i: usize| i as f64 / (stations - 1) as f64;
        let station = |i: usize| Station {
            name: i.to_string(),
            along: 400.0 * share(i),
            width: 30.0,
            bevel: 0.05 + 0.2 * share(i),
            rise: Some(480.0 * share(i) * (1.0 - share(i))),
            outer_bevel: None,
            inner_bevel: None,
            out_of_plane: None,
        };
        Joint::of(&Job { stations: (0..stations).map(station).collect(), ..Job::default() })
    }

    /// `(A + B x + C z) / cos a`, written out from the stations.
    #[test]
    fn a_plane_comes_back_and_leaves_nothing() {
        let joint = joint(9);
        let forms = Forms::of(&joint);
        let half = joint.arc_length() / 2.0;
        let value = |i: usize| {
            let at = joint.frames[i].joint - joint.pivot;
            let bevel: f64 = 0.05 + 0.2 * i as f64 / 8.0;
            (0.4 - 0.3 * at.x / half + 0.2 * at.z / half) / bevel.cos()
        };
        let values: Vec<f64> = (0..9).map(value).collect();
        assert!((forms.plane_of(&values) - Vector3::new(0.4, -0.3, 0.2)).norm() < 1e-6);
        assert!(forms.over_plane(&values).iter().all(|v| v.abs() < 1e-6));
    }

    /// Legendre's polynomials by their defining recursion,
    /// `(k + 1) P(k + 1) = (2 k + 1) u P(k) - k P(k - 1)` (textbook).
    #[test]
    fn the_polynomials_follow_their_recursion() {
        for u in [-1.0, -0.4, 0.3, 0.9] {
            let mut p = vec![1.0, u];
            for k in 1..4 {
                let step = k as f64;
                p.push(((2.0 * step + 1.0) * u * p[k] - step * p[k - 1]) / (step + 1.0));
            }
            (2..=4).for_each(|degree| assert!((legendre(degree, u) - p[degree]).abs() < 1e-12));
        }
    }

    #[test]
    fn modes_are_free_of_planes_and_of_each_other_and_of_size_one() {
        let forms = Forms::of(&joint(13));
        assert_eq!(forms.modes.len(), 2);
        for mode in &forms.modes {
            assert!((mode.iter().fold(0.0, |m: f64, v| m.max(v.abs())) - 1.0).abs() < 1e-12);
            for k in 0..3 {
                let along: f64 = mode.iter().zip(&forms.plane).map(|(m, p)| m * p[k]).sum();
                assert!(along.abs() < 1e-9, "{k}: {along}");
            }
        }
        let both: f64 = forms.modes[0].iter().zip(&forms.modes[1]).map(|(a, b)| a * b).sum();
        assert!(both.abs() < 1e-9);
        assert!(Forms::of(&joint(6)).modes.is_empty());
    }
}
