//! A saved reading corrected on the page: one station's fields, the old value kept.
#![cfg(unix)]

use crate::served::{Answer, Served, version};
use crate::typing::{copied, read, text};
use ribwright::job::{Reading, Stroke};
use serde_json::{Value, json};

/// A station's readings as the page sends them.
fn sent(served: &Served, station: &str, values: [(&str, &str, bool); 2], sure: bool) -> Value {
    let cell = |(quantity, text, gap): (&str, &str, bool)| json!({ "station": station, "quantity": quantity, "gap": gap, "text": text, "sure": sure });
    let version = version(&served.get("/joint/1/correct/4").body);
    json!({ "version": version, "round": 2, "against": "neighbour", "rebent": false, "cells": values.map(cell) })
}

fn put(served: &Served, station: &str, gap: &str, lift: &str) -> Answer {
    let sent = sent(served, station, [("overlap", gap, true), ("lift", lift, false)], false);
    served.post("/joint/1/correct", &sent)
}

#[test]
fn a_doubt_leads_to_one_field_and_the_correction_settles_it() {
    let dir = copied("mistyped");
    let served = Served::start(dir.path(), &[]);
    let now = served.get("/joint/1").body;
    let way = "<a class=\"button main\" href=\"/joint/1/correct/4\">Read or correct station 5</a>";
    assert!(now.contains("Read again") && now.contains(way), "{now}");
    assert_eq!(
        now.matches("class=\"button main\" href=\"/joint/1/correct/").count(),
        1,
        "no other is in doubt"
    );
    let page = served.get("/joint/1/correct/4").body;
    assert!(page.contains("Station 5, round 2") && page.contains("value=\"4.00\""), "{page}");
    assert_eq!(page.matches("data-quantity=").count(), 2, "one station's fields: {page}");
    let before = text(dir.path(), "readings.csv");
    let answer = put(&served, "5", "0.3", "0.00");
    assert_eq!((answer.status, &answer.json()["next"]), (200, &json!("/joint/1")), "{answer:?}");
    let after = text(dir.path(), "readings.csv");
    let row = after.lines().find(|row| row.starts_with("2,5,")).expect("a row");
    assert!(row.starts_with("2,5,neighbour,-0.3,0,overlap was -4 until corrected on 20"), "{row}");
    assert_eq!(before.lines().count(), after.lines().count(), "no new round");
    let log = text(dir.path(), "confirmed.log");
    assert!(log.contains("\"what\":\"corrected\"") && log.contains("\"overlap_mm\":-4.0"), "{log}");
    let now = served.get("/joint/1").body;
    assert!(!now.contains("Read station 5 again") && !now.contains("Read or correct"), "{now}");
    assert!(now.contains("Correct a reading of round 2") && now.contains("href=\"/joint/1/correct/0\""));
}

#[test]
fn what_can_not_be_is_marked_and_nothing_is_changed() {
    let dir = copied("mistyped");
    let served = Served::start(dir.path(), &[]);
    let before = text(dir.path(), "readings.csv");
    for (gap, lift, states) in [("3", "0", ["doubt", "read"]), ("x", "-1", ["wrong", "wrong"])] {
        let answer = put(&served, "5", gap, lift);
        assert_eq!(answer.status, 422, "{answer:?}");
        let marks = answer.json()["marks"].clone();
        assert_eq!([&marks[0]["state"], &marks[1]["state"]], states.map(|s| json!(s)).each_ref(), "{marks}");
    }
    let same = put(&served, "5", "4.00", "0.00");
    assert_eq!(same.status, 422, "in doubt as it stands: {same:?}");
    let sure = [("overlap", "4.00", true), ("lift", "0.00", false)];
    let same = served.post("/joint/1/correct", &sent(&served, "5", sure, true));
    assert!(same.status == 422 && same.json()["error"].as_str().is_some_and(|e| e.contains("there already")));
    assert_eq!(text(dir.path(), "readings.csv"), before);
    // What is right all the same is put there once the maker says so.
    let sure = [("overlap", "3", true), ("lift", "", false)];
    assert_eq!(served.post("/joint/1/correct", &sent(&served, "5", sure, true)).status, 200);
    let expected = Reading { overlap: Some(-3.0), ..Reading::default() };
    assert_eq!(read(dir.path()).rounds[1].readings[4], expected);
}

#[test]
fn a_page_that_is_behind_corrects_nothing() {
    let dir = copied("mistyped");
    let served = Served::start(dir.path(), &[]);
    let old = sent(&served, "5", [("overlap", "0.3", true), ("lift", "0", false)], false);
    assert_eq!(put(&served, "4", "0.5", "0.1").status, 200);
    let before = text(dir.path(), "readings.csv");
    assert_eq!(served.post("/joint/1/correct", &old).status, 409);
    let mut other = sent(&served, "5", [("overlap", "0.3", true), ("lift", "0", false)], false);
    other["round"] = json!(1);
    assert_eq!(served.post("/joint/1/correct", &other).status, 409, "only the last round");
    assert_eq!(text(dir.path(), "readings.csv"), before);
    for path in ["/joint/1/correct/99", "/joint/1/correct/-1", "/joint/1/correct/x"] {
        assert!((400..500).contains(&served.get(path).status), "{path}");
    }
}

/// The inches of a field have fewer digits than the table: what is not touched stays.
#[test]
fn a_field_that_is_not_touched_keeps_every_decimal() {
    let dir = copied("inch");
    let served = Served::start(dir.path(), &[]);
    let job = read(dir.path());
    let (last, number) = (job.rounds.last().expect("a round"), job.rounds.len());
    let page = served.get("/joint/1/correct/2").body;
    let shown: Vec<&str> = page.split("value=\"").skip(1).filter_map(|v| v.split('"').next()).collect();
    let name = &job.stations[2].name;
    let gap = last.readings[2].overlap.is_some_and(|o| o < 0.0);
    let mut body =
        json!({ "version": version(&page), "round": number, "against": "neighbour", "rebent": false });
    body["cells"] = json!([
        { "station": name, "quantity": "overlap", "gap": gap, "text": shown[0] },
        { "station": name, "quantity": "lift", "text": "0.011" },
    ]);
    assert_eq!(served.post("/joint/1/correct", &body).status, 200);
    let now = read(dir.path()).rounds[number - 1].readings[2].clone();
    assert_eq!(now.overlap, last.readings[2].overlap);
    assert!(now.lift.is_some_and(|lift| (lift - 0.011 * 25.4).abs() < 1e-9), "{now:?}");
}

#[test]
fn after_planing_it_says_that_only_slips_are_corrected() {
    let dir = tempfile::tempdir().expect("a folder");
    let mut job = crate::typing::job();
    job.rounds[0].strokes = vec![Stroke { plane: 0, from: 0, to: 2, count: 1, shaving: None }];
    ribwright::record::write_folder(&job, dir.path()).expect("written");
    let served = Served::start(dir.path(), &[]);
    let page = served.get("/joint/1/correct/0").body;
    assert!(page.contains("You planed after round 1. Correct slips only"), "{page}");
    assert!(page.contains("href=\"/joint/1/read\""), "{page}");
}
