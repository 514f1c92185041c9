//! The same pages whether a folder lies on the disk or is held in memory: every address, asked of
//! both, gives the same bytes and leaves the same files.

use std::cell::RefCell;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use crate::served::{round, version};
use crate::typing::{copied, plain};
use ribwright::job::{Plane, bowl::read_bowl};
use ribwright::page::{Answer, Folder, Memory, Method, Request, Status, answer};
use ribwright::practice::lesson::Topic;
use ribwright::store::{Held, Place, Store};
use serde_json::{Value, json};
use tempfile::TempDir;

use Method::{Get, Post};

/// All files below a folder but the one that only the disk needs, with their names in it.
fn files(dir: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).expect("listed").map(|e| e.expect("an entry").path()) {
        match entry.is_dir() {
            true => found.extend(files(&entry)),
            false if entry.ends_with(".lock") => {}
            false => found.push((entry.display().to_string(), fs::read(&entry).expect("read"))),
        }
    }
    found.sort();
    found
}

/// What was asked, and how it fared.
type Asked = RefCell<Vec<(Method, String, Status)>>;

/// The same files on the disk and held in memory, under the same names, each with its pages.
struct Both<'a> {
    dir: TempDir,
    held: Arc<Held>,
    folders: [Folder; 2],
    memories: [Memory; 2],
    asked: &'a Asked,
}

impl<'a> Both<'a> {
    fn of(dir: TempDir, asked: &'a Asked) -> Both<'a> {
        let disk = Place::from(dir.path());
        let held = Arc::new(Held::new(files(dir.path()), disk.today()));
        let copy = Place::new(held.clone(), dir.path());
        let folders = [disk, copy].map(|place| Folder::of(place).unwrap_or_else(|p| panic!("{p}")));
        Both { dir, held, folders, memories: Default::default(), asked }
    }

    /// The files of both, which must be the same.
    fn files(&self) -> Vec<(String, Vec<u8>)> {
        let (disk, mut held) = (files(self.dir.path()), self.held.files());
        held.sort();
        assert_eq!(disk, held);
        disk
    }

    fn ask(&self, method: Method, path: &str, body: &str) -> Answer {
        let request = Request { method, path: path.to_owned(), body: body.into() };
        let before = self.files();
        let [disk, held] = [0, 1].map(|k| answer(&request, &self.folders[k], &self.memories[k]));
        let text = |answer: &Answer| String::from_utf8_lossy(&answer.bytes).into_owned();
        assert_eq!(text(&disk), text(&held), "{path}");
        assert_eq!(disk, held, "{path}");
        let after = self.files();
        assert!(method == Post || before == after, "showing {path} changes something");
        self.asked.borrow_mut().push((method, path.to_owned(), disk.status));
        disk
    }

    fn get(&self, path: &str) -> String {
        String::from_utf8(self.ask(Get, path, "").bytes).expect("text")
    }

    fn post(&self, path: &str, body: &Value) -> Status {
        self.ask(Post, path, &body.to_string()).status
    }

    fn version(&self, joint: &str) -> String {
        version(&self.get(&format!("/joint/{joint}")))
    }

    /// Someone else writes a file, in both.
    fn overwrite(&self, name: &str, bytes: &[u8]) {
        let path = self.dir.path().join(name);
        let old = fs::read(&path).expect("there");
        fs::write(&path, bytes).expect("written");
        self.held.replace(&path, Some(&old), bytes).expect("replaced");
    }

    /// Every view of a joint, there or not.
    fn look(&self, joint: &str) {
        let views = [
            "",
            "/read",
            "/try",
            "/history",
            "/look",
            "/card",
            "/mark",
            "/shim",
            "/spacer",
            "/correct/0",
            "/correct/99",
            "/correct/x",
            "/pass/0",
            "/pass/1",
            "/pass/99",
            "/space/20/30",
            "/space/900/0",
            "/typed",
            "/none",
        ];
        for view in views {
            self.get(&format!("/joint/{joint}{view}"));
        }
    }
}

/// A round of five stations.
const ROUND: [(&str, &str); 5] =
    [("0,4", "0.1"), ("0.2", "0.1"), ("0", "0.1"), ("0.25", "0"), ("0,5", "0.1")];

/// A joint alone, from a round typed to one that was lost and brought back.
fn a_joint(asked: &Asked) {
    let both = Both::of(plain(), asked);
    for path in [
        "/",
        "/assets/page.css",
        "/assets/read.js",
        "/assets/none",
        "/lessons",
        "/take-along",
        "/take-along/ribwright.html",
        "/none",
        "",
        "//",
    ] {
        both.get(path);
    }
    both.look("1");
    let typed = |number, values: &[(&str, &str)]| round(&both.version("1"), number, values);
    let half = [("0,4", "0.1"), ("", ""), ("abc", ""), ("", "-3"), ("9", "")];
    assert_eq!(both.post("/joint/1/typed", &typed(2, &half)), Status::Ok);
    assert!(both.get("/joint/1/read").contains("value=\"abc\""));
    assert_eq!(both.post("/joint/1/save", &typed(2, &half)), Status::Unprocessable);
    assert_eq!(both.post("/joint/1/discard", &json!({ "round": 7 })), Status::Conflict);
    assert_eq!(both.post("/joint/1/discard", &json!({ "round": 2 })), Status::Ok);
    assert_eq!(both.post("/joint/1/typed", &typed(2, &ROUND)), Status::Ok);
    assert_eq!(both.post("/joint/1/save", &json!({ "round": 2 })), Status::BadRequest);
    let older = fs::read(both.dir.path().join("readings.csv")).expect("a table");
    let sent = typed(2, &ROUND);
    assert_eq!(both.post("/joint/1/save", &sent), Status::Ok);
    assert_eq!(both.post("/joint/1/save", &sent), Status::Conflict, "the folder is another one");
    both.look("1");
    let corrected = typed(2, &[("0.45", "0.1")]);
    assert_eq!(both.post("/joint/1/correct", &corrected), Status::Ok);
    let cut = json!({ "cut": [0.0, 0.1, 0.2, 0.1, 0.0] });
    assert_eq!(both.post("/joint/1/try", &cut), Status::Ok);
    let plane = Plane::default().name;
    let stroke = json!({ "plane": plane, "from": "2", "to": "4", "count": 2, "unbroken": ["2", "4"] });
    let strokes = json!({ "version": both.version("1"), "round": 2, "strokes": [stroke] });
    assert_eq!(both.post("/joint/1/strokes", &strokes), Status::Ok);
    both.look("1");
    both.overwrite("strokes.csv", b"round,plane,from,to,count\n");
    both.overwrite("readings.csv", &older);
    assert!(both.get("/joint/1").contains("Not as it was confirmed"));
    both.look("1");
    let back = |way: &str| json!({ "version": both.version("1"), "way": way });
    assert_eq!(both.post("/joint/1/recover", &back("back")), Status::Ok);
    assert!(!both.get("/joint/1").contains("Not as it was confirmed"));
    both.overwrite("readings.csv", &older);
    both.overwrite("strokes.csv", b"round,plane,from,to,count\n");
    assert_eq!(both.post("/joint/1/recover", &back("keep")), Status::Ok);
    both.overwrite("readings.csv", b"round;station;gap\n1;1;x\n");
    assert_eq!(both.ask(Get, "/joint/1", "").status, Status::Unprocessable, "both say what is wrong");
    both.look("1");
}

/// A bowl, its girths and marks, and a round at one of its joints.
fn a_bowl(asked: &Asked) {
    let both = Both::of(copied("bowl"), asked);
    for path in ["/", "/divide", "/divide/symmetric", "/moisture", "/joint/03", "/joint/../x", "/joint/99"] {
        both.get(path);
    }
    for joint in ["02", "03", "04", "4"] {
        both.look(joint);
    }
    let there = read_bowl(both.dir.path()).expect("the demo");
    let last = there.girths.last().expect("one was read");
    let figure = |mm: f64| json!({ "text": format!("{mm:.1}"), "sure": false });
    let girth: Vec<Value> = last.at.iter().map(|mm| figure(mm.expect("read") * 11.0 / 12.0)).collect();
    let sent = json!({ "after": last.after + 1, "figures": girth });
    assert_eq!(both.post("/divide", &json!({ "after": 4, "figures": [] })), Status::Conflict);
    assert_eq!(both.post("/divide", &sent), Status::Ok);
    assert_eq!(both.post("/divide", &sent), Status::Conflict, "it is there already");
    let marks = there.joint(2).expect("the second").marks.iter().flatten();
    let figures = marks.flat_map(|m| [m.compass, m.edge, m.reference]);
    let figures: Vec<Value> = figures.map(|mm| json!({ "text": mm.to_string(), "sure": true })).collect();
    assert_eq!(both.post("/joint/03/mark", &json!({ "figures": figures })), Status::Ok);
    both.look("03");
    let number = there.joint(3).expect("the third").job.rounds.len() + 1;
    let sent = round(&both.version("03"), number, &ROUND);
    assert_eq!(both.post("/joint/03/typed", &sent), Status::Ok);
    assert_eq!(both.post("/joint/03/save", &sent), Status::Ok);
    both.look("03");
    for path in ["/", "/divide", "/moisture"] {
        both.get(path);
    }
}

fn the_lessons(asked: &Asked) {
    let both = Both::of(plain(), asked);
    for topic in Topic::ALL {
        let path = format!("/lessons/{}/1", topic.name());
        both.get(&path);
        both.post(&path, &json!({ "one": 0 }));
    }
    both.get("/lessons/none/1");
    both.get("/lessons/lever/x");
}

/// The addresses in the one `match` that answers: method, and parts; none for one that varies.
fn addresses() -> Vec<(Method, Vec<Option<String>>)> {
    let source = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/src/page/mod.rs")).expect("source");
    let line = |line: &str| {
        let (head, _) = line.trim().split_once("]) =>")?;
        let (method, parts) = head.strip_prefix('(')?.split_once(", [")?;
        let part = |part: &str| part.trim().strip_prefix('"').map(|p| p.trim_end_matches('"').to_owned());
        let method = if method == "Get" { Get } else { Post };
        Some((method, parts.split(',').map(part).collect()))
    };
    source.lines().filter_map(line).collect()
}

#[test]
fn every_address_answers_alike_from_the_disk_and_from_memory() {
    let asked = Asked::default();
    a_joint(&asked);
    a_bowl(&asked);
    the_lessons(&asked);
    let asked = asked.take();
    let all = addresses();
    assert!(all.len() > 25, "{all:?}");
    for (method, parts) in all {
        let fits = |path: &str| {
            let given: Vec<&str> = path.trim_start_matches('/').split('/').collect();
            let pairs = || given.iter().zip(&parts);
            given.len() == parts.len() && pairs().all(|(g, p)| p.as_deref().is_none_or(|p| p == *g))
        };
        let well = asked.iter().any(|(m, path, status)| {
            *m == method && fits(path) && [Status::Ok, Status::SeeOther].contains(status)
        });
        assert!(well, "{method:?} {parts:?} was never answered");
    }
}
