//! New rows in a bowl's tables, as carefully as those of a joint: one writer at
//! a time, the old bytes kept, the whole table replaced in one step.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::append::{NewRow, Target};
use super::{JournalError, lock};
use crate::job::bowl::{Bowl, Mark, read_bowl};
use crate::job::columns::{GIRTH, MARKED, MARKS};
use crate::job::names::{JOINTS, READ};
use crate::store::{Held, Place};
use crate::table::file::{LARGEST, Part, Raw};
use crate::table::layout::Layout;
use crate::table::rows::number;
use crate::table::workbook::is_workbook;
use crate::table::{Decimal, Dialect, Unit};

/// What was measured for the outer edge at one station.
#[derive(Debug, Clone, PartialEq)]
pub struct NewMark {
    /// The station's name.
    pub station: String,
    /// The distances.
    pub mark: Mark,
}

/// Adds the girth read at each station after so many ribs (mm; `None` where not read).
///
/// # Errors
///
/// [`JournalError`]; the folder is then as it was.
pub fn add_girth(folder: impl Into<Place>, after: usize, girth: &[Option<f64>]) -> Result<(), JournalError> {
    let bowl = read_bowl(folder).map_err(JournalError::Folder)?;
    let cell = Cells::of(&bowl);
    let row = |(name, mm): (&String, &Option<f64>)| {
        let girth = cell.length((*mm)?);
        Some(vec![("after", after.to_string()), ("station", name.clone()), ("girth", girth)])
    };
    let rows: Vec<NewRow> = bowl.settings.stations.iter().zip(girth).filter_map(row).collect();
    let wanted = girth.to_vec();
    add(&bowl, (&bowl.folder, &GIRTH), &rows, |now| {
        now.girths.iter().any(|g| g.after == after && same(&g.at, &wanted))
    })
}

/// Adds marks for the outer edge at a joint of a bowl.
///
/// # Errors
///
/// [`JournalError`]; the folder is then as it was.
pub fn add_marks(bowl: impl Into<Place>, joint: usize, marks: &[NewMark]) -> Result<(), JournalError> {
    let read = read_bowl(bowl).map_err(JournalError::Folder)?;
    let Some(at) = read.joint(joint) else { return Err(JournalError::Nothing) };
    let cell = Cells { unit: at.job.unit, ..Cells::of(&read) };
    let row = |m: &NewMark| {
        let measured = MARKED.iter().filter_map(|f| Some((f.name, cell.length((f.get)(&m.mark)?))));
        [("station", m.station.clone())].into_iter().chain(measured).collect()
    };
    let rows: Vec<NewRow> = marks.iter().map(row).collect();
    add(&read, (&at.folder, &MARKS), &rows, |now| {
        now.joint(joint).is_some_and(|j| j.marks.iter().flatten().count() >= marks.len())
    })
}

fn same(a: &[Option<f64>], b: &[Option<f64>]) -> bool {
    let close = |(a, b): (&Option<f64>, &Option<f64>)| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-3,
        (a, b) => a.is_none() && b.is_none(),
    };
    a.len() == b.len() && a.iter().zip(b).all(close)
}

/// How lengths are written into a table.
struct Cells {
    unit: Unit,
    dialect: Dialect,
}

impl Cells {
    fn of(bowl: &Bowl) -> Cells {
        Cells { unit: bowl.settings.unit, dialect: Dialect::default() }
    }

    fn length(&self, mm: f64) -> String {
        let decimals = if self.unit == Unit::Inch { 6 } else { 4 };
        number(mm / self.unit.mm(), decimals, &self.dialect)
    }
}

/// Adds rows below a table; `right` looks at the bowl as it is read afterwards.
fn add(
    before: &Bowl,
    (dir, layout): (&Place, &'static Layout),
    rows: &[NewRow],
    right: impl Fn(&Bowl) -> bool,
) -> Result<(), JournalError> {
    if rows.is_empty() {
        return Err(JournalError::Nothing);
    }
    let _lock = lock::lock_soon(dir)?;
    let path = dir.join(layout.file);
    let part = Part::load_table(&path);
    let mut problems = Vec::new();
    let table = part.table(layout, &mut problems);
    let decimal = table.as_ref().map_or(Decimal::Point, |t| t.dialect.decimal);
    let dialect = table.as_ref().map(|t| t.dialect).unwrap_or_default();
    let target = Target { layout, table, dialect: Dialect { decimal, ..dialect } };
    let rows = in_dialect(rows, &target.dialect);
    let old = match &part {
        Part::There(raw) => Some(raw),
        _ => None,
    };
    let file = path.to_string();
    let bytes =
        target.grown(old.map(|raw| raw.bytes.as_slice()), &rows).map_err(|trouble| trouble.of(&file))?;
    try_beside(before, &path, &bytes, &right)?;
    lock::replace(&path, old.and_then(Raw::in_file), &bytes)
}

/// Cells were made with a decimal point; the table may want a comma.
fn in_dialect(rows: &[NewRow], dialect: &Dialect) -> Vec<NewRow> {
    let text = |name: &str, cell: &String| match name {
        "station" => cell.clone(),
        _ => cell.replace('.', &dialect.decimal.char().to_string()),
    };
    rows.iter().map(|row| row.iter().map(|(name, cell)| (*name, text(name, cell))).collect()).collect()
}

/// Reads the bowl as it would be, in a copy held in memory: every other file is the same.
fn try_beside(
    before: &Bowl,
    path: &Place,
    bytes: &[u8],
    right: &dyn Fn(&Bowl) -> bool,
) -> Result<(), JournalError> {
    let mut files = tables_of(before);
    files.push((path.path().to_path_buf(), bytes.to_vec()));
    let copy = Arc::new(Held::new(files, path.today()));
    let now = read_bowl(Place::new(copy, before.folder.path())).map_err(JournalError::Rows)?;
    let kept = before.girths.iter().all(|g| now.girths.contains(g)) && now.widths == before.widths;
    if kept && right(&now) { Ok(()) } else { Err(JournalError::ReadBack(path.to_string())) }
}

/// What is read of a bowl: its own files, and those of its joints' folders. Nothing
/// lies deeper, so links in a circle lead nowhere.
fn tables_of(bowl: &Bowl) -> Vec<(PathBuf, Vec<u8>)> {
    let joints = bowl.folder.join(JOINTS);
    let inside = joints.names().unwrap_or_default().into_iter().map(|name| joints.join(name));
    [bowl.folder.clone()].into_iter().chain(inside).flat_map(|folder| files_of(&folder)).collect()
}

fn files_of(folder: &Place) -> Vec<(PathBuf, Vec<u8>)> {
    let names = folder.plain_names().unwrap_or_default().into_iter();
    let read = names.filter(|name| READ.contains(&name.as_str()) || is_workbook(Path::new(name)));
    // What can't be read now was no part of the bowl before.
    read.filter_map(|name| {
        let file = folder.join(name);
        Some((file.path().to_path_buf(), file.read(LARGEST).ok()?))
    })
    .collect()
}
