//! Questions and answers: with line editing on a terminal, plain lines otherwise.

use std::io::{self, BufRead, IsTerminal, StdinLock, Write};

use rustyline::DefaultEditor;
use rustyline::error::ReadlineError;

use super::screen::{Failure, Screen};
use crate::show;

/// A conversation with the maker, or with a script in the maker's place.
pub(super) struct Ask<'a> {
    screen: &'a mut Screen,
    lines: Lines,
}

enum Lines {
    Terminal(Box<DefaultEditor>),
    Plain {
        input: StdinLock<'static>,
        /// Answers are written behind the questions, so that the output reads as
        /// on a terminal.
        echo: bool,
    },
}

impl<'a> Ask<'a> {
    /// Asks at the terminal if both ends are one, else line by line.
    pub fn new(screen: &'a mut Screen) -> Result<Self, Failure> {
        let terminal = io::stdin().is_terminal();
        let lines = if terminal && io::stdout().is_terminal() {
            Lines::Terminal(Box::new(DefaultEditor::new()?))
        } else {
            Lines::Plain { input: io::stdin().lock(), echo: !terminal }
        };
        Ok(Ask { screen, lines })
    }

    /// Where results go.
    pub fn out(&mut self) -> &mut impl Write {
        self.screen.out()
    }

    /// A paragraph between the questions.
    pub fn say(&mut self, text: &str) -> Result<(), Failure> {
        Ok(show::paragraph(self.screen.out(), "", text)?)
    }

    /// A line as it is, however wide: commands and paths can then be copied whole.
    pub fn print(&mut self, line: &str) -> Result<(), Failure> {
        Ok(writeln!(self.screen.out(), "{line}")?)
    }

    /// A numbered line.
    pub fn item(&mut self, number: usize, text: &str) -> Result<(), Failure> {
        Ok(show::paragraph(self.screen.out(), &format!("{number:2}. "), text)?)
    }

    /// The answer to a question, without blanks around it; `None` at the end of the
    /// input, or when the maker breaks off (Ctrl-C, Ctrl-D).
    pub fn line(&mut self, question: &str) -> Result<Option<String>, Failure> {
        let out = self.screen.out();
        let answer = match &mut self.lines {
            Lines::Terminal(editor) => {
                out.flush()?;
                edited(editor.readline(question))?
            }
            Lines::Plain { input, echo } => {
                write!(out, "{question}")?;
                out.flush()?;
                let line = plain(input)?;
                if *echo {
                    writeln!(out, "{}", line.as_deref().map(show::clean).unwrap_or_default())?;
                }
                line
            }
        };
        Ok(answer.map(|line| line.trim().to_owned()))
    }

    /// Yes or no; an empty answer gives `usual`, if there is one. `None` at the end
    /// of the input.
    pub fn yes(&mut self, question: &str, usual: Option<bool>) -> Result<Option<bool>, Failure> {
        loop {
            let Some(line) = self.line(question)? else {
                return Ok(None);
            };
            match yes_or_no(&line).or(usual.filter(|_| line.is_empty())) {
                Some(answer) => return Ok(Some(answer)),
                None => self.say("Answer y (yes) or n (no).")?,
            }
        }
    }
}

/// `y`, `yes`, `n` or `no`.
pub(super) fn yes_or_no(text: &str) -> Option<bool> {
    match text.to_lowercase().as_str() {
        "y" | "yes" => Some(true),
        "n" | "no" => Some(false),
        _ => None,
    }
}

fn edited(line: rustyline::Result<String>) -> Result<Option<String>, Failure> {
    match line {
        Ok(line) => Ok(Some(line)),
        Err(ReadlineError::Eof | ReadlineError::Interrupted) => Ok(None),
        Err(error) => Err(error.into()),
    }
}

/// One line, whatever its encoding: what isn't UTF-8 can't be a number, and is
/// refused as one.
fn plain(input: &mut impl BufRead) -> io::Result<Option<String>> {
    let mut bytes = Vec::new();
    if input.read_until(b'\n', &mut bytes)? == 0 {
        return Ok(None);
    }
    Ok(Some(String::from_utf8_lossy(&bytes).trim_start_matches('\u{feff}').trim().to_owned()))
}
