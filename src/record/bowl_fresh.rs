//! `bowl.toml` and a bowl's joints, written fresh.

use std::fs;
use std::path::Path;

use serde::Serialize;

use super::settings_text::length;
use super::write::{Style, WriteError, fresh, io_error, write_folder_as};
use crate::job::bowl::{BowlSettings, Girth, Grain};
use crate::job::names::{BOWL, GIRTH, JOINTS, READINGS, SETTINGS, STATIONS, STROKES, TIME, WIDTHS};
use crate::job::{Job, Mold};
use crate::table::rows::{number, rows_text};
use crate::table::{Dialect, Unit};

#[derive(Serialize)]
struct Whole<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    title: Option<&'a str>,
    units: &'static str,
    mold: &'static str,
    ribs: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    wood: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    thickness: Option<f64>,
    thinnest: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    grain: Option<&'static str>,
    stations: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    spacer: Option<Spacer>,
    tolerance: Tolerance,
    #[serde(skip_serializing_if = "Option::is_none")]
    moisture: Option<Moisture>,
    reading: Reading,
}

#[derive(Serialize)]
struct Spacer {
    width: f64,
    height: f64,
}

#[derive(Serialize)]
struct Tolerance {
    width: f64,
}

#[derive(Serialize)]
struct Moisture {
    #[serde(skip_serializing_if = "Option::is_none")]
    fitting: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gluing: Option<f64>,
}

#[derive(Serialize)]
struct Reading {
    girth_sd: f64,
    width_sd: f64,
    compass_sd: f64,
    edge_sd: f64,
}

/// The settings as text, every key that has a value.
fn text(s: &BowlSettings) -> Result<String, toml::ser::Error> {
    let mm = |v: f64| length(v, s.unit);
    let e = &s.errors;
    toml::to_string(&Whole {
        title: s.title.as_deref(),
        units: if s.unit == Unit::Mm { "mm" } else { "inch" },
        mold: if s.mold == Mold::Round { "round" } else { "faceted" },
        ribs: s.ribs,
        wood: s.wood.as_deref(),
        thickness: s.thickness.map(mm),
        thinnest: mm(s.thinnest),
        grain: s.grain.map(|g| if g == Grain::Radial { "radial" } else { "tangential" }),
        stations: &s.stations,
        spacer: s.spacer.map(|p| Spacer { width: mm(p.width), height: mm(p.height) }),
        tolerance: Tolerance { width: mm(s.even) },
        moisture: (s.moisture != [None; 2])
            .then_some(Moisture { fitting: s.moisture[0], gluing: s.moisture[1] }),
        reading: Reading {
            girth_sd: mm(e.girth),
            width_sd: mm(e.width),
            compass_sd: mm(e.compass),
            edge_sd: mm(e.edge),
        },
    })
}

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
    folder: &Path,
    style: &Style,
) -> Result<(), WriteError> {
    // A joint's tables and another bowl's would be taken for this one's; a link that
    // leads nowhere is there too.
    let names = [BOWL, JOINTS, GIRTH, WIDTHS, TIME, SETTINGS, STATIONS, READINGS, STROKES];
    let taken = names.iter().map(|n| folder.join(n)).find(|p| p.symlink_metadata().is_ok());
    if let Some(there) = taken {
        return Err(WriteError::Exists(there.display().to_string()));
    }
    fs::create_dir_all(folder).map_err(|e| io_error(folder, e))?;
    for (k, job) in joints.iter().enumerate() {
        write_folder_as(job, &folder.join(JOINTS).join(format!("{:02}", k + 1)), style)?;
    }
    if !girths.is_empty() {
        let path = folder.join(GIRTH);
        let rows = girth_rows(settings, girths, &style.dialect);
        let table = rows_text(&rows, &style.dialect).map_err(|e| io_error(&path, e))?;
        fresh(&path, table.as_bytes())?;
    }
    // Last, so that a folder that was not finished is no bowl.
    let path = folder.join(BOWL);
    let text = text(settings).map_err(|e| io_error(&path, std::io::Error::other(e)))?;
    fresh(&path, text.as_bytes())
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
