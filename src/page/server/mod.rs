//! The page over HTTP: one handler around [`answer`], and what stands before it.
//!
//! ## Whom does it let in?
//!
//! Only programs of this machine, unless asked for more; then devices that gave the
//! code once (`Access`). Every request passes `guard` first: it must
//! be addressed to this server by number or as `localhost` (or else a name on the
//! internet could be pointed at this machine), must not come from another site's
//! page, must be small, and must arrive in time. What is sent must be taken in time,
//! and no address holds more than its share of connections (`places`).

pub mod access;
mod code;
mod guard;
pub mod link;
mod listen;
mod patient;
pub mod places;

use std::sync::Arc;

use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, LOCATION};
use axum::http::{HeaderValue, Method as Verb, StatusCode, Uri};
use axum::middleware::from_fn_with_state;
use axum::response::Response;
use axum::routing::get;

use self::access::Access;
use self::link::Link;
use self::places::Caller;
use super::{Answer, Folder, Memory, Method, Request, answer, broken};

pub use self::listen::{Lan, OpenError, Server, Settings};

/// FOLDER, who may see it, and what is kept between two requests.
#[derive(Debug)]
struct Served {
    folder: Folder,
    memory: Memory,
    access: Access,
}

impl Served {
    /// Who calls, as far as the address tells.
    fn caller(&self, link: &Link) -> Caller {
        match link.is_local() {
            true => Caller::Own,
            false if self.access.has_seen(link.ip()) => Caller::Known,
            false => Caller::Stranger,
        }
    }
}

/// Every page, behind the guard.
fn app(served: &Arc<Served>) -> Router {
    Router::new()
        .route("/code", get(code::ask).post(code::give))
        .fallback(asked)
        .layer(from_fn_with_state(Arc::clone(served), guard::guard))
        .with_state(Arc::clone(served))
}

/// Answers beside the threads that listen: it reads files, and may take a while.
async fn asked(State(served): State<Arc<Served>>, verb: Verb, uri: Uri, body: Bytes) -> Response {
    let Some(method) = method(&verb) else {
        return plain(StatusCode::METHOD_NOT_ALLOWED, "This page is got and posted to, no more.");
    };
    let request = Arc::new(Request { method, path: uri.path().to_owned(), body: body.to_vec() });
    let task = Arc::clone(&request);
    let answered = tokio::task::spawn_blocking(move || answer(&task, &served.folder, &served.memory)).await;
    respond(answered.unwrap_or_else(|_| broken(&request)))
}

fn method(verb: &Verb) -> Option<Method> {
    match *verb {
        // Of what a HEAD is answered only the head is sent.
        Verb::GET | Verb::HEAD => Some(Method::Get),
        Verb::POST => Some(Method::Post),
        _ => None,
    }
}

/// An answer as HTTP has it.
fn respond(answer: Answer) -> Response {
    let mut response = Response::new(Body::from(answer.bytes));
    *response.status_mut() =
        StatusCode::from_u16(answer.status.code()).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(answer.kind));
    let kept = answer.kept_as.map(|name| format!("attachment; filename=\"{name}\""));
    if let Some(kept) = kept.and_then(|kept| HeaderValue::from_str(&kept).ok()) {
        headers.insert(CONTENT_DISPOSITION, kept);
    }
    if let Some(place) = answer.place.and_then(|place| HeaderValue::from_str(&place).ok()) {
        headers.insert(LOCATION, place);
    }
    response
}

/// A sentence.
fn plain(status: StatusCode, text: &str) -> Response {
    let mut response = Response::new(Body::from(format!("{text}\n")));
    *response.status_mut() = status;
    response.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static("text/plain; charset=utf-8"));
    response
}
