//! Lengths and verdicts as the pages say them.

use maud::{Markup, html};

use crate::advice::{Advice, Verdict};
use crate::job::{Figure, Job, Quantity, Unit};
use crate::show;

/// The unit behind a number.
pub(in crate::page) fn unit(job: &Job) -> &'static str {
    match job.unit {
        Unit::Mm => "mm",
        Unit::Inch => "in",
    }
}

/// A reading in words: `gap 0.40`, `over 0.20..0.25`, `0.15`.
pub(in crate::page) fn reading(job: &Job, quantity: Quantity, told: Figure) -> String {
    let figure = show::told(sided(told), job.unit);
    match (quantity, told.middle()) {
        (Quantity::Overlap, mm) if mm < 0.0 => format!("gap {figure}"),
        (Quantity::Overlap, mm) if mm > 0.0 => format!("over {figure}"),
        _ => figure,
    }
}

/// The same with the quantity's word: `gap 0.40`, `lift 0.15`.
pub(in crate::page) fn said(job: &Job, of: Quantity, told: Figure) -> String {
    let word = if of == Quantity::Overlap { String::new() } else { quantity(of).to_lowercase() + " " };
    word + &reading(job, of, told)
}

/// A reading without the sign that the word for its side stands for.
pub(in crate::page) fn sided(told: Figure) -> Figure {
    if told.middle() < 0.0 { told.negated() } else { told }
}

/// A quantity's word at the head of its field.
pub(in crate::page) fn quantity(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Overlap => "Joint",
        Quantity::Lift => "Lift",
        Quantity::Seat => "Seat",
    }
}

/// The verdict's one word, and its look.
pub(in crate::page) fn verdict_word(verdict: Verdict) -> (&'static str, &'static str) {
    match verdict {
        Verdict::Plane => ("Plane", "plane"),
        Verdict::Fitted => ("Fitted", "fitted"),
        Verdict::ReadAgain => ("Read again", "again"),
        Verdict::NoAnswer => ("No answer", "none"),
    }
}

/// The verdict with its reason.
pub(in crate::page) fn verdict(advice: &Advice) -> Markup {
    let (word, look) = verdict_word(advice.verdict);
    let headline = show::headline(advice.verdict);
    let rest = headline.split_once(": ").map_or(headline, |(_, rest)| rest);
    html! {
        div.verdict.(look) {
            h2 { (word) }
            p.todo { (show::capital(rest)) }
            p { (advice.reason) }
        }
    }
}

/// The verdict while a round is typed: no strokes yet, since they would be others
/// with the next reading.
pub(in crate::page) fn so_far(advice: &Advice) -> Markup {
    let (word, look) = verdict_word(advice.verdict);
    let strokes = advice.verdict == Verdict::Plane;
    html! {
        div.verdict.(look) {
            h2 { span.lead { "So far: " } (word.to_lowercase()) }
            p { (advice.reason) }
            @if strokes { p.about { "The strokes come when the round is saved." } }
        }
    }
}
