//! What is typed into the page: kept, marked, saved once confirmed, and told where
//! someone else was faster.
#![cfg(unix)]

use std::fs;
use std::io::Write;
use std::thread;
use std::time::Duration;

use crate::served::{self, Answer, Served, round, version};
use crate::typing::{SECOND, job, plain, read, run, second, text};
use ribwright::job::Against;
use ribwright::record::{Draft, JournalError, write_folder};
use serde_json::{Value, json};

const ROUND: [(&str, &str); 5] =
    [("0,4", "0.1"), ("0.2", "0.1"), ("0", "0.1"), ("0.25", "0"), ("0,5", "0.1")];

fn opened(served: &Served) -> String {
    version(&served.get("/joint/1/read").body)
}

fn typed(served: &Served, sent: &Value) -> Value {
    let answer = served.post("/joint/1/typed", sent);
    assert_eq!(answer.status, 200, "{answer:?}");
    answer.json()
}

fn with(mut sent: Value, cell: usize, changes: &[(&str, Value)]) -> Value {
    for (key, value) in changes {
        sent["cells"][cell][*key] = value.clone();
    }
    sent
}

#[test]
fn a_round_is_typed_with_comma_or_point_and_saved_once_confirmed() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let before = text(dir.path(), "readings.csv");
    let sent = round(&opened(&served), 2, &ROUND);
    let answer = typed(&served, &sent);
    assert!(answer["marks"].as_array().is_some_and(|m| m.iter().all(|m| m["state"] == "read")), "{answer}");
    assert!(answer["map"].as_str().is_some_and(|m| m.contains("<svg") && m.contains("end-point")));
    assert_eq!(text(dir.path(), "readings.csv"), before, "typing saves nothing");
    let saved = served.post("/joint/1/save", &sent);
    assert_eq!(saved.status, 200, "{saved:?}");
    let job = read(dir.path());
    let last = job.rounds.last().expect("a round");
    assert_eq!(job.rounds.len(), 2);
    assert_eq!(last.against, Against::Neighbour);
    let overlaps: Vec<_> = last.readings.iter().map(|r| r.overlap).collect();
    assert_eq!(overlaps, [-0.4, -0.2, 0.0, -0.25, -0.5].map(Some));
    assert!(!dir.path().join(".round-draft").exists(), "the draft is done with");
}

#[test]
fn what_is_typed_outlives_reload_restart_and_a_kill() {
    let dir = plain();
    let mut served = Served::start(dir.path(), &[]);
    typed(&served, &round(&opened(&served), 2, &[("0,4", "0.1"), ("", ""), ("abc", ""), ("", ""), ("", "")]));
    served.child.kill().expect("killed");
    let again = Served::start(dir.path(), &[]);
    let page = again.get("/joint/1/read").body;
    for shown in ["value=\"0.40\"", "value=\"0.10\"", "value=\"abc\""] {
        assert!(page.contains(shown), "{shown}");
    }
    // The terminal goes on with the same round, and asks again for what was no number.
    let said = run(
        "enter",
        dir.path(),
        &["--continue"],
        &["-0.2", "0.1", "0", "0.1", "-0.25", "0", "-0.5", "0.1", "y"],
    );
    assert!(said.out.contains("Round 2 is saved"), "{said:?}");
    assert_eq!(read(dir.path()).rounds[1].readings[0].overlap, Some(-0.4));
}

#[test]
fn a_round_begun_at_the_terminal_is_on_the_page() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    run("enter", dir.path(), &[], &SECOND[..4]);
    let page = served.get("/joint/1/read").body;
    let first = second().readings[0].overlap.expect("read").abs();
    assert!(page.contains(&format!("value=\"{first:.2}\"")), "{first}");
}

#[test]
fn implausible_values_are_marked_and_not_read() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let values = [("40", "0.1"), ("x", "-0.1"), ("4", "0.1"), ("0.3", "30"), ("0.5.1", "y")];
    let sent = round(&opened(&served), 2, &values);
    let answer = typed(&served, &sent);
    let states: Vec<&str> =
        (0..10).map(|i| answer["marks"][i]["state"].as_str().unwrap_or_default()).collect();
    assert_eq!(
        states,
        ["wrong", "read", "wrong", "wrong", "doubt", "read", "read", "wrong", "wrong", "wrong"]
    );
    assert!(answer["count"].as_str().is_some_and(|c| c.starts_with("1 of 5")), "{}", answer["count"]);
    let before = text(dir.path(), "readings.csv");
    let refused = served.post("/joint/1/save", &sent);
    assert_eq!(refused.status, 422);
    assert_eq!(text(dir.path(), "readings.csv"), before);
    // A value in doubt is read once the maker says that it is right.
    let sure = with(
        round(
            sent["version"].as_str().unwrap_or_default(),
            2,
            &[("", ""), ("", ""), ("4", ""), ("", ""), ("", "")],
        ),
        4,
        &[("sure", json!(true)), ("was", json!("?gap 4"))],
    );
    assert_eq!(typed(&served, &sure)["marks"][4]["state"], "read");
    let page = served.get("/joint/1/read").body;
    assert!(page.contains("value=\"4.00\"") && page.contains("data-sure=\"yes\""));
}

/// A folder whose table is still to be made.
fn new_joint() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    write_folder(&ribwright::job::Job { rounds: vec![], ..job() }, dir.path()).expect("written");
    dir
}

#[test]
fn a_new_table_gets_gaps() {
    let dir = new_joint();
    let served = Served::start(dir.path(), &[]);
    assert_eq!(served.post("/joint/1/save", &round(&opened(&served), 1, &ROUND)).status, 200);
    let table = text(dir.path(), "readings.csv");
    assert!(table.starts_with("round,station,against,gap,lift\n1,1,neighbour,0.4,"), "{table}");
    assert_eq!(read(dir.path()).rounds[0].readings[0].overlap, Some(-0.4));
}

#[test]
fn the_first_round_too_is_doubted() {
    let dir = new_joint();
    let served = Served::start(dir.path(), &[]);
    let version = opened(&served);
    let values = [("11", "15"), ("9", "4"), ("0.3", "-0.1"), ("", ""), ("", "")];
    let answer = typed(&served, &with(round(&version, 1, &values), 0, &[("changed", json!(false))]));
    let states: Vec<_> = (0..6).map(|i| answer["marks"][i]["state"].as_str().unwrap_or_default()).collect();
    assert_eq!(states, ["doubt", "doubt", "read", "read", "read", "wrong"]);
}

/// A minus is wood past the line where the table is to have gaps. What is in doubt keeps its
/// side in the draft, whichever column the table has when the page is opened again.
#[test]
fn a_sign_in_doubt_keeps_its_side() {
    let dir = new_joint();
    let served = Served::start(dir.path(), &[]);
    let blank = round(&opened(&served), 1, &[("", ""); 5]);
    let sent = with(blank, 2, &[("text", json!("-0.3")), ("changed", json!(true))]);
    let answer = typed(&served, &sent);
    assert_eq!(answer["marks"][2]["state"], "doubt", "wood can't pass into the neighbour's wood");
    assert_eq!((&answer["held"][2]["text"], &answer["held"][2]["gap"]), (&json!("0.3"), &json!(false)));
    fs::write(dir.path().join("readings.csv"), "round,station,against,overlap,lift\n").expect("written");
    let page = served.get("/joint/1/read").body;
    let cell = page.split("id=\"f1-overlap-key\"").nth(1).and_then(|rest| rest.split("data-station").next());
    let told = |cell: &str| cell.contains("data-gap=\"no\"") && cell.contains("value=\"0.3\"");
    assert!(cell.is_some_and(told), "{cell:?}");
}

#[test]
fn the_sign_key_and_a_typed_sign_mean_what_they_say() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let version = opened(&served);
    let line = |text: &str, gap: bool| {
        let mut sent = with(
            round(&version, 2, &[(text, ""), ("", ""), ("", ""), ("", ""), ("", "")]),
            0,
            &[("gap", json!(gap))],
        );
        sent["against"] = json!("line");
        sent["keep"] = json!(false);
        typed(&served, &sent)["marks"][0].clone()
    };
    // The table's column is overlap: a minus is daylight, as at the prompt.
    assert_eq!(line("-0.3", false)["gap"], json!(true));
    assert_eq!(line("\u{2212}0,3", false)["gap"], json!(true));
    assert_eq!(line("+0.3", true)["gap"], json!(false));
    assert_eq!(line("0.3", true)["gap"], Value::Null);
    let over = with(
        round(&version, 2, &[("0.3", ""), ("", ""), ("", ""), ("", ""), ("", "")]),
        0,
        &[("gap", json!(false))],
    );
    let mark = typed(&served, &over)["marks"][0].clone();
    assert_eq!(mark["state"], "doubt", "wood can't pass into the neighbour");
    assert!(mark["text"].as_str().is_some_and(|t| t.contains("gap")));
}

#[test]
fn two_pages_that_type_at_once_lose_nothing() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let version = opened(&served);
    let blank = [("", ""); 5];
    let one = |cell: usize, text: &str| {
        with(round(&version, 2, &blank), cell, &[("text", json!(text)), ("changed", json!(true))])
    };
    typed(&served, &one(0, "0.4"));
    // Another field: both stay, and the later page hears of the earlier one's.
    let answer = typed(&served, &one(2, "0.2"));
    assert_eq!(answer["clashes"], json!([]));
    assert_eq!(answer["held"][0]["text"], "0.40");
    // The same field: the later one is told, and the earlier value stays.
    let answer = typed(&served, &one(0, "0.7"));
    assert_eq!(answer["clashes"], json!([0]));
    assert_eq!(answer["held"][0]["said"], "gap 0.40");
    // Having seen it, it may keep its own.
    let knowing = with(one(0, "0.7"), 0, &[("was", answer["held"][0]["was"].clone())]);
    assert_eq!(typed(&served, &knowing)["held"][0]["text"], "0.70");
    // What would be saved is what the draft holds, or nothing is.
    let other = served.post("/joint/1/save", &round(&version, 2, &ROUND));
    assert_eq!(other.status, 409, "{other:?}");
    assert_eq!(read(dir.path()).rounds.len(), 1);
}

/// A round whose choices one page changes: against a line, bent again, or both.
fn choosing(version: &str, against: Option<&str>, rebent: Option<bool>) -> Value {
    let mut sent = round(version, 2, &[("", ""); 5]);
    sent["against"] = json!(against.unwrap_or("neighbour"));
    sent["rebent"] = json!(rebent.unwrap_or(false));
    sent["chosen"] =
        json!({ "against": { "changed": against.is_some() }, "rebent": { "changed": rebent.is_some() } });
    sent
}

#[test]
fn what_two_pages_choose_for_the_round_is_merged_and_told() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let version = opened(&served);
    typed(&served, &choosing(&version, Some("line"), None));
    // The other page, opened before, says only that the rib was bent again.
    let mut bent = choosing(&version, None, Some(true));
    bent["chosen"]["rebent"]["was"] = json!(false);
    let answer = typed(&served, &bent);
    assert_eq!(answer["chosen"]["against"], json!({ "held": "line", "elsewhere": true }));
    assert_eq!(answer["chosen"]["rebent"], json!({ "held": true, "elsewhere": false }));
    assert!(answer["elsewhere"].as_str().is_some_and(|t| t.contains("held against a line")), "{answer}");
    // A page that chose otherwise without knowing is told; knowing it, it may choose anew.
    let mut back = choosing(&version, Some("neighbour"), None);
    back["rebent"] = json!(true);
    assert_eq!(typed(&served, &back)["chosen"]["against"], json!({ "held": "line", "elsewhere": true }));
    back["chosen"]["against"]["was"] = json!("line");
    let answer = typed(&served, &back);
    assert_eq!(answer["chosen"]["against"], json!({ "held": "neighbour", "elsewhere": false }));
    assert_eq!(answer["elsewhere"], Value::Null);
}

#[test]
fn a_choice_of_another_page_is_not_saved_over() {
    let choices = [(Some("line"), None, "against a line"), (None, Some(true), "bent again")];
    for (against, rebent, said) in choices {
        let dir = plain();
        let served = Served::start(dir.path(), &[]);
        let version = opened(&served);
        typed(&served, &round(&version, 2, &ROUND));
        let mut other = choosing(&version, against, rebent);
        other["chosen"]["against"]["was"] = json!("neighbour");
        other["chosen"]["rebent"]["was"] = json!(false);
        typed(&served, &other);
        let mine = round(&version, 2, &ROUND);
        let refused = served.post("/joint/1/save", &mine);
        assert_eq!(refused.status, 409, "{refused:?}");
        let error = refused.json()["error"].as_str().unwrap_or_default().to_owned();
        assert!(error.contains(said) && error.contains("Next:"), "{error}");
        assert_eq!(read(dir.path()).rounds.len(), 1);
        // With the other's choice taken over it is saved, that choice with it.
        let mut agreed = mine;
        agreed["against"] = json!(against.unwrap_or("neighbour"));
        agreed["rebent"] = json!(rebent.unwrap_or(false));
        assert_eq!(served.post("/joint/1/save", &agreed).status, 200);
        let saved = &read(dir.path()).rounds[1];
        assert_eq!(saved.against == Against::Line, against.is_some());
        assert_eq!(saved.rebent, rebent.is_some());
    }
}

#[test]
fn the_later_of_two_saves_is_told_and_its_values_are_kept() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let version = opened(&served);
    let sent = round(&version, 2, &ROUND);
    assert_eq!(served.post("/joint/1/save", &sent).status, 200);
    let late = served.post("/joint/1/save", &sent);
    assert_eq!(late.status, 409);
    assert!(
        late.json()["error"].as_str().is_some_and(|e| e.contains("nothing was saved") && e.contains("Next:"))
    );
    assert_eq!(read(dir.path()).rounds.len(), 2);
    // Typing on in the late page is kept all the same, as what it was begun as.
    let more = with(sent, 2, &[("text", json!("0.05"))]);
    let answer = typed(&served, &more);
    assert_eq!(answer["stale"], json!(true));
    let page = served.get("/joint/1/read").body;
    assert!(page.contains("begun as round 2") && page.contains("value=\"0.25\""), "{page}");
}

#[test]
fn strokes_are_recorded_once_and_the_later_page_is_told() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let version = version(&served.get("/joint/1").body);
    let stroke = |to: &str, count: f64| json!({ "plane": "long", "from": "2", "to": to, "count": count, "unbroken": ["3", "4"] });
    let sent = |strokes: Vec<Value>| json!({ "version": version, "round": 1, "strokes": strokes });
    let wrong = [stroke("2", 0.0), stroke("4", 1.5), stroke("9", 1.0), stroke("1", 1.0), stroke("4", 1e300)];
    for wrong in wrong {
        let answer = served.post("/joint/1/strokes", &sent(vec![wrong.clone()]));
        assert_eq!(answer.status, 422, "{wrong}: {answer:?}");
    }
    assert_eq!(served.post("/joint/1/strokes", &sent(vec![])).status, 422);
    assert!(read(dir.path()).rounds[0].strokes.is_empty());
    assert_eq!(served.post("/joint/1/strokes", &sent(vec![stroke("4", 2.0)])).status, 200);
    let late = served.post("/joint/1/strokes", &sent(vec![stroke("4", 2.0)]));
    assert_eq!(late.status, 409);
    let strokes = &read(dir.path()).rounds[0].strokes;
    assert_eq!(strokes.len(), 1);
    assert_eq!((strokes[0].count, strokes[0].shaving), (2, Some((2, 3))));
    assert!(served.get("/joint/1").body.contains("Read again"));
}

#[test]
fn a_folder_changed_under_the_page_is_never_written_on_old_knowledge() {
    for name in ["readings.csv", "stations.csv", "strokes.csv", "joint.toml"] {
        let dir = plain();
        let served = Served::start(dir.path(), &[]);
        let sent = round(&opened(&served), 2, &ROUND);
        let mut file =
            fs::OpenOptions::new().append(true).create(true).open(dir.path().join(name)).expect("opened");
        file.write_all(if name == "strokes.csv" && text(dir.path(), name).is_empty() {
            b"round,plane,from,to,count\n" as &[u8]
        } else {
            b"\n"
        })
        .expect("written");
        assert_eq!(served.post("/joint/1/save", &sent).status, 409, "{name}");
    }
}

#[test]
fn while_the_terminal_types_the_page_is_told() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let sent = round(&opened(&served), 2, &ROUND);
    let (held, _) = Draft::open(dir.path()).expect("held by another program");
    assert!(matches!(Draft::open(dir.path()), Err(JournalError::Typing(_))));
    let answer = typed(&served, &sent);
    assert!(answer["trouble"].as_str().is_some_and(|t| t.contains("another program is typing")), "{answer}");
    assert_eq!(served.post("/joint/1/save", &sent).status, 409);
    drop(held);
    assert!(typed(&served, &sent)["trouble"].is_null());
    assert_eq!(served.post("/joint/1/save", &sent).status, 200);
}

#[test]
fn only_the_round_that_is_meant_is_thrown_away() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    typed(&served, &round(&opened(&served), 2, &ROUND));
    assert_eq!(served.post("/joint/1/discard", &json!({ "round": 3 })).status, 409);
    assert!(dir.path().join(".round-draft").exists());
    assert_eq!(served.post("/joint/1/discard", &json!({ "round": 2 })).status, 200);
    assert!(!dir.path().join(".round-draft").exists());
}

#[test]
fn what_the_page_never_sends_is_refused_without_harm() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let before = text(dir.path(), "readings.csv");
    let bodies =
        ["", "null", "[]", "{}", "{\"cells\":1}", "\u{0}", "[[[[[[[[", "{\"version\":\"x\",\"round\":-1}"];
    for path in ["typed", "save", "strokes", "recover", "correct", "try", "discard"] {
        for body in bodies {
            let own = format!("http://{}", served.host());
            let answer = served.post_with(&format!("/joint/1/{path}"), body, &[("Origin", &own)]);
            assert_eq!(answer.status, 400, "{path} {body}");
        }
    }
    for cut in [json!([]), json!([0.1]), json!([-0.1, 0, 0, 0, 0]), json!([1e300, 0, 0, 0, 0])] {
        assert_eq!(served.post("/joint/1/try", &json!({ "cut": cut })).status, 409);
    }
    assert_eq!(text(dir.path(), "readings.csv"), before);
}

/// Killed at any moment of saving: the old state or the new one, and what was typed
/// is still there where it is the old one.
#[test]
fn killed_while_saving_it_is_the_old_state_or_the_new_one() {
    let (mut old, mut new) = (0, 0);
    for n in 0..30 {
        let dir = plain();
        let mut served = Served::start(dir.path(), &[]);
        let sent = round(&opened(&served), 2, &ROUND);
        typed(&served, &sent);
        let before = text(dir.path(), "readings.csv");
        let request = {
            let (host, body) = (served.host(), sent.to_string());
            format!(
                "POST /joint/1/save HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
                body.len()
            )
        };
        let mut stream = served.connect();
        stream.write_all(request.as_bytes()).expect("sent");
        thread::sleep(Duration::from_micros(400 * n));
        served.child.kill().expect("killed");
        served.child.wait().expect("gone");
        let answer: Answer = served::read(stream);
        let job = read(dir.path());
        let table = text(dir.path(), "readings.csv");
        assert!(table.starts_with(&before), "torn: {table}");
        if job.rounds.len() == 1 {
            old += 1;
            assert_eq!(table, before);
            assert_ne!(answer.status, 200, "told to be saved, and lost");
            assert!(text(dir.path(), ".round-draft").contains("\"overlap\""), "what was typed is lost");
        } else {
            new += 1;
            assert_eq!(job.rounds[1].readings[3].overlap, Some(-0.25));
        }
        // Whatever was left behind, the next one goes on.
        let again = Served::start(dir.path(), &[]);
        assert_eq!(again.get("/joint/1/read").status, 200);
        assert_eq!(again.get("/joint/1/read").body.contains("value=\"0.25\""), job.rounds.len() == 1, "{n}");
    }
    assert!(old + new == 30);
    eprintln!("killed while saving: {old} times the old state, {new} times the new one");
}

/// The first page: under 200 kB in all, and with what it needs of its own.
#[test]
fn the_first_page_is_small() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let page = served.get("/joint/1").body;
    let assets = page.split("\"/assets/").skip(1).filter_map(|rest| rest.split('"').next());
    let all: usize =
        page.len() + assets.map(|name| served.get(&format!("/assets/{name}")).body.len()).sum::<usize>();
    assert!(all < 200_000, "{all}");
}

#[test]
fn a_joint_without_rounds_begins_with_reading() {
    let dir = tempfile::tempdir().expect("a folder");
    let mut fresh = job();
    fresh.rounds.clear();
    write_folder(&fresh, dir.path()).expect("written");
    let served = Served::start(dir.path(), &[]);
    for path in ["", "/read", "/look", "/try", "/history", "/card"] {
        assert_eq!(served.get(&format!("/joint/1{path}")).status, 200, "{path}");
    }
    assert!(served.get("/joint/1").body.contains("Read round 1"));
    let sent = round(
        &opened(&served),
        1,
        &[("0.4", "0.1"), ("0.2", "0.1"), ("0", "0.1"), ("0.25", "0"), ("0.5", "0.1")],
    );
    assert_eq!(served.post("/joint/1/save", &sent).status, 200);
    assert_eq!(read(dir.path()).rounds.len(), 1);
}

/// Leaves, intervals and bearings as the hand takes them: shown back as typed, and none lost.
#[test]
fn what_is_no_plain_number_is_kept_as_it_was_typed() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let values = [("0.85..0.95", "<0.15"), ("", ""), ("<0,05", ">0.1"), ("0.40-0.45", "0.1"), ("0.8", "0.1")];
    let mut sent = round(&opened(&served), 2, &values);
    let bears =
        |station: &str, changed: bool| json!({ "station": station, "bears": true, "changed": changed });
    sent["bears"] = json!([bears("2", true)]);
    let answer = typed(&served, &sent);
    assert!(answer["marks"].as_array().is_some_and(|m| m.iter().all(|m| m["state"] != "wrong")), "{answer}");
    assert!(
        answer["count"].as_str().is_some_and(|c| c.ends_with("felt to bear at 1")),
        "{}",
        answer["count"]
    );
    assert_eq!(answer["bears"], json!([true]));
    let page = served.get("/joint/1/read").body;
    for shown in ["0.85..0.95", "&lt;0.15", "&lt;0.05", "&gt;0.10", "0.40..0.45"] {
        assert!(page.contains(&format!("value=\"{shown}\"")), "{shown}");
    }
    // The draft knows of a bearing that this page doesn't show: nothing is saved over it.
    let blind = with(sent.clone(), 0, &[("changed", json!(false))]);
    assert_eq!(
        served
            .post("/joint/1/save", &{
                let mut s = blind;
                s["bears"] = json!([]);
                s
            })
            .status,
        409
    );
    assert_eq!(served.post("/joint/1/save", &sent).status, 200);
    let table = text(dir.path(), "readings.csv");
    assert!(table.contains("2,1,neighbour,-0.95..-0.85,<0.15"), "{table}");
    let last = &read(dir.path()).rounds[1].readings;
    assert!(last[1].bears && last[1].overlap.is_none() && last[2].within.gap.is_some(), "{last:?}");
}
