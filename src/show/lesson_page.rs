//! A lesson as one page: its pictures inside, nothing from elsewhere.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::draw::{Sheet, lesson as pictures};
use super::lesson::grade_said;
use super::units::length;
use crate::practice::lesson::{Answer, Beside, Lesson};

/// Names of the answers' pictures, so that ids in the page stay apart.
const NAMES: [&str; 8] =
    ["answer-1", "answer-2", "answer-3", "answer-4", "answer-5", "answer-6", "answer-7", "answer-8"];

const STYLE: &str = "\
body{font:17px/1.5 'Noto Sans',sans-serif;color:#1a1a1a;background:#fff;max-width:60rem;margin:2rem auto;padding:0 1rem}
h1{line-height:1.2}
svg{max-width:100%;height:auto}
details{border-top:1px solid #767676;padding:.6rem 0}
summary{cursor:pointer;font-weight:bold}
table{border-collapse:collapse;margin:1rem 0}
td,th{padding:.15rem .8rem;text-align:right}
td:first-child,th:first-child{text-align:left;padding-left:0}
tr.chosen{font-weight:bold}
@media print{details{break-inside:avoid}svg{break-inside:avoid}}";

/// The page of a lesson: the idea, the rib, the question, and under each choice what came of it.
pub fn lesson_page(lesson: &Lesson, answers: &[Answer]) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (lesson.title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1 { (lesson.title) }
                p { (lesson.idea) }
                (inline(&pictures::question(lesson)))
                h2 { "What would you do?" }
                p { (lesson.question) }
                p { "Decide first. Then open your choice, or the one nearest to it." }
                @for (answer, name) in answers.iter().zip(NAMES) {
                    (came_of(lesson, answer, name))
                }
                p {
                    "An invented rib, seed " (lesson.seed) ". Any other choice: "
                    code { "ribwright teach " (lesson.topic.name()) " --seed " (lesson.seed) }
                }
            }
        }
    };
    page.into_string()
}

fn came_of(lesson: &Lesson, answer: &Answer, name: &'static str) -> Markup {
    html! {
        details {
            summary { (answer.chosen) }
            (what_came_of(lesson, answer, &inline(&pictures::answer(lesson, answer, name))))
        }
    }
}

/// What came of a choice: how good it was, what happened, the picture, and why.
pub(crate) fn what_came_of(lesson: &Lesson, answer: &Answer, picture: &Markup) -> Markup {
    html! {
        p { strong { (grade_said(answer.verdict)) } " " (answer.happened) }
        (picture)
        p { (answer.compared) }
        p { (answer.why) }
        @if !answer.beside.is_empty() { (beside(lesson, &answer.beside)) }
    }
}

fn beside(lesson: &Lesson, ways: &[Beside]) -> Markup {
    let unit = lesson.unit();
    let say = |mm: f64| length(mm, unit);
    let rounds = ways.iter().any(|w| w.rounds.is_some());
    let lift = lesson.aim.lift.is_some();
    html! {
        table {
            thead {
                tr {
                    th scope="col" { "way" }
                    @if rounds { th scope="col" { "rounds" } }
                    th scope="col" { "wood, " (unit.symbol()) }
                    th scope="col" { "gap left, " (unit.symbol()) }
                    @if lift { th scope="col" { "lift left, " (unit.symbol()) } }
                }
            }
            tbody {
                @for way in ways {
                    tr.chosen[way.chosen] {
                        td { (way.way) }
                        @if rounds { td { @if let Some(r) = way.rounds { (format!("{r:.1}")) } } }
                        td { (say(way.wood)) }
                        td { (say(way.gap)) }
                        @if lift { td { (say(way.lift)) } }
                    }
                }
            }
        }
    }
}

/// A picture inside a page: without the XML declaration of a file of its own.
fn inline(sheet: &Sheet) -> Markup {
    let svg = sheet.svg();
    let start = svg.find("<svg").unwrap_or(0);
    PreEscaped(svg[start..].to_owned())
}
