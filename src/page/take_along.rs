//! The page as one file, from the server: a phone in the workshop takes it along.

use maud::html;

use super::answer::{Answer, Answered, Refusal, Status, file as bytes, page, see};
use super::frame::Frame;
use super::one_file::{HOW_TO_GET_IT, NAME, library, one_file};

/// The file, or how to get it.
pub(super) fn show() -> Answer {
    let frame = Frame { title: "Take it along", joint: None, view: "take-along", script: None };
    page(frame.around(html! {
        h1 { "Take this page along" }
        p { "The page and all that it needs in one file: it opens on any phone or laptop without a network and without this machine, and keeps tables of its own." }
        @if library().is_some() {
            p.actions { a.button.main href={ "/take-along/" (NAME) } { "Save " (NAME) } }
            p { "Then open it from where the browser puts its downloads. To take these tables along, send their folder too, or a .zip of it: \"Open\" takes both, and \"Save file\" gives a .zip back." }
            p.about { "What is typed there is not written into the folder here. Next, back at this machine: unpack the .zip beside the folder, and go on in it." }
        } @else {
            p.note { "This program was built without it. Next: " (HOW_TO_GET_IT) "." }
        }
    }))
}

/// The file itself.
pub(super) fn file() -> Answered {
    let Some(library) = library() else {
        return Ok(see("/take-along".into(), "It says there how to get it."));
    };
    let failed = |why: std::io::Error| Refusal::new(Status::Failed, format!("It can't be packed ({why})."));
    let whole = one_file(&library).map_err(failed)?;
    Ok(Answer { kept_as: Some(NAME), ..bytes("text/html; charset=utf-8", whole) })
}
