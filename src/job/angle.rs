//! Angles, so that none is taken for a length.

use std::ops::{Add, AddAssign, Mul, Sub};

/// A plane angle.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// No angle.
    pub const ZERO: Angle = Angle(0.0);

    /// An angle of so many radians.
    pub const fn radians(radians: f64) -> Angle {
        Angle(radians)
    }

    /// An angle of so many degrees.
    pub fn degrees(degrees: f64) -> Angle {
        Angle(degrees.to_radians())
    }

    /// In radians.
    pub fn in_radians(self) -> f64 {
        self.0
    }

    /// In degrees.
    pub fn in_degrees(self) -> f64 {
        self.0.to_degrees()
    }

    /// Without its sign.
    pub fn abs(self) -> Angle {
        Angle(self.0.abs())
    }

    /// Sine and cosine.
    pub fn sin_cos(self) -> (f64, f64) {
        libm::sincos(self.0)
    }
}

impl Add for Angle {
    type Output = Angle;

    fn add(self, other: Angle) -> Angle {
        Angle(self.0 + other.0)
    }
}

impl AddAssign for Angle {
    fn add_assign(&mut self, other: Angle) {
        *self = *self + other;
    }
}

impl Sub for Angle {
    type Output = Angle;

    fn sub(self, other: Angle) -> Angle {
        Angle(self.0 - other.0)
    }
}

impl Mul<Angle> for f64 {
    type Output = Angle;

    fn mul(self, angle: Angle) -> Angle {
        Angle(self * angle.0)
    }
}
