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
    /// The modes' signs from the joint's other end: 1 for even ones, -1 for odd ones.
    pub mirrored: Vec<f64>,
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
        let (modes, mirrored) = curve_modes(joint, &plane).into_iter().unzip();
        Forms { plane, modes, mirrored }
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

/// Low polynomials over the arc with every plane taken out, largest size 1, each with its sign
/// from the other end.
fn curve_modes(joint: &Joint, plane: &[[f64; 3]]) -> Vec<(Vec<f64>, f64)> {
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
        let sign = if degree % 2 == 0 { 1.0 } else { -1.0 };
        modes.push((rest.iter().map(|v| v / largest).collect(), sign));
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
