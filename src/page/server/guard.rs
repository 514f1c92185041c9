//! What every request passes before any page sees it, and what every answer carries.

use std::sync::Arc;
use std::time::Duration;

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::header::{
    CONNECTION, CONTENT_LENGTH, CONTENT_SECURITY_POLICY, CONTENT_TYPE, COOKIE, HOST, LOCATION, ORIGIN,
    REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::Response;

use super::link::Link;
use super::{Served, plain};

/// The largest body, bytes.
const LARGEST: usize = 1_000_000;
/// The time within which a body must have arrived.
const BODY_TIME: Duration = Duration::from_secs(10);

/// Nothing but this server's own files and answers, nowhere else to send anything,
/// in nobody's frame.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
    connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// The answer to a request that does not pass.
type Refused = Box<Response>;

fn no(status: StatusCode, text: &str) -> Refused {
    Box::new(plain(status, text))
}

/// Lets a request through, or answers it.
pub(super) async fn guard(State(served): State<Arc<Served>>, request: Request, next: Next) -> Response {
    let mut response = match pass(&served, request).await {
        Ok(request) => next.run(request).await,
        Err(refused) => *refused,
    };
    let headers = response.headers_mut();
    for (name, value) in ALWAYS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

/// What every answer carries.
const ALWAYS: [(HeaderName, &str); 7] = [
    (CONTENT_SECURITY_POLICY, POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (X_FRAME_OPTIONS, "DENY"),
    // To this server itself a form must say where it comes from.
    (REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (axum::http::header::CACHE_CONTROL, "no-store"),
];

/// The request with its whole body, if nothing speaks against it.
async fn pass(served: &Served, request: Request) -> Result<Request, Refused> {
    let link = request.extensions().get::<Link>().copied();
    let link = link.ok_or_else(|| no(StatusCode::INTERNAL_SERVER_ERROR, "No connection is known."))?;
    addressed(&link, &request)?;
    from_here(&link, &request)?;
    admitted(served, &link, &request)?;
    whole(request).await
}

fn header(headers: &HeaderMap, name: impl axum::http::header::AsHeaderName) -> Option<&str> {
    headers.get(name).and_then(|value| value.to_str().ok())
}

/// The request must be meant for this server, and say so once.
fn addressed(link: &Link, request: &Request) -> Result<(), Refused> {
    let hosts = request.headers().get_all(HOST).iter().count();
    let named = header(request.headers(), HOST).is_some_and(|host| link.is_here(host));
    let line = request.uri().authority().is_none_or(|authority| link.is_here(authority.as_str()));
    if hosts == 1 && named && line {
        return Ok(());
    }
    Err(no(
        StatusCode::MISDIRECTED_REQUEST,
        "This is not the address of this page. Next: open the address that the terminal shows.",
    ))
}

/// What changes something must come from this server's own pages; nothing may come
/// from another site's.
fn from_here(link: &Link, request: &Request) -> Result<(), Refused> {
    let (headers, asks) = (request.headers(), [Method::GET, Method::HEAD].contains(request.method()));
    let own = |origin: &str| origin.strip_prefix("http://").is_some_and(|host| link.is_here(host));
    let origins = headers.get_all(ORIGIN).iter().count();
    let origin = match origins {
        0 => asks,
        1 => header(headers, ORIGIN).is_some_and(own),
        _ => false,
    };
    let site = header(headers, "sec-fetch-site").is_none_or(|site| asks || site == "same-origin");
    if origin && site {
        return Ok(());
    }
    Err(no(StatusCode::FORBIDDEN, "Requests from other sites are refused. Next: use this page itself."))
}

/// Other devices must have given the code; until then they see only where to.
fn admitted(served: &Served, link: &Link, request: &Request) -> Result<(), Refused> {
    let path = request.uri().path();
    let shown = cookies(request.headers(), &cookie_name(link));
    if link.is_local() || shown.iter().any(|token| served.access.knows(token, link.ip())) || open_to_all(path)
    {
        return Ok(());
    }
    if request.method() != Method::GET {
        return Err(no(
            StatusCode::UNAUTHORIZED,
            "This device has not given the code yet. Next: reload the page.",
        ));
    }
    let mut response = no(StatusCode::SEE_OTHER, "This device has not given the code yet.");
    response.headers_mut().insert(LOCATION, HeaderValue::from_static("/code"));
    Err(response)
}

fn open_to_all(path: &str) -> bool {
    path == "/code" || path.starts_with("/assets/")
}

/// The cookie's name; browsers keep cookies by address, not by port.
pub(super) fn cookie_name(link: &Link) -> String {
    format!("ribwright-{}", link.here.port())
}

fn cookies<'a>(headers: &'a HeaderMap, name: &str) -> Vec<&'a str> {
    let all = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
    let pairs = all.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.filter(|(known, _)| *known == name).map(|(_, token)| token).collect()
}

/// The body, small and in time, and as JSON where it is to be saved.
async fn whole(request: Request) -> Result<Request, Refused> {
    let too_large = || last(no(StatusCode::PAYLOAD_TOO_LARGE, "That is more than 1 MB. Next: send less."));
    let told = header(request.headers(), CONTENT_LENGTH).and_then(|length| length.parse::<usize>().ok());
    if told.is_some_and(|length| length > LARGEST) {
        return Err(too_large());
    }
    kind(&request)?;
    let (parts, body) = request.into_parts();
    let bytes: Bytes = match tokio::time::timeout(BODY_TIME, to_bytes(body, LARGEST)).await {
        Ok(Ok(bytes)) => bytes,
        Ok(Err(_)) => return Err(too_large()),
        Err(_) => {
            return Err(last(no(
                StatusCode::REQUEST_TIMEOUT,
                "The request came too slowly. Next: try again.",
            )));
        }
    };
    Ok(Request::from_parts(parts, Body::from(bytes)))
}

/// JSON can't be sent by another site's form; the code comes by an own one.
fn kind(request: &Request) -> Result<(), Refused> {
    if request.method() != Method::POST {
        return Ok(());
    }
    let wanted = if request.uri().path() == "/code" {
        "application/x-www-form-urlencoded"
    } else {
        "application/json"
    };
    let sent = header(request.headers(), CONTENT_TYPE).unwrap_or_default();
    let sent = sent.split(';').next().unwrap_or_default().trim();
    match sent.eq_ignore_ascii_case(wanted) {
        true => Ok(()),
        false => Err(no(StatusCode::UNSUPPORTED_MEDIA_TYPE, "That is no form of this page.")),
    }
}

/// An answer after which the connection is closed, as the rest of the request is
/// not read.
fn last(mut response: Refused) -> Refused {
    response.headers_mut().insert(CONNECTION, HeaderValue::from_static("close"));
    response
}
