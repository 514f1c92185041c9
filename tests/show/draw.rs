//! `draw` and `report` at the command line: what they write, what they refuse.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use tempfile::TempDir;

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command
}

/// Runs and returns exit status, standard output, standard error.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = program().args(arguments).output().expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap_or(-1), text(&output.stdout), text(&output.stderr))
}

fn files(dir: &Path) -> Vec<String> {
    let names = fs::read_dir(dir).expect("there").map(|e| e.expect("an entry").file_name());
    let mut names: Vec<String> = names.map(|n| n.to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn home() -> TempDir {
    tempfile::tempdir().expect("a folder")
}

#[test]
fn draw_writes_every_picture_and_says_so() {
    let home = home();
    let dir = home.path().join("new/folder");
    let (status, out, err) = run(&["draw", "demo-readings/plain", "--into", &dir.display().to_string()]);
    assert_eq!((status, out.as_str()), (0, ""), "{err}");
    let names = ["both-edges", "history", "lever", "passes", "removal-map", "sections", "space"];
    let mut wanted: Vec<String> =
        names.iter().flat_map(|n| [format!("{n}.png"), format!("{n}.svg")]).collect();
    wanted.extend(["passes.gif".to_owned(), "space.gif".to_owned()]);
    wanted.sort();
    assert_eq!(files(&dir), wanted);
    assert_eq!(err.lines().count(), wanted.len());
    assert!(wanted.iter().all(|file| err.contains(file.as_str())));
}

#[test]
fn pictures_that_are_not_wanted_or_not_there_are_left_out() {
    let home = home();
    let into = home.path().display().to_string();
    let (status, _, err) =
        run(&["draw", "demo-readings/fitted", "--into", &into, "--only", "passes,history"]);
    assert_eq!(status, 0, "{err}");
    assert_eq!(files(home.path()), ["history.png", "history.svg"]);
    assert!(err.contains("no strokes are advised"), "{err}");
}

#[test]
fn the_eye_moves_and_rounds_go_back() {
    let home = home();
    let into = home.path().display().to_string();
    let svg = |more: &[&str]| {
        let some = ["draw", "demo-readings/fitted", "--into", &into, "--only", "space"];
        let (status, _, err) = run(&[&some[..], more].concat());
        assert_eq!(status, 0, "{err}");
        fs::read_to_string(home.path().join("space.svg")).expect("drawn")
    };
    let usual = svg(&[]);
    assert_ne!(svg(&["--turn", "-30", "--tilt", "60,5"]), usual);
    let first = svg(&["--round", "1"]);
    assert!(first.contains("round 1") && usual.contains("round 4"));
}

#[test]
fn what_is_wrong_is_said_with_the_next_step() {
    let home = home();
    let into = home.path().display().to_string();
    for (command, more, word) in [
        ("draw", ["--tilt", "95"], "10 to 90"),
        ("draw", ["--turn", "steep"], "no number"),
        ("draw", ["--round", "9"], "rounds 1 to 2"),
        ("draw", ["--only", "maps"], "removal-map"),
        ("report", ["--round", "9"], "rounds 1 to 2"),
        ("report", ["--round", "0"], "1 to 999"),
    ] {
        let into = if command == "report" { format!("{into}/report.html") } else { into.clone() };
        let (status, _, err) = run(&[&[command, "demo-readings/plain", "--into", &into], &more[..]].concat());
        assert_eq!(status, 2, "{err}");
        assert!(err.contains(word), "{err}");
    }
    assert!(files(home.path()).is_empty());
}

#[test]
fn report_writes_one_file_and_makes_its_folder() {
    let home = home();
    let file = home.path().join("new/card.html");
    let (status, out, err) = run(&["report", "demo-readings/inch", "--into", &file.display().to_string()]);
    assert_eq!((status, out.as_str()), (0, ""), "{err}");
    let page = fs::read_to_string(&file).expect("written");
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains("Lengths in inches"));
    let (status, _, err) =
        run(&["report", "demo-readings/inch", "--into", &home.path().display().to_string()]);
    assert_eq!(status, 2);
    assert!(err.contains("is a folder: give a file"), "{err}");
}

/// A joint of one station has no estimate: what can be drawn is, the rest is said.
#[test]
fn a_joint_without_an_estimate_still_draws_what_it_can() {
    let home = home();
    let table = home.path().join("one.csv");
    let row = "station,along,width,bevel,round,against,overlap\na,10,20,5,1,neighbour,-0.1\n";
    fs::write(&table, row).expect("written");
    let into = home.path().join("pictures");
    let arguments = ["draw", &table.display().to_string(), "--into", &into.display().to_string()];
    let (status, _, err) = run(&arguments);
    assert_eq!(status, 0, "{err}");
    let drawn = ["removal-map", "sections"].map(|n| [format!("{n}.png"), format!("{n}.svg")]);
    assert_eq!(files(&into), drawn.concat());
    assert!(err.contains("ribwright advise"), "{err}");
}
