//! Demo joints as files.

use std::path::Path;

use ribwright::job::{Angle, Job, Station, Unit};
use ribwright::record::{Style, write_folder_as, write_table};
use ribwright::table::{Decimal, Delimiter, Dialect, Encoding, LineEnd};

use super::trial::Demo;

/// The demo that is a single table.
pub const SINGLE: &str = "first-try.csv";

/// Writes a demo joint into `dir`, which holds none of that name yet: a folder,
/// or the single table.
pub fn write_readings(demo: &Demo, dir: &Path) {
    let path = dir.join(demo.name);
    if demo.name == SINGLE {
        return write_table(&demo.job, &path, &another_dialect()).expect("written");
    }
    write_folder_as(&demo.job, &path, &style(&demo.job)).expect("written");
    if demo.job.unit == Unit::Inch {
        write_fractions(&demo.job, &path.join("stations.csv"));
    }
}

/// A tenth of a mm and of a degree at the stations, hundredths of a mm or
/// thousandths of an inch in readings.
fn style(job: &Job) -> Style {
    let readings = if job.unit == Unit::Inch { 1 } else { 2 };
    Style { readings, geometry: 1, ..Style::default() }
}

/// As a spreadsheet writes where the comma is the decimal mark.
fn another_dialect() -> Style {
    let dialect = Dialect {
        delimiter: Delimiter::Semicolon,
        decimal: Decimal::Comma,
        line_end: LineEnd::CrLf,
        encoding: Encoding::UTF8_MARK,
        ..Dialect::default()
    };
    Style { dialect, readings: 2, geometry: 1 }
}

/// Stations whose lengths are fractions of an inch, in place of the decimals.
fn write_fractions(job: &Job, file: &Path) {
    // Adding 0 turns a negative zero into a plain one.
    let degrees = |a: Angle| format!("{:.1}", (a.in_degrees() * 10.0).round() / 10.0 + 0.0);
    let row = |s: &Station| {
        let lean = |a: Option<Angle>| a.map(degrees).unwrap_or_default();
        let rise = s.rise.map(fraction).unwrap_or_default();
        let (along, width, bevel) = (fraction(s.along), fraction(s.width), degrees(s.bevel));
        let leans = format!("{},{}", lean(s.outer_bevel), lean(s.inner_bevel));
        format!("{},{along},{width},{bevel},{rise},{leans}\n", s.name)
    };
    let header = "station,along,width,bevel,rise,outer_bevel,inner_bevel\n";
    let text = header.to_string() + &job.stations.iter().map(row).collect::<String>();
    std::fs::write(file, text).expect("written");
}

/// A length in inches to the nearest 32nd, such as `1 3/32` or `0 7/8`: a bare
/// `7/8` becomes the 7th of August in a spreadsheet.
fn fraction(mm: f64) -> String {
    let parts = (mm / 25.4 * 32.0).round() as i64;
    let (whole, rest) = (parts / 32, parts % 32);
    if rest == 0 {
        return whole.to_string();
    }
    // The largest power of two in it.
    let common = rest & -rest;
    format!("{whole} {}/{}", rest / common, 32 / common)
}
