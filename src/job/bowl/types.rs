//! What is known about a whole bowl.

use crate::job::names::JOINTS;
use crate::job::{Job, Mold, Plane};
use crate::store::Place;
use crate::table::{Unit, Warning};

/// The strip between two ribs, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spacer {
    /// What it takes of the girth.
    pub width: f64,
    /// Square to the mold.
    pub height: f64,
}

impl Default for Spacer {
    /// 1 to 1.5 mm wide, twice as high (common practice, no source).
    fn default() -> Self {
        Spacer { width: 1.2, height: 2.5 }
    }
}

/// How the growth rings stand in the ribs, and so what moves across their width.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grain {
    /// Quartered: the width runs along a radius of the tree.
    Radial,
    /// Flat sawn: the width runs along the rings.
    Tangential,
}

/// Standard deviations of what is measured over the bowl, mm. A compass carries
/// a distance to better than 1 mm (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BowlErrors {
    /// Girth along the mold.
    pub girth: f64,
    /// Width of a rib in its place.
    pub width: f64,
    /// A compass distance.
    pub compass: f64,
    /// Place of the present outer edge.
    pub edge: f64,
}

impl Default for BowlErrors {
    fn default() -> Self {
        BowlErrors { girth: 0.3, width: 0.15, compass: 0.25, edge: 0.15 }
    }
}

/// What `bowl.toml` says. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct BowlSettings {
    /// The maker's title.
    pub title: Option<String>,
    /// Unit of the bowl's files.
    pub unit: Unit,
    /// Shape of the mold across the ribs.
    pub mold: Mold,
    /// Ribs from rim to rim.
    pub ribs: usize,
    /// The wood, if named.
    pub wood: Option<String>,
    /// Thickness of the ribs.
    pub thickness: Option<f64>,
    /// What must be left of it once steps are levelled.
    pub thinnest: f64,
    /// How the rings stand, if known.
    pub grain: Option<Grain>,
    /// The strips between the ribs, if any.
    pub spacer: Option<Spacer>,
    /// How much widths may differ at a station.
    pub even: f64,
    /// Moisture content at fitting and at gluing, per cent, if known.
    pub moisture: [Option<f64>; 2],
    /// Errors of what is measured.
    pub errors: BowlErrors,
    /// Names of the stations, shared by all joints.
    pub stations: Vec<String>,
    /// The planes of every joint that states none of its own; may be empty.
    pub planes: Vec<Plane>,
}

impl Default for BowlSettings {
    fn default() -> Self {
        BowlSettings {
            title: None,
            unit: Unit::default(),
            mold: Mold::default(),
            ribs: 15,
            wood: None,
            thickness: None,
            // Common practice, no source.
            thinnest: 1.0,
            grain: None,
            spacer: None,
            // Ribs look equally wide when they agree within 1 mm (common practice, no source).
            even: 1.0,
            moisture: [None; 2],
            errors: BowlErrors::default(),
            stations: Vec::new(),
            planes: Vec::new(),
        }
    }
}

/// The girth still to cover, read after so many ribs.
#[derive(Debug, Clone, PartialEq)]
pub struct Girth {
    /// Ribs fitted by then.
    pub after: usize,
    /// From the last fitted edge (or the rim) to the far rim, along the mold, at each station, mm.
    pub at: Vec<Option<f64>>,
}

/// What is measured for the outer edge at one station, mm; see [`crate::job::bowl`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// From the reference line on the rib to the line on the mold.
    pub compass: f64,
    /// From the reference line to the present outer edge.
    pub edge: f64,
    /// From the joint edge to the reference line.
    pub reference: f64,
}

/// One joint of a bowl.
#[derive(Debug, Clone, PartialEq)]
pub struct BowlJoint {
    /// Its number: rib `number + 1` meets rib `number`.
    pub number: usize,
    /// Its folder.
    pub folder: Place,
    /// What its files tell.
    pub job: Job,
    /// Marks for the outer edge at each station; empty where none were measured.
    pub marks: Vec<Option<Mark>>,
}

/// Everything that a bowl's folder tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Bowl {
    /// The folder.
    pub folder: Place,
    /// What `bowl.toml` says; the stations are filled in from the joints where it names none.
    pub settings: BowlSettings,
    /// Girths in the order of `after`.
    pub girths: Vec<Girth>,
    /// Measured widths: one entry a rib, one value a station, mm.
    pub widths: Vec<Vec<Option<f64>>>,
    /// Minutes by joint number.
    pub minutes: Vec<(usize, f64)>,
    /// The joints, in order.
    pub joints: Vec<BowlJoint>,
    /// What was noticed while reading.
    pub warnings: Vec<Warning>,
}

impl Bowl {
    /// The joint of a number.
    pub fn joint(&self, number: usize) -> Option<&BowlJoint> {
        self.joints.iter().find(|j| j.number == number)
    }

    /// A joint's folder, `joints/3` or `joints/03`; where there is none yet, the one to be made.
    pub fn folder_of(&self, number: usize) -> Place {
        let new = || self.folder.join(JOINTS).join(format!("{number:02}"));
        self.joint(number).map_or_else(new, |joint| joint.folder.clone())
    }
}
