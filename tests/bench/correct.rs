//! `ribwright enter --station`: a reading of the last round corrected in its place, the old
//! one kept beside it, or read anew as a round of a few stations.

use std::fs;
use std::path::Path;

use crate::typing::{Said, copied, folder, job, plain, read, round, run, text};
use ribwright::job::{Job, Reading, Round, RoundNumber, Stroke};
use ribwright::record::{self, JournalError};
use ribwright::store::Day;

fn again(dir: &Path, options: &[&str], lines: &[&str]) -> Said {
    run("enter", dir, options, lines)
}

fn advice(dir: &Path) -> Said {
    run("advise", dir, &[], &[]).well()
}

/// The lines that differ between two tables.
fn changed<'a>(before: &'a str, after: &'a str) -> Vec<(&'a str, &'a str)> {
    assert_eq!(before.lines().count(), after.lines().count());
    before.lines().zip(after.lines()).filter(|(a, b)| a != b).collect()
}

/// The note without its date.
fn undated(row: &str) -> &str {
    let (row, date) = row.rsplit_once(" on ").expect("a date");
    assert!(date.len() == 10 && date.starts_with("20"), "{date}");
    row
}

#[test]
fn the_doubt_names_the_command_and_the_command_settles_it() {
    let dir = copied("mistyped");
    let command = format!("Next: ribwright enter {} --station 5\n", dir.path().display());
    assert!(advice(dir.path()).out.ends_with(&command));
    let before = text(dir.path(), "readings.csv");
    let said = again(dir.path(), &["--station", "5"], &["-0.3", "", "y"]).well();
    assert!(said.out.contains("\n5, overlap (round 1: "), "{}", said.out);
    assert!(said.out.contains(") [-4.00]: -0.3\n"), "what stands there: {}", said.out);
    assert!(!said.out.contains("\n4, ") && !said.out.contains("\n6, "), "{}", said.out);
    assert!(!said.out.contains("Look again"), "the right value is no doubt: {}", said.out);
    assert!(
        said.out.contains("\nRound 2 is corrected; its notes say what was there.\nNext: ribwright advise")
    );
    let after = text(dir.path(), "readings.csv");
    let changed = changed(&before, &after);
    assert_eq!(changed[0], ("round,station,against,overlap,lift", "round,station,against,overlap,lift,note"));
    assert_eq!(changed[1].0, "2,5,neighbour,-4,0");
    assert_eq!(undated(changed[1].1), "2,5,neighbour,-0.3,0,overlap was -4 until corrected");
    assert_eq!(changed.len(), 2, "{changed:?}");
    let said = advice(dir.path());
    assert!(!said.out.contains("Read station 5 again"), "{}", said.out);
}

#[test]
fn a_new_round_of_one_station_is_a_round() {
    let dir = copied("mistyped");
    let said = again(dir.path(), &["--station", "5", "--new-round"], &["", "n", "-0.35", "0.1", "y"]).well();
    assert!(!said.out.contains("Look again"), "-4 is in doubt, not -0.35: {}", said.out);
    let rounds = read(dir.path()).rounds;
    assert_eq!(rounds.len(), 3);
    assert_eq!(
        rounds[2].readings[4],
        Reading { overlap: Some(-0.35), lift: Some(0.1), ..Reading::default() }
    );
    assert_eq!(rounds[2].readings.iter().filter(|r| **r != Reading::default()).count(), 1);
    let said = advice(dir.path());
    assert!(said.out.starts_with("Plane:"), "{}", said.out);
}

/// The same value is doubted where nothing speaks against the reading before it.
#[test]
fn a_value_far_from_a_sound_reading_is_still_doubted() {
    let dir = copied("mistyped");
    let said = again(dir.path(), &["--station", "6", "--new-round"], &["", "n", "-3", "stop"]).well();
    assert!(said.flat().contains("-3.00 mm is far from the -0.30 mm of round 2"), "{}", said.out);
}

#[test]
fn every_other_byte_of_the_table_stays() {
    let dir = plain();
    let table = "sep=;\r\nround;\"station\";against; lift ;overlap;mine;note\r\n1;1;neighbour;0,1;-0,9\r\n\
        \"1\";2;neighbour; 0,1 ;\"-0,4\";\"a;\"\"b\";dry; yesterday\r\n\r\n1;3;neighbour;0,2;0;;\"two; words\"\r\n";
    let table = table.replace("dry; yesterday", "dry");
    fs::write(dir.path().join("readings.csv"), &table).expect("written");
    let lines = ["-0,8", "", "", "0,15", "none", "0.25", "-0.45", "", "y"];
    again(dir.path(), &["--station", "2,1", "--station", "3", "--station", "4"], &lines).well();
    let after = text(dir.path(), "readings.csv");
    let (old, added) = after.split_at(after.rfind("1;4").expect("a row for station 4"));
    assert_eq!(added, "1;4;neighbour;;-0,45;;\r\n");
    let rows = changed(&table, old);
    assert_eq!(rows.len(), 3);
    assert_eq!(undated(rows[0].1), "1;1;neighbour;0,1;-0,8;;overlap was -0,9 until corrected");
    let expected = "\"1\";2;neighbour;0,15;\"-0,4\";\"a;\"\"b\";\"dry; lift was 0,1 until corrected";
    assert_eq!(undated(rows[1].1.trim_end_matches('"')), expected);
    let expected = "1;3;neighbour;0,25;;;\"two; words; overlap was 0 and lift was 0,2 until corrected";
    let third = undated(rows[2].1.trim_end_matches('"'));
    assert!(third.starts_with("1;3;neighbour;0,25;;;") && third.len() == expected.len(), "{third}");
}

#[test]
fn stations_are_named_exactly_and_once() {
    let mut job = job();
    job.stations[1].name = "2,5".into();
    let dir = folder(&job);
    let said = again(dir.path(), &["--station", "2,5", "--station", "1,2,5"], &["stop"]);
    assert_eq!(said.code, Some(2), "2 is no station: {}", said.out);
    assert!(said.err.contains("'2' is no station of this joint. Next: "), "{}", said.err);
    let said = again(dir.path(), &["--station", "2,5", "--station", "1", "--station=1"], &[""; 3]);
    assert!(said.out.contains("\n1, overlap [-0.90]: \n1, lift [0.10]: \n2,5, overlap"), "{}", said.out);
}

#[test]
fn without_a_yes_nothing_is_written() {
    let dir = plain();
    let before = text(dir.path(), "readings.csv");
    for lines in [&["-0.8", "", "n"][..], &["-0.8", "stop"], &["stop"]] {
        let said = again(dir.path(), &["--station", "1"], lines).well();
        assert!(said.out.ends_with("Nothing was saved. The round is as it was.\n"), "{}", said.out);
    }
    let said = again(dir.path(), &["--station", "1"], &["-0.8"]);
    assert_eq!(said.code, Some(1), "{}", said.out);
    assert_eq!(text(dir.path(), "readings.csv"), before);
    assert!(!dir.path().join(".round-draft").exists());
}

#[test]
fn without_a_round_there_is_nothing_to_correct() {
    let dir = folder(&Job { rounds: vec![], ..job() });
    let said = again(dir.path(), &["--station", "1"], &[]);
    assert_eq!(said.code, Some(2));
    assert!(said.err.contains("expected a round to correct, but there is none yet. Next: ribwright enter"));
}

#[test]
fn after_planing_only_slips_are_corrected() {
    let mut planed = job();
    planed.rounds[0].strokes = vec![Stroke { plane: 0, from: 0, to: 2, count: 5, shaving: None }];
    let dir = folder(&planed);
    let said = again(dir.path(), &["--station", "1"], &["-0.8", "", "y"]).well();
    assert!(said.flat().contains("Mind: you planed after round 1. Correct slips only"), "{}", said.out);
    let now = read(dir.path());
    assert_eq!(now.rounds[0].strokes, planed.rounds[0].strokes);
    assert_eq!(now.rounds[0].readings[0].overlap, Some(-0.8));
}

#[test]
fn what_can_not_be_is_refused_and_the_later_of_two_is_told() {
    let dir = plain();
    let known = job().rounds[0].clone();
    let lift = |mm| Reading { lift: Some(mm), ..known.readings[0].clone() };
    let correct = |known: &Round, reading| {
        record::correct_round(dir.path(), (RoundNumber::FIRST, known), &[(0, reading)])
    };
    let before = text(dir.path(), "readings.csv");
    assert!(matches!(correct(&known, lift(-3.0)), Err(JournalError::Rows(_))));
    assert!(matches!(correct(&known, known.readings[0].clone()), Err(JournalError::Nothing)));
    let other = round(&[(-0.9, 0.1), (-0.4, 0.1), (0.0, 0.2), (-0.4, 0.1), (-0.8, 0.2)]);
    assert!(matches!(correct(&other, lift(0.3)), Err(JournalError::Overtaken(..))));
    assert_eq!(text(dir.path(), "readings.csv"), before);
    correct(&known, lift(0.3)).expect("corrected");
    assert!(matches!(correct(&known, lift(0.3)), Err(JournalError::Overtaken(..))));
}

/// Days since 1970 as every system's clock counts them (POSIX, seconds since the epoch).
#[test]
fn days_are_dates() {
    for (days, text) in [
        (0, "1970-01-01"),
        (59, "1970-03-01"),
        (11_016, "2000-02-29"),
        (11_017, "2000-03-01"),
        (20_783, "2026-11-26"),
        (47_540, "2100-02-28"),
        (47_541, "2100-03-01"),
    ] {
        assert_eq!(Day(days).to_string(), text);
    }
}

/// A joint whose last round has more to tell than numbers: station 2 bears, the lift at 4 is an
/// interval; `more` comes below.
fn told_more(more: &str) -> tempfile::TempDir {
    let dir = copied("plain");
    let told = |row: &str| match row {
        "round,station,against,overlap,lift" => format!("{row},bears,reading"),
        "2,2,neighbour,-0.05,0.3" => format!("{row},yes,"),
        "2,4,neighbour,-0.75,0" => "2,4,neighbour,-0.75,0.10..0.30,,".to_owned(),
        row => format!("{row},,"),
    };
    let rows: Vec<String> = text(dir.path(), "readings.csv").lines().map(told).collect();
    fs::write(dir.path().join("readings.csv"), format!("{}\n{more}", rows.join("\n"))).expect("written");
    dir
}

/// What is told of a place beside its numbers stays when these are corrected.
#[test]
fn bearings_and_intervals_outlive_a_correction() {
    let dir = told_more("");
    let before = text(dir.path(), "readings.csv");
    again(dir.path(), &["--station", "2"], &["", "0.2", "y"]).well();
    let after = text(dir.path(), "readings.csv");
    let changed = changed(&before, &after);
    assert_eq!(changed.len(), 2, "the header and one row: {changed:?}");
    assert!(changed[1].1.starts_with("2,2,neighbour,-0.05,0.2,yes,,"), "{changed:?}");
    assert!(read(dir.path()).rounds[1].readings[1].bears);
    let log = text(dir.path(), "confirmed.log");
    assert!(!log.contains("\"station\":\"4\""), "nothing was corrected there: {log}");
    again(dir.path(), &["--station", "4"], &["", "0.25", "y"]).well();
    let four = &read(dir.path()).rounds[1].readings[3];
    assert_eq!((four.lift, four.within), (Some(0.25), Reading::default().within));
}

/// Which of two readings was the slip, the maker knows.
#[test]
fn of_several_readings_the_wrong_one_is_corrected_by_hand() {
    let dir = told_more("2,4,neighbour,-0.7,0.2,,2\n");
    let before = text(dir.path(), "readings.csv");
    let said = again(dir.path(), &["--station", "4"], &["-0.5", "", "y"]);
    assert!(said.err.contains("station 4 was read more than once"), "{said:?}");
    assert_eq!(text(dir.path(), "readings.csv"), before);
}
