//! A bowl's folder: every dialect, every problem at once, and nothing overwritten.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::folders::copied;
use assert_cmd::Command;
use ribwright::job::Unit;
use ribwright::job::bowl::{Mark, bowl_of, read_bowl};
use ribwright::record::JournalError;
use ribwright::record::{NewMark, add_girth, add_marks};
use tempfile::TempDir;

fn run(arguments: &[&str], input: &str) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.args(arguments).write_stdin(input).output().expect("it runs")
}

fn said(output: &Output) -> String {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    text(&output.stdout) + &text(&output.stderr).replace("\n       ", " ")
}

/// Words without line ends, so that wrapping does not matter.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A fresh bowl of seven ribs with five stations.
fn fresh(more: &[&str]) -> (TempDir, PathBuf) {
    let dir = tempfile::tempdir().expect("a folder");
    let bowl = dir.path().join("my bowl");
    let path = bowl.to_str().expect("UTF-8");
    let usual = ["new", path, "--ribs", "7", "--stations", "5", "--spacer", "1,2"];
    let output = run(&[&usual, more].concat(), "");
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    (dir, bowl)
}

const MM: [&str; 4] = ["--length", "480", "--width", "348"];

fn put(bowl: &Path, name: &str, text: &str) {
    fs::write(bowl.join(name), text).expect("written");
}

#[test]
fn a_new_bowl_can_be_worked_on_at_once() {
    let (_dir, bowl) = fresh(&MM);
    let read = read_bowl(&bowl).expect("sound");
    assert_eq!((read.settings.ribs, read.joints.len()), (7, 6));
    assert_eq!(bowl_of(&bowl.join("joints/03")).expect("a joint").1, 3);
    for (command, folder) in [
        ("divide", bowl.clone()),
        ("bowl", bowl.clone()),
        ("spacer", bowl.join("joints/01")),
        ("advise", bowl.join("joints/06")),
    ] {
        let output = run(&[command, folder.to_str().expect("UTF-8")], "");
        assert_eq!(output.status.code(), Some(0), "{command}: {}", said(&output));
        let json = run(&[command, folder.to_str().expect("UTF-8"), "--json"], "");
        let value: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON alone");
        assert_eq!(value["schema"], 1);
    }
    // Ribs and spacers together fill the half circle.
    let division = ribwright::bowl::divide::divide(&read, None, false).expect("laid out");
    let half = read.joints[0].job.stations.iter().filter_map(|s| s.rise).fold(0.0, f64::max);
    let widest = division.girth.iter().copied().fold(0.0, f64::max);
    let circle = std::f64::consts::PI * half;
    // No station stands just where the outline is level.
    assert!((widest / circle - 1.0).abs() < 0.006, "{widest} {circle}");
    // Nothing is overwritten.
    let again = run(&[&["new", bowl.to_str().expect("UTF-8"), "--ribs", "9"], &MM[..]].concat(), "");
    assert_eq!(again.status.code(), Some(2));
    assert!(said(&again).contains("there already"));
    assert_eq!(read_bowl(&bowl).expect("sound"), read);
}

#[test]
fn answers_come_from_a_pipe_too() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("b");
    let path = path.to_str().expect("UTF-8");
    let output = run(&["new", path], "many\n15\n480,0\n348\n\n\n\n\n\n\n");
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert!(said(&output).contains("'many': expected 3 to 99 ribs"));
    let ended = run(&["new", &format!("{path}2")], "15\n");
    assert_eq!(ended.status.code(), Some(2));
    assert!(said(&ended).contains("give --length"), "{}", said(&ended));
}

#[test]
fn inches_are_inches_throughout() {
    let dir = tempfile::tempdir().expect("a folder");
    let bowl = dir.path().join("inch");
    let path = bowl.to_str().expect("UTF-8");
    let opening = ["--length", "19", "--width", "13,5", "--units", "inch", "--mold", "faceted"];
    let output = run(&[&["new", path, "--ribs", "13", "--spacer", "0.05"], &opening[..]].concat(), "");
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let read = read_bowl(&bowl).expect("sound");
    assert_eq!(read.settings.unit, Unit::Inch);
    assert!((read.settings.spacer.expect("there").width - 1.27).abs() < 1e-6);
    let widest = read.joints[0].job.stations.iter().map(|s| s.width).fold(0.0, f64::max);
    // 2 R sin(90/N), R half of 13.5 inches; no station stands just at the widest place.
    // And twelve of thirteen ribs give room to a spacer.
    let closed = 13.5 * 25.4 * (std::f64::consts::PI / 26.0).sin() - 1.27 * 12.0 / 13.0;
    assert!((widest - closed).abs() < 0.5, "{widest} {closed}");
    // A girth of millimetres is noticed.
    put(&bowl, "girth.csv", "after,station,girth\n0,1,500\n");
    let output = run(&["divide", path], "");
    assert!(said(&output).contains("millimetres, while the folder's units are inches"), "{}", said(&output));
}

/// A girth ten times too short may have been read in centimetres where millimetres are
/// meant, but not where inches are.
#[test]
fn centimetres_are_suspected_only_among_millimetres() {
    let inch = ["--length", "19", "--width", "13.5", "--units", "inch"];
    for (opening, spacer, suspected) in [(&MM[..], "2", true), (&inch, "0.08", false)] {
        let dir = tempfile::tempdir().expect("a folder");
        let bowl = dir.path().join("bowl");
        let path = bowl.to_str().expect("UTF-8");
        let made = run(
            &[&["new", path, "--ribs", "7", "--stations", "5", "--spacer", spacer], opening].concat(),
            "",
        );
        assert_eq!(made.status.code(), Some(0), "{}", said(&made));
        let read = read_bowl(&bowl).expect("sound");
        let laid = ribwright::bowl::divide::divide(&read, None, false).expect("laid out");
        let tenth = |i: usize| laid.girth[i] / 10.0 / read.settings.unit.mm();
        let row = |after: usize, i: usize| {
            format!("{after},{},{:.3}\n", i + 1, tenth(i) * (7 - after) as f64 / 7.0)
        };
        let rows: String = (0..10).map(|k| row(k / 5, k % 5)).collect();
        put(&bowl, "girth.csv", &format!("after,station,girth\n{rows}"));
        let told = flat(&said(&run(&["divide", path], "")));
        assert!(told.contains("leaves no room for 6 ribs"), "{told}");
        assert_eq!(told.contains("look like centimetres"), suspected, "{told}");
        assert_eq!(told.contains("Measure the girth there again"), !suspected, "{told}");
    }
}

#[test]
fn tables_of_every_spreadsheet_are_read() {
    let (_dir, bowl) = fresh(&MM);
    put(
        &bowl,
        "girth.csv",
        "sep=;\r\nStation;After;Girth\r\n1;1;150,5\r\n2;1;300,5\r\n3;1;480,5\r\n4;1;460,5\r\n5;1;150,5\r\n",
    );
    put(&bowl, "time.csv", "joint\tminutes\n1\t25,5\n1\t10\n");
    put(&bowl, "joints/01/marks.csv", "station,compass,edge\n1,10.25,12\n3,30.5,32.125\n");
    let read = read_bowl(&bowl).expect("sound");
    assert_eq!(read.girths[0].after, 1);
    assert_eq!(read.girths[0].at[2], Some(480.5));
    assert_eq!(read.minutes, [(1, 25.5), (1, 10.0)]);
    let marks = &read.joint(1).expect("there").marks;
    assert_eq!(marks[2], Some(Mark { compass: 30.5, edge: 32.125, reference: 0.0 }));
    assert_eq!(marks[1], None);
}

#[test]
fn every_problem_is_told_at_once_with_its_place() {
    let (_dir, bowl) = fresh(&MM);
    let settings = fs::read_to_string(bowl.join("bowl.toml")).expect("there");
    put(
        &bowl,
        "bowl.toml",
        &settings.replace("ribs = 7", "ribs = 7.5\nribbs = 2").replace("width = 1.2", "width = \"wide\""),
    );
    put(&bowl, "girth.csv", "after,station,girth\n1,1,150\n1,1,151\n1,9,200\n99,2,250\n1,3,x\n");
    put(&bowl, "widths.csv", "rib,station\n1,1\n");
    put(&bowl, "joints/02/marks.csv", "station,compass,edge\n1,,12\n2,5,900\n");
    let output = run(&["divide", bowl.to_str().expect("UTF-8")], "");
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let said = said(&output);
    for part in [
        "key ribs: found '7.5'; expected a whole number of ribs",
        "key ribbs",
        "write 'ribs' if that was meant",
        "found '\"wide\"'; expected a width of a spacer from 0.2 to 10 mm",
        "girth.csv, row 3, column station: found '1'; expected one row for a station with after 1; row 2 has the same",
        "girth.csv, row 4, column station: found '9'",
        "girth.csv, row 5, column after: found '99'",
        "girth.csv, row 6, column girth: found 'x'",
        "widths.csv, row 1, column width: expected a column width",
        "marks.csv, row 2, column compass: nothing stands there",
        "marks.csv, row 3, column edge: found '900'",
    ] {
        assert!(said.contains(part), "`{part}` in:\n{said}");
    }
    assert!(said.lines().all(|l| l.contains("Next: ")), "{said}");
}

#[test]
fn a_joint_of_another_shape_is_named() {
    let (_dir, bowl) = fresh(&MM);
    let file = bowl.join("joints/04/stations.csv");
    let text = fs::read_to_string(&file).expect("there");
    fs::write(&file, text.replace("\n2,", "\ntwo,")).expect("written");
    let problems = read_bowl(&bowl).expect_err("named");
    let text = problems.to_string();
    assert!(
        text.contains("joints/04/stations.csv")
            && text.contains("found 'two'; expected '2' as station number 2, as in bowl.toml"),
        "{text}"
    );
    // The joint itself can be worked on, and says what is not learned.
    let output = run(&["advise", bowl.join("joints/04").to_str().expect("UTF-8")], "");
    assert_eq!(output.status.code(), Some(0));
    let output = run(&["mark", bowl.join("joints/01").to_str().expect("UTF-8")], "");
    assert_eq!(output.status.code(), Some(2));
    assert!(flat(&said(&output)).contains("joints/04/stations.csv, column station: found 'two'"));
}

#[test]
fn what_is_no_bowl_is_told_from_one() {
    let dir = tempfile::tempdir().expect("a folder");
    let case = |name: &str, expected: &str| {
        let output = run(&["bowl", dir.path().join(name).to_str().expect("UTF-8")], "");
        assert_eq!(output.status.code(), Some(2));
        assert!(said(&output).contains(expected), "{}", said(&output));
    };
    case("nothing", "expected the folder of a bowl, but there is none");
    fs::create_dir(dir.path().join("empty")).expect("made");
    case("empty", "lay the bowl out with `ribwright new`");
    let plain = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings/plain");
    let output = run(&["divide", plain.to_str().expect("UTF-8")], "");
    assert!(said(&output).contains("this is a joint by itself"), "{}", said(&output));
    let output = run(&["mark", plain.to_str().expect("UTF-8")], "");
    assert!(said(&output).contains("no joint of a bowl"), "{}", said(&output));
}

#[test]
fn rows_are_added_and_none_is_changed() {
    let (_dir, bowl) = fresh(&MM);
    let girth = [Some(150.5), Some(300.25), None, Some(460.0), Some(150.0)];
    add_girth(&bowl, 1, &girth).expect("added");
    let first = fs::read(bowl.join("girth.csv")).expect("there");
    add_girth(&bowl, 2, &girth).expect("added");
    let both = fs::read(bowl.join("girth.csv")).expect("there");
    assert!(both.starts_with(&first));
    let read = read_bowl(&bowl).expect("sound");
    assert_eq!(read.girths.iter().map(|g| g.after).collect::<Vec<_>>(), [1, 2]);
    assert_eq!(read.girths[1].at, girth);
    // The same again would be two rows for one station.
    let twice = add_girth(&bowl, 2, &girth).expect_err("refused");
    assert!(matches!(twice, JournalError::Rows(_)), "{twice}");
    assert!(twice.to_string().contains("my bowl/girth.csv, row 10"), "{twice}");
    assert_eq!(fs::read(bowl.join("girth.csv")).expect("there"), both);
    let mark = Mark { compass: 10.0, edge: 11.5, reference: 0.0 };
    add_marks(&bowl, 2, &[NewMark { station: "4".into(), mark }]).expect("added");
    assert_eq!(read_bowl(&bowl).expect("sound").joint(2).expect("there").marks[3], Some(mark));
    // A decimal comma stays one.
    put(&bowl, "girth.csv", "after;station;girth\n1;1;150,5\n");
    add_girth(&bowl, 2, &[Some(149.25), None, None, None, None]).expect("added");
    assert!(fs::read_to_string(bowl.join("girth.csv")).expect("there").ends_with("2;1;149,25\n"));
}

#[test]
fn a_mark_that_is_off_is_named_before_wood_is_cut() {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings/bowl/joints/02/marks.csv");
    let demo = fs::read_to_string(dir).expect("there");
    let copy = tempfile::tempdir().expect("a folder");
    copied(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings/bowl"), copy.path());
    let file = copy.path().join("joints/02/marks.csv");
    let mut rows: Vec<String> = demo.lines().map(str::to_owned).collect();
    let cells: Vec<&str> = demo.lines().nth(7).expect("station 7").split(',').collect();
    let wrong: f64 = cells[1].parse::<f64>().expect("a number") + 2.5;
    rows[7] = format!("{},{wrong:.1},{},{}", cells[0], cells[2], cells[3]);
    fs::write(&file, rows.join("\n") + "\n").expect("written");
    let output = run(&["mark", copy.path().join("joints/02").to_str().expect("UTF-8")], "");
    assert_eq!(output.status.code(), Some(0));
    let said = flat(&said(&output));
    assert!(said.starts_with("Measure station 7 again before you cut: its compass distance"), "{said}");
    assert!(!said.contains("Strokes"), "{said}");
}

#[test]
fn wood_that_is_not_known_is_told() {
    let (_dir, bowl) = fresh(&MM);
    let settings = fs::read_to_string(bowl.join("bowl.toml")).expect("there");
    put(&bowl, "bowl.toml", &format!("wood = \"moon wood\"\n{settings}"));
    let output = run(&["moves", bowl.to_str().expect("UTF-8")], "");
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("to one of black walnut"), "{}", said(&output));
    let output = run(&["moves", bowl.to_str().expect("UTF-8"), "--from", "20", "--to", "8"], "");
    assert!(said(&output).contains("6 to 14 %"), "{}", said(&output));
    assert_eq!(read_bowl(&bowl).expect("sound").settings.unit, Unit::Mm);
}
