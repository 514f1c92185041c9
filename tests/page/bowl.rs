//! A bowl's pages: the same figures as the commands, and no joint but the bowl's.
#![cfg(unix)]

use std::path::Path;
use std::process::Command;

use crate::served::{PROGRAM, Served, round, version};
use crate::typing::copied;
use ribwright::job::bowl::read_bowl;
use serde_json::{Value, json};

fn bowl() -> tempfile::TempDir {
    copied("bowl")
}

fn said(folder: &Path, command: &[&str]) -> Value {
    let output = Command::new(PROGRAM).args(command).arg(folder).arg("--json").output().expect("it runs");
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// Whether a page has a length between two pieces. JSON has it to 1e-4 mm, so that
/// what a page rounds may be off by half of that.
fn has(page: &str, before: &str, length: &Value, after: &str) -> bool {
    let mm = length.as_f64().expect("a length");
    [mm - 6e-5, mm + 6e-5].iter().any(|mm| page.contains(&format!("{before}{mm:.2}{after}")))
}

#[test]
fn the_first_page_says_where_the_work_stands() {
    let dir = bowl();
    let page = Served::start(dir.path(), &[]).get("/").body;
    let stands = said(dir.path(), &["bowl"]);
    let joints = stands["joints"].as_array().expect("a list");
    assert_eq!(joints.len(), 14);
    for joint in joints {
        let number = joint["joint"].as_u64().expect("a number");
        assert!(page.contains(&format!("href=\"/joint/{number:02}\"")), "joint {number}");
    }
    assert!(page.contains("<svg"), "the widths are drawn");
    assert!(!page.contains("ribwright divide"), "what a tap does need not be typed");
}

/// A joint's folder may be called `1` as well as `01`.
#[test]
fn every_joint_is_linked_by_its_folders_name() {
    let dir = bowl();
    let joints = dir.path().join("joints");
    for (from, to) in [("01", "1"), ("03", "003")] {
        std::fs::rename(joints.join(from), joints.join(to)).expect("renamed");
    }
    let served = Served::start(dir.path(), &[]);
    let page = served.get("/").body;
    let links: Vec<&str> =
        page.split("href=\"/joint/").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert!(["1", "02", "003"].iter().all(|name| links.contains(name)), "{links:?}");
    for name in links {
        assert_eq!(served.get(&format!("/joint/{name}")).status, 200, "{name}");
    }
    let commands = said(dir.path(), &["bowl"])["commands"].to_string();
    assert!(!commands.contains("joints/03"), "the command line names it as it is: {commands}");
}

#[test]
fn the_girth_is_shared_out_as_the_command_does() {
    let dir = bowl();
    let served = Served::start(dir.path(), &[]);
    for (path, more) in [("/divide", &["divide"][..]), ("/divide/symmetric", &["divide", "--symmetric"])] {
        let page = served.get(path).body;
        let answer = said(dir.path(), more);
        for station in answer["stations"].as_array().expect("a list") {
            assert!(has(&page, "<strong>", &station["next_mm"], "</strong>"), "{path}: {station}");
        }
    }
}

#[test]
fn marks_stand_there_where_they_were_measured() {
    let dir = bowl();
    let served = Served::start(dir.path(), &[]);
    let page = served.get("/joint/02/mark").body;
    let answer = said(&dir.path().join("joints/02"), &["mark"]);
    for station in answer["stations"].as_array().expect("a list") {
        assert!(has(&page, "<td>", &station["mark_mm"], " ± "), "{station}");
    }
    assert!(served.get("/joint/03/mark").body.contains("There are no marks yet"));
}

/// A joint's shim and spacer, and the bowl's moisture, in the words and figures of the commands.
#[test]
fn shim_spacer_and_moisture_say_what_the_commands_do() {
    let dir = bowl();
    let served = Served::start(dir.path(), &[]);
    let joint = dir.path().join("joints/03");
    let page = served.get("/joint/03/shim").body;
    let answer = said(&joint, &["shim"]);
    let stations = answer["stations"].as_array().expect("a list");
    assert!(!stations.is_empty() && !answer["shims"].as_array().expect("a list").is_empty());
    for station in stations {
        assert!(has(&page, "<td>", &station["spring_mm"], " ± "), "{station}");
    }
    assert!(page.contains("class=\"shim\"") && page.contains("Shim under the outer edge"));
    let page = served.get("/joint/03/spacer").body;
    let answer = said(&joint, &["spacer"]);
    assert!(has(&page, "Cut the spacer ", &answer["length_mm"], " mm long"), "{page}");
    let tacks = answer["tacks_mm"].as_array().expect("a list").len();
    // Drawn twice, for a phone and for a wide screen.
    assert_eq!(page.matches("class=\"tack\"").count(), 2 * tacks);
    assert!(page.contains("bending iron burns") || !page.contains("hot iron"), "what can burn is warned of");
    let page = served.get("/moisture").body;
    let answer = said(dir.path(), &["moves"]);
    let moves = Value::from(answer["radial_mm"].as_f64().expect("a length").abs());
    assert!(has(&page, "", &moves, " mm") && page.contains("Wood Handbook"), "{page}");
}

/// A joint within a bowl starts from what earlier ones taught, on the page as well.
#[test]
fn a_joint_of_the_bowl_learns_and_takes_a_round() {
    let dir = bowl();
    let served = Served::start(dir.path(), &[]);
    let read = read_bowl(dir.path()).expect("the demo");
    let waiting = read.joints.iter().find(|j| j.job.rounds.is_empty()).expect("one waits").number;
    assert!(served.get("/joint/03").body.contains("joint"), "it is shown");
    assert!(said(&dir.path().join("joints/03"), &["advise"])["warnings"].to_string().contains("taught"));
    assert!(served.get("/joint/03").body.contains("taught"), "and so says the page");
    let path = format!("/joint/{waiting:02}");
    let typed = round(&version(&served.get(&format!("{path}/read")).body), 1, &[("0.4", "0.1"); 13]);
    let saved = served.post(&format!("{path}/save"), &typed);
    assert_eq!(saved.status, 200, "{saved:?}");
    let after = read_bowl(dir.path()).expect("still whole");
    assert_eq!(after.joint(waiting).map(|j| j.job.rounds.len()), Some(1));
}

#[test]
fn nothing_outside_the_bowl_is_served() {
    let dir = bowl();
    let served = Served::start(dir.path(), &[]);
    for path in [
        "/joint/15",
        "/joint/00",
        "/joint/..",
        "/joint/%2e%2e",
        "/joint/..%2f02",
        "/joint/02%00",
        "/joint/2/mark/x",
    ] {
        let status = served.get(path).status;
        assert!((400..500).contains(&status), "{path}: {status}");
    }
    let alone = copied("plain");
    let served = Served::start(alone.path(), &[]);
    assert_eq!(served.get("/divide").status, 404, "a joint alone has no girth");
    assert_eq!(served.get("/moisture").status, 404);
    assert_eq!(served.get("/joint/1/mark").status, 404);
    assert_eq!(served.get("/joint/1/shim").status, 200, "a joint alone may need one");
}

/// The sliders of a cut begin at the advised strokes, to the nearest shaving, and reach beyond all
/// that is still to come off.
#[test]
fn a_cut_is_tried_from_the_advised_one() {
    let dir = copied("plain");
    let advice = said(dir.path(), &["advise"]);
    let served = Served::start(dir.path(), &[]);
    let page = served.get("/joint/1/try").body;
    let attribute = |slider: &str, name: &str| -> f64 {
        let value = slider.split(&format!("{name}=\"")).nth(1).and_then(|rest| rest.split('"').next());
        value.and_then(|v| v.parse().ok()).expect("a number")
    };
    let sliders: Vec<&str> = page.split("type=\"range\"").skip(1).collect();
    let stations = advice["stations"].as_array().expect("stations");
    assert_eq!(sliders.len(), stations.len());
    for (slider, station) in sliders.iter().zip(stations) {
        let figure = |name: &str| station[name].as_f64().expect("a figure");
        assert!(attribute(slider, "max") > figure("remove_mm"), "{slider}");
        let step = attribute(slider, "step");
        assert!(
            (attribute(slider, " value") - figure("remove_now_mm")).abs() <= 0.5 * step + 1e-9,
            "{slider}"
        );
    }
}

/// Joints are the folders of the bowl's `joints` with plain names; a link may lead to one of them, not
/// out of the bowl.
#[test]
fn only_joints_of_the_folder_are_served() {
    let (dir, outside) = (bowl(), copied("plain"));
    let joints = dir.path().join("joints");
    for name in [".hidden", "a b"] {
        std::fs::create_dir(joints.join(name)).expect("made");
        std::fs::copy(joints.join("02/stations.csv"), joints.join(name).join("stations.csv"))
            .expect("copied");
    }
    std::os::unix::fs::symlink(outside.path(), joints.join("97")).expect("a link");
    std::os::unix::fs::symlink(joints.join("02"), joints.join("98")).expect("a link");
    let served = Served::start(dir.path(), &[]);
    let status = |name: &str| served.get(&format!("/joint/{name}/read")).status;
    for name in ["01", "02", "98"] {
        assert_eq!(status(name), 200, "{name}");
    }
    for name in [
        "..",
        ".",
        "01%2f..",
        "..%2f..",
        "%2e%2e%2f%2e%2e",
        "%2fetc",
        ".hidden",
        "99",
        "joints",
        "01%2f",
        "a%20b",
        "01%00",
        "97",
    ] {
        assert!([400, 404].contains(&status(name)), "{name}: {}", status(name));
    }
}

/// A girth is typed on the page as at the prompt: what can't be is refused, what hardly can be is
/// asked about, and it goes below the table's other rows, once.
#[test]
fn a_girth_is_typed_on_the_page() {
    let dir = bowl();
    let served = Served::start(dir.path(), &[]);
    let page = served.get("/divide").body;
    assert!(page.contains("Type a girth") && page.contains("<option value=\"4\""), "{page}");
    assert!(!page.contains("<option value=\"3\""), "that girth was read");
    let before = read_bowl(dir.path()).expect("the demo");
    let last = before.girths.last().expect("one was read");
    assert_eq!(last.after, 3);
    // Twelve ribs are left to share what there is.
    let read: Vec<f64> = last.at.iter().map(|mm| mm.expect("read") * 11.0 / 12.0).collect();
    let sent = |first: f64, sure: bool| {
        let texts = [first].into_iter().chain(read[1..].iter().copied()).map(|mm| format!("{mm:.1}"));
        let figures: Vec<Value> = texts.map(|text| json!({ "text": text, "sure": sure })).collect();
        json!({ "after": 4, "figures": figures })
    };
    for (first, sure, state) in [(read[0] + 200.0, true, "wrong"), (read[0] - 20.0, false, "doubt")] {
        let refused = served.post("/divide", &sent(first, sure));
        assert_eq!(
            (refused.status, &refused.json()["marks"][0]["state"]),
            (422, &json!(state)),
            "{refused:?}"
        );
    }
    assert_eq!(read_bowl(dir.path()).expect("sound").girths, before.girths);
    assert_eq!(served.post("/divide", &sent(read[0], false)).status, 200);
    let after = read_bowl(dir.path()).expect("sound");
    assert_eq!(after.girths.last().map(|g| g.after), Some(4));
    assert_eq!(served.post("/divide", &sent(read[0], false)).status, 409, "it is there already");
}

#[test]
fn marks_are_typed_on_the_page() {
    let dir = bowl();
    let served = Served::start(dir.path(), &[]);
    assert!(served.get("/joint/03/mark").body.contains("Type the marks"));
    let read = read_bowl(dir.path()).expect("the demo");
    let marks: Vec<_> = read.joint(2).expect("the second").marks.iter().flatten().collect();
    let texts = marks.iter().flat_map(|m| [m.compass, m.edge, m.reference]).map(|mm| format!("{mm}"));
    // Of another joint, so that some are in doubt.
    let mut figures: Vec<Value> = texts.map(|text| json!({ "text": text, "sure": true })).collect();
    let lacking = [&[figures[0].clone(), json!({ "text": "", "sure": false })], &figures[2..]].concat();
    let refused = served.post("/joint/03/mark", &json!({ "figures": lacking }));
    assert!(refused.body.contains("this one is needed"), "{refused:?}");
    // A reference left empty is as at the station before.
    figures[38] = json!({ "text": "", "sure": true });
    let saved = served.post("/joint/03/mark", &json!({ "figures": figures }));
    assert_eq!(saved.status, 200, "{saved:?}");
    let after = read_bowl(dir.path()).expect("sound");
    let written: Vec<_> = after.joint(3).expect("the third").marks.iter().flatten().collect();
    assert_eq!(written[..12], marks[..12]);
    assert_eq!(written[12].reference, marks[11].reference);
    assert!(!served.get("/joint/03/mark").body.contains("Type the marks"), "every station has its mark");
}
