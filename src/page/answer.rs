//! Answers of every kind, and why a request gets none.

use axum::body::Body;
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderValue, StatusCode};
use axum::response::Response;
use maud::Markup;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::job::Problems;
use crate::record::JournalError;

fn response(status: StatusCode, kind: &'static str, body: impl Into<Body>) -> Response {
    let mut response = Response::new(body.into());
    *response.status_mut() = status;
    response.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static(kind));
    response
}

/// A sentence.
pub(super) fn plain(status: StatusCode, text: &str) -> Response {
    response(status, "text/plain; charset=utf-8", format!("{text}\n"))
}

/// A whole page.
pub(super) fn page(markup: Markup) -> Response {
    page_as(StatusCode::OK, markup)
}

/// The same with a status of its own.
pub(super) fn page_as(status: StatusCode, markup: Markup) -> Response {
    response(status, "text/html; charset=utf-8", markup.into_string())
}

/// A file that is part of the program.
pub(super) fn file(kind: &'static str, content: impl Into<Body>) -> Response {
    response(StatusCode::OK, kind, content)
}

/// An answer for the page's script.
pub(super) fn json(value: &impl Serialize) -> Response {
    json_as(StatusCode::OK, value)
}

/// The same with a status of its own.
pub(super) fn json_as(status: StatusCode, value: &impl Serialize) -> Response {
    match serde_json::to_vec(value) {
        Ok(body) => response(status, "application/json", body),
        Err(error) => plain(StatusCode::INTERNAL_SERVER_ERROR, &error.to_string()),
    }
}

/// Why there is no page or nothing was done, with the next step.
#[derive(Debug, Clone)]
pub(super) struct Refusal {
    pub status: StatusCode,
    pub text: String,
}

impl Refusal {
    pub fn new(status: StatusCode, text: impl Into<String>) -> Self {
        Refusal { status, text: text.into() }
    }

    /// There is no such page.
    pub fn unknown() -> Self {
        Refusal::new(StatusCode::NOT_FOUND, "There is no such page. Next: go to the first page.")
    }

    /// Someone else changed the folder since this page was made.
    pub fn stale() -> Self {
        Refusal::new(
            StatusCode::CONFLICT,
            "The folder was changed since this page was opened, by another page, the terminal or a \
             spreadsheet, so nothing was saved. Next: look at what is there now; what you typed is kept.",
        )
    }

    /// What was sent is not what this page sends.
    pub fn garbled() -> Self {
        Refusal::new(StatusCode::BAD_REQUEST, "This request can't be understood. Next: reload the page.")
    }

    /// An answer for the page's script that says so.
    pub fn json(&self) -> Response {
        json_as(self.status, &serde_json::json!({ "error": self.text }))
    }
}

impl From<Problems> for Refusal {
    fn from(problems: Problems) -> Self {
        Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, problems.to_string())
    }
}

impl From<JournalError> for Refusal {
    fn from(error: JournalError) -> Self {
        use JournalError::{Busy, Changed, Io, Overtaken, Typing, Unlogged, Unsynced};
        let status = match error {
            Busy(_) | Typing(_) | Overtaken(..) | Changed(_) => StatusCode::CONFLICT,
            Io { .. } | Unsynced { .. } | Unlogged { .. } => StatusCode::INTERNAL_SERVER_ERROR,
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        Refusal::new(status, error.to_string())
    }
}

/// What comes of a request.
pub(super) type Answered = Result<Response, Refusal>;

/// Does what may take a while, and reads files, beside the threads that listen.
pub(super) async fn work(
    show: fn(&Refusal) -> Response,
    task: impl FnOnce() -> Answered + Send + 'static,
) -> Response {
    match tokio::task::spawn_blocking(task).await {
        Ok(Ok(response)) => response,
        Ok(Err(refusal)) => show(&refusal),
        Err(_) => show(&Refusal::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "The program could not finish this. Next: try again, and run ribwright advise in the terminal.",
        )),
    }
}

/// What a page's script sent.
pub(super) fn sent<T: DeserializeOwned>(body: &[u8]) -> Result<T, Refusal> {
    serde_json::from_slice(body).map_err(|_| Refusal::garbled())
}
