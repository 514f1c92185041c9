//! The lines on the mold held against the girth: where they agree both count, where they
//! don't that is the finding; and what is said of it comes from the figures of the table.

use std::path::Path;
use std::sync::LazyLock;

use proptest::prelude::*;
use ribwright::advice::{JointInBowl, open};
use ribwright::bowl::mark::{Marks, Wish, marks_in};
use ribwright::job::Job;
use ribwright::show::bowl::marks_text;

static DEMO: LazyLock<JointInBowl> = LazyLock::new(|| {
    open(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings/bowl/joints/02")).expect("sound")
});

/// The demo's second joint with its lines moved, by so much at each end, mm.
fn moved(ends: [f64; 2], by_widths: bool) -> (&'static Job, Marks) {
    let (bowl, number) = DEMO.bowl.as_ref().expect("a bowl");
    let mut bowl = bowl.clone();
    let joint = bowl.joints.iter_mut().find(|j| j.number == *number).expect("there");
    let last = (joint.marks.len() - 1) as f64;
    for (i, mark) in joint.marks.iter_mut().enumerate() {
        let share = i as f64 / last;
        mark.iter_mut().for_each(|m| m.compass += ends[0] + share * (ends[1] - ends[0]));
    }
    let wish = Wish { by_widths, ..Wish::default() };
    let marks = marks_in(&bowl, *number, &DEMO.job, &DEMO.start, wish).expect("laid");
    (&DEMO.job, marks.expect("measured"))
}

fn said(job: &Job, marks: &Marks) -> String {
    let mut out = Vec::new();
    marks_text(job, marks, 1.0, None, &mut out).expect("written");
    String::from_utf8(out).expect("UTF-8")
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A row of the table: marked width, and how far off the share that is, as printed.
fn row(text: &str, station: &str) -> [f64; 2] {
    let cells = |line: &str| line.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    let table = text.lines().skip_while(|l| !l.starts_with("station")).skip(1);
    let row = table.map(cells).find(|c| c.first().is_some_and(|c| c == station)).expect("a row");
    [5, 6].map(|i| row[i].parse().expect("a number"))
}

/// The numbers and the station of a sentence, in their order.
fn words(text: &str) -> Vec<String> {
    text.split_whitespace().map(|w| w.trim_matches(&['(', ')', ',', '.', ':'][..]).to_owned()).collect()
}

fn behind(words: &[String], word: &str) -> String {
    words[words.iter().position(|w| w == word).expect("the word") + 1].clone()
}

#[test]
fn lines_that_the_girth_speaks_against_are_told_first_and_left_where_they_are() {
    for shift in [-2.0, 1.5, 2.0, 6.0] {
        let (job, marks) = moved([shift; 2], false);
        let apart = marks.apart.expect("told");
        assert!(apart.line[0] - apart.girth[0] > shift - 0.6 && apart.line[0] - apart.girth[0] < shift + 0.6);
        // The lines are where the compass says, whatever the girth says.
        let off = |s: &ribwright::bowl::mark::MarkStation| Some(s.mark? - s.compass?);
        let off: Vec<f64> = marks.stations.iter().filter_map(off).collect();
        let mean = off.iter().sum::<f64>() / off.len() as f64;
        assert!(mean.abs() < 0.1, "{shift}: {mean:.2}");
        assert!(marks.plan.strokes.is_empty());
        let text = flat(&said(job, &marks));
        assert!(text.starts_with("The lines on the mold and the girth disagree: at station"), "{text}");
        assert!(text.contains("Measure the girth there again") && !text.contains("Strokes"), "{text}");
        // Marked by the girth, it is a warning, and strokes are planned.
        let (job, marks) = moved([shift; 2], true);
        let text = flat(&said(job, &marks));
        assert!(text.contains("It is marked by the girth") && !text.starts_with("The lines"), "{text}");
        assert!(!marks.plan.strokes.is_empty());
        assert!(marks.stations.iter().all(|s| s.wanted.is_some_and(|w| (w - s.width).abs() < 1e-9)));
    }
}

#[test]
fn lines_that_agree_with_the_girth_are_no_finding() {
    for shift in [-0.15, 0.0, 0.15, 0.3] {
        let (job, marks) = moved([shift; 2], false);
        assert_eq!(marks.apart, None, "{shift}");
        assert!(said(job, &marks).starts_with("Mark the edge"), "{shift}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever the lines are like, a sentence about them has the numbers of the table.
    #[test]
    fn a_sentence_and_its_table_say_the_same(neck in -3.0f64..3.0, tail in -3.0f64..3.0) {
        let (job, marks) = moved([neck, tail], false);
        let text = said(job, &marks);
        let all = words(&text);
        let largest = job.stations.iter().map(|s| row(&text, &s.name)[1].abs()).fold(0.0, f64::max);
        if marks.apart.is_some() && marks.off.is_empty() {
            let [width, off] = row(&text, &behind(&all, "station"));
            let line: f64 = behind(&all[all.iter().position(|w| w == "rib").expect("said")..], "rib").parse().expect("mm");
            prop_assert_eq!(line, width, "{}", text);
            let girth: f64 = behind(&all[all.iter().position(|w| w == "leaves").expect("said")..], "it").parse().expect("mm");
            // Three rounded numbers.
            prop_assert!((line - girth - off).abs() < 0.011, "{} {} {}: {}", line, girth, off, text);
        } else if let Some(at) = all.iter().position(|w| w == "becomes") {
            let off: f64 = all[at + 1].parse().expect("mm");
            prop_assert_eq!(off, largest, "{}", text);
        } else if marks.apart.is_none() {
            prop_assert!(largest < 0.51, "nothing is said of it: {}", text);
        }
    }
}
