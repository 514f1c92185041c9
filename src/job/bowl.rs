//! The folder of a whole bowl: `bowl.toml`, its tables, and its joints.
//!
//! ```text
//! bowl.toml       what the maker says about the bowl
//! girth.csv       what is still to be covered, after so many ribs
//! widths.csv      ribs as they came out, where measured
//! time.csv        minutes of work, where noted
//! joints/01/      the joint of ribs 1 and 2, and so on
//!   marks.csv     compass distances for the outer edge of the new rib
//! ```
//!
//! Joint `k` is where rib `k + 1`, the new one, meets rib `k`.

mod add;
mod faults;
mod joints;
mod settings;
mod tables;
mod write;

use std::fs;
use std::path::{Path, PathBuf};

use super::folder::Part;
use super::{Job, Mold, Problems, Unit, Warning};

pub use add::{NewMark, add_girth, add_marks};
pub use tables::{OutlinePoint, read_outline};
pub use write::write_bowl;

/// The settings' file of a bowl.
pub const BOWL: &str = "bowl.toml";
/// Where a bowl's joints stand.
pub const JOINTS: &str = "joints";
const GIRTH: &str = "girth.csv";
const WIDTHS: &str = "widths.csv";
const TIME: &str = "time.csv";
/// The table of a joint's marks.
pub const MARKS: &str = "marks.csv";

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
    pub folder: PathBuf,
    /// What its files tell.
    pub job: Job,
    /// Marks for the outer edge at each station; empty where none were measured.
    pub marks: Vec<Option<Mark>>,
}

/// Everything that a bowl's folder tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Bowl {
    /// The folder.
    pub folder: PathBuf,
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
}

/// The bowl that a joint's folder belongs to: the folder above `joints`, if it
/// holds a `bowl.toml`, named as the joint was where that can be; and the joint's number.
pub fn bowl_of(joint: &Path) -> Option<(PathBuf, usize)> {
    let real = fs::canonicalize(joint).ok()?;
    let number = joints::number(real.file_name()?.to_str()?)?;
    let folder = real.parent().filter(|p| p.file_name().is_some_and(|n| n == JOINTS))?;
    let bowl = folder.parent().filter(|b| b.join(BOWL).is_file())?;
    let named = joint
        .parent()
        .and_then(Path::parent)
        .map(|p| if p.as_os_str().is_empty() { Path::new(".") } else { p });
    let same = |p: &&Path| fs::canonicalize(p).is_ok_and(|p| p == bowl);
    Some((named.filter(same).unwrap_or(bowl).to_path_buf(), number))
}

/// Reads a bowl's folder with all its joints.
///
/// # Errors
///
/// Every problem of every file at once, see [`Problems`].
pub fn read_bowl(folder: &Path) -> Result<Bowl, Problems> {
    if let Some(problem) = faults::no_bowl(folder) {
        return Err(problem.into());
    }
    let mut problems = Vec::new();
    let part = Part::load(&folder.join(BOWL));
    if matches!(part, Part::Absent) {
        return Err(faults::no_settings(folder).into());
    }
    let outcome = part.raw(&mut problems).and_then(|raw| settings::read(raw, &mut problems));
    let none = || (BowlSettings { ribs: settings::MOST_RIBS, ..BowlSettings::default() }, None);
    let (settings, unit) = outcome.unwrap_or_else(none);
    let mut bowl = Bowl {
        folder: folder.to_path_buf(),
        settings,
        girths: Vec::new(),
        widths: Vec::new(),
        minutes: Vec::new(),
        joints: Vec::new(),
        warnings: Vec::new(),
    };
    bowl.read_joints(&mut problems);
    bowl.share_stations(&mut problems);
    tables::read(&mut bowl, unit, &mut problems);
    Problems::none_in(faults::in_own_words(folder, unit, problems))?;
    Ok(bowl)
}
