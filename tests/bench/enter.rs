//! `ribwright enter`: a round typed at the bench is saved whole once confirmed, and
//! until then kept as a draft.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::Command;

use crate::typing::{PROGRAM, SECOND, Said, enter, folder, job, plain, read, run, second, spawn, text};
use rexpect::session::{PtySession, spawn_command};
use ribwright::job::{Against, Job, Plane, Reading, Round, Stroke, Unit};
use ribwright::record::{self, NewRound};

fn rounds(dir: &Path) -> Vec<Round> {
    read(dir).rounds
}

fn draft(dir: &Path) -> String {
    text(dir, ".round-draft")
}

/// Passes if nothing was saved, the input having ended, and the draft is kept.
fn ended_early(said: &Said, dir: &Path) {
    assert_eq!(said.code, Some(1), "{}\n{}", said.out, said.err);
    assert!(said.err.contains("before the round was confirmed: nothing was saved"), "{}", said.err);
    assert_eq!(rounds(dir).len(), 1);
}

fn with<'a>(changes: &[(usize, &'a [&'a str])]) -> Vec<&'a str> {
    let mut lines: Vec<Vec<&str>> = SECOND.iter().map(|line| vec![*line]).collect();
    for (at, new) in changes {
        lines[*at] = new.to_vec();
    }
    lines.concat()
}

#[test]
fn a_round_from_a_pipe_is_saved_whole() {
    let dir = plain();
    let before = text(dir.path(), "readings.csv");
    let said = enter(dir.path(), &SECOND).well();
    assert_eq!(rounds(dir.path()), [job().rounds[0].clone(), second()]);
    assert!(text(dir.path(), "readings.csv").starts_with(&before));
    assert!(!dir.path().join(".round-draft").exists());
    let next = format!("Round 2 is saved.\nNext: ribwright advise {}\n", dir.path().display());
    assert!(said.out.ends_with(&next), "{}", said.out);
    assert!(said.err.is_empty() && !said.out.contains('\u{1b}'), "{}", said.err);
}

#[test]
fn the_conversation_reads_like_this() {
    let dir = plain();
    let said = enter(dir.path(), &with(&[(3, &["1/2", "6", "", "none"])])).well();
    let said = said.out.replace(&dir.path().display().to_string(), "FOLDER");
    insta::assert_snapshot!(said.lines().map(|l| l.trim_end().to_string() + "\n").collect::<String>(), @r#"
    invented joint, round 2. Lengths in mm; 0.35 and 0,35 are the same.
    Overlap: wood past the joint line; for daylight write gap before the number, or
    a minus. Lift: how far the outer edge stands off the mold, never below 0.
    In the next round read the gap at 2 and 5 and the lift at 3 and 4: about 32 s.
    More would hardly change what to plane. You may read others too, or leave any
    out.
    An interval will do: 0.10..0.15, <0.05 or >0.50. b: the rib is felt to bear
    here, or no more. Enter alone: what stands in [ ], or else not read. none: not
    read. back: the question before. stop: keep what is typed for another time. ?:
    this again.
    Mind: no strokes are recorded after round 1. If you planed since, stop here and
    record them first:
      ribwright planed FOLDER
    held against neighbour or line [neighbour]: neighbour
    bent again since round 1 (y/n) [n]: n
    1, overlap (round 1: -0.90): -0.7
    1, lift (round 1: 0.10): 1/2
    '1/2' is no number: expected one such as 0.35 or 0,35. Fractions are for a
    folder in inches: units = "inch" in joint.toml.
    1, lift (round 1: 0.10): 6
    6.00 mm is far from the 0.10 mm of round 1, more than reading errors and planing
    explain. Look again; the same answer once more keeps it.
    1, lift (round 1: 0.10):
    Give the value once more to keep it, or the right one, or none for not read.
    1, lift (round 1: 0.10): none
    2, overlap (round 1: -0.40): -0.3
    2, lift (round 1: 0.10): 0.15
    3, overlap (round 1: 0.00): 0
    3, lift (round 1: 0.20): 0.1
    4, overlap (round 1: -0.40): -0,25
    4, lift (round 1: 0.10): 0,1
    5, overlap (round 1: -0.80): -0.6
    5, lift (round 1: 0.10): 0.1

    Round 2, against the neighbour:
      station  overlap  before  lift  before
      1          -0.70   -0.90     –    0.10
      2          -0.30   -0.40  0.15    0.10
      3           0.00    0.00  0.10    0.20
      4          -0.25   -0.40  0.10    0.10
      5          -0.60   -0.80  0.10    0.10
    Save this as round 2? (y, n, or correct: a station's name, against, back) y
    Mind: No strokes are told after round 1, so the wood is taken to be the same in
    the next round. If it was planed, write the strokes into strokes.csv.
    Round 2 is saved.
    Next: ribwright advise FOLDER
    "#);
}

#[test]
fn the_first_round_asks_what_it_is_held_against_and_makes_the_table() {
    let dir = folder(&Job { rounds: vec![], ..job() });
    let lines =
        ["", "line", "over 0.9", "0", "over 1.2", "0", "-1.5", "", "Overlap 1", "0", "gap 0,7", "0", "y"];
    let said = enter(dir.path(), &lines).well();
    assert!(said.out.contains("Answer neighbour (n) or line (l)"), "no default yet: {}", said.out);
    assert!(!said.out.contains("bent again"), "{}", said.out);
    let table = "round,station,against,gap,lift\n1,1,line,-0.9,0\n1,2,line,-1.2,0\n1,3,line,-1.5,\n\
        1,4,line,-1,0\n1,5,line,0.7,0\n";
    assert_eq!(text(dir.path(), "readings.csv"), table);
    assert!(!said.out.contains("Look again"), "over is wood past the line: {}", said.out);
}

#[test]
fn a_new_table_is_asked_for_gaps() {
    let dir = folder(&Job { rounds: vec![], ..job() });
    let lines = ["n", "0.45", "0.1", "0,2", "0.1", "0", "0.2", "gap 0.4", "0.1", "0.8", "0.1", "y"];
    let said = enter(dir.path(), &lines).well();
    assert!(said.out.contains("\n1, gap: 0.45\n"), "{}", said.out);
    let table = "round,station,against,gap,lift\n1,1,neighbour,0.45,0.1\n1,2,neighbour,0.2,0.1\n\
        1,3,neighbour,0,0.2\n1,4,neighbour,0.4,0.1\n1,5,neighbour,0.8,0.1\n";
    assert_eq!(text(dir.path(), "readings.csv"), table);
    assert_eq!(rounds(dir.path())[0].readings[0].overlap, Some(-0.45), "0.45 means daylight");
}

#[test]
fn at_a_line_the_first_gap_of_a_new_table_is_asked_about_once() {
    let dir = folder(&Job { rounds: vec![], ..job() });
    let said = enter(dir.path(), &["l", "0.9", "over 0.9", "0", "0.7", "0", "stop"]).well();
    let asked = "0.90 is daylight at the line. Wood past the line is typed as over 0.90. Look again;";
    assert!(said.flat().contains(asked), "{}", said.out);
    assert_eq!(said.flat().matches("Look again").count(), 1, "{}", said.out);
}

/// What no rib reads is asked back in round 1 too, in mm whatever the folder's unit: 0.45 is
/// a millimetre figure typed into a folder in inches, -22 a lost decimal mark.
#[test]
fn the_first_round_doubts_what_can_not_be() {
    let mm = folder(&Job { rounds: vec![], ..job() });
    let lines = ["n", "-22", "0.22", "15", "0.15", "9.9", "4.9", "0.3", "-0.1", "0.1", "stop"];
    let said = enter(mm.path(), &lines).well();
    let flat = said.flat();
    assert!(flat.contains("Wood can't pass into the neighbour's wood"), "{}", said.out);
    assert!(flat.contains("15.00 mm is too much for a lift of a rib set in place: 5.00 mm is more"));
    assert!(flat.contains("3, lift: -0.1"), "{}", said.out);
    assert_eq!(flat.matches("Look again").count(), 2, "9.9 and 4.9 pass: {}", said.out);
    let lifts = said.out.lines().filter(|line| line.starts_with("3, lift: ")).count();
    assert_eq!(lifts, 2, "a lift below 0 is no lift: {}", said.out);
    let inches = folder(&Job { rounds: vec![], unit: Unit::Inch, ..job() });
    let lines = ["l", "over 0.45", "over 0.045", "0.25", "0.006", "gap 0.5", "gap 0.02", "stop"];
    let said = enter(inches.path(), &lines).well();
    assert_eq!(said.flat().matches("is too much for a").count(), 3, "{}", said.out);
}

/// A draft holds what was read, not how it was asked: a table that came in between with
/// overlaps gets the same wood.
#[test]
fn the_draft_keeps_a_gap_whichever_column_the_table_has_then() {
    let dir = folder(&Job { rounds: vec![], ..job() });
    enter(dir.path(), &["n", "0.9", "0.1", "0.4", "0.1", "stop"]).well();
    fs::write(dir.path().join("readings.csv"), "round,station,against,overlap,lift\n").expect("written");
    let said = enter(dir.path(), &["y", "0", "0.2", "gap 0.4", "0.1", "-0.8", "0.1", "y"]).well();
    assert!(said.out.contains("\n3, overlap: 0\n"), "{}", said.out);
    assert_eq!(rounds(dir.path()), job().rounds);
    assert!(text(dir.path(), "readings.csv").contains("\n1,1,neighbour,-0.9,0.1\n"));
}

#[test]
fn empty_is_not_read_and_defaults_stand_in_brackets() {
    let dir = plain();
    let said = enter(dir.path(), &["", "", "-0.7", "", "", "", "", "", "", "", "", "", "y"]).well();
    assert!(said.out.contains("held against neighbour or line [neighbour]: "), "{}", said.out);
    assert!(said.out.contains("bent again since round 1 (y/n) [n]: "), "{}", said.out);
    assert!(said.out.contains("\n3, overlap (round 1: 0.00): "), "{}", said.out);
    let last = rounds(dir.path()).pop().expect("a round");
    assert_eq!((last.against, last.rebent), (Against::Neighbour, false));
    assert_eq!(last.readings[0], Reading { overlap: Some(-0.7), ..Reading::default() });
    assert!(last.readings[1..].iter().all(|r| *r == Reading::default()));
}

#[test]
fn bent_again_is_kept() {
    let dir = plain();
    enter(dir.path(), &with(&[(1, &["perhaps", "y"])])).well();
    assert!(rounds(dir.path())[1].rebent);
}

#[test]
fn a_gap_column_is_asked_for_as_gap() {
    let dir = plain();
    let gaps = "round,station,against,gap\n1,1,neighbour,0.9\n1,3,neighbour,0\n1,5,neighbour,0.8\n";
    fs::write(dir.path().join("readings.csv"), gaps).expect("written");
    let said = enter(dir.path(), &["", "", "0,7", "0.3", "0", "0.25", "-0.1", "0.6", "y"]).well();
    assert!(said.out.contains("\n1, gap (round 1: 0.90): 0,7"), "{}", said.out);
    assert!(said.out.contains("\n2, gap (round 1: not read): "), "{}", said.out);
    assert!(
        said.flat().contains(
            "Gap: daylight at the joint line; for wood past it write over before the number, or a minus."
        ),
        "{}",
        said.out
    );
    assert!(said.flat().contains("daylight is a gap above 0"), "-0.1 is asked again: {}", said.out);
    let added =
        "2,1,neighbour,0.7\n2,2,neighbour,0.3\n2,3,neighbour,0\n2,4,neighbour,0.25\n2,5,neighbour,0.6\n";
    assert_eq!(text(dir.path(), "readings.csv"), format!("{gaps}{added}"));
    assert!(said.flat().contains("No lift is asked for"), "{}", said.out);
    let said = run("enter", dir.path(), &["--lift"], &["", "", "", "0.2"]);
    assert!(said.out.contains("1, lift (round 2: not read): 0.2"), "{}", said.out);
}

#[test]
fn a_seat_column_is_asked_for() {
    let dir = plain();
    let said = run("enter", dir.path(), &["--seat"], &["", "", "-0.7", "0.1", "0.05", "stop"]).well();
    assert!(said.out.contains("1, seat (round 1: not read): 0.05"), "{}", said.out);
    // The draft knows the seat, so it is asked for although no column tells.
    let mut lines = vec!["y"];
    lines.extend(["-0.3", "0.15", "0", "0", "0.1", "0", "-0.25", "0.1", "0", "-0.6", "0.1", "0.1", "y"]);
    enter(dir.path(), &lines).well();
    let seats: Vec<_> = rounds(dir.path())[1].readings.iter().map(|r| r.seat).collect();
    assert_eq!(seats, [Some(0.05), Some(0.0), Some(0.0), Some(0.0), Some(0.1)]);
    assert!(enter(dir.path(), &["", "", "", "", "0.1"]).out.contains("1, seat (round 2: 0.05): 0.1"));
}

/// One inch is 25.4 mm exactly (the international yard of 1959).
#[test]
fn inches_and_fractions() {
    let dir = folder(&Job { unit: Unit::Inch, ..job() });
    let lines = with(&[
        (2, &["-1/32"]),
        (3, &["1/128"]),
        (4, &["-0,012"]),
        (5, &["0.006"]),
        (8, &["-1/64"]),
        (10, &["-3/128"]),
    ]);
    let lines: Vec<&str> =
        lines.iter().map(|l| if matches!(*l, "0.1" | "0,1") { "0,004" } else { l }).collect();
    enter(dir.path(), &lines).well();
    let readings = &rounds(dir.path())[1].readings;
    let near = |mm: Option<f64>, inch: f64| mm.is_some_and(|mm| (mm - 25.4 * inch).abs() < 1e-4);
    assert!(near(readings[0].overlap, -1.0 / 32.0) && near(readings[0].lift, 1.0 / 128.0), "{readings:?}");
    assert!(near(readings[1].overlap, -0.012) && near(readings[4].overlap, -3.0 / 128.0), "{readings:?}");
}

#[test]
fn the_table_keeps_its_dialect() {
    let dir = plain();
    let old = "round;station;against;overlap;lift\r\n1;1;neighbour;-0,9;0,1\r\n1;3;neighbour;0;0,2\r\n";
    fs::write(dir.path().join("readings.csv"), old).expect("written");
    enter(dir.path(), &SECOND).well();
    let added = "2;1;neighbour;-0,7;0,1\r\n2;2;neighbour;-0,3;0,15\r\n2;3;neighbour;0;0,1\r\n\
        2;4;neighbour;-0,25;0,1\r\n2;5;neighbour;-0,6;0,1\r\n";
    assert_eq!(text(dir.path(), "readings.csv"), format!("{old}{added}"));
}

#[test]
fn back_corrects_the_one_before() {
    let dir = plain();
    // A slip, back; two questions back; an empty answer then keeps what was typed.
    let lines = with(&[(2, &["-0.9", "back", "-0.7"]), (5, &["0.4", "back", "back", "", "0.15"])]);
    let said = enter(dir.path(), &lines).well();
    assert!(said.out.contains("1, overlap (round 1: -0.90) [-0.90]: -0.7"), "{}", said.out);
    assert!(said.out.contains("2, lift (round 1: 0.10) [0.40]: back"), "{}", said.out);
    assert!(said.out.contains("2, overlap (round 1: -0.40) [-0.30]: \n"), "{}", said.out);
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn back_stops_at_the_first_question_and_none_takes_a_value_away() {
    let dir = plain();
    let lines = with(&[(0, &["back", "neighbour"]), (3, &["0.1", "back", "none"])]);
    let said = enter(dir.path(), &lines).well();
    assert!(said.out.contains("This is the first question."), "{}", said.out);
    assert_eq!(rounds(dir.path())[1].readings[0], Reading { overlap: Some(-0.7), ..Reading::default() });
}

#[test]
fn what_can_not_be_is_refused_and_asked_again() {
    let dir = plain();
    let lines = with(&[(2, &["abc", "1,2,3", "70", "-0.7"]), (3, &["-0.1", "-0.1", "0.1"])]);
    let said = enter(dir.path(), &lines).well();
    for says in [
        "'abc' is no number: expected one such as 0.35 or 0,35.",
        "'1,2,3' is no number",
        "'70' is out of range: expected an overlap from -25 to 25 mm.",
        "'-0.1' is out of range: expected a lift from 0 to 20 mm.",
    ] {
        assert!(said.flat().contains(says), "{says}: {}", said.out);
    }
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn a_value_far_from_the_last_is_asked_again_and_kept_if_given_twice() {
    // The lost mark of -0.3, corrected; -3 for good; another doubtful one in between.
    for (typed, kept) in
        [(&["-3", "-0.3"][..], -0.3), (&["-3", "-3"], -3.0), (&["-3", "-4", "-3", "-3,0"], -3.0)]
    {
        let dir = plain();
        let said = enter(dir.path(), &with(&[(4, typed)])).well();
        let says =
            "-3.00 mm is far from the -0.40 mm of round 1, more than reading errors and planing explain.";
        assert!(said.flat().contains(says), "{}", said.out);
        assert_eq!(rounds(dir.path())[1].readings[1].overlap, Some(kept), "{typed:?}");
    }
}

/// How far is far: 4 standard deviations of a difference, and 3 times the wood that
/// was planed since (common practice, no source).
#[test]
fn what_planing_bending_or_another_reference_explains_is_not_doubted() {
    let doubts = |job: &Job, against: &str, again: &str, overlap: &str| {
        let said = enter(folder(job).path(), &[against, again, overlap]);
        said.flat().contains("is far from the")
    };
    // 4 times 0.1 times the root of 2 is 0.57.
    assert!(!doubts(&job(), "n", "n", "-1.45") && doubts(&job(), "n", "n", "-1.5"));
    let mut planed = job();
    planed.rounds[0].strokes = vec![Stroke { plane: 0, from: 0, to: 2, count: 5, shaving: None }];
    assert_eq!(planed.planes, [Plane::default()], "five shavings of 0.08");
    assert!(!doubts(&planed, "n", "n", "-2.6") && doubts(&planed, "n", "n", "-2.7"));
    assert!(!doubts(&job(), "n", "y", "-5"), "bent again");
    let mut line = job();
    line.rounds[0].against = Against::Line;
    assert!(!doubts(&line, "n", "n", "-5"), "another reference");
    assert!(!doubts(&line, "l", "n", "0.7") && doubts(&line, "l", "n", "0.9"), "0.3 a reading there");
}

#[test]
fn an_overlap_into_the_neighbour_is_asked_again() {
    let dir = plain();
    let said = enter(dir.path(), &with(&[(6, &["0.05", "0"])])).well();
    assert!(
        said.flat().contains("Wood can't pass into the neighbour's wood: daylight is an overlap below 0.")
    );
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn against_the_line_after_the_neighbour_is_asked_again_and_told() {
    let dir = plain();
    let said = enter(dir.path(), &with(&[(0, &["line", "line"])])).well();
    let says = "Round 1 was read against the neighbour already, which is the surer reading.";
    assert!(said.flat().contains(says), "{}", said.out);
    let says = "round 2 was read against a line although round 1 was already read against the neighbour";
    assert!(said.flat().contains(says), "told once it is saved: {}", said.out);
    assert_eq!(rounds(dir.path())[1].against, Against::Line);
}

#[test]
fn the_whole_round_is_shown_and_corrected_by_station() {
    let dir = plain();
    let lines = with(&[(10, &["-0.9"]), (12, &["6", "", "5", "-0.6", "", "y"])]);
    let said = enter(dir.path(), &lines).well();
    let table = "  station  overlap  before  lift  before\n  1          -0.70   -0.90  0.10    0.10\n";
    assert!(said.out.contains(table), "{}", said.out);
    let asked = said.out.matches("Save this as round 2?").count();
    assert_eq!(asked, 4, "an unknown name and an empty answer save nothing: {}", said.out);
    assert!(said.out.contains("'6' is no station of this joint"), "{}", said.out);
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn what_it_was_held_against_can_be_corrected_at_the_end() {
    let dir = plain();
    let lines = with(&[(0, &["line", "line"]), (12, &["against", "n", "y", "back", "0.2", "y"])]);
    enter(dir.path(), &lines).well();
    let last = rounds(dir.path()).pop().expect("a round");
    assert_eq!((last.against, last.rebent, last.readings[4].lift), (Against::Neighbour, true, Some(0.2)));
}

#[test]
fn a_station_may_be_called_y() {
    let mut job = job();
    job.stations[0].name = "y".into();
    let dir = folder(&job);
    let lines = with(&[(2, &["-0.8"]), (12, &["y", "-0.7", "", "yes"])]);
    enter(dir.path(), &lines).well();
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn no_keeps_the_draft_and_saves_nothing() {
    let dir = plain();
    let said = enter(dir.path(), &with(&[(12, &["n"])])).well();
    assert!(said.out.contains("Nothing was saved. What you typed is kept in "), "{}", said.out);
    assert_eq!(rounds(dir.path()).len(), 1);
    let said = enter(dir.path(), &["y", "y"]).well();
    assert!(said.out.contains("A draft of a round is here: 12 of 12 questions answered."), "{}", said.out);
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn wherever_the_input_ends_the_rest_can_follow() {
    let whole = plain();
    enter(whole.path(), &SECOND).well();
    for end in 0..SECOND.len() {
        let dir = plain();
        let said = enter(dir.path(), &SECOND[..end]);
        ended_early(&said, dir.path());
        assert_eq!(draft(dir.path()).lines().count(), if end == 0 { 0 } else { end + 1 }, "{end}");
        let next = format!("Next: ribwright enter {}", dir.path().display());
        assert!(end == 0 || said.err.contains(&next), "{}", said.err);
        let mut rest = SECOND[end..].to_vec();
        if end > 0 {
            rest.insert(0, "");
        }
        enter(dir.path(), &rest).well();
        assert_eq!(text(dir.path(), "readings.csv"), text(whole.path(), "readings.csv"), "{end}");
        assert!(!dir.path().join(".round-draft").exists());
    }
}

#[test]
fn a_line_that_a_power_cut_tore_is_dropped() {
    let dir = plain();
    enter(dir.path(), &SECOND[..6]);
    let kept = draft(dir.path());
    let lines: Vec<&str> = kept.lines().collect();
    let earlier: String = lines[..lines.len() - 2].iter().map(|l| format!("{l}\n")).collect();
    let torn = lines[lines.len() - 2];
    for cut in (1..torn.len()).rev().take(12).chain([1]) {
        fs::write(dir.path().join(".round-draft"), format!("{earlier}{}", &torn[..cut])).expect("written");
        let said = run("enter", dir.path(), &["--continue"], &SECOND[4..5]);
        ended_early(&said, dir.path());
        assert!(said.out.contains("2, overlap (round 1: -0.40): -0.3"), "asked again: {}", said.out);
        assert!(draft(dir.path()).starts_with(&earlier), "{}", draft(dir.path()));
    }
    // The whole line, but not its end: a number may have lost digits.
    fs::write(dir.path().join(".round-draft"), format!("{earlier}{torn}")).expect("written");
    run("enter", dir.path(), &["--continue"], &SECOND[4..]).well();
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn a_draft_that_is_no_draft_does_no_harm() {
    for rubbish in
        [&b"\n\n"[..], b"{}\n[1,2]\nnull\n", b"\xff\xfe\x00\n", b"{\"reading\":1}\n", &[b'x'; 100_000]]
    {
        let dir = plain();
        fs::write(dir.path().join(".round-draft"), rubbish).expect("written");
        enter(dir.path(), &SECOND).well();
        assert_eq!(rounds(dir.path())[1], second());
    }
}

#[test]
fn a_draft_whose_round_was_saved_is_not_offered_again() {
    let dir = plain();
    enter(dir.path(), &SECOND[..12]);
    let kept = draft(dir.path());
    enter(dir.path(), &["y", "y"]).well();
    // As if the program had been killed between saving and removing the draft.
    fs::write(dir.path().join(".round-draft"), kept).expect("written");
    let said = enter(dir.path(), &[]);
    assert!(said.out.starts_with("The round typed last is saved as round 2 already."), "{}", said.out);
    assert!(said.out.contains("round 3."), "{}", said.out);
    assert!(said.err.contains("Nothing was typed."), "{}", said.err);
    assert!(!dir.path().join(".round-draft").exists());
    assert_eq!(rounds(dir.path()).len(), 2);
}

#[test]
fn a_draft_can_be_thrown_away_or_gone_on_with_unasked() {
    let dir = plain();
    enter(dir.path(), &["n", "n", "-1.1"]);
    run("enter", dir.path(), &["--continue"], &["0.3"]);
    let said = run("enter", dir.path(), &["--anew"], &SECOND).well();
    assert!(!said.out.contains("Go on with it?"), "{}", said.out);
    assert_eq!(rounds(dir.path())[1], second());
    enter(dir.path(), &["n", "n", "-1.1"]);
    let third: Vec<&str> = ["what?", "n"].into_iter().chain(SECOND).collect();
    enter(dir.path(), &third).well();
    assert_eq!(rounds(dir.path())[2], second());
    let both = run("enter", dir.path(), &["--anew", "--continue"], &[]);
    assert_eq!(both.code, Some(2));
}

#[test]
fn a_draft_for_another_round_or_other_stations_says_so() {
    let dir = plain();
    enter(dir.path(), &SECOND[..12]);
    let other = NewRound {
        against: Against::Neighbour,
        rebent: false,
        readings: job().rounds[0].readings.clone(),
        note: None,
    };
    record::add_round(dir.path(), &other).expect("added");
    let stations = text(dir.path(), "stations.csv").replace("\n3,", "\nmiddle,");
    let readings = text(dir.path(), "readings.csv").replace(",3,", ",middle,");
    fs::write(dir.path().join("stations.csv"), stations).expect("written");
    fs::write(dir.path().join("readings.csv"), readings).expect("written");
    let said = enter(dir.path(), &["y", "0", "0.1", "y"]).well();
    let says = "It was begun as round 2; the next round of this folder is now 3.";
    assert!(said.flat().contains(says), "{}", said.out);
    assert!(said.flat().contains("It has readings at 3, no station of this joint now: left out."));
    assert_eq!(rounds(dir.path())[2], second());
}

#[test]
fn strokes_that_were_forgotten_are_asked_for() {
    let dir = plain();
    let said = enter(dir.path(), &["stop"]).well();
    assert!(
        said.flat().contains("no strokes are recorded after round 1. If you planed since"),
        "{}",
        said.out
    );
    assert!(said.out.contains(&format!("\n  ribwright planed {}\n", dir.path().display())), "{}", said.out);
    assert!(!dir.path().join(".round-draft").exists(), "nothing was typed");
}

#[test]
fn the_same_signs_for_all_are_refused_and_can_be_corrected() {
    let dir = plain();
    let mut lines = vec!["neighbour", "y"];
    lines.extend(["0.7", "0.7", "0.1", "0.3", "0.3", "0.1", "0.2", "0.2", "0.1", "0.2", "0.2", "0.1"]);
    lines.extend(["0.6", "0.6", "0.1", "y"]);
    let said = enter(dir.path(), &lines);
    assert_eq!(said.code, Some(2), "{}", said.out);
    assert!(said.err.contains("wood can't pass into wood"), "{}", said.err);
    assert_eq!(rounds(dir.path()).len(), 1);
    // All is still there: correct the signs station by station.
    let fix =
        ["y", "y", "1", "-0.7", "", "2", "-0.3", "", "3", "0", "", "4", "-0.2", "", "5", "-0.6", "", "y"];
    enter(dir.path(), &fix).well();
    let overlaps: Vec<_> = rounds(dir.path())[1].readings.iter().map(|r| r.overlap).collect();
    assert_eq!(overlaps, [-0.7, -0.3, 0.0, -0.2, -0.6].map(Some));
}

#[test]
fn nothing_read_is_no_round() {
    let dir = plain();
    let said = enter(dir.path(), &["", "", "", "", "", "", "", "", "", "", "", "", "y"]);
    assert_eq!(said.code, Some(2));
    assert!(said.err.contains("There is nothing to add."), "{}", said.err);
    assert_eq!(rounds(dir.path()).len(), 1);
}

#[test]
fn contradictory_readings_are_told_by_the_next_advice() {
    let dir = folder(&job());
    for _ in 0..2 {
        run("enter", dir.path(), &[], &SECOND).well();
    }
    enter(dir.path(), &with(&[(4, &["-4", "-4"])])).well();
    let said = run("advise", dir.path(), &["--json"], &[]).well();
    assert!(said.out.contains("\"verdict\": \"read_again\""), "{}", said.out);
    assert!(said.out.contains("Read station 2 again"), "{}", said.out);
}

#[test]
fn rounds_out_of_order_and_other_faults_are_told_before_anything_is_typed() {
    for (rows, says) in [
        (
            "1,1,neighbour,-0.9\n3,1,neighbour,-0.7\n",
            "row 3, column round: found '3'; expected round 2 first",
        ),
        ("1,6,neighbour,-0.9\n", "row 2, column station: found '6'; expected the name of a station"),
        ("1,1,neighbour,-0.9\n1,1,neighbour,-0.5\n", "row 3, column station: found '1'"),
        ("1,1,neighbour,-0.9\n1,2,line,-0.5\n", "row 3, column against: found 'line'"),
        ("1,1,neighbour,\"-0,9\"\n1,2,neighbour,-0.5\n", "row "),
    ] {
        let dir = plain();
        let table = format!("round,station,against,overlap\n{rows}");
        fs::write(dir.path().join("readings.csv"), &table).expect("written");
        let said = enter(dir.path(), &SECOND);
        assert_eq!(said.code, Some(2), "{rows}");
        assert!(said.err.contains("readings.csv") && said.err.contains(says), "{}", said.err);
        assert!(said.out.is_empty() && !dir.path().join(".round-draft").exists(), "{}", said.out);
        assert_eq!(text(dir.path(), "readings.csv"), table);
    }
    let dir = plain();
    for path in [dir.path().join("readings.csv"), dir.path().join("none")] {
        let said = enter(&path, &SECOND);
        assert_eq!(said.code, Some(2));
        assert!(said.err.contains("expected a joint's folder"), "{}", said.err);
    }
}

#[test]
fn two_can_not_type_at_once() {
    let dir = plain();
    let mut first = spawn("enter", dir.path(), &[]);
    let mut out = BufReader::new(first.stdout.take().expect("a pipe"));
    out.read_line(&mut String::new()).expect("it has begun");
    let said = enter(dir.path(), &SECOND);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("another program is typing a round into this folder"), "{}", said.err);
    let lines: String = SECOND.iter().flat_map(|line| [line, "\n"]).collect();
    first.stdin.take().expect("a pipe").write_all(lines.as_bytes()).expect("typed");
    let mut rest = String::new();
    std::io::Read::read_to_string(&mut out, &mut rest).expect("read");
    assert!(rest.contains("Round 2 is saved."), "{rest}");
    assert!(first.wait().expect("ended").success());
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn a_round_that_came_in_between_is_told_and_what_was_typed_is_kept() {
    let dir = plain();
    let mut child = spawn("enter", dir.path(), &[]);
    let mut out = BufReader::new(child.stdout.take().expect("a pipe"));
    out.read_line(&mut String::new()).expect("it has begun");
    let rebent =
        NewRound { against: Against::Neighbour, rebent: true, readings: second().readings, note: None };
    record::add_round(dir.path(), &rebent).expect("added");
    let lines: String = SECOND.iter().flat_map(|line| [line, "\n"]).collect();
    child.stdin.take().expect("a pipe").write_all(lines.as_bytes()).expect("typed");
    // Read to the end, or the program waits for room in the pipe.
    std::io::Read::read_to_string(&mut out, &mut String::new()).expect("read");
    let said = Said::of(&child.wait_with_output().expect("ended"));
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("a round was added by another program meanwhile"), "{}", said.err);
    assert_eq!(rounds(dir.path()).len(), 2);
    enter(dir.path(), &["y", "y"]).well();
    assert_eq!(rounds(dir.path())[2], second());
}

#[test]
fn a_busy_folder_is_told_and_nothing_is_lost() {
    let dir = plain();
    enter(dir.path(), &SECOND[..12]);
    let lock = fs::File::create(dir.path().join(".lock")).expect("a lock");
    lock.lock().expect("held");
    let said = enter(dir.path(), &["y", "y"]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("another program is writing into this folder"), "{}", said.err);
    drop(lock);
    enter(dir.path(), &["y", "y"]).well();
    assert_eq!(rounds(dir.path())[1], second());
}

#[cfg(unix)]
#[test]
fn a_write_protected_table_loses_nothing() {
    use std::os::unix::fs::PermissionsExt;
    let dir = plain();
    let table = dir.path().join("readings.csv");
    fs::set_permissions(&table, fs::Permissions::from_mode(0o444)).expect("set");
    let said = enter(dir.path(), &SECOND);
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains("write-protected") && said.err.contains("write-protected"), "{}", said.err);
    assert!(said.out.matches("Save this as round 2?").count() == 2, "it can be tried again: {}", said.out);
    fs::set_permissions(&table, fs::Permissions::from_mode(0o644)).expect("set");
    enter(dir.path(), &["y", "y"]).well();
    assert_eq!(rounds(dir.path())[1], second());
}

fn terminal(dir: &Path) -> PtySession {
    let mut program = Command::new(PROGRAM);
    program.arg("enter").arg(dir);
    spawn_command(program, Some(10_000)).expect("a terminal")
}

#[test]
fn at_a_terminal_a_line_can_be_edited() {
    let dir = plain();
    let mut terminal = terminal(dir.path());
    for (i, line) in SECOND.iter().enumerate() {
        terminal.exp_regex(if i == 12 { r"back\) " } else { r"(\]|\)): " }).expect("asked");
        if i == 2 {
            // A slip taken back with the backspace key.
            terminal.send("-0.9\u{7f}").expect("typed");
            terminal.send_line("7").expect("typed");
        } else {
            terminal.send_line(line).expect("typed");
        }
    }
    terminal.exp_string("Round 2 is saved.").expect("saved");
    terminal.exp_string("Next: ribwright advise").expect("the next step");
    terminal.exp_eof().expect("ended");
    assert_eq!(rounds(dir.path())[1], second());
}

#[test]
fn at_a_terminal_breaking_off_keeps_the_draft() {
    for key in ['c', 'd'] {
        let dir = plain();
        let mut terminal = terminal(dir.path());
        for line in &SECOND[..5] {
            terminal.exp_regex(r"(\]|\)): ").expect("asked");
            terminal.send_line(line).expect("typed");
        }
        terminal.exp_string("2, lift (round 1: 0.10): ").expect("asked");
        terminal.send_control(key).expect("broken off");
        terminal.exp_string("nothing was saved").expect("told");
        terminal.exp_eof().expect("ended");
        assert_eq!(draft(dir.path()).lines().count(), 6, "{key}");
        let rest: Vec<&str> = ["y"].iter().chain(&SECOND[5..]).copied().collect();
        enter(dir.path(), &rest).well();
        assert_eq!(rounds(dir.path())[1], second());
    }
}
