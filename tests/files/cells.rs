//! One cell to one number, exactly or not at all; and names that look alike.

use std::fs;

use ribwright::job::{self, Job, Problems};

/// A folder's stations and settings, read.
fn read(settings: &str, stations: &str) -> Result<Job, Problems> {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("joint.toml"), settings).expect("written");
    fs::write(dir.path().join("stations.csv"), stations).expect("written");
    job::read(dir.path())
}

const INCH: &str = "units = \"inch\"";

/// A joint in inches whose second station has this cell for its width, between decimals of one mark.
fn width(cell: &str, decimal: char) -> Result<f64, String> {
    let table = "station;along;width;bevel\n1;0;1.25;6\n2;9;CELL;6.5\n3;18;0.5;6\n";
    let table = table.replace('.', &decimal.to_string()).replace("CELL", cell);
    match read(INCH, &table) {
        Ok(job) => Ok(job.stations[1].width),
        Err(problems) => {
            let told = problems.list().iter().find(|p| p.column.as_deref() == Some("width"));
            let told = told.unwrap_or_else(|| panic!("{cell}: {problems}"));
            assert_eq!(told.row, Some(3), "{cell}: {problems}");
            Err(told.expected.clone())
        }
    }
}

#[test]
fn numbers_are_read_exactly() {
    let rises = [
        ("0.435", 0.435),
        ("-0.21", -0.21),
        ("\u{2212}0.21", -0.21),
        (".5", 0.5),
        ("5.", 5.0),
        ("+1", 1.0),
        ("1e-3", 0.001),
        ("11/32", 0.34375),
        ("1 3/32", 1.09375),
        ("-1/16", -0.0625),
        ("1½", 1.5),
        ("3/4\"", 0.75),
        ("0", 0.0),
        ("-1 1/2", -1.5),
        ("0.5 in", 0.5),
    ];
    let row = |(i, (cell, _)): (usize, &(&str, f64))| format!("{i},{i},1,6,{cell}\n");
    let rows: String = rises.iter().enumerate().map(row).collect();
    let job = read(INCH, &format!("station,along,width,bevel,rise\n{rows}")).expect("numbers");
    for (station, (cell, value)) in job.stations.iter().zip(rises) {
        assert_eq!(station.rise, Some(value * 25.4), "{cell}");
    }
    assert_eq!(width("0,435", ','), Ok(0.435 * 25.4));
    assert_eq!(width(",5", ','), Ok(0.5 * 25.4));
}

/// Refused as no number, not since it is out of range.
#[test]
fn what_can_be_read_in_two_ways_is_refused() {
    let cells = [
        "0,435",
        "1.234,5",
        "1,234.5",
        "1 234",
        "1'234",
        "NaN",
        "inf",
        "1e999",
        "",
        "-",
        "--1",
        "1.2.3",
        "05",
        "0x10",
        "1_000",
        "1.234.567",
        "abc",
        "1 3/2",
        "3/0",
        "1-3/32",
        "3//4",
        ".",
        "1e",
        "½½",
    ];
    for (cell, decimal) in cells.map(|cell| (cell, '.')).into_iter().chain([("0.435", ',')]) {
        let expected = width(cell, decimal).expect_err(cell);
        assert!(!expected.contains("to 7.87"), "{cell}: {expected}");
    }
}

/// A place along the joint that shows the only decimal mark of its table.
#[test]
fn the_mark_is_told_from_thousands() {
    let along = |cell: &str| {
        let table = "station;along;width;bevel\n1;-600;12;6\n2;CELL;30;6\n3;1400;12;6\n";
        read("", &table.replace("CELL", cell)).map(|job| job.stations[1].along).map_err(|p| p.to_string())
    };
    for (cell, value) in
        [("0,435", 0.435), ("1.2340", 1.234), ("1234.567", 1234.567), ("12", 12.0), (".5", 0.5)]
    {
        assert_eq!(along(cell), Ok(value), "{cell}");
    }
    for (cell, mark) in [("1,234", "comma"), ("-1.234", "point")] {
        let told = along(cell).expect_err(cell);
        assert!(told.contains(&format!("may be a decimal {mark} or a separator of thousands")), "{told}");
    }
    for cell in ["1.234,5", "x", "."] {
        let told = along(cell).expect_err(cell);
        assert!(!told.contains("may be a decimal"), "{told}");
    }
}

/// Stations of these names, in one table.
fn named(names: &[&str]) -> Result<Job, Problems> {
    let row = |(i, name): (usize, &&str)| format!("{name};{};20;6\n", 100 * i);
    read("", &format!("station;along;width;bevel\n{}", names.iter().enumerate().map(row).collect::<String>()))
}

#[test]
fn names_that_look_alike_are_told_apart() {
    for (first, second, told) in [
        ("caf\u{e9}", "cafe\u{301}", "an accented letter in one"),
        ("neck", "ne\u{200b}ck", "this one has an invisible character (U+200B)"),
        ("ne\u{feff}ck", "neck", "that one has an invisible character (U+FEFF)"),
        ("at tail", "at\u{a0}tail", "a blank of another kind (U+00A0)"),
    ] {
        let said = named(&[first, second, "3"]).expect_err(told).to_string();
        assert!(said.contains(told), "{said}");
    }
}

#[test]
fn names_that_look_different_are_no_matter() {
    let names = ["neck", "Neck", "cafe", "caf\u{e9}", "1", "2"];
    let job = named(&names).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!(job.stations.iter().map(|s| s.name.as_str()).collect::<Vec<_>>(), names);
}
