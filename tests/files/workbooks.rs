//! Workbooks are read as the text tables that they stand for, and never written to.

use std::fs;
use std::io::Write;
use std::path::Path;

use ribwright::advice::{Options, advise};
use ribwright::job::{self, Job, Reading};
use ribwright::record::{NewRound, add_round};
use ribwright::show;
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook, Worksheet};
use tempfile::TempDir;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

const STATIONS: &str =
    "station,along,width,bevel,rise\nneck,0,12.5,6,0\n2,120.25,30,6,80.125\ntail,300,18,5.5,0\n";
const READINGS: &str = "round,station,against,overlap,lift\n1,neck,neighbour,-0.1,0.1\n1,2,neighbour,-0.21,\n\
    \n1,tail,neighbour,0,0.3\n";

fn folder(files: &[(&str, Vec<u8>)]) -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    for (name, bytes) in files {
        fs::write(dir.path().join(name), bytes).expect("written");
    }
    dir
}

/// Numbers as numbers, all else as text.
fn fill(sheet: &mut Worksheet, table: &str) {
    for (row, line) in (0..).zip(table.lines()) {
        for (column, cell) in (0..).zip(line.split(',')) {
            match cell.parse::<f64>() {
                Ok(number) => sheet.write(row, column, number).expect("a number"),
                Err(_) if cell.is_empty() => sheet,
                Err(_) => sheet.write(row, column, cell).expect("text"),
            };
        }
    }
}

/// A workbook of sheets by name; `change` may alter the last one.
fn xlsx(sheets: &[(&str, &str)], change: impl Fn(&mut Worksheet)) -> Vec<u8> {
    let mut book = Workbook::new();
    for (k, (name, table)) in sheets.iter().enumerate() {
        let sheet = book.add_worksheet().set_name(*name).expect("a name");
        fill(sheet, table);
        if k + 1 == sheets.len() {
            change(sheet);
        }
    }
    book.save_to_buffer().expect("a workbook")
}

fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(*name, SimpleFileOptions::default()).expect("begun");
        zip.write_all(text.as_bytes()).expect("written");
    }
    zip.finish().expect("whole").into_inner()
}

/// OpenDocument, as ISO/IEC 26300 lays it out; only what a reader needs.
fn ods(sheets: &[(&str, &str)], manifest: &str) -> Vec<u8> {
    let cell = |cell: &str| match cell.parse::<f64>() {
        Ok(number) => format!(
            "<table:table-cell office:value-type=\"float\" office:value=\"{number}\"><text:p>{cell}</text:p></table:table-cell>"
        ),
        Err(_) if cell.is_empty() => "<table:table-cell/>".to_owned(),
        Err(_) => format!(
            "<table:table-cell office:value-type=\"string\"><text:p>{cell}</text:p></table:table-cell>"
        ),
    };
    let row = |line: &str| {
        format!("<table:table-row>{}</table:table-row>", line.split(',').map(cell).collect::<String>())
    };
    let sheet = |(name, table): &(&str, &str)| {
        format!(
            "<table:table table:name=\"{name}\">{}</table:table>",
            table.lines().map(row).collect::<String>()
        )
    };
    let tables: String = sheets.iter().map(sheet).collect();
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\"><office:body><office:spreadsheet>{tables}\
         </office:spreadsheet></office:body></office:document-content>"
    );
    let kind = "application/vnd.oasis.opendocument.spreadsheet";
    packed(&[("mimetype", kind), ("META-INF/manifest.xml", manifest), ("content.xml", &content)])
}

const MANIFEST: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?><manifest:manifest \
    xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"></manifest:manifest>";

fn text() -> Job {
    let dir = folder(&[("stations.csv", STATIONS.into()), ("readings.csv", READINGS.into())]);
    job::read(dir.path()).expect("sound")
}

fn same(job: &Job) {
    let text = text();
    assert_eq!((&job.stations, &job.rounds), (&text.stations, &text.rounds));
}

fn refused(files: &[(&str, Vec<u8>)]) -> String {
    let dir = folder(files);
    let said = job::read(dir.path()).expect_err("refused").to_string();
    said.replace(&format!("{}/", dir.path().display()), "")
}

#[test]
fn a_workbook_stands_in_a_tables_place() {
    let (stations, readings) = ([("Tabelle 1", STATIONS)], [("Tabelle 1", READINGS)]);
    let none = |_: &mut Worksheet| ();
    for files in [
        [("stations.xlsx", xlsx(&stations, none)), ("readings.xlsx", xlsx(&readings, none))],
        [("stations.ods", ods(&stations, MANIFEST)), ("readings.xlsx", xlsx(&readings, none))],
        [("stations.csv", STATIONS.into()), ("readings.ods", ods(&readings, MANIFEST))],
    ] {
        same(&job::read(folder(&files).path()).expect("sound"));
    }
}

/// The sheet of the table's name counts, whatever stands before it; one workbook can hold all.
#[test]
fn a_sheet_stands_in_a_tables_place() {
    let sheets = [("Notes", "glue,hide\n"), ("Readings", READINGS), ("stations", STATIONS)];
    for (name, book) in [("joint.xlsx", xlsx(&sheets, |_| ())), ("my joint.ods", ods(&sheets, MANIFEST))] {
        let dir = folder(&[(name, book)]);
        let job = job::read(dir.path()).expect("sound");
        same(&job);
        assert!(!job.warnings.iter().any(|w| w.text.contains("not read")), "{:?}", job.warnings);
    }
    let twice = [("a.xlsx", xlsx(&sheets, |_| ())), ("b.xlsx", xlsx(&sheets, |_| ()))];
    assert!(refused(&twice).contains("a.xlsx: expected one workbook with a sheet 'stations', but"));
}

#[test]
fn a_single_table_may_be_a_workbook() {
    let table = "station,along,width,bevel,round,against,overlap\n1,0,20,5,1,neighbour,-0.1\n2,100,25,5,1,neighbour,0\n\
        3,200,20,5,1,neighbour,-0.2\n";
    let dir = folder(&[("one.xlsx", xlsx(&[("one", table)], |_| ())), ("one.csv", table.into())]);
    let [a, b] = ["one.xlsx", "one.csv"].map(|name| job::read(&dir.path().join(name)).expect("sound"));
    assert_eq!((a.stations, a.rounds), (b.stations, b.rounds));
}

/// What is wrong is told by its cell, with the same words as in text.
#[test]
fn what_is_wrong_is_named_by_its_cell() {
    type Change = fn(&mut Worksheet);
    let cases: [(Change, &[&str]); 4] = [
        (
            |s| drop(s.write(2, 3, Formula::new("=NA()").set_result("#N/A"))),
            &["row 3", "column overlap (cell D3)", "'#N/A'"],
        ),
        (
            |s| {
                let day = ExcelDateTime::from_ymd(2026, 1, 16).expect("a day");
                drop(s.write_with_format(1, 4, &day, &Format::new().set_num_format("yyyy-mm-dd")));
            },
            &["column lift (cell E2)", "a spreadsheet made a date out of it, probably 1/16"],
        ),
        (|s| drop(s.write(4, 3, "a bit")), &["row 5", "column overlap (cell D5)", "found 'a bit'"]),
        (|s| drop(s.write(4, 4, 90.0)), &["row 5", "column lift (cell E5)", "'90'"]),
    ];
    for (change, words) in cases {
        let book = xlsx(&[("readings", READINGS)], change);
        let said = refused(&[("stations.csv", STATIONS.into()), ("readings.xlsx", book)]);
        assert!(words.iter().all(|w| said.contains(w)), "{said}");
        assert!(said.starts_with("readings.xlsx"), "{said}");
    }
}

/// A number stored as text is read as text is, with either decimal mark; a formula counts by what
/// it came to, as many digits of it as a spreadsheet shows.
#[test]
fn numbers_as_text_and_formulas_are_read() {
    let book = xlsx(&[("readings", READINGS)], |sheet| {
        sheet.write(2, 3, "-0.21").expect("text");
        sheet.write(1, 4, Formula::new("=0.3-0.2").set_result("0.09999999999999998")).expect("a formula");
    });
    same(
        &job::read(folder(&[("stations.csv", STATIONS.into()), ("readings.xlsx", book)]).path())
            .expect("sound"),
    );
    let all_text = xlsx(&[("readings", "")], |sheet| {
        for (row, line) in (0..).zip(READINGS.lines()) {
            for (column, cell) in (0..).zip(line.split(',')) {
                sheet.write(row, column, cell.replace('.', ",")).expect("text");
            }
        }
    });
    same(
        &job::read(folder(&[("stations.csv", STATIONS.into()), ("readings.xlsx", all_text)]).path())
            .expect("sound"),
    );
}

#[test]
fn damaged_and_locked_workbooks_are_refused_in_words() {
    let sound = xlsx(&[("stations", STATIONS)], |_| ());
    let half = sound[..sound.len() / 2].to_vec();
    let encrypted = MANIFEST.replace(
        "</manifest:manifest>",
        "<manifest:file-entry manifest:full-path=\"content.xml\"><manifest:encryption-data/></manifest:file-entry></manifest:manifest>",
    );
    for (name, bytes, word) in [
        ("stations.xlsx", half.clone(), "whole workbook"),
        ("stations.ods", half, "whole workbook"),
        ("stations.xlsx", Vec::new(), "whole workbook"),
        ("stations.xlsx", STATIONS.into(), "whole workbook"),
        ("stations.ods", ods(&[("stations", STATIONS)], &encrypted), "without a password"),
        ("stations.xlsx", sealed(), "without a password"),
    ] {
        let said = refused(&[(name, bytes)]);
        assert!(said.starts_with(name) && said.contains(word) && said.contains("Next: "), "{said}");
    }
}

/// A workbook behind a password is a compound file with a stream of this name: MS-OFFCRYPTO,
/// section 2.3, in the container of MS-CFB (from memory).
fn sealed() -> Vec<u8> {
    let mut file = vec![0_u8; 512 * 3];
    file[..8].copy_from_slice(&[0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1]);
    let mut put = |at: usize, bytes: &[u8]| file[at..at + bytes.len()].copy_from_slice(bytes);
    let (free, end, table) = (0xFFFF_FFFF_u32, 0xFFFF_FFFE_u32, 0xFFFF_FFFD_u32);
    // Versions, byte order, sizes of sectors; one sector of allocation table, directory in sector 1.
    put(24, &[0x3E, 0, 3, 0, 0xFE, 0xFF, 9, 0, 6, 0]);
    for (at, value) in [(44, 1), (48, 1), (56, 4096), (60, end), (68, end), (76, 0)] {
        put(at, &value.to_le_bytes());
    }
    (1..109).for_each(|k| put(76 + 4 * k, &free.to_le_bytes()));
    (0..128).for_each(|k| put(512 + 4 * k, &[table, end].get(k).unwrap_or(&free).to_le_bytes()));
    for (k, (name, kind)) in [("Root Entry", 5), ("EncryptedPackage", 2)].into_iter().enumerate() {
        let entry = 1024 + 128 * k;
        let letters: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
        put(entry, &letters);
        put(entry + 64, &(letters.len() as u16 + 2).to_le_bytes());
        put(entry + 66, &[kind, 1]);
        [68, 72, 76].iter().for_each(|at| put(entry + at, &free.to_le_bytes()));
        put(entry + 116, &end.to_le_bytes());
    }
    file
}

/// One cell far out is no table of a billion cells.
#[test]
fn a_cell_far_out_is_refused() {
    let book = xlsx(&[("stations", STATIONS)], |sheet| drop(sheet.write(1_048_575, 16_383, 1.0)));
    assert!(refused(&[("stations.xlsx", book)]).contains("row 1048576"));
}

fn round(job: &Job) -> NewRound {
    let reading = Reading { overlap: Some(-0.15), ..Reading::default() };
    NewRound {
        against: job::Against::Neighbour,
        rebent: false,
        readings: vec![reading; job.stations.len()],
        note: None,
    }
}

/// New rows go into a text table beside the workbook, with the old ones; the workbook stays as it
/// is, and from then on it is said that it is not read.
#[test]
fn rows_are_added_beside_a_workbook() {
    let books = [
        ("stations.xlsx", xlsx(&[("stations", STATIONS)], |_| ())),
        ("readings.ods", ods(&[("readings", READINGS)], MANIFEST)),
    ];
    let dir = folder(&books);
    let before = job::read(dir.path()).expect("sound");
    add_round(dir.path(), &round(&before)).expect("added");
    let after = job::read(dir.path()).expect("sound");
    assert_eq!(after.rounds[..1], before.rounds[..]);
    assert_eq!(after.rounds[1].readings[0].overlap, Some(-0.15));
    assert!(dir.path().join("readings.csv").is_file());
    for (name, bytes) in &books {
        assert_eq!(&fs::read(dir.path().join(name)).expect("there"), bytes, "{name}");
    }
    let said = |job: &Job| {
        job.warnings.iter().any(|w| w.code == "workbook-beside" && w.text.contains("readings.ods"))
    };
    assert!(said(&after) && !said(&before));
    // And once more, now into the text table.
    add_round(dir.path(), &round(&after)).expect("added");
    assert_eq!(job::read(dir.path()).expect("sound").rounds.len(), 3);
}

#[test]
fn an_answer_as_a_workbook_has_the_figures() {
    use calamine::{Data, Reader, Xlsx};
    let job = job::read(Path::new("demo-readings/plain")).expect("sound");
    let advice = advise(&job, &Options::default());
    let bytes = show::workbook(&job, &advice).expect("a workbook");
    let mut book = Xlsx::new(std::io::Cursor::new(bytes)).expect("sound");
    assert_eq!(book.sheet_names(), ["removal map", "strokes"]);
    let map = book.worksheet_range("removal map").expect("there");
    let heads: Vec<String> = map.rows().next().expect("a head").iter().map(ToString::to_string).collect();
    assert_eq!(heads[..2], ["station", "along (mm)"]);
    let at = heads.iter().position(|h| h == "comes off now (mm)").expect("a column");
    for (row, station) in map.rows().skip(1).zip(&advice.stations) {
        assert_eq!(row[0].to_string(), station.name);
        let Data::Float(now) = row[at] else { panic!("{:?}", row[at]) };
        assert!((now - station.remove_now.expect("known")).abs() < 0.0051);
    }
    let strokes = book.worksheet_range("strokes").expect("there");
    assert_eq!(strokes.rows().count(), 1 + advice.strokes.len());
}

/// A part that packs to nothing and unpacks to more than any table: refused before it is read. (One
/// that says less of itself than it holds is refused by the library that unpacks it.)
#[test]
fn a_workbook_that_unpacks_to_too_much_is_refused() {
    let sound = xlsx(&[("stations", STATIONS)], |_| ());
    let mut book = ZipWriter::new_append(std::io::Cursor::new(sound)).expect("a workbook");
    book.start_file("xl/media/image1.png", SimpleFileOptions::default()).expect("begun");
    (0..129).for_each(|_| book.write_all(&vec![b' '; 1 << 20]).expect("written"));
    let bomb = book.finish().expect("whole").into_inner();
    assert!(bomb.len() < 1 << 20);
    let said = refused(&[("stations.xlsx", bomb)]);
    assert!(said.contains("stations.xlsx") && said.contains("at most 128 MiB"), "{said}");
    assert!(said.contains("Next: save the sheet alone as a new workbook"), "{said}");
}
