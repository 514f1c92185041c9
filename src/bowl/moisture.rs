//! What moisture does to a width, between fitting and gluing.
//!
//! `change = width C (to - from)`, moisture content in per cent of the dry wood's
//! weight, `C` the coefficient along a radius of the tree or along its rings, good
//! between 6 and 14 % (USDA Forest Service, Wood Handbook, FPL-GTR-190, chapter 13,
//! formula and Table 13-5; the coefficients were read there, the formula is from
//! memory of the same chapter).

use crate::job::bowl::{BowlSettings, Grain};
use crate::seat::wood::Wood;

/// Change of moisture that is told where the maker gave none, per cent.
pub const TRIED: f64 = 2.0;

/// How a rib's width moves.
#[derive(Debug, Clone, PartialEq)]
pub struct Movement {
    /// The wood.
    pub wood: Wood,
    /// The width that moves, mm.
    pub width: f64,
    /// Moisture content before and after, per cent; none where only a change was tried.
    pub moisture: Option<[f64; 2]>,
    /// Change of moisture, per cent.
    pub change: f64,
    /// Change of the width if it runs along a radius, and along the rings, mm.
    pub moves: [f64; 2],
    /// How the rings stand, if known.
    pub grain: Option<Grain>,
}

impl Movement {
    /// The change that counts: that of the known grain, or the larger one, mm.
    pub fn counts(&self) -> f64 {
        match self.grain {
            Some(Grain::Radial) => self.moves[0],
            Some(Grain::Tangential) => self.moves[1],
            None => self.moves.into_iter().max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0),
        }
    }
}

/// Change of a width (mm) by a change of moisture (per cent) at a coefficient.
pub fn change(width: f64, coefficient: f64, moisture: f64) -> f64 {
    width * coefficient * moisture
}

/// How a width (mm) of a bowl's wood moves between fitting and gluing, or by
/// [`TRIED`] per cent where the bowl does not tell both.
///
/// # Errors
/// What is missing, as a sentence with the next step.
pub fn movement(settings: &BowlSettings, width: f64) -> Result<Movement, String> {
    let known = || Wood::names().collect::<Vec<_>>().join(", ");
    let Some(name) = settings.wood.as_deref() else {
        return Err(format!("No wood is named: set `wood` in bowl.toml to one of {}.", known()));
    };
    let Some(wood) = Wood::named(name) else {
        return Err(format!(
            "How `{name}` moves isn't known here: set `wood` in bowl.toml to one of {} if it is one of them.",
            known()
        ));
    };
    let moisture = match settings.moisture {
        [Some(fitting), Some(gluing)] => Some([fitting, gluing]),
        _ => None,
    };
    let by = moisture.map_or(TRIED, |[from, to]| to - from);
    let moves = wood.movement.map(|c| change(width, c, by));
    Ok(Movement { wood, width, moisture, change: by, moves, grain: settings.grain })
}
