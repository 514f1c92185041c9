//! The page: the library's own calls as pages, for a phone or an old laptop beside the mold.
//!
//! [`answer`] is all of it: a request, a folder and what is kept in memory go in, bytes come out.
//! It knows nothing of how a request came: `server` brings it over HTTP, and a browser that holds
//! the program itself can ask it directly.
//!
//! One file a page. Each reads the folder anew, calls the library and lays the
//! result out. What is typed goes into the same draft as at the prompt
//! ([`crate::record::Draft`]), so a round begun on the phone can be ended at the terminal.
//!
//! ## Why does every request read the folder?
//!
//! The folder is the record, and others write into it too: `ribwright enter`, a
//! spreadsheet, a second tab. Reading it takes less than a millisecond, and a page
//! that shows what is there can't be wrong about it. Whoever saves says which state
//! of the folder was looked at ([`crate::record::version`]); if it is another one by
//! then, nothing is written and the page says so.

mod answer;
mod assets;
mod begin;
mod bowl;
mod folder;
mod frame;
mod further;
mod joint;
mod lessons;
mod measured;
#[cfg(feature = "program")]
mod one_file;
#[cfg(feature = "program")]
pub mod server;
mod site;
#[cfg(feature = "program")]
mod take_along;

use std::str::FromStr;

use self::Method::{Get, Post};
use self::answer::{Answered, Refusal, see, sent};
use self::site::Site;

pub use self::answer::{Answer, Method, Request, Status};
pub use self::begin::{Begun, begin};
pub use self::folder::Folder;
#[cfg(feature = "program")]
pub use self::one_file::{HOW_TO_GET_IT, library, one_file, web_folder};
pub use self::site::Memory;
#[cfg(feature = "program")]
pub use server::{Lan, OpenError, Server, Settings, access, link, places};

/// Answers a request about a folder; `memory` is the same from request to request, and saves
/// what would be worked out twice.
pub fn answer(request: &Request, folder: &Folder, memory: &Memory) -> Answer {
    let site = Site { folder, memory };
    let parts = parts(request);
    answered(&site, request.method, &parts, &request.body).unwrap_or_else(|refusal| told(request, &refusal))
}

/// The answer where the program stopped at a request without one.
pub fn broken(request: &Request) -> Answer {
    told(request, &Refusal::broken())
}

fn parts(request: &Request) -> Vec<&str> {
    request.path.strip_prefix('/').unwrap_or(&request.path).split('/').collect()
}

/// Every address there is. What only shows is got; what may change the folder is posted.
fn answered(site: &Site, method: Method, parts: &[&str], body: &[u8]) -> Answered {
    use joint::{card, correct, history, look, lost, now, read, save, strokes, tries, typing};
    let joint = |name| site.joint(name);
    match (method, parts) {
        (Get, [""]) => first(site),
        (Get, ["assets", name]) => assets::asset(name),
        (Get, ["joint", name]) => now::show(site, &joint(name)?),
        (Get, ["joint", name, "read"]) => read::show(site, &joint(name)?),
        (Post, ["joint", name, "typed"]) => typing::typed(site, name, sent(body)?),
        (Post, ["joint", name, "save"]) => save::save(site, name, sent(body)?),
        (Post, ["joint", name, "discard"]) => save::discard(site, name, sent(body)?),
        (Get, ["joint", name, "correct", station]) => correct::show(site, name, number(station)?),
        (Post, ["joint", name, "correct"]) => correct::save(site, name, sent(body)?),
        (Post, ["joint", name, "recover"]) => lost::settle(site, name, sent(body)?),
        (Post, ["joint", name, "strokes"]) => strokes::record(site, name, sent(body)?),
        (Get, ["joint", name, "try"]) => tries::show(site, &joint(name)?),
        (Post, ["joint", name, "try"]) => tries::seat(site, name, sent(body)?),
        (Get, ["joint", name, "history"]) => history::show(site, &joint(name)?),
        (Get, ["joint", name, "look"]) => look::show(site, &joint(name)?),
        (Get, ["joint", name, "pass", pass]) => look::pass(site, name, number(pass)?),
        (Get, ["joint", name, "space", turn, tilt]) => look::space(site, name, number(turn)?, number(tilt)?),
        (Get, ["joint", name, "mark"]) => bowl::marked(site, &joint(name)?),
        (Post, ["joint", name, "mark"]) => measured::marks(site, name, sent(body)?),
        (Get, ["joint", name, "shim"]) => further::shim(site, &joint(name)?),
        (Get, ["joint", name, "spacer"]) => further::strip(site, &joint(name)?),
        (Get, ["joint", name, "card"]) => card::show(site, &joint(name)?),
        (Get, ["divide"]) => bowl::divided(site, false),
        (Get, ["divide", "symmetric"]) => bowl::divided(site, true),
        (Post, ["divide"]) => measured::girth(site, sent(body)?),
        (Get, ["moisture"]) => further::moisture(site),
        (Get, ["lessons"]) => Ok(lessons::list()),
        (Get, ["lessons", topic, seed]) => lessons::show(site, topic, number(seed)?),
        (Post, ["lessons", topic, seed]) => lessons::answer(site, topic, number(seed)?, sent(body)?),
        #[cfg(feature = "program")]
        (Get, ["take-along"]) => Ok(take_along::show()),
        #[cfg(feature = "program")]
        (Get, ["take-along", "ribwright.html"]) => take_along::file(),
        _ => Err(Refusal::unknown()),
    }
}

/// A number in an address.
fn number<T: FromStr>(part: &str) -> Result<T, Refusal> {
    part.parse().map_err(|_| Refusal::unknown())
}

/// A refusal as whoever asked can read it: a page's script, or the maker.
fn told(request: &Request, refusal: &Refusal) -> Answer {
    let by_script =
        request.method == Post || matches!(parts(request).as_slice(), ["joint", _, "pass" | "space", ..]);
    if by_script { refusal.json() } else { refusal.page() }
}

/// The bowl, or the joint where there is one alone.
fn first(site: &Site) -> Answered {
    if site.folder.kind == folder::Kind::Bowl {
        return bowl::show(site);
    }
    let joint = site.folder.joints().into_iter().next().ok_or_else(Refusal::unknown)?;
    Ok(see(format!("/joint/{joint}"), "See the joint."))
}
