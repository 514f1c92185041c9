//! `advise` on broken copies of every demo file: exit status 2, nothing on
//! standard output, and on standard error the file, the row, the column and a
//! next step.

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;

const FOLDERS: [&str; 5] = ["plain", "shallow", "mistyped", "fitted", "inch"];
const SINGLE: &str = "first-try.csv";

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings").join(name)
}

/// A table as cells, with what is needed to write it again.
#[derive(Clone)]
struct Table {
    rows: Vec<Vec<String>>,
    delimiter: char,
    end: &'static str,
}

impl Table {
    fn of(text: &str) -> Table {
        let text = text.trim_start_matches('\u{feff}');
        let delimiter = if text.contains(';') { ';' } else { ',' };
        let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let cells = |line: &str| line.split(delimiter).map(str::to_string).collect();
        Table { rows: text.lines().map(cells).collect(), delimiter, end }
    }

    fn text(&self) -> String {
        let delimiter = self.delimiter.to_string();
        self.rows.iter().map(|r| r.join(&delimiter) + self.end).collect()
    }

    fn column(&self, name: &str) -> Option<usize> {
        self.rows[0].iter().position(|c| c == name)
    }

    /// With a cell of another content; rows count as a spreadsheet counts them.
    fn with(&self, row: usize, column: &str, content: &str) -> Table {
        let mut table = self.clone();
        let at = self.column(column).unwrap();
        table.rows[row - 1][at] = content.into();
        table
    }

    fn without_column(&self, name: &str) -> Table {
        let at = self.column(name).unwrap();
        let mut table = self.clone();
        table.rows.iter_mut().for_each(|r| drop(r.remove(at)));
        table
    }

    fn without_row(&self, row: usize) -> Table {
        let mut table = self.clone();
        table.rows.remove(row - 1);
        table
    }

    /// The names of two columns changed over, their cells left where they are.
    fn swapped(&self, one: &str, other: &str) -> Table {
        let (a, b) = (self.column(one).unwrap(), self.column(other).unwrap());
        let mut table = self.clone();
        table.rows[0].swap(a, b);
        table
    }
}

/// A fault in one file and what must be said about it.
struct Fault {
    what: &'static str,
    file: String,
    text: Vec<u8>,
    /// Pieces of the message, the file's name apart.
    said: Vec<String>,
}

fn fault(what: &'static str, file: &str, text: impl Into<Vec<u8>>, said: &[&str]) -> Fault {
    let said = said.iter().map(ToString::to_string).collect();
    Fault { what, file: file.into(), text: text.into(), said }
}

/// What any table may suffer, at its row 3 and the number in `column`.
fn any_table(file: &str, table: &Table, column: &str, needed: &str) -> Vec<Fault> {
    let at = format!("row 3, column {column}");
    // The other decimal mark, in quotes so that the cell stays whole.
    let foreign = if table.delimiter == ';' { "1.5" } else { "\"1,5\"" };
    vec![
        fault(
            "missing column",
            file,
            table.without_column(needed).text(),
            &["row 1", &format!("column {needed}")],
        ),
        fault(
            "text in a number cell",
            file,
            table.with(3, column, "about 2").text(),
            &[&at, "found 'about 2'"],
        ),
        fault("another decimal mark", file, table.with(3, column, foreign).text(), &[&at]),
        fault("a unit too many", file, table.with(3, column, "2 furlongs").text(), &[&at]),
        fault("a formula's error", file, table.with(3, column, "#DIV/0!").text(), &[&at, "#DIV/0!"]),
        fault("empty file", file, "", &["expected"]),
        fault("not a text", file, [0xff, 0x00, 0x9f, 0x92, 0x96, 0x00, 0x01], &["expected"]),
        fault("unclosed quote", file, table.with(3, column, "\"2").text(), &["row 3"]),
    ]
}

fn stations(table: &Table) -> Vec<Fault> {
    let file = "stations.csv";
    let last = table.rows.len();
    let last_name = table.rows[last - 1][0].clone();
    let mut cut = table.clone();
    cut.rows[last - 1].truncate(2);
    let mut faults = any_table(file, table, "width", "width");
    faults.extend([
        fault("swapped columns", file, table.swapped("along", "width").text(), &["row ", "column "]),
        fault("bevel from the face", file, table.with(4, "bevel", "84").text(), &["row 4, column bevel"]),
        fault(
            "a name twice",
            file,
            table.with(3, "station", "1").text(),
            &["row 3, column station", "row 2"],
        ),
        fault("a place that goes back", file, table.with(3, "along", "0.2").text(), &["row 3, column along"]),
        fault("one rise missing", file, table.with(5, "rise", "").text(), &["row 5, column rise"]),
        fault("truncated", file, cut.text(), &[&format!("row {last}, column width"), "nothing stands there"]),
    ]);
    let mut gone = fault("missing station", file, table.without_row(last).text(), &["column station"]);
    // The stations that are left are sound: it is the reading that is left over.
    gone.said.extend(["readings.csv, row ".into(), format!("found '{last_name}'")]);
    faults.push(gone);
    faults
}

fn readings(table: &Table) -> Vec<Fault> {
    let file = "readings.csv";
    let mut faults = any_table(file, table, "overlap", "overlap");
    faults.extend([
        fault("swapped columns", file, table.swapped("overlap", "lift").text(), &["column lift", "row "]),
        fault("swapped names", file, table.swapped("against", "overlap").text(), &["row 2, column against"]),
        fault(
            "unknown station",
            file,
            table.with(4, "station", "3b").text(),
            &["row 4, column station", "'3b'"],
        ),
        fault("lost decimal mark", file, table.with(3, "lift", "400").text(), &["row 3, column lift", "400"]),
        fault("a lift below zero", file, table.with(3, "lift", "-0.2").text(), &["row 3, column lift"]),
        fault("against nothing", file, table.with(2, "against", "bowl").text(), &["row 2, column against"]),
        fault("two in one round", file, table.with(3, "against", "line").text(), &["row 3, column against"]),
        fault("a round too far", file, table.with(2, "round", "9").text(), &["row 2, column round"]),
        fault("read twice", file, table.with(3, "station", "1").text(), &["row 3, column station"]),
    ]);
    faults
}

fn strokes(table: &Table) -> Vec<Fault> {
    let file = "strokes.csv";
    let mut faults = any_table(file, table, "count", "count");
    faults.extend([
        fault("swapped columns", file, table.swapped("plane", "count").text(), &["row 2, column plane"]),
        fault(
            "unknown plane",
            file,
            table.with(2, "plane", "short").text(),
            &["row 2, column plane", "long"],
        ),
        fault("unknown station", file, table.with(2, "to", "99").text(), &["row 2, column to", "'99'"]),
        fault("the wrong way round", file, table.with(2, "from", "5").with(2, "to", "2").text(), &["row 2"]),
        fault("half a stroke", file, table.with(2, "count", "1.5").text(), &["row 2, column count"]),
        fault("a round without readings", file, table.with(2, "round", "8").text(), &["row 2, column round"]),
    ]);
    faults
}

/// The line of a text that starts with a word, counted from 1.
fn line(text: &str, word: &str) -> String {
    format!("line {}, key ", 1 + text.lines().position(|l| l.starts_with(word)).unwrap())
}

fn settings(text: &str) -> Vec<Fault> {
    let file = "joint.toml";
    let inch = text.contains("\"inch\"");
    let (own, other) = if inch { ("\"inch\"", "\"mm\"") } else { ("\"mm\"", "\"inch\"") };
    let spare = text.lines().find(|l| l.starts_with("spare")).unwrap();
    let with = |old: &str, new: &str| text.replacen(old, new, 1);
    let key = |word: &str, said: &str| line(text, word) + said;
    vec![
        // The tables of the folder no longer fit.
        fault("wrong unit", file, with(own, other), &["stations.csv", "along", "units", "inch"]),
        fault("unknown unit", file, with(own, "\"cubit\""), &[&key("units", "units"), "cubit"]),
        fault(
            "unknown key",
            file,
            with("thickness", "thicknes"),
            &[&key("thickness", "thicknes"), "thickness"],
        ),
        fault("text for a number", file, with(spare, "spare = \"much\""), &[&key("spare", "spare"), "much"]),
        fault("decimal comma", file, with(spare, "spare = 3,0"), &["line "]),
        fault("beyond reason", file, with(spare, "spare = 4000"), &[&key("spare", "spare"), "4000"]),
        fault(
            "per cent",
            file,
            with("confidence = 0.9", "confidence = 90"),
            &[&key("confidence", "confidence"), "90"],
        ),
        fault("unknown mold", file, with("\"round\"", "\"square\""), &[&key("mold", "mold"), "faceted"]),
        fault("unclosed quote", file, with("(invented)\"", "(invented)"), &["line 1"]),
        fault("truncated", file, &text[..text.find("= ").unwrap() + 1], &["line 1"]),
        fault("not a text", file, [0xff, 0x00, 0x9f, 0x92], &["expected"]),
    ]
}

fn single(table: &Table) -> Vec<Fault> {
    let file = SINGLE;
    let last = table.rows.len();
    let mut cut = table.clone();
    cut.rows[last - 1].truncate(2);
    let mut faults = any_table(file, table, "width", "width");
    faults.extend([
        fault("swapped columns", file, table.swapped("along", "lift").text(), &["column "]),
        fault("truncated", file, cut.text(), &[&format!("row {last}, column width")]),
        fault("a hole", file, table.with(6, "bevel", "").text(), &["row 6, column bevel"]),
        fault("unknown word", file, table.with(2, "against", "wall").text(), &["row 2, column against"]),
        fault("lost decimal mark", file, table.with(3, "overlap", "150").text(), &["row 3, column overlap"]),
    ]);
    faults
}

fn advise(path: &Path, json: bool) -> std::process::Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.arg("advise").arg(path);
    if json {
        command.arg("--json");
    }
    command.output().unwrap()
}

/// Status 2, standard output empty, and on standard error all of `said` and a next step.
fn explained(path: &Path, what: &str, said: &[String]) {
    for json in [false, true] {
        let output = advise(path, json);
        let error = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ");
        let here = format!("{what}, {}:\n{error}", path.display());
        assert_eq!(output.status.code(), Some(2), "{here}");
        assert!(output.stdout.is_empty(), "{here}");
        for piece in said {
            assert!(error.contains(piece.as_str()), "'{piece}' is not said: {here}");
        }
        let lines: Vec<&str> = error.lines().filter(|l| l.starts_with("error: ")).collect();
        assert!(!lines.is_empty() && lines.iter().all(|l| l.contains("Next: ")), "no next step: {here}");
    }
}

/// A copy of a demo folder with one file broken.
fn check(folder: &str, fault: &Fault) {
    let dir = tempfile::tempdir().unwrap();
    let copy = dir.path().join(folder);
    fs::create_dir(&copy).unwrap();
    for file in fs::read_dir(demo(folder)).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), copy.join(file.file_name())).unwrap();
    }
    fs::write(copy.join(&fault.file), &fault.text).unwrap();
    let mut said = fault.said.clone();
    // A fault in one file may come to light in another: then the list says which.
    if !said.iter().any(|s| s.contains(".csv")) {
        said.push(fault.file.clone());
    }
    explained(&copy, fault.what, &said);
}

/// Breaks one file of every folder that has it.
fn each_folder(file: &str, faults: impl Fn(&str) -> Vec<Fault>) {
    let mut broken = 0;
    for folder in FOLDERS {
        let Ok(text) = fs::read_to_string(demo(folder).join(file)) else { continue };
        for fault in faults(&text) {
            check(folder, &fault);
            broken += 1;
        }
    }
    assert!(broken > 20, "{broken}");
}

#[test]
fn broken_stations_are_explained() {
    each_folder("stations.csv", |text| stations(&Table::of(text)));
}

#[test]
fn broken_readings_are_explained() {
    each_folder("readings.csv", |text| readings(&Table::of(text)));
}

#[test]
fn broken_strokes_are_explained() {
    each_folder("strokes.csv", |text| strokes(&Table::of(text)));
}

#[test]
fn broken_settings_are_explained() {
    each_folder("joint.toml", settings);
}

#[test]
fn a_broken_single_table_is_explained() {
    let text = fs::read_to_string(demo(SINGLE)).unwrap();
    for fault in single(&Table::of(&text)) {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join(SINGLE);
        fs::write(&path, &fault.text).unwrap();
        let mut said = fault.said.clone();
        said.push(SINGLE.into());
        explained(&path, fault.what, &said);
    }
}

#[test]
fn an_unquoted_decimal_comma_in_a_table_with_commas_is_named() {
    each_folder("readings.csv", |text| {
        let row = text.lines().position(|l| l.contains("-0.")).unwrap() + 1;
        let broken: String = text
            .lines()
            .enumerate()
            .map(|(i, l)| if i + 1 == row { l.replacen("-0.", "-0,", 1) } else { l.into() } + "\n")
            .collect();
        let said = format!("row {row}");
        (0..5)
            .map(|_| fault("decimal comma", "readings.csv", broken.as_str(), &[&said, "decimal comma"]))
            .collect()
    });
}

#[test]
fn missing_files_and_folders_are_explained() {
    let missing = demo("no-such-joint");
    explained(&missing, "missing folder", &["no-such-joint".into(), "spelling".into()]);
    for folder in FOLDERS {
        let dir = tempfile::tempdir().unwrap();
        for file in ["joint.toml", "readings.csv"] {
            fs::copy(demo(folder).join(file), dir.path().join(file)).unwrap();
        }
        explained(dir.path(), "no stations", &["stations.csv".into()]);
        // A table of readings alone is not a single table.
        explained(
            &demo(folder).join("readings.csv"),
            "a part alone",
            &["readings.csv".into(), "give the folder".into()],
        );
    }
    // An empty folder.
    let dir = tempfile::tempdir().unwrap();
    explained(dir.path(), "empty folder", &["stations.csv".into()]);
}

#[test]
fn all_faults_of_a_folder_are_reported_at_once() {
    let dir = tempfile::tempdir().unwrap();
    let copy = dir.path();
    for file in ["joint.toml", "stations.csv", "readings.csv", "strokes.csv"] {
        let text = fs::read_to_string(demo("plain").join(file)).unwrap();
        let broken = match file {
            "joint.toml" => text.replace("confidence = 0.9", "confidence = 90"),
            "stations.csv" => Table::of(&text).with(3, "bevel", "x").text(),
            "readings.csv" => Table::of(&text).with(4, "lift", "400").text(),
            _ => Table::of(&text).with(2, "plane", "short").text(),
        };
        fs::write(copy.join(file), broken).unwrap();
    }
    let said = ["joint.toml, line", "stations.csv, row 3, column bevel", "readings.csv, row 4, column lift"];
    explained(copy, "four faults", &said.map(String::from));
}
