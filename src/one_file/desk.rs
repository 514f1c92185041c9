//! What is open in the browser, and what can be done with it.

use std::sync::Arc;

use ribwright::advice::{self, Options};
use ribwright::job::{self, Problems};
use ribwright::page::{self, Answer, Folder, Memory, Method, Request};
use ribwright::record;
use ribwright::record::pack::{self, Entry};
use ribwright::show;
use ribwright::store::{Day, Held, Place};
use serde::{Deserialize, Serialize};

use crate::message;

/// What the script wants done. `day` is today's, counted from 1 January 1970.
#[derive(Debug, Deserialize)]
#[serde(tag = "do", rename_all = "lowercase")]
pub enum Task {
    /// Opens a folder of tables, one .zip of them, or tables alone, in place of what was open. The
    /// names and lengths of the files, whose bytes follow.
    Open { files: Vec<(String, usize)>, day: u64 },
    /// Opens the invented joint that is part of the program.
    Demo { day: u64 },
    /// Answers a request; the body's bytes follow. What is begun by it is open from then on.
    Ask { method: String, path: String, day: u64 },
    /// Says that a request could not be finished.
    Broken { method: String, path: String },
    /// Packs files into one .zip, whether or not they can be opened: names and lengths, then the
    /// bytes.
    Save { files: Vec<(String, usize)> },
    /// The advice for what is open, as the program writes it for programs.
    Advise,
}

/// What came of it. The body's bytes follow, then those of every file that is there.
#[derive(Debug, Default, Serialize)]
pub struct Told {
    /// As in HTTP.
    status: u16,
    /// What kind of content the body is.
    kind: &'static str,
    /// Where to go instead.
    place: Option<String>,
    /// Whether other tables are open now.
    opened: bool,
    /// The name of the folder that is open.
    name: String,
    /// The length of the body.
    body: usize,
    /// Files that are other than before and their lengths, none for those that are gone. After
    /// something was opened: all files.
    files: Vec<(String, Option<usize>)>,
}

const TEXT: &str = "text/plain; charset=utf-8";

/// The tables in memory.
#[derive(Debug, Default)]
pub struct Desk {
    open: Option<Open>,
}

#[derive(Debug)]
struct Open {
    name: String,
    held: Arc<Held>,
    folder: Folder,
    memory: Memory,
}

/// Its tables in `demo-readings/plain`, under its name here.
const DEMO: [(&str, &[u8]); 4] = [
    ("demo/joint.toml", include_bytes!("../../demo-readings/plain/joint.toml")),
    ("demo/stations.csv", include_bytes!("../../demo-readings/plain/stations.csv")),
    ("demo/readings.csv", include_bytes!("../../demo-readings/plain/readings.csv")),
    ("demo/strokes.csv", include_bytes!("../../demo-readings/plain/strokes.csv")),
];

impl Desk {
    /// Does what a message says.
    pub fn hear(&mut self, message: &[u8]) -> Vec<u8> {
        let Some((task, bytes)) = message::read::<Task>(message) else {
            return refused("This is no message of the page.");
        };
        match task {
            Task::Open { files, day } => self.open(split(files, bytes), day),
            Task::Demo { day } => {
                self.open(DEMO.map(|(name, bytes)| (name.to_owned(), bytes.to_vec())).into(), day)
            }
            Task::Ask { method, path, day } => self.ask(&request(&method, path, bytes), day),
            Task::Broken { method, path } => answered(page::broken(&request(&method, path, &[]))),
            Task::Save { files } => save(&split(files, bytes)),
            Task::Advise => self.advise(),
        }
    }

    fn open(&mut self, files: Vec<Entry>, day: u64) -> Vec<u8> {
        let opened =
            pack::gathered(files).map_err(|why| why.to_string()).and_then(|files| Open::of(files, day));
        match opened {
            Ok(open) => self.take(open, Told { status: 200, kind: TEXT, ..Told::default() }, &[]),
            Err(why) => refused(&why),
        }
    }

    /// Has other tables open from now on, and says so.
    fn take(&mut self, open: Open, told: Told, body: &[u8]) -> Vec<u8> {
        let told = Told { opened: true, name: open.name.clone(), ..told };
        let files = open.held.files();
        // What was made on the way is among them.
        drop(open.held.take_changes());
        self.open = Some(open);
        said(told, body, files.into_iter().map(|(name, bytes)| (name, Some(bytes))))
    }

    fn ask(&mut self, request: &Request, day: u64) -> Vec<u8> {
        if let Some((answer, begun)) = page::begin(request, Day(day)) {
            return match begun.map(|begun| Open::of(begun, day)) {
                Some(Ok(open)) => self.take(open, head(&answer), &answer.bytes),
                Some(Err(why)) => refused(&why),
                None => answered(answer),
            };
        }
        let Some(open) = &self.open else { return refused(NOTHING) };
        open.held.set_today(Day(day));
        let answer = page::answer(request, &open.folder, &open.memory);
        let told = Told { name: open.name.clone(), ..head(&answer) };
        said(told, &answer.bytes, open.held.take_changes().into_iter().map(|c| (c.name, c.bytes)))
    }

    fn advise(&self) -> Vec<u8> {
        let Some(open) = &self.open else { return refused(NOTHING) };
        let place = Place::new(open.held.clone(), &open.name);
        let json = advice::open(place).map_err(|why| why.to_string()).and_then(|opened| {
            let options = Options { start: opened.start, ..Options::default() };
            let (advice, _) = advice::advise_and_show(&opened.job, &options);
            show::advice_json(&opened.job, &advice).map_err(|why| why.to_string())
        });
        match json {
            Ok(json) => {
                let told = Told {
                    status: 200,
                    kind: "application/json",
                    name: open.name.clone(),
                    ..Told::default()
                };
                said(told, format!("{json}\n").as_bytes(), [])
            }
            Err(why) => refused(&why),
        }
    }
}

fn save(files: &[Entry]) -> Vec<u8> {
    match pack::packed(files) {
        Ok(bytes) => said(Told { status: 200, kind: "application/zip", ..Told::default() }, &bytes, []),
        Err(why) => refused(&why.to_string()),
    }
}

const NOTHING: &str = "Nothing is open. Next: open tables, or the demo joint.";

impl Open {
    /// A folder that the page can show, or what is wrong with it.
    fn of((name, files): (String, Vec<Entry>), day: u64) -> Result<Open, String> {
        let table = match files.as_slice() {
            [(table, _)] => Some(table.clone()),
            _ => None,
        };
        let held = Arc::new(Held::new(files, Day(day)));
        let opened = Open::at(name.clone(), held.clone());
        let opened = match table {
            // A single table, as for a first try: a folder is made of it.
            Some(table) if opened.is_err() => Open::made(name, &table, held, Day(day)),
            _ => opened,
        };
        opened.map_err(|problems| problems.to_string())
    }

    fn at(name: String, held: Arc<Held>) -> Result<Open, Problems> {
        let folder = Folder::of(Place::new(held.clone(), &name))?;
        Ok(Open { folder, memory: Memory::default(), held, name })
    }

    fn made(name: String, table: &str, held: Arc<Held>, today: Day) -> Result<Open, Problems> {
        let job = job::read(Place::new(held, table))?;
        let fresh = Arc::new(Held::new(Vec::<Entry>::new(), today));
        // In memory nothing stands in the way; what was not written is missed when it is read.
        let _ = record::write_folder(&job, Place::new(fresh.clone(), &name));
        Open::at(name, fresh)
    }
}

/// The files that a message brings.
fn split(files: Vec<(String, usize)>, mut bytes: &[u8]) -> Vec<Entry> {
    let taken_off = |(name, size): (String, usize)| {
        let (own, rest) = bytes.split_at_checked(size)?;
        bytes = rest;
        Some((name, own.to_vec()))
    };
    files.into_iter().map_while(taken_off).collect()
}

fn request(method: &str, path: String, body: &[u8]) -> Request {
    let method = if method == "POST" { Method::Post } else { Method::Get };
    Request { method, path, body: body.to_vec() }
}

fn answered(answer: Answer) -> Vec<u8> {
    said(head(&answer), &answer.bytes, [])
}

/// What is told of an answer of the page.
fn head(answer: &Answer) -> Told {
    let place = answer.place.clone();
    Told { status: answer.status.code(), kind: answer.kind, place, ..Told::default() }
}

fn refused(why: &str) -> Vec<u8> {
    said(Told { status: 422, kind: TEXT, ..Told::default() }, why.as_bytes(), [])
}

/// The message of an answer, its body and files.
fn said(told: Told, body: &[u8], files: impl IntoIterator<Item = (String, Option<Vec<u8>>)>) -> Vec<u8> {
    let mut bytes = body.to_vec();
    let mut note = |(name, content): (String, Option<Vec<u8>>)| {
        bytes.extend_from_slice(content.as_deref().unwrap_or_default());
        (name, content.map(|content| content.len()))
    };
    let files = files.into_iter().map(&mut note).collect();
    message::write(&Told { body: body.len(), files, ..told }, &bytes)
}
