//! What is not as it was confirmed: told, and brought back or kept as it is.

use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use super::Joint;
use crate::advice::{capital, lost_said, unreadable};
use crate::page::answer::{Answered, json};
use crate::page::site::Site;
use crate::record;

/// A note, if there is something to tell.
pub(super) fn note(joint: &Joint) -> Markup {
    let lost = record::lost(&joint.folder, &joint.job);
    html! {
        @if let Some(text) = unreadable(&lost) { p.note { (text) } }
        @if !lost.rounds.is_empty() {
            section.note #lost aria-labelledby="lost-head" {
                h2 #lost-head { "Not as it was confirmed" }
                p { (capital(&lost_said(&lost))) ". Did a spreadsheet save an older copy?" }
                p.problem #lost-problem role="alert" {}
                div.actions {
                    button type="button" .button data-recover="back" { "Bring it back" }
                    button type="button" .button.quiet data-recover="keep" { "It is right as it is" }
                }
            }
        }
    }
}

/// What is to become of it.
#[derive(Debug, Deserialize)]
pub(in crate::page) struct Sent {
    version: String,
    way: Way,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Way {
    Back,
    Keep,
}

/// Does it.
pub(in crate::page) fn settle(site: &Site, name: &str, sent: Sent) -> Answered {
    let _writing = site.writing();
    let joint = site.joint(name)?;
    joint.is_still(&sent.version)?;
    let done = match sent.way {
        Way::Back => record::bring_back(&joint.folder),
        Way::Keep => record::keep_as_it_is(&joint.folder),
    };
    match done {
        Err(error) if !error.is_written() => Err(error.into()),
        _ => Ok(json(&json!({ "next": joint.at("") }))),
    }
}
