//! Files that are part of the program.

use super::answer::{Answered, Refusal, file};
use crate::show::draw::night;

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// Name, kind and content of each.
const FILES: [(&str, &str, &str); 14] = [
    (
        "page.css",
        "text/css; charset=utf-8",
        concat!(include_str!("assets/read.css"), include_str!("assets/page.css")),
    ),
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
];

/// Gives one of them.
pub(super) fn asset(name: &str) -> Answered {
    match FILES.iter().find(|(known, ..)| *known == name) {
        Some(("page.css", kind, content)) => {
            Ok(file(kind, format!("{content}{}", night::rules(".picture svg"))))
        }
        Some((_, kind, content)) => Ok(file(kind, *content)),
        None => Err(Refusal::unknown()),
    }
}
