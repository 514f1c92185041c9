//! The page on which another device gives the code.

use std::sync::Arc;
use std::time::Instant;

use axum::Extension;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::header::{LOCATION, RETRY_AFTER, SET_COOKIE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::Response;
use maud::html;

use super::access::Tried;
use super::guard::cookie_name;
use super::link::Link;
use super::{Served, plain, respond};
use crate::page::answer::page;
use crate::page::frame::Frame;

/// Asks for the code.
pub(super) async fn ask() -> Response {
    ask_again(None)
}

fn ask_again(problem: Option<&str>) -> Response {
    let frame = Frame { title: "The code", joint: None, view: "code", script: Some("code.js") };
    respond(page(frame.around(html! {
        h1 { "Give the code" }
        p { "It stands in the terminal of the machine that serves this page. A device gives it once." }
        form #code-form method="post" action="/code" {
            label.lone for="code" { "Code" }
            input.lone #code name="code" type="text" autocapitalize="characters" autocomplete="off" spellcheck="false" maxlength="20" aria-describedby="code-problem";
            p.problem #code-problem role="alert" { @if let Some(problem) = problem { (problem) } }
            div.actions { button type="submit" .button.main { "Come in" } }
        }
    })))
}

/// Hears the code.
pub(super) async fn give(
    State(served): State<Arc<Served>>,
    Extension(link): Extension<Link>,
    body: Bytes,
) -> Response {
    match served.access.give(&code(&body), link.ip(), Instant::now()) {
        Ok(Tried::Right(token)) => let_in(&link, &token),
        Ok(Tried::Wrong) => {
            let mut response = ask_again(Some("This code is not right. Look again in the terminal."));
            *response.status_mut() = StatusCode::FORBIDDEN;
            response
        }
        Ok(Tried::TooMany(wait)) => too_many(wait.as_secs() + 1),
        Err(error) => plain(StatusCode::INTERNAL_SERVER_ERROR, &error.to_string()),
    }
}

/// The field's value from a form. A code has letters, digits and dashes only, so
/// nothing of it is ever encoded.
fn code(body: &[u8]) -> String {
    let text = String::from_utf8_lossy(body);
    let fields = text.split('&').filter_map(|pair| pair.split_once('='));
    fields
        .filter(|(name, _)| *name == "code")
        .map(|(_, value)| value.replace('+', ""))
        .next()
        .unwrap_or_default()
}

fn let_in(link: &Link, token: &str) -> Response {
    let mut response = plain(StatusCode::SEE_OTHER, "Come in.");
    let headers = response.headers_mut();
    headers.insert(LOCATION, HeaderValue::from_static("/"));
    let cookie = format!("{}={token}; Path=/; HttpOnly; SameSite=Strict; Max-Age=2592000", cookie_name(link));
    // A name of letters and a number, a token of hexadecimal digits.
    if let Ok(cookie) = HeaderValue::from_str(&cookie) {
        headers.insert(SET_COOKIE, cookie);
    }
    response
}

fn too_many(seconds: u64) -> Response {
    let text = format!("Too many wrong codes. Wait {seconds} seconds, then try again.");
    let mut response = ask_again(Some(&text));
    *response.status_mut() = StatusCode::TOO_MANY_REQUESTS;
    response.headers_mut().insert(RETRY_AFTER, HeaderValue::from(seconds));
    response
}
