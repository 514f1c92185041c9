//! Readings as the hand takes them: intervals, leaves of feelers, bearings, repeats.

use std::fs;

use ribwright::advice::{Options, advise_and_show};
use ribwright::job::{self, Clearance, Clearances, Interval, Job, Reading};
use ribwright::table::interval::ends;

const STATIONS: &str = "station,along,width,bevel,rise\n1,0,20,6,0\n2,60,24,6,50\n3,120,27,6,80\n4,180,28,6,90\n\
                        5,240,27,6,80\n6,300,24,6,50\n7,360,20,6,0\n";

fn read(readings: &str, settings: &str) -> Result<Job, String> {
    let dir = tempfile::tempdir().expect("a folder");
    let put = |file: &str, text: &str| fs::write(dir.path().join(file), text).expect("written");
    put("stations.csv", STATIONS);
    put("readings.csv", readings);
    put("joint.toml", &format!("spare = 3.0\n{settings}"));
    job::read(dir.path()).map_err(|problems| problems.to_string())
}

fn edge(job: &Job) -> Vec<f64> {
    advise_and_show(job, &Options::default()).1.expect("figures").fit.edge
}

#[test]
fn cells_may_be_intervals_in_every_dialect() {
    let rows = "round;station;against;gap;lift\n1;1;neighbour;<0,05;0,1-0,2\n1;2;neighbour;0,25..0,30;>0,5\n\
                1;3;neighbour;0,3;0\n";
    let readings = &read(rows, "").expect("read").rounds[0].readings;
    assert_eq!(readings[0].within.gap, Some(Interval { low: f64::NEG_INFINITY, high: 0.05 }));
    assert_eq!(readings[0].within.lift, Some(Interval { low: 0.1, high: 0.2 }));
    assert_eq!(readings[1].within.gap, Some(Interval { low: 0.25, high: 0.30 }));
    assert_eq!(readings[1].within.lift, Some(Interval { low: 0.5, high: f64::INFINITY }));
    assert_eq!((readings[2].within.gap, readings[2].overlap), (None, Some(-0.3)));
    // An overlap is the same with the opposite sign.
    let rows = "round,station,against,overlap\n1,1,neighbour,-0.15..-0.10\n1,2,line,>0.5\n";
    let job = read(&rows.replace("line", "neighbour"), "").expect("read");
    assert_eq!(job.rounds[0].readings[0].within.gap, Some(Interval { low: 0.10, high: 0.15 }));
    assert_eq!(job.rounds[0].readings[1].within.gap, Some(Interval { low: f64::NEG_INFINITY, high: -0.5 }));
}

#[test]
fn an_interval_that_is_none_says_so() {
    for (cell, expected) in [
        ("0.15..0.10", "an interval from a smaller to a larger number"),
        ("0.1..x", "a number"),
        ("<400", "gap from -25 to 25 mm"),
        ("0.1..0.2..0.3", "a number"),
    ] {
        let rows = format!("round,station,against,gap\n1,1,neighbour,{cell}\n1,2,neighbour,0.1\n");
        let said = read(&rows, "").expect_err("no interval");
        assert!(said.contains(expected) && said.contains("row 2"), "{cell}: {said}");
    }
}

/// Leaves say the same as the intervals between them, written out.
#[test]
fn a_leaf_that_goes_in_is_an_interval_up_to_the_next() {
    let rows = |cells: [&str; 7]| {
        let row = |(i, cell): (usize, &&str)| format!("1,{},neighbour,{cell}\n", i + 1);
        format!("round,station,against,gap\n{}", cells.iter().enumerate().map(row).collect::<String>())
    };
    let told = "[reading]\ngap_sd = 0.03\n";
    let leaves = format!("{told}leaves = [0.05, 0.1, 0.2, 0.4]\n");
    let by_leaf = read(&rows(["0", "0.1", "0.2", "0.4", "0.2", "0.05", "0"]), &leaves).expect("read");
    let outright = ["<0.05", "0.1..0.2", "0.2..0.4", ">0.4", "0.2..0.4", "0.05..0.1", "<0.05"];
    let outright = read(&rows(outright), told).expect("read");
    let (a, b) = (edge(&by_leaf), edge(&outright));
    assert!(a.iter().zip(&b).all(|(a, b)| (a - b).abs() < 1e-9), "{a:?} {b:?}");
    // The leaf alone is the gap's lower bound, not the gap.
    let plain = read(&rows(["0", "0.1", "0.2", "0.4", "0.2", "0.05", "0"]), told).expect("read");
    let hollow = |edge: &[f64]| (edge[0] + edge[6]) / 2.0 - edge[2];
    assert!(hollow(&a) > hollow(&edge(&plain)) + 0.02, "{a:?} {:?}", edge(&plain));
}

#[test]
fn leaves_are_lengths_that_grow() {
    let rows = "round,station,against,gap\n1,1,neighbour,0.1\n";
    for (leaves, expected) in [
        ("[0.1, 0.05]", "lengths that grow"),
        ("0.05", "a list, each a thickness of a leaf"),
        ("[0.05, 80]", "thickness of a leaf from 0.01 to 10 mm"),
    ] {
        let said = read(rows, &format!("[reading]\nleaves = {leaves}\n")).expect_err("no leaves");
        assert!(said.contains(expected), "{said}");
    }
}

#[test]
fn where_it_bears_there_is_no_gap_and_a_repeat_is_numbered() {
    let head = "round,station,against,gap,lift,bears,reading\n";
    let rows = format!("{head}1,1,neighbour,,0.1,yes,\n1,4,neighbour,0.3,0.1,,1\n1,4,neighbour,0.4,,,2\n");
    let job = read(&rows, "").expect("read");
    let readings = &job.rounds[0].readings;
    assert!(readings[0].bears && readings[0].overlap.is_none());
    assert!((readings[3].overlap.unwrap_or(0.0) + 0.35).abs() < 1e-12);
    assert_eq!((readings[3].again.gap, readings[3].again.lift, readings[3].count()), (1, 0, 3));
    let same = format!("{head}1,4,neighbour,0.3,0.1,,1\n1,4,neighbour,0.4,,,1\n");
    assert!(read(&same, "").expect_err("twice").contains("row 2 has the same"));
}

#[test]
fn an_interval_is_told_from_a_number() {
    assert_eq!(ends("0.10..0.15", false), Some((Some("0.10"), Some("0.15"))));
    assert_eq!(ends("-0.15..-0.10", false), Some((Some("-0.15"), Some("-0.10"))));
    assert_eq!(ends("< 0,05", false), Some((None, Some("0,05"))));
    assert_eq!(ends(">0.5", false), Some((Some("0.5"), None)));
    assert_eq!(ends("0,10 - 0,15", true), Some((Some("0,10"), Some("0,15"))));
    for number in ["0.15", "-0.15", "1-2", "2026-01-02", "3-Jan", "0..", "1 3/32"] {
        assert_eq!(ends(number, true), None, "{number}");
    }
    assert_eq!(ends("0.10-0.15", false), None);
}

/// Two readings whose errors share half their variance: the mean has three quarters of it.
#[test]
fn a_second_reading_says_less_than_the_first() {
    let once = |overlap| Reading { overlap: Some(overlap), ..Reading::default() };
    let both = Reading::joined(&[&once(-0.2), &once(-0.3)]);
    assert!((both.overlap.unwrap_or(0.0) + 0.25).abs() < 1e-12);
    assert!((both.error_share(Clearance::Gap).powi(2) - 0.75).abs() < 1e-12);
    assert_eq!(both.error_share(Clearance::Lift), 1.0);
    assert_eq!(both.count(), 2);
}

#[test]
fn intervals_of_one_place_are_averaged_by_their_ends() {
    let told = |low, high| Reading {
        lift: Some(0.0),
        within: Clearances { lift: Some(Interval { low, high }), ..Clearances::default() },
        ..Reading::default()
    };
    let both = Reading::joined(&[&told(0.1, 0.2), &told(0.15, f64::INFINITY)]);
    assert_eq!(both.within.lift, Some(Interval { low: 0.125, high: f64::INFINITY }));
    assert_eq!(both.lift, Some(0.125));
}
