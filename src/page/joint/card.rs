//! The bench card: one sheet of paper to take to the bench.

use maud::{Markup, html};

use super::now::{mind, table};
use super::{Joint, words};
use crate::advice::Advice;
use crate::page::answer::{Answered, page};
use crate::page::frame::{Frame, picture};
use crate::page::site::Site;
use crate::show::{self, draw};

/// Shows it, with a button that prints it.
pub(in crate::page) fn show(site: &Site, joint: &Joint) -> Answered {
    let answer = site.worked(joint);
    let advice = &answer.advice;
    let title = format!("Bench card, {}", joint.title());
    let frame = Frame { title: &title, joint: Some(joint), view: "card", script: Some("card.js") };
    Ok(page(frame.around(card(joint, advice))))
}

fn card(joint: &Joint, advice: &Advice) -> Markup {
    html! {
        p.actions.screen { button type="button" #print .button.main { "Print the card" } }
        article.card {
            h1 { (joint.title()) }
            p.about { @match advice.round { Some(round) => { "Round " (round) ". " } None => {} } "Lengths in " (show::plural(joint.job.unit)) "." }
            (words::verdict(advice))
            @if !advice.strokes.is_empty() { (strokes(joint, advice)) }
            (picture(draw::removal_strip(&joint.job, advice), &draw::removal_map(&joint.job, advice), "Removal map"))
            h2 { "Figures" }
            (table(&joint.job, advice))
            (mind(advice.warnings.iter().map(|w| w.text.clone()).collect()))
        }
    }
}

fn strokes(joint: &Joint, advice: &Advice) -> Markup {
    html! {
        h2 { "Strokes, in this order" }
        ol.paper { @for stroke in &advice.strokes { li { span.box aria-hidden="true" {} (show::planned_text(&joint.job, stroke)) } } }
        p.caution { (show::CAUTION) }
    }
}
