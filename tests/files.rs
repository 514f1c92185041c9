//! Every spreadsheet dialect gives the same joint.

use std::fs;
use std::path::Path;

use ribwright::job::{self, Against, Job, Measured, Problems, Unit};
use tempfile::TempDir;

const SETTINGS: &str = "title = \"invented oud, joint 3\"\nmold = \"faceted\"\nwood = \"walnut\"\nthickness = 1.6\n\
    spare = 3\n[reading]\ngap_sd = 0.08\n[tolerance]\nforce = 5\n[planes.short]\nsole = 240\nwidth = 50\n\
    [planes.long]\nshaving = 0.06\n";
const STATIONS: &str =
    "station,along,width,bevel,rise\nneck,0,12.5,6,0\n2,120.25,30,6,80.125\ntail,300,18,5.5,0\n";
const READINGS: &str = "round,station,against,overlap,lift,rebent\n1,neck,line,0.435,0.1,\n1,2,line,-0.21,,\n\
    1,tail,line,1.2,0,\n2,neck,neighbour,-0.05,0.02,yes\n2,tail,neighbour,0,,\n";
const STROKES: &str = "round,plane,from,to,count,shaving_from,shaving_to\n1,long,neck,tail,2,neck,2\n1,short,2,tail,1,,\n";

fn folder(files: &[(&str, Vec<u8>)]) -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    for (name, bytes) in files {
        fs::write(dir.path().join(name), bytes).expect("written");
    }
    dir
}

fn joint(files: &[(&str, Vec<u8>)]) -> Result<Job, Problems> {
    job::read(folder(files).path())
}

/// The whole folder with every table passed through `change`.
fn changed(change: impl Fn(&str) -> Vec<u8>) -> Result<Job, Problems> {
    joint(&[
        ("joint.toml", SETTINGS.into()),
        ("stations.csv", change(STATIONS)),
        ("readings.csv", change(READINGS)),
        ("strokes.csv", change(STROKES)),
    ])
}

fn plain() -> Job {
    changed(|t| t.into()).expect("the plain folder")
}

#[test]
fn the_plain_folder_is_read_as_it_stands() {
    let job = plain();
    assert_eq!(job.title.as_deref(), Some("invented oud, joint 3"));
    assert_eq!(
        (job.unit, job.measured, job.spare),
        (Unit::Mm, Measured::Along, Some(3.0))
    );
    assert_eq!(
        (job.reading.gap, job.reading.line, job.tolerance.force),
        (0.08, 0.3, Some(5.0))
    );
    let names: Vec<&str> = job.planes.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["short", "long"]);
    assert_eq!((job.planes[1].sole, job.planes[1].shaving), (600.0, 0.06));
    assert_eq!(
        (job.stations[1].along, job.stations[1].rise),
        (120.25, Some(80.125))
    );
    assert_eq!(job.stations[2].bevel, 5.5_f64.to_radians());
    assert_eq!(
        (job.rounds[0].against, job.rounds[0].rebent),
        (Against::Line, false)
    );
    assert_eq!(
        (job.rounds[1].against, job.rounds[1].rebent),
        (Against::Neighbour, true)
    );
    assert_eq!(job.rounds[0].readings[1].overlap, Some(-0.21));
    assert_eq!(job.rounds[0].readings[1].lift, None);
    assert_eq!(job.rounds[1].readings[1], Default::default());
    let strokes = &job.rounds[0].strokes;
    assert_eq!(
        (
            strokes[0].plane,
            strokes[0].from,
            strokes[0].to,
            strokes[0].count
        ),
        (1, 0, 2, 2)
    );
    assert_eq!(
        (strokes[0].shaving, strokes[1].shaving),
        (Some((0, 1)), None)
    );
    assert_eq!(job.warnings, []);
}

fn semicolons(text: &str) -> String {
    text.replace(',', ";").replace('.', ",")
}

fn quoted(text: &str) -> String {
    let line = |l: &str| {
        l.split(',')
            .map(|c| format!("\"{}\"", c.replace('.', ",")))
            .collect::<Vec<_>>()
            .join(",")
    };
    text.lines().map(|l| line(l) + "\n").collect()
}

fn utf16(text: &str, bytes: fn(u16) -> [u8; 2], mark: bool) -> Vec<u8> {
    let mark = mark.then_some(0xfeff);
    mark.into_iter()
        .chain(text.encode_utf16())
        .flat_map(bytes)
        .collect()
}

#[test]
fn every_dialect_gives_the_same_joint() {
    type Change = Box<dyn Fn(&str) -> Vec<u8>>;
    let text = |f: fn(&str) -> String| -> Change { Box::new(move |t| f(t).into()) };
    let dialects: Vec<(&str, Change)> = vec![
        ("semicolons, decimal commas", text(semicolons)),
        ("semicolons, decimal points", text(|t| t.replace(',', ";"))),
        ("tabs, decimal points", text(|t| t.replace(',', "\t"))),
        (
            "tabs, decimal commas",
            text(|t| t.replace(',', "\t").replace('.', ",")),
        ),
        ("commas, quoted decimal commas", text(quoted)),
        ("sep line", text(|t| format!("sep=;\n{}", semicolons(t)))),
        (
            "quoted sep line",
            text(|t| format!("\"sep=;\"\r\n{}", semicolons(t))),
        ),
        (
            "sep line with a tab",
            text(|t| format!("SEP=\t\n{}", t.replace(',', "\t"))),
        ),
        ("sep line with a comma", text(|t| format!("sep=,\n{t}"))),
        ("byte order mark", text(|t| format!("\u{feff}{t}"))),
        (
            "byte order mark and sep line",
            text(|t| format!("\u{feff}sep=;\n{}", semicolons(t))),
        ),
        ("CRLF", text(|t| t.replace('\n', "\r\n"))),
        ("CR alone", text(|t| t.replace('\n', "\r"))),
        ("no line end at the end", text(|t| t.trim_end().into())),
        ("empty rows", text(|t| t.replace('\n', "\n\n") + ",,,\n\n")),
        ("empty rows above", text(|t| format!("\n,,\n{t}"))),
        ("empty columns", text(|t| t.replace('\n', ",,,\n"))),
        ("spaces", text(|t| t.replace(',', " ,  "))),
        (
            "capitals",
            text(|t| {
                t.replacen("station", "STATION", 1)
                    .replace("round,", "Round,")
            }),
        ),
        ("unicode minus", text(|t| t.replace("-0", "\u{2212}0"))),
        ("UTF-16 LE", Box::new(|t| utf16(t, u16::to_le_bytes, true))),
        ("UTF-16 BE", Box::new(|t| utf16(t, u16::to_be_bytes, true))),
        (
            "UTF-16 LE without a mark",
            Box::new(|t| utf16(t, u16::to_le_bytes, false)),
        ),
        (
            "UTF-16 BE without a mark",
            Box::new(|t| utf16(t, u16::to_be_bytes, false)),
        ),
        (
            "UTF-16 with tabs and decimal commas",
            Box::new(|t| {
                utf16(
                    &t.replace(',', "\t").replace('.', ",").replace('\n', "\r\n"),
                    u16::to_le_bytes,
                    true,
                )
            }),
        ),
        ("columns in another order", text(reversed)),
        (
            "notes over several lines",
            text(|t| with_column(t, "note", "\"two\nlines, and \"\"more\"\"\"")),
        ),
        (
            "notes with the other marks",
            text(|t| with_column(&semicolons(t).replace(';', ","), "note", "a;b")),
        ),
    ];
    let plain = plain();
    for (name, change) in dialects {
        if name == "notes with the other marks" {
            continue;
        }
        match changed(change) {
            Ok(job) => assert_eq!(job, plain, "{name}"),
            Err(problems) => panic!("{name}: {problems}"),
        }
    }
}

fn reversed(text: &str) -> String {
    let line = |l: &str| l.split(',').rev().collect::<Vec<_>>().join(",");
    text.lines().map(|l| line(l) + "\n").collect()
}

fn with_column(text: &str, name: &str, cell: &str) -> String {
    let line = |(i, l): (usize, &str)| format!("{l},{}\n", if i == 0 { name } else { cell });
    text.lines().enumerate().map(line).collect()
}

#[test]
fn the_repository_path_is_a_folder() {
    assert!(job::read(Path::new(env!("CARGO_MANIFEST_DIR"))).is_err());
}
