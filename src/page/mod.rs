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
//! code once (`Door`). Every request passes `guard` first: it must
//! be addressed to this server by number or as `localhost` (or else a name on the
//! internet could be pointed at this machine), must not come from another site's
//! page, must be small, and must arrive in time.

mod answer;
mod assets;
mod bowl;
mod door;
mod entrance;
mod frame;
mod guard;
mod joint;
mod lessons;
mod link;
mod server;
mod shelf;
mod shop;

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::Response;
use axum::routing::{get, post};

use self::answer::{Refusal, plain};
use self::shop::Shop;

pub use server::{Lan, OpenError, Server, Settings};

/// Every address there is, behind the guard.
fn routes(shop: &Arc<Shop>) -> Router {
    use joint::{card, history, look, now, read, save, strokes, tries, typing};
    Router::new()
        .route("/", get(first))
        .route("/assets/{name}", get(assets::asset))
        .route("/code", get(entrance::ask).post(entrance::give))
        .route("/joint/{name}", get(now::show))
        .route("/joint/{name}/read", get(read::show))
        .route("/joint/{name}/typed", post(typing::typed))
        .route("/joint/{name}/save", post(save::save))
        .route("/joint/{name}/discard", post(save::discard))
        .route("/joint/{name}/strokes", post(strokes::record))
        .route("/joint/{name}/try", get(tries::show).post(tries::seat))
        .route("/joint/{name}/history", get(history::show))
        .route("/joint/{name}/look", get(look::show))
        .route("/joint/{name}/pass/{number}", get(look::pass))
        .route("/joint/{name}/space/{turn}/{tilt}", get(look::space))
        .route("/divide", get(bowl::divided))
        .route("/divide/symmetric", get(bowl::divided_symmetric))
        .route("/joint/{name}/mark", get(bowl::marked))
        .route("/joint/{name}/card", get(card::show))
        .route("/lessons", get(lessons::list))
        .route("/lessons/{topic}/{seed}", get(lessons::show).post(lessons::answer))
        .fallback(async || Refusal::unknown().page())
        .layer(from_fn_with_state(Arc::clone(shop), guard::guard))
        .with_state(Arc::clone(shop))
}

/// The bowl, or the joint where there is one alone.
async fn first(State(shop): State<Arc<Shop>>) -> Response {
    if shop.shelf.kind == shelf::Kind::Bowl {
        return bowl::show(shop).await;
    }
    let mut response = plain(StatusCode::SEE_OTHER, "See the joint.");
    let to = shop.shelf.joints().first().map(|name| format!("/joint/{name}"));
    if let Some(to) = to.and_then(|to| HeaderValue::from_str(&to).ok()) {
        response.headers_mut().insert(header::LOCATION, to);
    }
    response
}
