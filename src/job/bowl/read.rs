//! A bowl's folder, whole: every file read, every problem kept.

use super::types::{Bowl, BowlSettings};
use super::{bowl_of, faults, settings, tables};
use crate::job::Plane;
use crate::job::names::BOWL;
use crate::store::Place;
use crate::table::file::Part;
use crate::table::{Problem, Problems};

/// Reads a bowl's folder with all its joints.
///
/// # Errors
///
/// Every problem of every file at once, see [`Problems`].
pub fn read_bowl(folder: impl Into<Place>) -> Result<Bowl, Problems> {
    let folder = folder.into();
    if let Some(problem) = faults::no_bowl(&folder) {
        return Err(problem.into());
    }
    let mut problems = Vec::new();
    let part = Part::load(&folder.join(BOWL));
    if matches!(part, Part::Absent) {
        return Err(faults::no_settings(&folder).into());
    }
    let outcome = part.raw(&mut problems).and_then(|raw| settings::read(raw, &mut problems));
    let told = outcome.is_some();
    let none = || (BowlSettings { ribs: settings::MOST_RIBS, ..BowlSettings::default() }, None);
    let (settings, unit) = outcome.unwrap_or_else(none);
    let mut bowl = Bowl {
        folder: folder.clone(),
        settings,
        girths: Vec::new(),
        widths: Vec::new(),
        minutes: Vec::new(),
        joints: Vec::new(),
        warnings: Vec::new(),
    };
    bowl.read_joints(told, &mut problems);
    bowl.share_stations(&mut problems);
    tables::read(&mut bowl, unit, &mut problems);
    Problems::none_in(faults::one_unit(&folder, unit, problems))?;
    Ok(bowl)
}

/// The planes that the bowl around a joint's folder states for all its joints. Where
/// `bowl.toml` is faulty and speaks of planes, its problems are the joint's too.
pub(crate) fn planes_around(joint: &Place, problems: &mut Vec<Problem>) -> Vec<Plane> {
    let Some((folder, _)) = bowl_of(joint) else { return Vec::new() };
    let Part::There(raw) = Part::load(&folder.join(BOWL)) else { return Vec::new() };
    if !String::from_utf8_lossy(&raw.bytes).contains("planes") {
        return Vec::new();
    }
    let read = settings::read(&raw, problems);
    read.map(|(settings, _)| settings.planes).unwrap_or_default()
}
