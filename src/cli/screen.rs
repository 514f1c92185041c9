//! Standard output and error, colour, and how a command can fail.

use std::error::Error;
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

use anstream::{AutoStream, ColorChoice};
use clap::builder::PossibleValuesParser;
use clap::{Arg, ArgMatches, Command, Parser};
use owo_colors::OwoColorize;

use crate::record::{JournalError, WriteError, io_error};
use crate::show::message;

/// Why a command gave no answer.
#[derive(Debug)]
pub enum Failure {
    /// The command line or a file is wrong: exit status 2.
    Wrong(anyhow::Error),
    /// Anything else: exit status 1.
    Other(anyhow::Error),
}

impl Failure {
    /// The command line or a file is wrong.
    pub fn wrong(error: impl Into<Box<dyn Error + Send + Sync>>) -> Self {
        Failure::Wrong(anyhow::Error::from_boxed(error.into()))
    }

    /// A fresh folder was not written: something stands there, or the system was in the way.
    pub(super) fn write(error: WriteError) -> Self {
        match error {
            WriteError::Io { .. } => Failure::Other(error.into()),
            other => Failure::wrong(other),
        }
    }

    /// The system, or what stands there, was in the way of a file or folder.
    pub(super) fn system(place: &Path, error: io::Error) -> Self {
        Failure::write(io_error(place, error))
    }

    /// Nothing was added to a folder: its files or the rows are wrong, or the
    /// system or another program was in the way.
    pub fn journal(error: JournalError) -> Self {
        use JournalError::{Busy, Io, Overtaken, Typing};
        match error {
            written if written.is_written() => Failure::Other(written.into()),
            Busy(_) | Typing(_) | Overtaken(..) | Io { .. } => Failure::Other(error.into()),
            other => Failure::wrong(other),
        }
    }

    fn error(&self) -> &anyhow::Error {
        match self {
            Failure::Wrong(error) | Failure::Other(error) => error,
        }
    }

    /// The message and its causes, each told once: many a message quotes its cause.
    pub fn told(&self) -> String {
        let causes = self.error().chain().skip(1).map(ToString::to_string);
        causes.fold(self.error().to_string(), |told, cause| {
            if told.contains(&cause) { told } else { format!("{told}: {cause}") }
        })
    }

    /// Whether the reader of a pipe has gone, who has seen all it wanted.
    pub fn is_closed_pipe(&self) -> bool {
        self.error().chain().any(|cause| {
            let io = cause.downcast_ref::<io::Error>().map(io::Error::kind);
            let json = cause.downcast_ref::<serde_json::Error>().and_then(|e| e.io_error_kind());
            io.or(json) == Some(io::ErrorKind::BrokenPipe)
        })
    }
}

impl<E: Into<anyhow::Error>> From<E> for Failure {
    fn from(error: E) -> Self {
        Failure::Other(error.into())
    }
}

/// `--color`, understood before and after the command's name.
pub(super) fn color_argument() -> Arg {
    Arg::new("color")
        .long("color")
        .visible_alias("colour")
        .value_name("WHEN")
        .value_parser(PossibleValuesParser::new(["auto", "always", "never"]))
        .default_value("auto")
        .global(true)
        .help("Colour the output; auto: only on a terminal")
}

/// A command of the program.
pub trait Run: Parser {
    /// Does the work; results go to the screen.
    ///
    /// # Errors
    ///
    /// [`Failure::Wrong`] when the command line or a file is wrong,
    /// [`Failure::Other`] for anything else.
    fn run(self, screen: &mut Screen) -> Result<(), Failure>;
}

/// Where a command's results go.
pub struct Screen {
    command: fn() -> Command,
    color: ColorChoice,
    out: AutoStream<io::StdoutLock<'static>>,
}

impl Screen {
    /// For the program whose whole command line is `command`.
    pub(super) fn new(matches: &ArgMatches, command: fn() -> Command) -> Self {
        let color = match matches.get_one::<String>("color").map(String::as_str) {
            Some("always") => ColorChoice::Always,
            Some("never") => ColorChoice::Never,
            _ => ColorChoice::Auto,
        };
        Screen { command, color, out: AutoStream::new(io::stdout().lock(), color) }
    }

    /// The whole command line, for completions and manual pages.
    pub(super) fn command(&self) -> Command {
        (self.command)()
    }

    /// Standard output; colour is taken out of it where it isn't wanted.
    pub fn out(&mut self) -> &mut impl Write {
        &mut self.out
    }

    /// A sentence on standard error, beside the results.
    pub fn note(&self, text: &str) {
        // Nobody is left to tell when standard error is closed.
        let _ = writeln!(self.error(), "{}", message("", text));
    }

    fn error(&self) -> impl Write {
        AutoStream::new(io::stderr().lock(), self.color)
    }

    /// Tells what went wrong and returns the exit status. A reader that closed
    /// the pipe has seen all it wanted: no failure.
    pub(super) fn report(&self, failure: &Failure) -> ExitCode {
        let status = match failure {
            Failure::Other(_) if failure.is_closed_pipe() => return ExitCode::SUCCESS,
            Failure::Wrong(_) => 2,
            Failure::Other(_) => 1,
        };
        let told = message(HEAD, &failure.told());
        let rest = told.strip_prefix(HEAD.trim_end()).unwrap_or(&told);
        let _ = writeln!(self.error(), "{}{rest}", HEAD.trim_end().red().bold());
        ExitCode::from(status)
    }
}

/// What stands before every failure.
const HEAD: &str = "error: ";

/// Help, version, or what is wrong with the command line.
pub(super) fn refuse(error: &clap::Error) -> ExitCode {
    // clap chooses the stream: help that was asked for goes to standard output.
    let _ = error.print();
    ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
}
