//! What is asked, answers of every kind, and why a request gets none.

use maud::Markup;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::job::Problems;
use crate::record::JournalError;

/// Whether something is to be shown or to be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// It is to be shown: nothing changes by it.
    Get,
    /// What is sent is to be heard: it may change the folder.
    Post,
}

/// What a browser asks for.
#[derive(Debug, Clone)]
pub struct Request {
    /// Shown or done.
    pub method: Method,
    /// The address behind the host, without `?` or `#` and what follows: `/joint/1/read`.
    pub path: String,
    /// What is sent: JSON; nothing where something is to be shown.
    pub body: Vec<u8>,
}

/// How a request fared, by the names and numbers of HTTP (RFC 9110).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// It is answered.
    Ok = 200,
    /// Another place is to be asked: [`Answer::place`].
    SeeOther = 303,
    /// It can't be understood.
    BadRequest = 400,
    /// There is no such page.
    NotFound = 404,
    /// The folder is not what the page was made of.
    Conflict = 409,
    /// It is understood, but can't be right.
    Unprocessable = 422,
    /// The program or the system failed.
    Failed = 500,
}

impl Status {
    /// Its number.
    pub fn code(self) -> u16 {
        self as u16
    }
}

/// What comes of a request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// How it fared.
    pub status: Status,
    /// What the bytes are, as `Content-Type` has it.
    pub kind: &'static str,
    /// The page, picture, script or JSON.
    pub bytes: Vec<u8>,
    /// The path to go to instead, with [`Status::SeeOther`].
    pub place: Option<String>,
    /// The name of a file that is to be kept, not shown.
    pub kept_as: Option<&'static str>,
}

impl Answer {
    fn new(status: Status, kind: &'static str, bytes: impl Into<Vec<u8>>) -> Answer {
        Answer { status, kind, bytes: bytes.into(), place: None, kept_as: None }
    }
}

/// The way to another page.
pub(super) fn see(place: String, text: &str) -> Answer {
    let text = format!("{text}\n");
    Answer { place: Some(place), ..Answer::new(Status::SeeOther, "text/plain; charset=utf-8", text) }
}

/// A whole page.
pub(super) fn page(markup: Markup) -> Answer {
    page_as(Status::Ok, markup)
}

/// The same with a status of its own.
pub(super) fn page_as(status: Status, markup: Markup) -> Answer {
    Answer::new(status, "text/html; charset=utf-8", markup.into_string())
}

/// A file that is part of the program.
pub(super) fn file(kind: &'static str, content: impl Into<Vec<u8>>) -> Answer {
    Answer::new(Status::Ok, kind, content)
}

/// An answer for the page's script.
pub(super) fn json(value: &impl Serialize) -> Answer {
    json_as(Status::Ok, value)
}

/// The same with a status of its own.
pub(super) fn json_as(status: Status, value: &impl Serialize) -> Answer {
    match serde_json::to_vec(value) {
        Ok(body) => Answer::new(status, "application/json", body),
        Err(error) => Answer::new(Status::Failed, "text/plain; charset=utf-8", format!("{error}\n")),
    }
}

/// Why there is no page or nothing was done, with the next step.
#[derive(Debug, Clone)]
pub(super) struct Refusal {
    pub status: Status,
    pub text: String,
}

impl Refusal {
    pub fn new(status: Status, text: impl Into<String>) -> Self {
        Refusal { status, text: text.into() }
    }

    /// There is no such page.
    pub fn unknown() -> Self {
        Refusal::new(Status::NotFound, "There is no such page. Next: go to the first page.")
    }

    /// Someone else changed the folder since this page was made.
    pub fn stale() -> Self {
        Refusal::new(
            Status::Conflict,
            "The folder was changed since this page was opened, by another page, the terminal or a \
             spreadsheet, so nothing was saved. Next: look at what is there now; what you typed is kept.",
        )
    }

    /// What was sent is not what this page sends.
    pub fn garbled() -> Self {
        Refusal::new(Status::BadRequest, "This request can't be understood. Next: reload the page.")
    }

    /// The program stopped at it.
    pub fn broken() -> Self {
        let next = match cfg!(feature = "program") {
            true => "try again, and run ribwright advise in the terminal",
            false => "save a file, and try again",
        };
        Refusal::new(Status::Failed, format!("The program could not finish this. Next: {next}."))
    }

    /// An answer for the page's script that says so.
    pub fn json(&self) -> Answer {
        json_as(self.status, &serde_json::json!({ "error": self.text }))
    }
}

impl From<Problems> for Refusal {
    fn from(problems: Problems) -> Self {
        Refusal::new(Status::Unprocessable, problems.to_string())
    }
}

impl From<JournalError> for Refusal {
    fn from(error: JournalError) -> Self {
        use JournalError::{Busy, Changed, Io, Overtaken, Typing, Unlogged, Unsynced};
        let status = match error {
            Busy(_) | Typing(_) | Overtaken(..) | Changed(_) => Status::Conflict,
            Io { .. } | Unsynced { .. } | Unlogged { .. } => Status::Failed,
            _ => Status::Unprocessable,
        };
        Refusal::new(status, error.to_string())
    }
}

/// What comes of a request.
pub(super) type Answered = Result<Answer, Refusal>;

/// What a page's script sent.
pub(super) fn sent<T: DeserializeOwned>(body: &[u8]) -> Result<T, Refusal> {
    serde_json::from_slice(body).map_err(|_| Refusal::garbled())
}
