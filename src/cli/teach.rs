//! `ribwright teach`: lessons for apprentices.

mod typed;

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::anyhow;
use clap::Parser;
use clap::builder::PossibleValuesParser;

use self::typed::choice;
use super::ask::Ask;
use super::new::Units;
use super::progress::Progress;
use super::screen::{Failure, Run, Screen};
use crate::job::Unit;
use crate::practice::lesson::{Answer, Lesson, Topic};
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright teach
  ribwright teach lever
  ribwright teach both-edges --seed 2 --into lessons
  ribwright teach lever --units inch
  echo d | ribwright teach slices

It needs no folder: the ribs are invented. For a joint that was really read,
such as demo-readings/plain, see `ribwright advise`. From a pipe a line answers
the question; with --json it is read without a word and the result is printed.";

/// Lessons for apprentices: see, decide, and see what came of it
///
/// Without a name, lists the lessons. Each shows a rib of known wood and one
/// idea, asks what you would plane, seats the rib anew and says what happened,
/// how it compares with the least possible wood, and why.
#[derive(Debug, Parser)]
#[command(name = "teach", after_help = EXAMPLE)]
pub(super) struct Teach {
    /// The lesson
    #[arg(value_parser = PossibleValuesParser::new(Topic::ALL.map(Topic::name)))]
    name: Option<String>,
    /// Another seed, another rib
    #[arg(long, value_name = "N", default_value_t = 0, requires = "name", value_parser = super::practise::seed)]
    seed: u64,
    /// The unit of all lengths
    #[arg(long, value_enum, default_value_t = Units::Mm, requires = "name")]
    units: Units,
    /// Write the lesson as a page with pictures into this folder, instead of asking
    #[arg(long, value_name = "DIR", requires = "name")]
    into: Option<PathBuf>,
    /// Print for programs, lengths in mm; an answer on standard input is weighed, none is asked for
    #[arg(long, conflicts_with = "into")]
    json: bool,
}

impl Run for Teach {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let Some(topic) = self.name.as_deref().and_then(Topic::named) else {
            return self.list(screen);
        };
        let lesson = Lesson::told_in(self.units.into(), topic, self.seed)
            .map_err(|why| anyhow!("the rib can't be seated: {why:?}"))?;
        match (&self.into, self.json) {
            (Some(dir), _) => page(&lesson, dir, screen),
            (None, true) => json(&lesson, screen),
            (None, false) => converse(&lesson, screen),
        }
    }
}

impl Teach {
    fn list(&self, screen: &mut Screen) -> Result<(), Failure> {
        match self.json {
            true => writeln!(screen.out(), "{}", show::lessons_json()?)?,
            false => show::lessons_text(screen.out())?,
        }
        Ok(())
    }
}

/// The page, its choices already tried.
fn page(lesson: &Lesson, dir: &Path, screen: &mut Screen) -> Result<(), Failure> {
    play(lesson);
    let answers: Result<Vec<Answer>, _> = lesson.tries().iter().map(|c| lesson.answer(c)).collect();
    let text = show::lesson_page(lesson, &answers?);
    let file = dir.join(format!("{}.html", lesson.topic.name()));
    fs::create_dir_all(dir).map_err(|e| Failure::system(dir, e))?;
    fs::write(&file, text).map_err(|e| Failure::system(&file, e))?;
    writeln!(screen.out(), "Written: {}", file.display())?;
    Ok(())
}

/// The lesson as JSON, with what came of the answer on standard input, if there is one.
fn json(lesson: &Lesson, screen: &mut Screen) -> Result<(), Failure> {
    let answer = match typed::piped()? {
        None => None,
        Some(line) => {
            let choice = choice(lesson, &line).map_err(Failure::wrong)?;
            Some(lesson.answer(&choice).map_err(Failure::wrong)?)
        }
    };
    writeln!(screen.out(), "{}", show::lesson_json(lesson, answer.as_ref())?)?;
    Ok(())
}

/// Asks, answers, and asks again as long as the apprentice wants to.
fn converse(lesson: &Lesson, screen: &mut Screen) -> Result<(), Failure> {
    show::lesson_text(lesson, screen.out())?;
    let mut ask = Ask::new(screen)?;
    loop {
        ask.print("")?;
        let Some(answer) = decided(lesson, &mut ask)? else {
            let next = again(lesson);
            return Err(anyhow!("The input ended before the question was answered: {next}.").into());
        };
        ask.print("")?;
        show::answer_text(lesson, &answer, ask.out())?;
        ask.print("")?;
        // A pipe that ends here has answered what was asked.
        if ask.yes("Try again on the same blank? (y/n) [n]: ", Some(false))? != Some(true) {
            return Ok(());
        }
    }
}

/// The command that asks the same again.
fn again(lesson: &Lesson) -> String {
    let units = if lesson.unit() == Unit::Inch { " --units inch" } else { "" };
    format!("`ribwright teach {} --seed {}{units}` asks again", lesson.topic.name(), lesson.seed)
}

/// What an answer waits for, with a bar where it takes its time.
fn play(lesson: &Lesson) {
    let progress = Progress::new(lesson.runs(), "runs");
    lesson.play(&|| progress.step());
    progress.clear();
}

/// What came of the first answer that can be read; none at the end of the input.
fn decided(lesson: &Lesson, ask: &mut Ask<'_>) -> Result<Option<Answer>, Failure> {
    loop {
        let Some(line) = ask.line("Your choice: ")? else {
            return Ok(None);
        };
        let answer = choice(lesson, &line)
            .inspect(|_| play(lesson))
            .and_then(|c| lesson.answer(&c).map_err(|why| format!("{why}.")));
        match answer {
            Ok(answer) => return Ok(Some(answer)),
            Err(why) => ask.say(&why)?,
        }
    }
}
