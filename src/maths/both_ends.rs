//! Draws that don't hang on which end of the line is called the first.
//!
//! A draw by a Cholesky factor begins at the last block, so that the same normal numbers give other
//! draws once the line is told from its other end. Drawn from both ends in turn, each time by the
//! same numbers, the set of draws is the same either way.

use nalgebra::DVector;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use super::information::{Estimate, Information, Shape, Values};
use super::normal;

/// What changes its sign where the line is told from its other end: 1 or -1 for each unknown of
/// a block, and for each of the border.
#[derive(Debug, Clone, PartialEq)]
pub struct Mirror {
    /// Signs inside a block.
    pub block: Vec<f64>,
    /// Signs in the border.
    pub border: Vec<f64>,
}

impl Mirror {
    /// Where an inner unknown stands from the other end, and its sign there.
    fn inner(&self, shape: &Shape, row: usize) -> (usize, f64) {
        let (block, place) = (row / shape.size, row % shape.size);
        ((shape.blocks - 1 - block) * shape.size + place, self.block[place])
    }

    fn border(&self) -> DVector<f64> {
        DVector::from_column_slice(&self.border)
    }

    /// Unknowns told from the other end.
    fn values(&self, shape: &Shape, (inner, outer): Values) -> Values {
        let value = |row: usize| {
            let (place, sign) = self.inner(shape, row);
            sign * inner[place]
        };
        ((0..shape.inner()).map(value).collect(), outer.component_mul(&self.border()))
    }

    /// Matrix and vector told from the other end.
    fn information(&self, from: &Information) -> Information {
        let (shape, border) = (from.shape, self.border());
        let mut to = Information::new(shape);
        for row in 0..shape.inner() {
            let (place, sign) = self.inner(&shape, row);
            to.inner_rhs[place] = sign * from.inner_rhs[row];
            for column in shape.band_start(row)..=row {
                let (across, flip) = self.inner(&shape, column);
                let weight = from.band[row * shape.band() + column - shape.band_start(row)];
                to.add_inner(place, across, sign * flip * weight);
            }
            for (k, flip) in self.border.iter().enumerate() {
                to.border[place * shape.border + k] = sign * flip * from.border[row * shape.border + k];
            }
        }
        to.border_rhs = from.border_rhs.component_mul(&border);
        to.corner = from.corner.component_mul(&(&border * border.transpose()));
        to
    }
}

/// An estimate, ready to be drawn from both ends.
#[derive(Debug, Clone)]
pub struct BothEnds {
    /// The estimate as it stands.
    pub estimate: Estimate,
    from_other: Estimate,
    mirror: Mirror,
}

impl BothEnds {
    /// Factors what was gathered; `None` where its matrix is not positive definite.
    pub fn of(gathered: Information, mirror: Mirror) -> Option<BothEnds> {
        let from_other = mirror.information(&gathered).factor()?;
        Some(BothEnds { estimate: gathered.factor()?, from_other, mirror })
    }

    /// The draw of a number: even ones from the one end, odd ones from the other, by what [`normals`]
    /// yields for it.
    pub fn draw(&self, number: usize, normals: impl FnMut() -> f64) -> Values {
        match number % 2 {
            0 => self.estimate.draw(normals),
            _ => self.mirror.values(&self.estimate.shape, self.from_other.draw(normals)),
        }
    }
}

/// The standard normal numbers of one draw of many, in sets of four: from either end, once as they
/// are and once with the other sign, so that of any sum the mean over a set is exact.
pub fn normals(seed: u64, number: usize) -> impl FnMut() -> f64 {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream((number / 4) as u64);
    let sign = if (number / 2).is_multiple_of(2) { 1.0 } else { -1.0 };
    move || sign * normal::draw(&mut rng)
}
