//! Files that are part of the program.

use super::answer::{Answered, Refusal, file};
use crate::show::draw::night;

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// Name, kind and content of each.
const FILES: [(&str, &str, &str); 14] = [
    ("icon.svg", "image/svg+xml", include_str!("assets/icon.svg")),
    ("server.js", SCRIPT, include_str!("assets/server.js")),
    ("page.js", SCRIPT, include_str!("assets/page.js")),
    ("read.js", SCRIPT, include_str!("assets/read.js")),
    ("walk.js", SCRIPT, include_str!("assets/walk.js")),
    ("figures.js", SCRIPT, include_str!("assets/figures.js")),
    ("strokes.js", SCRIPT, include_str!("assets/strokes.js")),
    ("lesson.js", SCRIPT, include_str!("assets/lesson.js")),
    ("look.js", SCRIPT, include_str!("assets/look.js")),
    ("try.js", SCRIPT, include_str!("assets/try.js")),
    ("code.js", SCRIPT, include_str!("assets/code.js")),
    ("correct.js", SCRIPT, include_str!("assets/correct.js")),
    ("card.js", SCRIPT, include_str!("assets/card.js")),
    ("begin.js", SCRIPT, include_str!("assets/begin.js")),
];

/// Gives one of them.
pub(super) fn asset(name: &str) -> Answered {
    if name == "page.css" {
        return Ok(file("text/css; charset=utf-8", style()));
    }
    let known = FILES.iter().find(|(known, ..)| *known == name);
    known.map(|(_, kind, content)| file(kind, *content)).ok_or_else(Refusal::unknown)
}

/// The style of all pages.
pub(super) fn style() -> String {
    let plain = concat!(include_str!("assets/read.css"), include_str!("assets/page.css"));
    format!("{plain}{}", night::rules(".picture svg"))
}

/// A script by its name; none has another one's.
#[cfg(feature = "program")]
pub(super) fn script(name: &str) -> &'static str {
    FILES.iter().find(|(known, ..)| *known == name).map_or("", |(.., content)| content)
}
