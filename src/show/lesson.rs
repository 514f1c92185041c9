//! A lesson for people at a terminal and for programs.

use std::io::{self, Write};

use owo_colors::OwoColorize;

use super::grid::Grid;
use super::names::columns;
use super::units::{length, plural};
use super::wrap::{WIDTH, lines, paragraph};
use crate::json::{self, object};
use crate::practice::lesson::{Answer, Ask, Beside, Grade, Lesson, Topic};

/// Widest bar of the picture in letters.
const BAR: usize = 40;

/// Writes the lessons there are, and how to take one.
///
/// # Errors
///
/// Those of the stream.
pub fn lessons_text(out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "{}", "Lessons, in the order in which they are best taken".bold())?;
    let widest = Topic::ALL.iter().map(|t| columns(t.name())).max().unwrap_or(0);
    for topic in Topic::ALL {
        let head = format!("  {}{}  ", topic.name(), " ".repeat(widest - columns(topic.name())));
        paragraph(out, &head, topic.about())?;
    }
    writeln!(out)?;
    paragraph(
        out,
        "",
        "Take one with `ribwright teach lever`; `--seed 2` gives it another rib, `--into DIR` writes it as a page. \
         The ribs are invented and their wood is known.",
    )
}

/// The lessons there are as pretty-printed JSON, without a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which does not happen.
pub fn lessons_json() -> serde_json::Result<String> {
    let lesson = |t: Topic| object! { name: t.name(), title: t.title(), about: t.about() };
    json::answer(object! { lessons: Topic::ALL.map(lesson) })
}

/// Writes a lesson up to its question, at most 80 columns wide, lengths in its unit.
///
/// # Errors
///
/// Those of the stream.
pub fn lesson_text(lesson: &Lesson, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "{}", lesson.title.bold())?;
    paragraph(out, "", &lesson.idea)?;
    writeln!(out)?;
    found(lesson, out)?;
    writeln!(out)?;
    paragraph(out, "", &lesson.question)?;
    paragraph(out, "", &how(&lesson.ask))?;
    if let Ask::One { options } = &lesson.ask {
        for (letter, option) in ('a'..).zip(options) {
            paragraph(out, &format!("  {letter}  "), option)?;
        }
    }
    Ok(())
}

/// In what form to answer.
fn how(ask: &Ask) -> String {
    match ask {
        Ask::Shavings { most, .. } => format!(
            "Answer with stations and shavings, such as `3:2 5-7:1` for two shavings at 3 and one each at 5 to 7; \
             at most {most} at a station; runs that overlap add up. An empty line takes nothing."
        ),
        Ask::Pushes { planes, most } => {
            format!("Answer with the plane and the pushes, such as `{} 4`; at most {most}.", planes[0])
        }
        Ask::One { .. } => "Answer with a letter.".to_owned(),
    }
}

/// What the apprentice sees of the rib: the clearances, the widest one drawn as a bar.
fn found(lesson: &Lesson, out: &mut impl Write) -> io::Result<()> {
    let say = |mm: f64| length(mm, lesson.unit());
    if !lesson.readings.is_empty() {
        return read(lesson, out);
    }
    let shown =
        match lesson.before.widest_gap().1 < lesson.before.highest_lift().1 && lesson.aim.lift.is_some() {
            true => ("lift", &lesson.before.lift[..]),
            false => ("gap", &lesson.before.gap[..]),
        };
    let mut heads = vec!["gap"];
    heads.extend(lesson.aim.lift.map(|_| "lift"));
    let row = |i: usize| {
        let mut cells = vec![say(lesson.before.gap[i])];
        cells.extend(lesson.aim.lift.map(|_| say(lesson.before.lift[i])));
        cells
    };
    let grid = Grid { groups: vec![], heads, rows: (0..lesson.stations.len()).map(row).collect() };
    barred(lesson, &grid, shown, out)
}

/// The table with a bar a row.
fn barred(
    lesson: &Lesson,
    grid: &Grid,
    (what, values): (&str, &[f64]),
    out: &mut impl Write,
) -> io::Result<()> {
    let mut text = Vec::new();
    let say = |mm: f64| length(mm, lesson.unit());
    grid.write(&names(lesson, &[]), &mut text)?;
    let most = values.iter().copied().fold(0.01, f64::max);
    let bar = |v: f64| "#".repeat((BAR as f64 * v / most).round() as usize);
    for (i, line) in String::from_utf8_lossy(&text).lines().enumerate() {
        let bar = if i == 0 {
            format!("  {what}, up to {} {}", say(most), lesson.unit().symbol())
        } else {
            bar(values[i - 1])
        };
        writeln!(out, "{}", format!("{line}  {bar}").trim_end())?;
    }
    Ok(())
}

/// Readings of the untouched rib, a column a round, beside the true gap.
fn read(lesson: &Lesson, out: &mut impl Write) -> io::Result<()> {
    let say = |mm: f64| length(mm, lesson.unit());
    let row = |i: usize| {
        let read = lesson.readings.iter().map(|round| say(round[i]));
        read.chain([say(lesson.before.gap[i])]).collect()
    };
    let heads = ["first", "second", "third"].into_iter().take(lesson.readings.len()).chain(["true gap"]);
    let grid =
        Grid { groups: vec![], heads: heads.collect(), rows: (0..lesson.stations.len()).map(row).collect() };
    grid.write(&names(lesson, &[]), out)
}

/// Names before the rows, with a star where the rib bears.
fn names(lesson: &Lesson, bearings: &[usize]) -> Vec<String> {
    let mark = |i: usize| if bearings.contains(&i) { "*" } else { " " };
    let named = lesson.stations.iter().enumerate().map(|(i, name)| format!("{} {name}", mark(i)));
    ["  station".to_owned()].into_iter().chain(named).collect()
}

/// The word for a verdict, said first.
pub(super) fn grade_said(verdict: Grade) -> &'static str {
    match verdict {
        Grade::Well => "Well done.",
        Grade::Costly => "It fits, but it cost wood.",
        Grade::Better => "Better, but not home yet.",
        Grade::Short => "Not yet.",
    }
}

/// Writes what came of a choice, at most 80 columns wide, lengths in the lesson's unit.
///
/// # Errors
///
/// Those of the stream.
pub fn answer_text(lesson: &Lesson, answer: &Answer, out: &mut impl Write) -> io::Result<()> {
    paragraph(out, "", &format!("You chose: {}.", answer.chosen))?;
    writeln!(out, "\n{}", grade_said(answer.verdict).bold())?;
    paragraph(out, "", &answer.happened)?;
    writeln!(out)?;
    table(lesson, answer, out)?;
    writeln!(out)?;
    paragraph(out, "", &answer.compared)?;
    writeln!(out, "\n{}", "Why".bold())?;
    paragraph(out, "", &answer.why)?;
    match answer.beside.is_empty() {
        true => Ok(()),
        false => beside(lesson, &answer.beside, out),
    }
}

fn table(lesson: &Lesson, answer: &Answer, out: &mut impl Write) -> io::Result<()> {
    let say = |mm: f64| length(mm, lesson.unit());
    let lift = lesson.aim.lift.is_some();
    let (before, after) = (&lesson.before, &answer.after);
    let row = |i: usize| {
        let mut cells =
            vec![say(answer.taken[i]), say(answer.least[i]), say(before.gap[i]), say(after.gap[i])];
        if lift {
            cells.extend([say(before.lift[i]), say(after.lift[i])]);
        }
        cells
    };
    let mut groups = vec![(0, " wood "), (2, " gap ")];
    let mut heads = vec!["taken", "least", "before", "after"];
    if lift {
        groups.push((4, " lift "));
        heads.extend(["before", "after"]);
    }
    let grid = Grid { groups, heads, rows: (0..lesson.stations.len()).map(row).collect() };
    grid.write(&names(lesson, &after.bearings), out)?;
    writeln!(out, "* the joint edge bears here now; lengths in {}", plural(lesson.unit()))
}

/// The ways beside each other, the chosen one marked.
fn beside(lesson: &Lesson, ways: &[Beside], out: &mut impl Write) -> io::Result<()> {
    let say = |mm: f64| length(mm, lesson.unit());
    let rounds = ways.iter().any(|w| w.rounds.is_some());
    let lift = lesson.aim.lift.is_some();
    let row = |way: &Beside| {
        let mut cells: Vec<String> = way.rounds.map(|r| format!("{r:.1}")).into_iter().collect();
        cells.extend([say(way.wood), say(way.gap)]);
        cells.extend(lift.then(|| say(way.lift)));
        cells
    };
    let mut heads: Vec<&'static str> = if rounds { vec!["rounds"] } else { vec![] };
    heads.extend(["wood", "gap left"]);
    heads.extend(lift.then_some("lift left"));
    let grid = Grid { groups: vec![], heads, rows: ways.iter().map(row).collect() };
    let room = WIDTH - grid.width() - 2;
    let name = |way: &str| lines(way, room).into_iter().next().unwrap_or_default();
    let marked = ways.iter().map(|w| format!("{} {}", if w.chosen { ">" } else { " " }, name(&w.way)));
    let names: Vec<String> = ["  way".to_owned()].into_iter().chain(marked).collect();
    writeln!(out)?;
    grid.write(&names, out)?;
    let what = if rounds { "means over the ribs, lengths" } else { "wood: mean along the edge; lengths" };
    writeln!(out, "> yours; {what} in {}", plural(lesson.unit()))
}

/// A lesson with what came of a choice, or of none, as pretty-printed JSON,
/// lengths in mm, without a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no lesson causes.
pub fn lesson_json(lesson: &Lesson, answer: Option<&Answer>) -> serde_json::Result<String> {
    json::answer(object! { lesson: lesson, answer: answer })
}
