//! What is not as it was confirmed: the page says so, and brings it back or keeps it.
#![cfg(unix)]

use std::fs;

use crate::served::{Served, version};
use crate::typing::{SECOND, enter, plain, read, text};
use serde_json::json;

/// Two rounds, the second taken away again by an older copy of the table.
fn overtaken() -> (tempfile::TempDir, ribwright::job::Job) {
    let dir = plain();
    let older = text(dir.path(), "readings.csv");
    enter(dir.path(), &SECOND).well();
    let whole = read(dir.path());
    fs::write(dir.path().join("readings.csv"), older).expect("written");
    (dir, whole)
}

#[test]
fn the_page_tells_what_is_missing_and_brings_it_back() {
    let (dir, whole) = overtaken();
    let served = Served::start(dir.path(), &[]);
    for path in ["/joint/1", "/joint/1/read"] {
        let page = served.get(path).body;
        assert!(page.contains("Not as it was confirmed") && page.contains("Round 2 is missing"), "{page}");
        assert!(page.contains("data-recover=\"back\"") && page.contains("data-recover=\"keep\""), "{path}");
    }
    let stale = served.post("/joint/1/recover", &json!({ "version": "other", "way": "back" }));
    assert_eq!((stale.status, read(dir.path()).rounds.len()), (409, 1));
    let strange = served.post("/joint/1/recover", &json!({ "version": "other", "way": "away" }));
    assert_eq!(strange.status, 400);
    let sent = json!({ "version": version(&served.get("/joint/1").body), "way": "back" });
    let answer = served.post("/joint/1/recover", &sent);
    assert_eq!((answer.status, &answer.json()["next"]), (200, &json!("/joint/1")));
    assert_eq!(read(dir.path()), whole);
    assert!(!served.get("/joint/1").body.contains("Not as it was confirmed"));
}

#[test]
fn the_page_keeps_the_table_as_it_is() {
    let (dir, _) = overtaken();
    let served = Served::start(dir.path(), &[]);
    let before = text(dir.path(), "readings.csv");
    let sent = json!({ "version": version(&served.get("/joint/1").body), "way": "keep" });
    assert_eq!(served.post("/joint/1/recover", &sent).status, 200);
    assert_eq!(text(dir.path(), "readings.csv"), before);
    assert!(!served.get("/joint/1").body.contains("Not as it was confirmed"));
}

/// In a bowl the page tells it once, by its note, and anew with every change.
#[test]
fn a_joint_of_a_bowl_tells_it_once() {
    let dir = crate::typing::copied("bowl");
    let joint = dir.path().join("joints/03");
    let older = text(&joint, "readings.csv");
    let whole = read(&joint);
    let last = whole.rounds.last().expect("a round").clone();
    let new = ribwright::record::NewRound {
        against: last.against,
        rebent: false,
        readings: last.readings,
        note: None,
    };
    ribwright::record::add_round(&joint, &new).expect("added");
    fs::write(joint.join("readings.csv"), older).expect("written");
    let served = Served::start(dir.path(), &[]);
    let page = served.get("/joint/03").body;
    assert_eq!(page.matches("ot as it was confirmed").count(), 1, "{page}");
    let sent = json!({ "version": version(&page), "way": "keep" });
    assert_eq!(served.post("/joint/03/recover", &sent).status, 200);
    assert!(!served.get("/joint/03").body.contains("ot as it was confirmed"));
}
