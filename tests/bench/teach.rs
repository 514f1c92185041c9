//! The lessons as the apprentice meets them: from a pipe, at a terminal, as a
//! page, as a picture.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use ribwright::practice::lesson::{Answer, Choice, Lesson, Topic};
use ribwright::show::draw::Sheet;
use ribwright::show::draw::lesson as pictures;
use roxmltree::{Document, Node, ParsingOptions};
use serde_json::Value;

use crate::typing::{self, PROGRAM, Said};

fn teach(name: &str, options: &[&str], lines: &[&str]) -> Said {
    typing::run("teach", Path::new(name), options, lines)
}

fn lesson(topic: Topic, seed: u64) -> Lesson {
    Lesson::new(topic, seed).expect("seated")
}

/// A right answer to each lesson of seed 0, as it is typed.
const TYPED: [(&str, &str); 5] = [
    ("lever", "7-8:5 8:2 6:1"),
    ("slices", "d"),
    ("both-edges", "12:8 11:6 10:3 9:2 1:1"),
    ("soles", "long 6"),
    ("noise", "c"),
];

#[test]
fn without_a_name_the_lessons_are_listed() {
    let listed = Said::of(&Command::new(PROGRAM).arg("teach").output().expect("run")).well();
    for topic in Topic::ALL {
        assert!(listed.out.contains(topic.name()), "{}", listed.out);
    }
    let json = Command::new(PROGRAM).args(["teach", "--json"]).output().expect("run");
    let json: Value = serde_json::from_slice(&json.stdout).expect("JSON");
    let names: Vec<&str> =
        json["lessons"].as_array().expect("a list").iter().filter_map(|l| l["name"].as_str()).collect();
    assert_eq!(names, Topic::ALL.map(Topic::name));
    let unknown = Command::new(PROGRAM).args(["teach", "levers"]).output().expect("run");
    let said = Said::of(&unknown);
    assert!(said.code == Some(2) && said.err.contains("both-edges"), "{}", said.err);
}

#[test]
fn a_piped_answer_is_weighed() {
    for (name, line) in TYPED {
        let said = teach(name, &[], &[line]).well();
        assert!(said.out.contains("Well done."), "{name}: {}", said.out);
        for word in ["You chose:", "before", "after", "Why", "least"] {
            assert!(said.out.contains(word), "{name}: no {word}");
        }
        assert!(said.out.lines().all(|l| l.chars().count() <= 80), "{name}: {}", said.out);
        assert!(said.err.is_empty() && !said.out.contains('\u{1b}'), "{}", said.err);
    }
}

#[test]
fn the_same_blank_can_be_tried_again() {
    let said = teach("slices", &[], &["b", "y", "d", "n"]).well();
    assert!(said.out.contains("Not yet.") && said.out.contains("Well done."), "{}", said.out);
    let again = teach("slices", &["--seed", "3"], &["b", "y", "y"]);
    assert_eq!(again.code, Some(1), "asked again, and no answer came");
}

/// Lines that are no answer, each with what is said to it.
type Wrong = &'static [(&'static str, &'static str)];

#[test]
fn what_cannot_be_read_is_explained_and_asked_again() {
    let cases: [(&str, Wrong, &str); 3] = [
        (
            "lever",
            &[
                ("4", "stations, a colon and a whole number"),
                ("4:1.5", "a whole number"),
                ("4:-1", "a whole number"),
                ("44:1", "there is no station `44`"),
                ("4:21", "21 is more than this rib can lose: at most 20"),
                ("4:4294967295 4:1", "more than this rib can lose"),
            ],
            "8:1",
        ),
        ("slices", &[("", "one letter: a, b, c, d"), ("e", "one letter"), ("ab", "one letter")], "A"),
        (
            "soles",
            &[
                ("", "`long` or `short`"),
                ("long", "how often"),
                ("jack 3", "`long` or `short`"),
                ("long -1", "how often"),
                ("long 21", "at most 20"),
            ],
            "s 3",
        ),
    ];
    for (name, wrong, right) in cases {
        let lines: Vec<&str> = wrong.iter().map(|w| w.0).chain([right]).collect();
        let said = teach(name, &[], &lines).well();
        for (line, why) in wrong {
            assert!(said.flat().contains(why), "{name}, {line}: no `{why}` in {}", said.out);
        }
        assert_eq!(said.out.matches("Your choice: ").count(), lines.len());
        assert_eq!(said.out.matches("You chose: ").count(), 1);
    }
}

#[test]
fn nothing_is_an_answer_where_stations_are_asked_for() {
    let said = teach("both-edges", &[], &[""]).well();
    assert!(said.out.contains("You chose: nothing.") && said.out.contains("Not yet."), "{}", said.out);
}

#[test]
fn an_input_that_ends_before_an_answer_is_1_and_says_so() {
    for lines in [&[][..], &["9"][..]] {
        let said = teach("lever", &["--seed", "4"], lines);
        assert_eq!(said.code, Some(1));
        assert!(said.err.contains("ended before the question was answered"), "{}", said.err);
        assert!(said.err.contains("ribwright teach lever --seed 4"), "{}", said.err);
    }
}

#[test]
fn json_has_the_lesson_and_what_came_of_the_answer() {
    let json = |lines: &[&str]| -> Value {
        serde_json::from_str(&teach("lever", &["--json", "--seed", "2"], lines).well().out)
            .expect("JSON only")
    };
    let asked = json(&[]);
    assert!(asked["answer"].is_null() && asked["schema"] == 1);
    let lesson = &asked["lesson"];
    assert_eq!((lesson["topic"].as_str(), lesson["seed"].as_u64()), (Some("lever"), Some(2)));
    assert_eq!(lesson["ask"]["kind"], "shavings");
    let answered = json(&["8:2"]);
    let answer = &answered["answer"];
    assert_eq!(answer["taken_mm"][7], 0.1);
    let n = lesson["stations"].as_array().expect("a list").len();
    for list in [&answer["least_mm"], &answer["after"]["gap_mm"], &lesson["before"]["lift_mm"]] {
        assert_eq!(list.as_array().map(Vec::len), Some(n));
    }
    assert!(answer["verdict"].is_string() && lesson["aim"]["lift_mm"].is_null(), "null, never 0");
    let wrong = teach("lever", &["--json"], &["99:1"]);
    assert!(wrong.code == Some(2) && wrong.out.is_empty() && wrong.err.contains("`99`"), "{}", wrong.err);
}

/// A choice goes through JSON and back, for whoever asks from a page.
#[test]
fn a_choice_is_plain_data() {
    let choices = [Choice::Shavings(vec![0, 2]), Choice::Pushes { plane: 1, count: 3 }, Choice::One(2)];
    for choice in choices {
        let text = serde_json::to_string(&choice).expect("JSON");
        assert_eq!(serde_json::from_str::<Choice>(&text).expect("a choice"), choice);
    }
}

#[test]
fn at_a_terminal_it_asks_and_answers() {
    let mut command = Command::new(PROGRAM);
    command.args(["teach", "slices", "--color", "never"]).env("TERM", "dumb");
    let mut terminal = rexpect::session::spawn_command(command, Some(30_000)).expect("it starts");
    terminal.exp_string("Your choice: ").expect("a question");
    terminal.send_line("x").expect("sent");
    terminal.exp_string("one letter").expect("an explanation");
    terminal.exp_string("Your choice: ").expect("asked again");
    terminal.send_line("c").expect("sent");
    terminal.exp_string("Not yet.").expect("an answer");
    terminal.exp_string("Try again").expect("another try");
    terminal.send_line("n").expect("sent");
    terminal.exp_eof().expect("the end");
}

/// The page as XML: HTML's empty elements closed.
fn closed(page: &str) -> String {
    page.split('>')
        .map(|part| if part.trim_start().starts_with("<meta") { format!("{part}/") } else { part.to_owned() })
        .collect::<Vec<String>>()
        .join(">")
}

fn page(name: &str) -> String {
    let dir = tempfile::tempdir().expect("a folder");
    let into = dir.path().join("new/folder");
    let options = ["--into", into.to_str().expect("UTF-8")];
    let said = teach(name, &options, &[]).well();
    assert!(said.out.starts_with("Written: "), "{}", said.out);
    fs::read_to_string(into.join(format!("{name}.html"))).expect("written")
}

#[test]
fn a_page_stands_alone_and_holds_the_whole_lesson() {
    for topic in Topic::ALL {
        let page = page(topic.name());
        let text = closed(&page);
        let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
        let tree = Document::parse_with_options(&text, options).expect("well formed");
        let lesson = lesson(topic, 0);
        let said: String = tree.descendants().filter(Node::is_text).filter_map(|n| n.text()).collect();
        assert!(said.contains(&lesson.idea) && said.contains(&lesson.question), "{topic:?}");
        let choices = lesson.tries().len();
        let count = |tag: &str| tree.descendants().filter(|n| n.tag_name().name() == tag).count();
        assert_eq!((count("details"), count("svg"), count("h1")), (choices, choices + 1, 1));
        // Nothing from elsewhere: no link, no source, no address but SVG's own name.
        for node in tree.descendants() {
            for a in node.attributes() {
                assert!(!["src", "href", "srcset", "data", "action"].contains(&a.name()), "{}", a.value());
                assert!(!a.value().contains("://") && !a.value().contains("url("), "{}", a.value());
            }
        }
        assert!(!page.contains("@import") && !page.contains("url(") && !page.contains("<script"));
        let ids: Vec<&str> = tree.descendants().filter_map(|n| n.attribute("id")).collect();
        assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "ids stay apart");
        for named in tree.descendants().filter_map(|n| n.attribute("aria-labelledby")) {
            assert!(named.split(' ').all(|id| ids.contains(&id)), "{named}");
        }
    }
}

#[test]
fn a_file_that_stands_where_a_folder_is_needed_is_2_and_is_named() {
    let dir = tempfile::tempdir().expect("a folder");
    let file = dir.path().join("a-file");
    fs::write(&file, "").expect("written");
    let said = teach("lever", &["--into", file.to_str().expect("UTF-8")], &[]);
    assert!(said.code == Some(2) && said.err.contains("a-file"), "{}", said.err);
}

/// Every sheet of a lesson: the question's, and one for each choice.
fn sheets(lesson: &Lesson) -> Vec<(Sheet, Option<Answer>)> {
    let answers = lesson.tries().into_iter().map(|c| lesson.answer(&c).expect("its own"));
    let drawn = answers.map(|a| (pictures::answer(lesson, &a, "answer-1"), Some(a)));
    [(pictures::question(lesson), None)].into_iter().chain(drawn).collect()
}

fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).and_then(|v| v.parse().ok()).unwrap_or(f64::NAN)
}

fn of_class<'a>(svg: &'a Document, class: &str) -> Vec<Node<'a, 'a>> {
    svg.descendants().filter(|n| n.attribute("class") == Some(class)).collect()
}

/// The points a path goes through: the last pair of each step.
fn through(path: Node) -> Vec<(f64, f64)> {
    let d = path.attribute("d").expect("a path");
    let steps = d.split(['M', 'L', 'C', 'Z']).filter(|s| !s.is_empty());
    let last = |step: &str| {
        let n: Vec<f64> = step.split([' ', ',']).filter_map(|n| n.parse().ok()).collect();
        (n[n.len() - 2], n[n.len() - 1])
    };
    steps.map(last).collect()
}

/// Pixels of a path stand on a straight scale of its values, and its x at the stations.
fn on_scale(points: &[(f64, f64)], places: &[f64], values: &[f64]) -> (f64, f64) {
    assert_eq!(points.len(), values.len());
    let at = |f: fn(f64, f64) -> bool| {
        (0..values.len()).reduce(|a, b| if f(values[a], values[b]) { a } else { b }).expect("some")
    };
    let (low, high) = (at(|a, b| a <= b), at(|a, b| a >= b));
    let slope = (points[high].1 - points[low].1) / (values[high] - values[low]);
    for (i, point) in points.iter().enumerate() {
        assert!((point.0 - places[i]).abs() < 0.02, "station {i}: {point:?}");
        if values[high] - values[low] > 0.01 {
            let want = points[low].1 + slope * (values[i] - values[low]);
            assert!((point.1 - want).abs() < 0.05, "station {i}: {point:?}, not {want}");
        }
    }
    (points[low].1, slope)
}

#[test]
fn lines_stand_where_the_rib_lies() {
    for topic in [Topic::Lever, Topic::Slices, Topic::BothEdges, Topic::Soles] {
        for seed in [0, 5] {
            let lesson = lesson(topic, seed);
            let places = pictures::places(&lesson);
            for (sheet, answer) in sheets(&lesson) {
                let text = sheet.svg();
                let svg = Document::parse(&text).expect("XML");
                let after = of_class(&svg, "after");
                let lie = answer.as_ref().map_or(&lesson.before, |a| &a.after);
                on_scale(&through(after[0]), &places, &lie.gap);
                if lesson.aim.lift.is_some() {
                    on_scale(&through(after[1]), &places, &lie.lift);
                }
                let Some(answer) = answer else { continue };
                on_scale(&through(of_class(&svg, "before")[0]), &places, &lesson.before.gap);
                let (zero, slope) = on_scale(&through(of_class(&svg, "least")[0]), &places, &answer.least);
                let least = answer.least.iter().copied().fold(f64::MAX, f64::min);
                let bars: Vec<Node> = of_class(&svg, "now");
                let taken: Vec<f64> = answer.taken.iter().copied().filter(|t| *t > 0.0).collect();
                assert_eq!(bars.len(), taken.len());
                for (bar, taken) in bars.iter().zip(taken) {
                    let want = (taken * slope).abs();
                    assert!((number(*bar, "height") - want).abs() < 0.05, "{want}");
                    let foot = number(*bar, "y") + number(*bar, "height");
                    assert!((foot - (zero - least * slope)).abs() < 0.05);
                }
                let bearings = of_class(&svg, "bearing").len();
                assert_eq!(bearings, answer.after.bearings.len());
            }
        }
    }
}

#[test]
fn readings_are_dots_at_their_stations() {
    let lesson = lesson(Topic::Noise, 1);
    let text = pictures::question(&lesson).svg();
    let svg = Document::parse(&text).expect("XML");
    let places = pictures::places(&lesson);
    let gap = through(of_class(&svg, "after")[0]);
    let (low, slope) = on_scale(&gap, &places, &lesson.before.gap);
    let least = lesson.before.gap.iter().copied().fold(f64::MAX, f64::min);
    let dots = of_class(&svg, "end-point");
    let read: Vec<f64> = lesson.readings.iter().flatten().copied().collect();
    assert_eq!(dots.len(), read.len());
    for (i, (dot, read)) in dots.iter().zip(read).enumerate() {
        assert!((number(*dot, "cx") - places[i % places.len()]).abs() < 0.02);
        assert!((number(*dot, "cy") - (low + slope * (read - least))).abs() < 0.05);
    }
    assert!(of_class(&svg, "bearing").is_empty(), "where it bears is for the apprentice to find");
}

/// Left, top, right, bottom of a text, from its own length and size.
fn bounds(text: Node) -> [f64; 4] {
    let (x, y) = (number(text, "x"), number(text, "y"));
    let (size, length) = (number(text, "font-size"), number(text, "textLength"));
    let start = match text.attribute("text-anchor") {
        Some("middle") => x - length / 2.0,
        Some("end") => x - length,
        _ => x,
    };
    [start, y - 0.75 * size, start + length, y + 0.2 * size]
}

#[test]
fn no_text_runs_into_another_or_off_the_sheet() {
    for topic in Topic::ALL {
        for seed in 0..4 {
            let lesson = lesson(topic, seed);
            // The bench takes its time; what it draws has the same form.
            let drawn = match topic {
                Topic::Noise => vec![(pictures::question(&lesson), None)],
                _ => sheets(&lesson),
            };
            for (sheet, _) in drawn {
                let text = sheet.svg();
                let svg = Document::parse(&text).expect("XML");
                let texts: Vec<Node> = svg.descendants().filter(|n| n.has_tag_name((SVG, "text"))).collect();
                assert!(texts.iter().all(|t| t.attribute("transform").is_none()));
                let boxes: Vec<[f64; 4]> = texts.iter().map(|t| bounds(*t)).collect();
                for (i, a) in boxes.iter().enumerate() {
                    assert!(a[0] >= 0.0 && a[2] <= sheet.width && a[3] <= sheet.height, "{:?}", texts[i]);
                    for (k, b) in boxes.iter().enumerate().skip(i + 1) {
                        let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                        assert!(apart, "{topic:?} {seed}: {:?} on {:?}", texts[i].text(), texts[k].text());
                    }
                }
                for name in ["title", "desc"] {
                    let said = svg.root_element().children().find(|n| n.has_tag_name((SVG, name)));
                    assert!(said.and_then(|n| n.text()).is_some_and(|s| s.len() > 15));
                }
            }
        }
    }
}

const SVG: &str = "http://www.w3.org/2000/svg";
