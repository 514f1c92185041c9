//! Lessons, answered by tapping stations, planes or ways.

use std::sync::Arc;

use maud::{Markup, html};
use serde_json::json;

use super::answer::{Answer, Answered, Refusal, Status, json, page};
use super::frame::{Frame, picture};
use super::site::Site;
use crate::practice::lesson::{Ask, Choice, Lesson, Topic};
use crate::show::draw::lesson as pictures;
use crate::show::{self};

/// Lists them.
pub(super) fn list() -> Answer {
    let frame = Frame { title: "Lessons", joint: None, view: "lessons", script: None };
    page(frame.around(html! {
        h1 { "Lessons" }
        p.about { "A rib whose wood is known, one idea, and what comes of your choice. All ribs are invented." }
        ol.lessons {
            @for topic in Topic::ALL {
                li {
                    a href={ "/lessons/" (topic.name()) "/1" } { strong { (topic.title()) } span { (topic.about()) } }
                }
            }
        }
    }))
}

/// Shows one on the rib of a seed.
pub(super) fn show(site: &Site, topic: &str, seed: u64) -> Answered {
    let lesson = lesson(site, topic, seed)?;
    let frame = Frame { title: lesson.title, joint: None, view: "lessons", script: Some("lesson.js") };
    Ok(page(frame.around(body(&lesson))))
}

fn lesson(site: &Site, topic: &str, seed: u64) -> Result<Arc<Lesson>, Refusal> {
    site.lesson(Topic::named(topic).ok_or_else(Refusal::unknown)?, seed)
}

fn at(lesson: &Lesson, seed: u64) -> String {
    format!("/lessons/{}/{seed}", lesson.topic.name())
}

fn body(lesson: &Lesson) -> Markup {
    html! {
        p.about { a href="/lessons" { "All lessons" } }
        h1 { (lesson.title) }
        p { (lesson.idea) }
        (picture(pictures::narrow_question(lesson), &pictures::question(lesson), "The rib before anything is taken"))
        h2 { "What would you do?" }
        p { (lesson.question) }
        form #lesson data-at=(at(lesson, lesson.seed)) autocomplete="off" {
            (asked(lesson))
            div.actions { button type="submit" .button.main { "See what comes of it" } }
        }
        p #said .unseen role="status" aria-live="polite" {}
        section #came aria-labelledby="came-head" hidden {
            h2 #came-head tabindex="-1" { "What came of it" }
            div #came-words {}
        }
        p.actions { a.button href=(at(lesson, lesson.seed.wrapping_add(1))) { "Another rib" } }
        p.about { "An invented rib, seed " (lesson.seed) "." }
    }
}

fn asked(lesson: &Lesson) -> Markup {
    match &lesson.ask {
        Ask::Shavings { shaving, most } => shavings(lesson, *shaving, *most),
        Ask::Pushes { planes, most } => pushes(planes, *most),
        Ask::One { options } => one("way", "The way", options),
    }
}

/// A key for each station: a tap takes one shaving more there, or one less.
fn shavings(lesson: &Lesson, shaving: f64, most: u32) -> Markup {
    let thick = lesson.unit().say(shaving);
    html! {
        fieldset.choice {
            legend { "A tap on a station" }
            label { input type="radio" name="tap" value="more" checked; span { "takes a shaving" } }
            label { input type="radio" name="tap" value="less"; span { "puts one back" } }
        }
        div.tiles role="group" aria-label={ "Stations; a shaving is " (thick) } data-most=(most) {
            @for name in &lesson.stations {
                button.tile type="button" data-count="0" {
                    span.unseen { "Station " }
                    b { (show::clean(name)) }
                    span.unseen { ", " }
                    span.count { "0" }
                    span.unseen { " shavings" }
                }
            }
        }
        p.about { "A shaving is " (thick) "." }
    }
}

fn pushes(planes: &[String], most: u32) -> Markup {
    html! {
        (one("plane", "The plane", planes))
        div.slide {
            label for="pushes" { "Pushes from end to end" }
            input #pushes type="range" min="0" max=(most) step="1" value="0";
            output for="pushes" { "0" }
        }
    }
}

fn one(name: &str, legend: &str, ways: &[String]) -> Markup {
    html! {
        fieldset.ways-list {
            legend { (legend) }
            @for (i, way) in ways.iter().enumerate() {
                label.tick { input type="radio" name=(name) value=(i) checked[i == 0]; span { (show::clean(way)) } }
            }
        }
    }
}

/// What came of a choice.
pub(super) fn answer(site: &Site, topic: &str, seed: u64, choice: Choice) -> Answered {
    let lesson = lesson(site, topic, seed)?;
    let refused = |why| Refusal::new(Status::Unprocessable, format!("{why}."));
    let answer = lesson.answer(&choice).map_err(refused)?;
    let drawn = [pictures::narrow_answer, pictures::answer].map(|draw| draw(&lesson, &answer, "answer"));
    let [small, large] = drawn;
    let shown = picture(small, &large, "The rib then");
    let came = html! {
        p.todo { (answer.chosen) }
        (show::what_came_of(&lesson, &answer, &shown))
    };
    Ok(json(&json!({ "came": came.into_string(), "said": answer.happened })))
}
