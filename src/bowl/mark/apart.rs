//! Lines on the mold that the girth speaks against.

use super::{LINE, Shares};
use crate::bowl::line::LaidLine;

/// From this many standard deviations on lines and girth can't both be right.
const BEYOND: f64 = 3.0;

/// The lines on the mold and the girth can't both be right. Each width with its standard
/// uncertainty, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// The station (index) where they differ most.
    pub station: usize,
    /// The rib's width by the lines on the mold alone.
    pub line: [f64; 2],
    /// Its width by the girth.
    pub girth: [f64; 2],
}

impl Apart {
    fn by(&self) -> f64 {
        (self.line[0] - self.girth[0]).abs()
    }

    /// Whether that is more than errors, and lines drawn as well as can be, explain.
    fn is_beyond(&self) -> bool {
        self.by() > BEYOND * libm::hypot(libm::hypot(self.line[1], self.girth[1]), LINE[0].plane)
    }
}

/// Where lines laid by themselves and the girth can't both be right.
pub(super) fn apart(drawn: &[f64], own: &LaidLine, wanted: Shares<'_>) -> Option<Apart> {
    let both = |station: usize| Apart {
        station,
        line: [drawn[station] + own.value[station], own.sd[station]],
        girth: [wanted.width[station], wanted.sd[station]],
    };
    let beyond = (0..drawn.len()).map(both).filter(Apart::is_beyond);
    beyond.max_by(|a, b| a.by().total_cmp(&b.by()))
}
