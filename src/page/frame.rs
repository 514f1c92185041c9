//! What all pages share: head, way round, foot.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::answer::{Answer, Refusal, Status, page_as};
use super::folder::Kind;
use super::joint::Joint;
use crate::show::draw::Sheet;

/// A page to be laid out.
pub(super) struct Frame<'a> {
    /// What the page is about, for the browser's title and tabs.
    pub title: &'a str,
    /// The joint that it belongs to.
    pub joint: Option<&'a Joint>,
    /// Which of the joint's views, or of the top ones, it is: its path.
    pub view: &'a str,
    /// Its own script, besides the one that all share.
    pub script: Option<&'a str>,
}

/// Who answers, at the foot of every page.
const FOOT: &str = match cfg!(feature = "program") {
    true => "Served by this machine alone; nothing is fetched from anywhere.",
    false => "Worked out in this browser alone; nothing is fetched from anywhere.",
};

/// The views of a joint: path behind the joint's own, and label.
const VIEWS: [(&str, &str); 7] = [
    ("", "Now"),
    ("read", "Read"),
    ("look", "Look"),
    ("try", "Try"),
    ("history", "History"),
    ("card", "Card"),
    ("mark", "Mark"),
];

/// The last of them only in a bowl.
fn views(joint: &Joint) -> &'static [(&'static str, &'static str)] {
    if joint.of == Kind::Bowl { &VIEWS } else { &VIEWS[..VIEWS.len() - 1] }
}

impl Frame<'_> {
    /// The whole page around what is its own.
    pub fn around(&self, body: Markup) -> Markup {
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    title { (self.title) " · ribwright" }
                    link rel="stylesheet" href="/assets/page.css";
                    link rel="icon" href="/assets/icon.svg";
                    script src="/assets/server.js" defer {}
                    script src="/assets/page.js" defer {}
                    @if let Some(script) = self.script {
                        script src={ "/assets/" (script) } defer {}
                    }
                }
                body { (self.body(body)) }
            }
        }
    }

    fn body(&self, body: Markup) -> Markup {
        html! {
            a.skip href="#main" { "To the page itself" }
            header.top {
                a.home href="/" { (mark()) span { "ribwright" } }
                nav aria-label="All pages" { (self.top()) }
            }
            @if let Some(joint) = self.joint { (self.ways(joint)) }
            main #main tabindex="-1" data-at=[self.joint.map(|j| j.at(""))] data-version=[self.joint.map(|j| &j.version)] {
                noscript { p.banner { "This page needs its script: allow scripts for this address." } }
                p #stale .banner role="status" hidden {}
                (body)
            }
            footer.foot {
                p {
                    (FOOT)
                    @if cfg!(feature = "program") { " " a href="/take-along" { "Take this page along as one file" } "." }
                }
            }
        }
    }

    fn top(&self) -> Markup {
        let bowl = self.view == "divide" || self.joint.is_some_and(|j| j.of == Kind::Bowl);
        html! {
            @if bowl { a href="/" { "Bowl" } }
            a href="/lessons" aria-current=[(self.view == "lessons").then_some("page")] { "Lessons" }
        }
    }

    fn ways(&self, joint: &Joint) -> Markup {
        html! {
            nav.ways aria-label="This joint" {
                ul {
                    @for (path, label) in views(joint) {
                        li {
                            a href=(joint.at(path)) aria-current=[(*path == self.view).then_some("page")] { (label) }
                        }
                    }
                }
            }
        }
    }
}

/// Three ribs side by side: our own sign.
fn mark() -> Markup {
    html! {
        svg.sign viewBox="0 0 24 24" aria-hidden="true" focusable="false" {
            path d="M4 21C5 13 7 7 11 3M9.5 21.5C10 14 11 8 13 3M15.5 21C15.5 14 15.5 8 15 3M20 19C20 13 19 8 17 4" {}
        }
    }
}

impl Refusal {
    /// A page that says so.
    pub fn page(&self) -> Answer {
        let frame = Frame { title: "No page", joint: None, view: "-", script: None };
        let title = match self.status {
            Status::NotFound => "There is no such page",
            Status::Unprocessable => "The folder can't be read as it stands",
            _ => "That did not work",
        };
        let body = html! {
            h1 { (title) }
            div.problems { @for line in self.text.lines() { p { (line) } } }
            p { a.button href="/" { "To the first page" } }
        };
        page_as(self.status, frame.around(body))
    }
}

/// A picture inside a page, for both kinds of screen.
pub(super) fn picture(small: Sheet, large: &Sheet, label: &str) -> Markup {
    html! {
        div.picture role="group" aria-label=(label) tabindex="0" { (two(small, large)) }
    }
}

/// One picture for a phone's screen and one for a wide one; the other is not shown.
pub(super) fn two(mut small: Sheet, large: &Sheet) -> Markup {
    // Both are in the page, so that their names must differ.
    small.name = format!("small-{}", small.name);
    html! {
        div.narrow { (inline(&small)) }
        div.broad { (inline(large)) }
    }
}

/// The picture itself.
fn inline(sheet: &Sheet) -> Markup {
    let svg = sheet.svg();
    let body = svg.split_once("?>").map_or(svg.as_str(), |(_, body)| body);
    // The writer of pictures escapes every text itself.
    PreEscaped(body.trim().to_owned())
}
