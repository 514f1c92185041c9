//! `confirmed.log` and `ribwright recover`: what a spreadsheet's older copy took away is told,
//! named, and brought back.

use std::fs;
use std::path::Path;

use crate::typing::{SECOND, Said, enter, folder, job, plain, planed, read, run, second, text};
use ribwright::job::{Figure, Job, Reading, RoundNumber, Unit};
use ribwright::record::{self, LostRound, NewRound};
use serde_json::Value;
use tempfile::TempDir;

const LOG: &str = "confirmed.log";

fn recover(dir: &Path, options: &[&str], lines: &[&str]) -> Said {
    run("recover", dir, options, lines)
}

/// The warning that something is not as it was confirmed.
fn warned(dir: &Path) -> Option<String> {
    let said = run("advise", dir, &["--json"], &[]).well();
    let answer: Value = serde_json::from_str(&said.out).expect("JSON");
    let warnings = answer["warnings"].as_array().expect("a list").clone();
    let told = warnings.iter().find(|w| w["code"] == "not-as-confirmed")?;
    Some(told["text"].as_str().expect("text").to_owned())
}

fn lost(dir: &Path) -> Vec<LostRound> {
    record::lost(dir, &read(dir)).rounds
}

/// Two rounds, the second confirmed; and the table as it was before that.
fn twice() -> (TempDir, String) {
    let dir = plain();
    let older = text(dir.path(), "readings.csv");
    enter(dir.path(), &SECOND).well();
    (dir, older)
}

fn put(dir: &Path, name: &str, table: &str) {
    fs::write(dir.join(name), table).expect("written");
}

#[test]
fn a_round_that_an_older_copy_took_away_is_told_and_brought_back() {
    let (dir, older) = twice();
    assert_eq!(warned(dir.path()), None);
    let before = read(dir.path());
    put(dir.path(), "readings.csv", &older);
    let told = warned(dir.path()).expect("told");
    let command = format!("`ribwright recover {}`", dir.path().display());
    assert!(told.starts_with("Not as it was confirmed: round 2 is missing.") && told.contains(&command));
    let said = recover(dir.path(), &[], &["what?", "n"]).well();
    assert!(said.out.contains("Round 2 is missing:\n"), "{}", said.out);
    assert!(said.out.contains("  4        overlap      -0.25   not read\n"), "{}", said.out);
    assert!(said.out.ends_with("Nothing was changed.\n"), "{}", said.out);
    assert_eq!(text(dir.path(), "readings.csv"), older);
    // Nobody types over it unknowing.
    let said = enter(dir.path(), &["stop"]).well();
    let recover_it = format!("\n  ribwright recover {}\n", dir.path().display());
    assert!(said.flat().contains("Mind: not as it was confirmed: round 2 is missing"), "{}", said.out);
    assert!(said.out.contains(&recover_it), "{}", said.out);
    let said = recover(dir.path(), &[], &["y"]).well();
    assert!(said.out.contains("Brought back: all is as it was confirmed.\nNext: ribwright advise"));
    assert_eq!(read(dir.path()), before);
    assert!(text(dir.path(), "readings.csv").starts_with(&older));
    assert_eq!(warned(dir.path()), None);
    let said = recover(dir.path(), &[], &[]).well();
    assert_eq!(said.out, "Nothing is missing: the tables hold all that was confirmed here.\n");
}

/// Strokes told after a round that is gone make the folder unreadable: the way back is told first.
#[test]
fn a_round_is_brought_back_below_its_strokes() {
    let (dir, older) = twice();
    let stroke = ribwright::record::NewStroke {
        plane: "long".into(),
        from: "1".into(),
        to: "3".into(),
        count: 2,
        shaving: None,
        note: None,
    };
    record::add_strokes(dir.path(), RoundNumber::at(1), &[stroke]).expect("added");
    let before = read(dir.path());
    put(dir.path(), "readings.csv", &older);
    for command in ["advise", "enter", "planed"] {
        let said = run(command, dir.path(), &[], &[]);
        assert_eq!(said.code, Some(2), "{command}: {}", said.out);
        let first = said.err.lines().next().unwrap_or_default();
        assert!(first.contains("readings.csv: expected round 2 too, which was confirmed"), "{first}");
        assert!(said.err.contains(&format!("bring it back: ribwright recover {}.", dir.path().display())));
    }
    recover(dir.path(), &["--yes"], &[]).well();
    assert_eq!(read(dir.path()), before);
}

#[test]
fn an_altered_reading_is_named_brought_back_or_kept() {
    let (dir, _) = twice();
    let table = text(dir.path(), "readings.csv");
    let other = table
        .replace("2,4,neighbour,-0.25,", "2,4,neighbour,-2.5,")
        .replace("2,1,neighbour,-0.7,0.1", "2,1,neighbour,-0.7,");
    put(dir.path(), "readings.csv", &other);
    let told = warned(dir.path()).expect("told");
    assert!(told.contains(": round 2 differs at stations 1 and 4. If"), "{told}");
    let kept = tempfile::tempdir().expect("a folder");
    crate::folders::copied(dir.path(), kept.path());
    let said = recover(dir.path(), &["--yes"], &[]).well();
    assert!(said.out.contains("  4        overlap      -0.25      -2.50\n"), "{}", said.out);
    assert!(said.out.contains("  1        lift          0.10   not read\n"), "{}", said.out);
    assert_eq!(read(dir.path()).rounds[1], second());
    let table = text(dir.path(), "readings.csv");
    assert!(table.contains("overlap was -2.5 until") && table.contains("lift was not read until"), "{table}");
    // Changed on purpose it is kept, and what is changed after that is told again.
    let said = recover(kept.path(), &[], &["keep"]).well();
    assert!(said.out.contains("Kept as it is.\n"), "{}", said.out);
    assert_eq!((warned(kept.path()), text(kept.path(), "readings.csv")), (None, other.clone()));
    put(kept.path(), "readings.csv", &other.replace("-2.5", "-2.6"));
    assert_eq!(lost(kept.path())[0].readings[0].was, Figure::Number(-2.5));
    recover(kept.path(), &["--accept"], &[]).well();
    assert_eq!(lost(kept.path()), []);
}

/// A spreadsheet changes bytes, delimiter and decimals; makers copy folders and add rows.
#[test]
fn nothing_is_said_where_no_number_changed() {
    let (dir, _) = twice();
    let table = text(dir.path(), "readings.csv");
    let saved = table.replace('.', "\u{1}").replace(',', ";").replace('\u{1}', ",").replace('\n', "\r\n");
    put(dir.path(), "readings.csv", &format!("{saved}3;1;neighbour;-0,50;0,10\r\n3;3;neighbour;0;0,2\r\n"));
    assert_eq!(read(dir.path()).rounds.len(), 3, "a round added by hand");
    assert_eq!(lost(dir.path()), []);
    let copy = tempfile::tempdir().expect("a folder");
    crate::folders::copied(dir.path(), copy.path());
    assert_eq!(lost(copy.path()), []);
    // Nor where there never was a log, or what was not read is filled in.
    fs::remove_file(copy.path().join(LOG)).expect("removed");
    put(copy.path(), "readings.csv", "round,station,against,overlap\n1,1,neighbour,-0.5\n");
    assert!(record::lost(copy.path(), &read(copy.path())).is_nothing());
    let sparse = plain();
    enter(sparse.path(), &["n", "n", "-0.7", "", "", "", "", "", "", "", "", "", "y"]).well();
    let filled = text(sparse.path(), "readings.csv").replace("2,1,neighbour,-0.7,", "2,1,neighbour,-0.7,0.2");
    put(sparse.path(), "readings.csv", &format!("{filled}2,2,neighbour,-0.3,0.1\n"));
    assert_eq!(lost(sparse.path()), []);
}

#[test]
fn inches_come_back_as_they_were_confirmed() {
    let dir = folder(&Job { unit: Unit::Inch, ..job() });
    let older = text(dir.path(), "readings.csv");
    let readings =
        (1..6).map(|i| Reading { overlap: Some(-25.4 * f64::from(i) / 64.0), ..Reading::default() });
    let new = NewRound { readings: readings.collect(), note: None, ..typed() };
    record::add_round(dir.path(), &new).expect("added");
    assert_eq!(lost(dir.path()), [], "a sixty-fourth is written to the last digit");
    let before = read(dir.path());
    put(dir.path(), "readings.csv", &older);
    record::bring_back(dir.path()).expect("brought back");
    assert_eq!(read(dir.path()), before);
}

fn typed() -> NewRound {
    let round = second();
    NewRound { against: round.against, rebent: round.rebent, readings: round.readings, note: None }
}

#[test]
fn a_correction_counts_from_then_on_and_the_log_keeps_what_was_there() {
    let (dir, _) = twice();
    let older = text(dir.path(), "readings.csv");
    run("enter", dir.path(), &["--station", "2"], &["-0.35", "", "y"]).well();
    assert_eq!(lost(dir.path()), []);
    let log = text(dir.path(), LOG);
    let last = log.lines().last().expect("a line");
    let was = r#""readings":[{"station":"2","overlap_mm":-0.35,"lift_mm":0.15}],"was":[{"station":"2","overlap_mm":-0.3,"lift_mm":0.15}]"#;
    assert!(last.contains(r#""round":2,"what":"corrected""#) && last.contains(was), "{last}");
    put(dir.path(), "readings.csv", &older);
    let lost = lost(dir.path());
    let reading = &lost[0].readings[0];
    assert_eq!(
        (reading.station.as_str(), reading.was, reading.now),
        ("2", Figure::Number(-0.35), Some(Figure::Number(-0.3)))
    );
}

#[test]
fn what_a_round_was_held_against_comes_back() {
    let (dir, _) = twice();
    let table = text(dir.path(), "readings.csv");
    let held = |row: &str| if row.starts_with("2,") { row.replace("neighbour", "line") } else { row.into() };
    let other: String = table.lines().map(|row| held(row) + "\n").collect();
    put(dir.path(), "readings.csv", &other);
    assert!(warned(dir.path()).is_some_and(|told| told.contains("round 2 was held against the neighbour.")));
    recover(dir.path(), &["--yes"], &[]).well();
    assert_eq!(text(dir.path(), "readings.csv"), table);
}

#[test]
fn strokes_come_back_unless_others_are_told_in_their_place() {
    let dir = plain();
    planed(dir.path(), &["y"]).well();
    let (before, strokes) = (read(dir.path()), text(dir.path(), "strokes.csv"));
    assert!(!before.rounds[0].strokes.is_empty());
    fs::remove_file(dir.path().join("strokes.csv")).expect("removed");
    let told = warned(dir.path()).expect("told");
    assert!(told.contains("round 1 lacks strokes that were planed after it."), "{told}");
    let said = recover(dir.path(), &["--yes"], &[]).well();
    assert!(said.out.contains("  planed: long, station "), "{}", said.out);
    assert_eq!(read(dir.path()), before);
    let other =
        strokes.lines().enumerate().map(|(i, l)| if i == 1 { swap_count(l) } else { l.to_owned() } + "\n");
    put(dir.path(), "strokes.csv", &other.collect::<String>());
    let then = read(dir.path());
    let said = recover(dir.path(), &["--yes"], &[]).well();
    assert!(said.flat().contains("Not all could be brought back"), "{}", said.out);
    assert!(said.flat().contains("round 1 has other strokes than those told after it"), "{}", said.out);
    assert_eq!(read(dir.path()), then, "no wood is told twice");
}

/// A row of strokes with another number of pushes.
fn swap_count(row: &str) -> String {
    let (head, count) = row.rsplit_once(',').expect("columns");
    format!("{head},{}", count.parse::<u32>().expect("a number") + 1)
}

#[test]
fn a_line_that_can_not_be_read_is_named_and_harms_nothing() {
    let (dir, older) = twice();
    let log = text(dir.path(), LOG);
    // One digit is another one; and the last line was cut off by a power failure.
    let third = log.replace("\"round\":2", "\"round\":3");
    put(dir.path(), LOG, &format!("not JSON\n{log}{third}{}", &log[..40]));
    let (_, lost) = record::look_back(dir.path()).expect("read");
    assert_eq!((lost.unreadable, lost.rounds), (vec![1, 3], vec![]));
    let said = run("advise", dir.path(), &["--json"], &[]).well();
    assert!(
        said.out.contains("confirmed.log: line 1 and 1 more can't be read and do not count"),
        "{}",
        said.out
    );
    // What is confirmed next is found all the same.
    enter(dir.path(), &SECOND).well();
    put(dir.path(), "readings.csv", &older);
    let said = recover(dir.path(), &["--yes"], &[]).well();
    assert!(said.err.contains("confirmed.log: line 1 and 1 more"), "{}", said.err);
    assert_eq!(read(dir.path()).rounds.len(), 3);
}

#[test]
fn a_log_that_can_not_be_written_stops_nothing() {
    let dir = plain();
    fs::create_dir(dir.path().join(LOG)).expect("made");
    let said = enter(dir.path(), &SECOND).well();
    assert!(said.flat().contains("confirmed.log could not be added to"), "{}", said.out);
    assert!(said.out.contains("Round 2 is saved."), "{}", said.out);
    assert_eq!(read(dir.path()).rounds[1], second());
    let said = run("advise", dir.path(), &["--json"], &[]).well();
    assert!(said.out.contains("\"code\": \"log-unreadable\"") && said.out.contains("this is a folder"));
}

#[test]
fn a_round_that_can_not_follow_is_told() {
    let (dir, older) = twice();
    enter(dir.path(), &SECOND).well();
    // Round 2 was never confirmed here: only the third has its line.
    let log = text(dir.path(), LOG);
    put(dir.path(), LOG, &(log.lines().last().expect("a line").to_owned() + "\n"));
    put(dir.path(), "readings.csv", &older);
    let said = recover(dir.path(), &["--yes"], &[]).well();
    assert!(said.flat().contains("since a round can only follow the one before it: round 3 is missing"));
    assert_eq!(text(dir.path(), "readings.csv"), older);
}

#[test]
fn programs_are_told_in_millimetres() {
    let (dir, older) = twice();
    put(dir.path(), "readings.csv", &older);
    let said = recover(dir.path(), &["--json"], &[]).well();
    let told: Value = serde_json::from_str(&said.out).expect("JSON");
    let round = &told["rounds"][0];
    assert_eq!(
        (told["schema"].as_u64(), round["round"].as_u64(), &round["missing"]),
        (Some(1), Some(2), &Value::Bool(true))
    );
    assert_eq!((&round["against"], &round["rebent"]), (&"neighbour".into(), &Value::Bool(false)));
    let first = &round["readings"][0];
    assert_eq!((&first["station"], &first["of"]), (&"1".into(), &"overlap".into()));
    assert_eq!((first["confirmed_mm"].as_f64(), &first["now_mm"]), (Some(-0.7), &Value::Null));
    assert_eq!(told["unreadable_lines"], serde_json::json!([]));
    let both = recover(dir.path(), &["--yes", "--accept"], &[]);
    assert_eq!(both.code, Some(2));
}

/// FNV-1a with 64 bits, written out anew from RFC 9923.
fn fnv_1a(text: &str) -> String {
    let mut sum = 14_695_981_039_346_656_037_u64;
    for byte in text.bytes() {
        sum = (sum ^ u64::from(byte)).wrapping_mul(1_099_511_628_211);
    }
    format!("{sum:016x}")
}

/// Test vectors of FNV-1a, 64 bits (published with the function; from memory).
#[test]
fn the_sum_is_the_published_one() {
    for (text, told) in [("", "cbf29ce484222325"), ("a", "af63dc4c8601ec8c"), ("foobar", "85944171f73967e8")]
    {
        assert_eq!(fnv_1a(text), told);
    }
    let (dir, _) = twice();
    let log = text(dir.path(), LOG);
    let (object, sum) = log.trim_end().rsplit_once(",\"sum\":\"").expect("a sum");
    assert_eq!(sum, format!("{}\"}}", fnv_1a(&format!("{object}}}"))));
}

#[test]
fn a_line_comes_back_and_no_other_does() {
    let plane = ribwright::job::Plane { name: "long}".into(), ..Default::default() };
    let dir = folder(&Job { planes: vec![plane], ..job() });
    let stroke = record::NewStroke {
        plane: "long}".into(),
        from: "1".into(),
        to: "5".into(),
        count: 2,
        shaving: None,
        note: None,
    };
    record::add_strokes(dir.path(), RoundNumber::FIRST, std::slice::from_ref(&stroke)).expect("added");
    fs::remove_file(dir.path().join("strokes.csv")).expect("removed");
    let job = read(dir.path());
    let lost = || record::lost(dir.path(), &job);
    assert_eq!(lost().rounds[0].strokes, [stroke]);
    let log = fs::read(dir.path().join(LOG)).expect("read");
    let no_line = |bytes: &[u8]| {
        fs::write(dir.path().join(LOG), bytes).expect("written");
        let lost = lost();
        lost.rounds.is_empty() && lost.unreadable == [1]
    };
    for i in 0..log.len() - 1 {
        let mut other = log.clone();
        other[i] ^= 1;
        assert!(no_line(&other), "byte {i}");
        assert!(i == 0 || no_line(&[&log[..i], b"\n"].concat()), "cut at {i}");
    }
}

/// What the hand takes is kept as it was typed: in the draft, in the table under the columns of its
/// own (see demo-readings/README.md), and in the log, from which it is brought back.
#[test]
fn intervals_and_bearings_are_kept_as_typed() {
    let dir = plain();
    let older = text(dir.path(), "readings.csv");
    let first = ["neighbour", "n", "gap 0.65..0.75", "0.10-0.20", "b", "", "<0,15", "gap <0.05", ">0.1"];
    run("enter", dir.path(), &[], &first);
    let lines = ["bears", "b", "gap 0.25", "0.1", "-0.65..-0.6", "0.1", "y"];
    let said = run("enter", dir.path(), &["--continue"], &lines).well();
    assert!(said.out.contains("4 bears, overlap (round 1: -0.40): "), "{}", said.out);
    assert!(said.out.contains("-0.75..-0.65   -0.90  0.10..0.20"), "{}", said.out);
    let table = text(dir.path(), "readings.csv");
    let rows: Vec<&str> = table.lines().skip(6).collect();
    assert_eq!(table.lines().next(), Some("round,station,against,overlap,lift,bears"));
    let wanted = ["-0.75..-0.65,0.1..0.2,", ",<0.15,yes", ">-0.05,>0.1,", "-0.25,0.1,", "-0.65..-0.6,0.1,"];
    assert!(
        rows.iter().zip(wanted).all(|(row, end)| row.starts_with("2,") && row.ends_with(end)),
        "{rows:?}"
    );
    let before = read(dir.path());
    assert!(before.rounds[1].readings[1].bears && !before.rounds[1].readings[3].bears);
    // An older copy without the round, and one in which only what is no number was lost.
    put(dir.path(), "readings.csv", &older);
    recover(dir.path(), &["--yes"], &[]).well();
    assert_eq!(read(dir.path()).rounds, before.rounds);
    let plainer =
        text(dir.path(), "readings.csv").replace(",<0.15,yes", ",0.15,").replace("0.1..0.2", "0.15");
    put(dir.path(), "readings.csv", &plainer);
    let told = &lost(dir.path())[0];
    assert_eq!((told.stations(), told.bears.as_slice()), (vec!["1", "2"], &["2".to_owned()][..]));
    let said = recover(dir.path(), &["--yes"], &[]).well();
    assert!(said.out.contains("  2        bears          yes         no\n"), "{}", said.out);
    assert_eq!(read(dir.path()).rounds, before.rounds);
    let note = "lift was 0.15 and it was not felt to bear until corrected on ";
    assert!(text(dir.path(), "readings.csv").contains(note), "{}", text(dir.path(), "readings.csv"));
}
