//! An answer as a workbook: the removal map, and the strokes.

use rust_xlsxwriter::{Format, Workbook, Worksheet, XlsxError};

use super::names::clean;
use crate::advice::{Advice, StationAdvice};
use crate::job::{Job, Measured};

/// The file of a workbook with a sheet of the stations' figures and one of the strokes. Lengths
/// are numbers in the joint's unit, which stands behind each column's name; a figure that does
/// not exist is an empty cell.
///
/// # Errors
///
/// Those of the library that writes it, which sound figures never cause.
pub fn workbook(job: &Job, advice: &Advice) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    stations(book.add_worksheet().set_name("removal map")?, job, advice)?;
    if !advice.strokes.is_empty() {
        strokes(book.add_worksheet().set_name("strokes")?, job, advice)?;
    }
    book.save_to_buffer()
}

type Column = (&'static str, fn(&StationAdvice) -> Option<f64>);

const COLUMNS: [Column; 7] = [
    ("read overlap", |s| s.overlap),
    ("read lift", |s| s.lift),
    ("comes off in the end", |s| s.remove),
    ("its standard uncertainty", |s| s.remove.and(s.remove_sd)),
    ("comes off now", |s| s.remove_now),
    ("gap next", |s| s.gap_after),
    ("lift next", |s| s.lift_after),
];

fn stations(sheet: &mut Worksheet, job: &Job, advice: &Advice) -> Result<(), XlsxError> {
    let place: Column = match job.measured {
        Measured::Along => ("along", |s| Some(s.along)),
        Measured::Arc => ("arc", |s| Some(s.arc)),
    };
    let columns: Vec<Column> = std::iter::once(place).chain(COLUMNS).collect();
    let unit = job.unit.symbol();
    let names = columns.iter().map(|c| format!("{} ({unit})", c.0));
    head(sheet, &std::iter::once("station".to_owned()).chain(names).collect::<Vec<_>>())?;
    for (row, station) in (1..).zip(&advice.stations) {
        sheet.write(row, 0, clean(&station.name))?;
        for (column, (_, value)) in (1..).zip(&columns) {
            length(sheet, (row, column), job, value(station))?;
        }
    }
    sheet.autofit();
    Ok(())
}

fn strokes(sheet: &mut Worksheet, job: &Job, advice: &Advice) -> Result<(), XlsxError> {
    let depth = format!("takes ({})", job.unit.symbol());
    head(sheet, &["plane", "from", "to", "strokes", &depth, "the check"].map(str::to_owned))?;
    for (row, stroke) in (1..).zip(&advice.strokes) {
        let named = stroke.named(job);
        for (column, words) in (0..).zip([&named.plane, &named.from, &named.to]) {
            sheet.write(row, column, clean(words))?;
        }
        sheet.write(row, 3, stroke.count)?;
        let depth = f64::from(stroke.count) * job.planes[stroke.plane].shaving;
        length(sheet, (row, 4), job, Some(depth))?;
        sheet.write(row, 5, if stroke.check { "yes" } else { "" })?;
    }
    sheet.autofit();
    Ok(())
}

fn head(sheet: &mut Worksheet, names: &[String]) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold();
    for (column, name) in (0..).zip(names) {
        sheet.write_with_format(0, column, name.as_str(), &bold)?;
    }
    sheet.set_freeze_panes(1, 1)?;
    Ok(())
}

/// A length given in mm, as a number in the joint's unit with as many decimals as are said.
fn length(
    sheet: &mut Worksheet,
    (row, column): (u32, u16),
    job: &Job,
    mm: Option<f64>,
) -> Result<(), XlsxError> {
    let Some(mm) = mm.filter(|v| v.is_finite()) else { return Ok(()) };
    let decimals = super::units::length(mm, job.unit).split_once('.').map_or(0, |(_, d)| d.len());
    let scale = 10_f64.powi(decimals as i32);
    let shown = (mm / job.unit.mm() * scale).round() / scale;
    let format = Format::new().set_num_format(format!("0.{}", "0".repeat(decimals)));
    sheet.write_with_format(row, column, shown, &format)?;
    Ok(())
}
