//! Words and figures as they are shown: lines of 80 columns, names cut short, paths as a shell takes
//! them, lengths in the maker's unit.

use std::path::Path;

use ribwright::advice::{ReadNext, Setting};
use ribwright::job::{Clearance, Job, Station, Unit};
use ribwright::show::{WIDTH, cell, exact, message, next_command, paragraph, read_next_text, shortened};
use unicode_width::UnicodeWidthStr;

fn columns(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

fn lines(head: &str, text: &str) -> Vec<String> {
    let mut out = Vec::new();
    paragraph(&mut out, head, text).expect("a vector takes every write");
    String::from_utf8_lossy(&out).lines().map(str::to_owned).collect()
}

#[test]
fn a_message_is_wrapped_and_its_paths_stay_whole() {
    let path = format!("a/{}.csv", "long".repeat(30));
    let text = format!("{path}: {} Next:  mend it.\nAnother problem.", "words ".repeat(20));
    let told = message("error: ", &text);
    assert!(told.lines().all(|l| columns(l) <= WIDTH || l.contains(&path)));
    assert!(told.lines().count() > 3 && told.ends_with("\nAnother problem."));
    assert_eq!(told.replace("\n       ", " "), format!("error: {text}"), "nothing is lost");
}

#[test]
fn no_line_is_wider_than_the_page_and_no_letter_is_lost() {
    assert_eq!(WIDTH, 80);
    for text in ["word ".repeat(60), "x".repeat(300), format!("{} a b", "y".repeat(79))] {
        let lines = lines(" 1. ", &text);
        assert!(lines.iter().all(|l| columns(l) <= WIDTH));
        let letters = |s: &str| s.chars().filter(|c| !c.is_whitespace()).count();
        assert_eq!(lines.iter().map(|l| letters(l)).sum::<usize>(), 2 + letters(&text));
        assert!(lines[1..].iter().all(|l| l.starts_with("    ")));
    }
}

#[test]
fn a_missing_length_is_a_dash_and_a_small_negative_is_zero() {
    assert_eq!(cell(None, Unit::Mm), "–");
    assert_eq!(cell(Some(f64::NAN), Unit::Mm), "–");
    assert_eq!(cell(Some(-0.004), Unit::Mm), "0.00");
    assert_eq!(cell(Some(-0.006), Unit::Mm), "-0.01");
}

#[test]
fn a_reading_is_shown_as_it_was_typed() {
    let shown = [(0.35, "0.35"), (0.5, "0.50"), (0.125, "0.125"), (-0.0, "0.00"), (0.04567, "0.0457")];
    for (mm, text) in shown {
        assert_eq!(exact(mm, Unit::Mm), text);
    }
    assert_eq!(exact(25.4 * 11.0 / 32.0, Unit::Inch), "0.3438");
    assert_eq!(exact(25.4 * 0.014, Unit::Inch), "0.014");
}

/// One inch is 25.4 mm exactly (the international yard of 1959).
#[test]
fn inches_have_three_decimals() {
    assert_eq!(Unit::Inch.say(25.4), "1.000 in");
    assert_eq!(Unit::Inch.say(0.16), "0.006 in");
}

#[test]
fn short_names_stay_and_long_ones_keep_both_ends() {
    let names = ["1", "highest rise by the neck block"];
    let short = shortened(&names, |n| columns(n) <= 11);
    assert_eq!(short, ["1", "highe…block"]);
}

#[test]
fn names_that_would_look_alike_carry_their_number() {
    let names = ["station under tack one of row", "station under tack two of row"];
    let short = shortened(&names, |n| columns(n) <= 10);
    assert_eq!(short, ["station…#1", "station…#2"]);
}

#[test]
fn control_characters_do_not_reach_the_terminal() {
    assert_eq!(shortened(&["a\u{1b}[31m\nb"], |_| true), ["a [31m b"]);
}

#[test]
fn a_command_can_be_copied_whatever_the_folder_is_called() {
    let next = |folder: &str| next_command("advise", Path::new(folder));
    assert_eq!(next("bowls/1-a_b.c"), "ribwright advise bowls/1-a_b.c");
    assert_eq!(next("my bowl"), "ribwright advise 'my bowl'");
    assert_eq!(next("joiner's bowl"), r"ribwright advise 'joiner'\''s bowl'");
    assert_eq!(next("$HOME;ls"), "ribwright advise '$HOME;ls'");
    assert_eq!(next("a\u{1b}[31m\nb's\\\u{9b}"), r"ribwright advise $'a\033[31m\012b\'s\\\302\233'");
}

/// Shells read what was quoted as the path that it was.
#[cfg(unix)]
#[test]
fn shells_read_a_quoted_path_back() {
    let read = |shell: &str, path: &str| {
        let command = next_command("advise", Path::new(path));
        let quoted = command.strip_prefix("ribwright advise ").expect("the command");
        let line = format!("printf %s {quoted}");
        let output = std::process::Command::new(shell).args(["-c", &line]).output().ok()?;
        Some(String::from_utf8_lossy(&output.stdout).into_owned())
    };
    for path in ["joiner's bowl", "a\\b", "''", "\"$(ls)\" `ls` \\'", "~ö"] {
        assert_eq!(read("sh", path).expect("a shell"), path);
    }
    for path in ["a\u{1b}[31m\nb's\\\u{9b}7", "\t'\\"] {
        assert_eq!(read("bash", path).unwrap_or_else(|| path.into()), path);
    }
}

#[test]
fn what_to_read_next_walks_along_the_rib() {
    let station = |i: usize| Station { name: i.to_string(), ..Station::default() };
    let job = Job { stations: (1..8).map(station).collect(), ..Job::default() };
    let said = |gaps: &[usize], lifts: &[usize]| {
        let gaps = gaps.iter().map(|i| (i - 1, Clearance::Gap));
        let readings = gaps.chain(lifts.iter().map(|i| (i - 1, Clearance::Lift))).collect();
        read_next_text(&job, &ReadNext { setting: Setting::Same, readings, seconds: 32.0, why: "Enough." })
    };
    let starts = "With the rib as it lies, read the";
    assert_eq!(
        said(&[1, 4, 7], &[4]),
        format!("{starts} gap at 1, 4 and 7 and the lift at 4: about 32 s. Enough.")
    );
    assert_eq!(
        said(&[1, 2, 3, 6, 7], &[2, 3, 4, 5]),
        format!("{starts} gap at 1 to 3, 6 and 7 and the lift at 2 to 5: about 32 s. Enough.")
    );
}
