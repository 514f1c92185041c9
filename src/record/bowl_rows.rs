//! New rows in a bowl's tables, as carefully as those of a joint: one writer at
//! a time, the old bytes kept, the whole table replaced in one step.

use std::path::Path;

use super::append::{NewRow, Target};
use super::{JournalError, lock};
use crate::job::bowl::{Bowl, Mark, read_bowl};
use crate::job::columns::{GIRTH, MARKED, MARKS};
use crate::job::names::{JOINTS, READ};
use crate::table::file::{Part, Raw};
use crate::table::layout::Layout;
use crate::table::rows::number;
use crate::table::unreadable::shown;
use crate::table::{Decimal, Dialect, Problem, Problems, Unit};

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
pub fn add_girth(folder: &Path, after: usize, girth: &[Option<f64>]) -> Result<(), JournalError> {
    let bowl = read_bowl(folder).map_err(JournalError::Folder)?;
    let cell = Cells::of(&bowl);
    let row = |(name, mm): (&String, &Option<f64>)| {
        let girth = cell.length((*mm)?);
        Some(vec![("after", after.to_string()), ("station", name.clone()), ("girth", girth)])
    };
    let rows: Vec<NewRow> = bowl.settings.stations.iter().zip(girth).filter_map(row).collect();
    let wanted = girth.to_vec();
    add(folder, &bowl, (folder, &GIRTH), &rows, |now| {
        now.girths.iter().any(|g| g.after == after && same(&g.at, &wanted))
    })
}

/// Adds marks for the outer edge at a joint of a bowl.
///
/// # Errors
///
/// [`JournalError`]; the folder is then as it was.
pub fn add_marks(bowl: &Path, joint: usize, marks: &[NewMark]) -> Result<(), JournalError> {
    let read = read_bowl(bowl).map_err(JournalError::Folder)?;
    let Some(at) = read.joint(joint) else { return Err(JournalError::Nothing) };
    let cell = Cells { unit: at.job.unit, ..Cells::of(&read) };
    let row = |m: &NewMark| {
        let measured = MARKED.iter().filter_map(|f| Some((f.name, cell.length((f.get)(&m.mark)?))));
        [("station", m.station.clone())].into_iter().chain(measured).collect()
    };
    let rows: Vec<NewRow> = marks.iter().map(row).collect();
    add(bowl, &read, (&at.folder, &MARKS), &rows, |now| {
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
    folder: &Path,
    before: &Bowl,
    (dir, layout): (&Path, &'static Layout),
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
    let file = path.display().to_string();
    let bytes =
        target.grown(old.map(|raw| raw.bytes.as_slice()), &rows).map_err(|trouble| trouble.of(&file))?;
    try_beside(folder, before, &path, &bytes, &right)?;
    lock::replace(&path, old.and_then(Raw::on_disk), &bytes)
}

/// Cells were made with a decimal point; the table may want a comma.
fn in_dialect(rows: &[NewRow], dialect: &Dialect) -> Vec<NewRow> {
    let text = |name: &str, cell: &String| match name {
        "station" => cell.clone(),
        _ => cell.replace('.', &dialect.decimal.char().to_string()),
    };
    rows.iter().map(|row| row.iter().map(|(name, cell)| (*name, text(name, cell))).collect()).collect()
}

/// Reads the bowl as it would be, in a copy: every other file is the same.
fn try_beside(
    folder: &Path,
    before: &Bowl,
    path: &Path,
    bytes: &[u8],
    right: &dyn Fn(&Bowl) -> bool,
) -> Result<(), JournalError> {
    let io = |source| JournalError::Io { file: path.display().to_string(), source };
    let copy = tempfile::tempdir().map_err(io)?;
    copy_tables(folder, copy.path()).map_err(io)?;
    let inside = path.strip_prefix(folder).unwrap_or(path);
    std::fs::write(copy.path().join(inside), bytes).map_err(io)?;
    let here = |text: &str| text.replace(&shown(copy.path()), &shown(folder));
    let rows = |problems: Problems| {
        let list = problems.list().iter().map(|p| Problem { file: here(&p.file), ..p.clone() });
        JournalError::Rows(Problems::of(list.collect()))
    };
    let now = read_bowl(copy.path()).map_err(rows)?;
    let kept = before.girths.iter().all(|g| now.girths.contains(g)) && now.widths == before.widths;
    if kept && right(&now) { Ok(()) } else { Err(JournalError::ReadBack(path.display().to_string())) }
}

/// Copies what is read of a bowl: its own files, and those of its joints' folders. Nothing
/// lies deeper, so links in a circle lead nowhere.
fn copy_tables(from: &Path, to: &Path) -> std::io::Result<()> {
    copy_files(from, to)?;
    let Ok(joints) = std::fs::read_dir(from.join(JOINTS)) else { return Ok(()) };
    for joint in joints {
        let path = joint?.path();
        if let Some(name) = path.file_name().filter(|_| path.is_dir()) {
            copy_files(&path, &to.join(JOINTS).join(name))?;
        }
    }
    Ok(())
}

fn copy_files(from: &Path, to: &Path) -> std::io::Result<()> {
    std::fs::create_dir_all(to)?;
    for name in READ.iter().filter(|name| from.join(name).is_file()) {
        std::fs::copy(from.join(name), to.join(name))?;
    }
    Ok(())
}
