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
mod settings;
mod tables;
mod write;

use std::fs;
use std::path::{Path, PathBuf};

use super::folder::{Files, Part, shown};
use super::suggest::nearest;
use super::{Job, Mold, Problem, Problems, Unit, Warning};

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
const MARKS: &str = "marks.csv";

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
/// holds a `bowl.toml`; and the joint's number.
pub fn bowl_of(joint: &Path) -> Option<(PathBuf, usize)> {
    let joint = fs::canonicalize(joint).ok()?;
    let number = joint.file_name()?.to_str()?.parse().ok()?;
    let joints = joint.parent()?;
    let bowl = joints.parent().filter(|_| joints.file_name().is_some_and(|n| n == JOINTS))?;
    bowl.join(BOWL).is_file().then(|| (bowl.to_path_buf(), number))
}

/// Reads a bowl's folder with all its joints.
///
/// # Errors
///
/// Every problem of every file at once, see [`Problems`].
pub fn read_bowl(folder: &Path) -> Result<Bowl, Problems> {
    if !folder.is_dir() {
        return Err(no_bowl_folder(folder).into());
    }
    let mut problems = Vec::new();
    let part = Part::load(&folder.join(BOWL));
    if matches!(part, Part::Absent) {
        return Err(no_settings(folder).into());
    }
    let outcome = part.raw(&mut problems).and_then(|raw| settings::read(raw, &mut problems));
    let (settings, unit) = outcome.map_or((BowlSettings::default(), None), |(s, u)| (s, Some(u)));
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
    tables::read(&mut bowl, unit.flatten(), &mut problems);
    problems.iter_mut().for_each(|p| name_the_settings(folder, p));
    Problems::none_in(problems)?;
    Ok(bowl)
}

fn no_bowl_folder(folder: &Path) -> Problem {
    let next = "give the folder that holds bowl.toml, or lay one out with `ribwright new`";
    Problem::new(shown(folder), "a bowl's folder, but there is none", next)
}

fn no_settings(folder: &Path) -> Problem {
    let names: Vec<String> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|e| e.file_name().into_string().ok())
        .collect();
    let next = match nearest(BOWL, names.iter().map(String::as_str)) {
        Some(near) => format!("rename {near} to {BOWL} if it is that"),
        None if names.iter().any(|n| n == super::folder::STATIONS) => {
            "this is one joint: give the bowl's folder, two levels up".into()
        }
        None => "lay the bowl out with `ribwright new`".into(),
    };
    Problem::new(shown(&folder.join(BOWL)), "what the bowl is like, but there is no such file", next)
}

/// The tables of a bowl follow `bowl.toml`, not `joint.toml`.
fn name_the_settings(folder: &Path, problem: &mut Problem) {
    let own = Path::new(&problem.file).parent() == Some(folder);
    if own {
        problem.expected = problem.expected.replace("joint.toml", BOWL);
        problem.next = problem.next.replace("joint.toml", BOWL);
    }
}

impl Bowl {
    fn read_joints(&mut self, problems: &mut Vec<Problem>) {
        let folder = self.folder.join(JOINTS);
        let mut found: Vec<PathBuf> = fs::read_dir(&folder)
            .into_iter()
            .flatten()
            .flatten()
            .map(|e| e.path())
            .filter(|p| p.is_dir())
            .collect();
        found.sort();
        for path in found {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            match name.parse::<usize>() {
                Ok(number) if (1..self.settings.ribs).contains(&number) => {
                    self.read_joint(number, path, problems);
                }
                _ if name.starts_with('.') => {}
                _ => self.warnings.push(stray(&path, self.settings.ribs)),
            }
        }
        self.joints.sort_by_key(|j| j.number);
        for pair in self.joints.windows(2).filter(|p| p[0].number == p[1].number) {
            let next = "keep one of the two folders";
            let expected =
                format!("one folder for joint {}; {} is another", pair[0].number, shown(&pair[0].folder));
            problems.push(Problem::new(shown(&pair[1].folder), expected, next));
        }
    }

    fn read_joint(&mut self, number: usize, folder: PathBuf, problems: &mut Vec<Problem>) {
        match Files::load(&folder).job() {
            Err(faults) => problems.extend_from_slice(faults.list()),
            Ok(job) => {
                let marks = tables::marks(&folder, &job, problems);
                self.joints.push(BowlJoint { number, folder, job, marks });
            }
        }
    }

    /// All joints have the bowl's stations.
    fn share_stations(&mut self, problems: &mut Vec<Problem>) {
        let names = |job: &Job| job.stations.iter().map(|s| s.name.clone()).collect::<Vec<_>>();
        if self.settings.stations.is_empty() {
            self.settings.stations = self.joints.first().map(|j| names(&j.job)).unwrap_or_default();
        }
        for joint in self.joints.iter().filter(|j| names(&j.job) != self.settings.stations) {
            let file = shown(&joint.folder.join(super::folder::STATIONS));
            let expected = format!("the bowl's stations: {}", self.settings.stations.join(", "));
            let next = "name the stations as in bowl.toml, or leave `stations` out there if all joints agree";
            problems.push(Problem::new(file, expected, next).found(names(&joint.job).join(", ")));
        }
    }
}

fn stray(path: &Path, ribs: usize) -> Warning {
    let text = format!(
        "{} is no joint of a bowl of {ribs} ribs, whose joints are 01 to {:02}, so it is left alone. Rename it, or \
         correct `ribs` in bowl.toml.",
        shown(path),
        ribs - 1
    );
    Warning::new("stray-joint", text)
}
