//! Frames of straight elastic beams in space: stiffness of chains of nodes.
//!
//! Each node moves by six numbers, a displacement and a turn about the axes of space. A beam
//! between two nodes keeps its sections flat; its stiffness in its own axes (`x` along it, `y` and
//! `z` across) is, with `L` its length and for bending in the plane of `x` and `y`
//!
//! ```text
//! 12 E Iz / (L^3 (1 + p))    6 E Iz / (L^2 (1 + p))    (4 + p) E Iz / (L (1 + p))
//! (2 - p) E Iz / (L (1 + p))     with   p = 12 E Iz / (G A' L^2)
//! ```
//!
//! likewise for the other plane; `E A / L` along it and `G J / L` in twist. `p` is what shear adds
//! (S. Timoshenko; J. S. Przemieniecki, Theory of Matrix Structural Analysis, chapter 5: from
//! memory). A rectangle of `w` by `t`, `t` the smaller, twists with
//! `J = w t^3 / 3 (1 - 0.63 t / w (1 - t^4 / (12 w^4)))` (Roark's formulas; from memory) and carries
//! shear with `A' = 5/6 w t`.

use nalgebra::{DMatrix, Matrix3, SMatrix, Vector3};

/// How stiff a material is, MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elastic {
    /// Modulus of elasticity along the beam.
    pub elasticity: f64,
    /// Shear modulus.
    pub shear: f64,
}

/// A straight beam of rectangular section between two points. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beam {
    /// From its first end to its second.
    pub along: Vector3<f64>,
    /// The direction of its width, as far as it is square to the beam.
    pub across: Vector3<f64>,
    /// Width and thickness.
    pub section: [f64; 2],
    /// Whether shear bends it too.
    pub with_shear: bool,
}

impl Beam {
    /// Its stiffness in the axes of space, N/mm: the six numbers of its first end, then those of
    /// its second.
    pub fn stiffness(&self, material: Elastic) -> SMatrix<f64, 12, 12> {
        let x = self.along.normalize();
        let y = (self.across - x * x.dot(&self.across)).normalize();
        let axes = Matrix3::from_columns(&[x, y, x.cross(&y)]);
        let mut turned = SMatrix::<f64, 12, 12>::zeros();
        let own = self.in_its_axes(material);
        for (row, column) in (0..4).flat_map(|row| (0..4).map(move |column| (3 * row, 3 * column))) {
            let part = axes * own.fixed_view::<3, 3>(row, column) * axes.transpose();
            turned.fixed_view_mut::<3, 3>(row, column).copy_from(&part);
        }
        turned
    }

    fn in_its_axes(&self, Elastic { elasticity, shear }: Elastic) -> SMatrix<f64, 12, 12> {
        let ([width, thickness], length) = (self.section, self.along.norm());
        let area = width * thickness;
        let (long, short) = (width.max(thickness), width.min(thickness));
        let ends = 0.63 * short / long * (1.0 - (short / long).powi(4) / 12.0);
        let twist = long * short.powi(3) / 3.0 * (1.0 - ends);
        let mut k = SMatrix::<f64, 12, 12>::zeros();
        for (place, rod) in [(0, elasticity * area), (3, shear * twist)] {
            let stiff = rod / length;
            k[(place, place)] = stiff;
            k[(place + 6, place + 6)] = stiff;
            k[(place, place + 6)] = -stiff;
            k[(place + 6, place)] = -stiff;
        }
        // Edgewise it moves along y and turns about z; flatwise along z, and about y the other way.
        let bending = [(width, thickness, 1, 5, 1.0), (thickness, width, 2, 4, -1.0)];
        for (height, breadth, moves, turns, sign) in bending {
            let flexural = elasticity * breadth * height.powi(3) / 12.0;
            let sheared = 12.0 * flexural / (shear * 5.0 / 6.0 * area * length * length);
            let p = if self.with_shear { sheared } else { 0.0 };
            let unit = flexural / (length * (1.0 + p));
            let (force, couple) = (12.0 * unit / (length * length), sign * 6.0 * unit / length);
            let places = [moves, turns, moves + 6, turns + 6];
            let own = [
                [force, couple, -force, couple],
                [couple, (4.0 + p) * unit, -couple, (2.0 - p) * unit],
                [-force, -couple, force, -couple],
                [couple, (2.0 - p) * unit, -couple, (4.0 + p) * unit],
            ];
            for (row, values) in places.iter().zip(own) {
                places.iter().zip(values).for_each(|(column, value)| k[(*row, *column)] = value);
            }
        }
        k
    }
}

/// The stiffness of beams one after the other, six numbers a node: `beams[i]` ties node `i` to the
/// next one. Without supports it is singular: rigid motions cost nothing.
pub fn chain(beams: &[Beam], material: Elastic) -> DMatrix<f64> {
    let size = 6 * (beams.len() + 1);
    let mut all = DMatrix::zeros(size, size);
    for (i, beam) in beams.iter().enumerate() {
        let mut place = all.fixed_view_mut::<12, 12>(6 * i, 6 * i);
        place += beam.stiffness(material);
    }
    all
}
