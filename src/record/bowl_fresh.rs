//! `bowl.toml` and a bowl's joints, written fresh.

use std::cell::RefCell;

use super::write::{Style, WriteError, fresh, io_error, write_folder_as};
use crate::job::Job;
use crate::job::bowl::{BowlSettings, Girth};
use crate::job::keys::Written;
use crate::job::names::{BOWL, GIRTH, JOINTS, READINGS, SETTINGS, STATIONS, STROKES, TIME, WIDTHS};
use crate::job::settings_keys;
use crate::store::Place;
use crate::table::rows::{number, rows_text};
use crate::table::{Dialect, Unit};

/// Writes a bowl as a fresh folder: settings, the joints' folders (joint 1 first),
/// and girths, if any.
///
/// # Errors
///
/// [`WriteError`]; files that are there already are never overwritten.
pub fn write_bowl(
    settings: &BowlSettings,
    joints: &[Job],
    girths: &[Girth],
    folder: impl Into<Place>,
    style: &Style,
) -> Result<(), WriteError> {
    let folder = folder.into();
    // A joint's tables and another bowl's would be taken for this one's; a link that
    // leads nowhere is there too.
    let names = [BOWL, JOINTS, GIRTH, WIDTHS, TIME, SETTINGS, STATIONS, READINGS, STROKES];
    let taken = names.iter().map(|n| folder.join(n)).find(|p| !p.is_absent());
    if let Some(there) = taken {
        return Err(WriteError::Exists(there.to_string()));
    }
    folder.make().map_err(|e| io_error(folder.path(), e))?;
    for (k, job) in joints.iter().enumerate() {
        // Planes that all joints share are stated once.
        let shared = job.planes == settings.planes;
        let planes = if shared { Vec::new() } else { job.planes.clone() };
        let job = &Job { planes, ..job.clone() };
        write_folder_as(job, folder.join(JOINTS).join(format!("{:02}", k + 1)), style)?;
    }
    if !girths.is_empty() {
        let file = folder.join(GIRTH);
        let rows = girth_rows(settings, girths, &style.dialect);
        let table = rows_text(&rows, &style.dialect).map_err(|e| io_error(file.path(), e))?;
        fresh(&file, table.as_bytes())?;
    }
    // Last, so that a folder that was not finished is no bowl.
    let file = folder.join(BOWL);
    let of = &RefCell::new(settings.clone());
    let written = Written { keys: &settings_keys::BOWL, of, unit: settings.unit, sorted: false };
    let text = toml::to_string(&written).map_err(|e| io_error(file.path(), std::io::Error::other(e)))?;
    fresh(&file, text.as_bytes())
}

fn girth_rows(settings: &BowlSettings, girths: &[Girth], dialect: &Dialect) -> Vec<Vec<String>> {
    let mut rows = vec![["after", "station", "girth"].map(str::to_owned).to_vec()];
    let decimals = if settings.unit == Unit::Inch { 3 } else { 1 };
    for girth in girths {
        for (name, mm) in settings.stations.iter().zip(&girth.at) {
            if let Some(mm) = mm {
                let value = number(mm / settings.unit.mm(), decimals, dialect);
                rows.push(vec![girth.after.to_string(), name.clone(), value]);
            }
        }
    }
    rows
}
