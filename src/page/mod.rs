//! The local page: the library's own calls behind HTTP, for a phone or an old
//! laptop beside the mold.
//!
//! One file a page. Each reads the folder anew, calls the library and lays the
//! result out; nothing is kept between two requests but who was let in. What is
//! typed goes into the same draft as at the prompt ([`crate::record::Draft`]), so a
//! round begun on the phone can be ended at the terminal.
//!
//! ## Why does every request read the folder?
//!
//! The folder is the record, and others write into it too: `ribwright enter`, a
//! spreadsheet, a second tab. Reading it takes less than a millisecond, and a page
//! that shows what is there can't be wrong about it. Whoever saves says which state
//! of the folder was looked at ([`crate::record::version`]); if it is another one by
//! then, nothing is written and the page says so.
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
mod answer;
mod assets;
mod bowl;
mod code;
mod folder;
mod frame;
mod further;
mod guard;
mod joint;
mod lessons;
pub mod link;
mod measured;
mod patient;
pub mod places;
mod server;
mod site;

use std::sync::Arc;

use axum::Router;
use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::Response;
use axum::routing::{MethodRouter, get, post};
use serde::de::DeserializeOwned;

use self::answer::{Answered, Refusal, plain, sent, work};
use self::joint::Joint;
use self::site::Site;

pub use server::{Lan, OpenError, Server, Settings};

/// Every address there is, behind the guard.
fn routes(site: &Arc<Site>) -> Router {
    use joint::{card, correct, history, look, lost, now, read, save, strokes, tries, typing};
    Router::new()
        .route("/", get(first))
        .route("/assets/{name}", get(assets::asset))
        .route("/code", get(code::ask).post(code::give))
        .route("/joint/{name}", joint_page(now::show))
        .route("/joint/{name}/read", joint_page(read::show))
        .route("/joint/{name}/typed", heard(typing::typed))
        .route("/joint/{name}/save", heard(save::save))
        .route("/joint/{name}/discard", heard(save::discard))
        .route("/joint/{name}/correct", heard(correct::save))
        .route("/joint/{name}/correct/{station}", shown(Refusal::page, correct::show))
        .route("/joint/{name}/recover", heard(lost::settle))
        .route("/joint/{name}/strokes", heard(strokes::record))
        .route("/joint/{name}/try", joint_page(tries::show).merge(heard(tries::seat)))
        .route("/joint/{name}/history", joint_page(history::show))
        .route("/joint/{name}/look", joint_page(look::show))
        .route("/joint/{name}/pass/{number}", shown(Refusal::json, look::pass))
        .route("/joint/{name}/space/{turn}/{tilt}", shown(Refusal::json, look::space))
        .route("/divide", bowl_page(|site| bowl::divided(site, false)).merge(heard(measured::girth)))
        .route("/divide/symmetric", bowl_page(|site| bowl::divided(site, true)))
        .route("/moisture", bowl_page(further::moisture))
        .route("/joint/{name}/mark", joint_page(bowl::marked).merge(heard(measured::marks)))
        .route("/joint/{name}/shim", joint_page(further::shim))
        .route("/joint/{name}/spacer", joint_page(further::strip))
        .route("/joint/{name}/card", joint_page(card::show))
        .route("/lessons", get(lessons::list))
        .route("/lessons/{topic}/{seed}", shown(Refusal::page, lessons::show).merge(heard(lessons::answer)))
        .fallback(async || Refusal::unknown().page())
        .layer(from_fn_with_state(Arc::clone(site), guard::guard))
        .with_state(Arc::clone(site))
}

/// Routes to what answers with the server's state at hand.
type Route = MethodRouter<Arc<Site>>;

/// A page of the whole bowl.
fn bowl_page(page: fn(&Site) -> Answered) -> Route {
    get(async move |State(site): State<Arc<Site>>| work(Refusal::page, move || page(&site)).await)
}

/// A page of a joint as its folder holds it now.
fn joint_page(page: fn(&Site, &Joint) -> Answered) -> Route {
    get(async move |State(site): State<Arc<Site>>, Path(name): Path<String>| {
        work(Refusal::page, move || page(&site, &site.joint(&name)?)).await
    })
}

/// What is shown at an address with several parts; refusals as `refused` tells them.
fn shown<P>(refused: fn(&Refusal) -> Response, show: fn(&Site, P) -> Answered) -> Route
where
    P: DeserializeOwned + Send + 'static,
{
    get(async move |State(site): State<Arc<Site>>, Path(parts): Path<P>| {
        work(refused, move || show(&site, parts)).await
    })
}

/// What a page's script sends, and the answer to it.
fn heard<P, T>(hear: fn(&Site, P, T) -> Answered) -> Route
where
    P: DeserializeOwned + Send + 'static,
    T: DeserializeOwned + 'static,
{
    post(async move |State(site): State<Arc<Site>>, Path(parts): Path<P>, body: Bytes| {
        work(Refusal::json, move || hear(&site, parts, sent(&body)?)).await
    })
}

/// The bowl, or the joint where there is one alone.
async fn first(State(site): State<Arc<Site>>) -> Response {
    if site.folder.kind == folder::Kind::Bowl {
        return work(Refusal::page, move || bowl::show(&site)).await;
    }
    let mut response = plain(StatusCode::SEE_OTHER, "See the joint.");
    let to = site.folder.joints().first().map(|name| format!("/joint/{name}"));
    if let Some(to) = to.and_then(|to| HeaderValue::from_str(&to).ok()) {
        response.headers_mut().insert(header::LOCATION, to);
    }
    response
}
