//! The program: one file a command. Each reads its arguments, calls the
//! library and hands the result to [`crate::show`].
//!
//! A new command is a file here whose struct derives [`clap::Parser`] and
//! implements [`Run`], and its line in `COMMANDS`.

mod advise;
mod ask;
mod bowl;
mod completions;
mod divide;
mod draw;
mod enter;
mod figures;
mod history;
mod man;
mod mark;
mod moves;
mod new;
pub mod number;
mod page;
mod planed;
mod practise;
pub mod progress;
mod recover;
mod report;
mod screen;
mod shim;
mod spacer;
mod study;
mod teach;
mod try_cut;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{ArgMatches, Command};

pub use screen::{Failure, Run, Screen};

/// Every command, in the order the help lists them.
const COMMANDS: &[Entry] = &[
    Entry::of::<advise::Advise>(),
    Entry::of::<enter::Enter>(),
    Entry::of::<planed::Planed>(),
    Entry::of::<recover::Recover>(),
    Entry::of::<try_cut::TryCut>(),
    Entry::of::<history::History>(),
    Entry::of::<draw::Draw>(),
    Entry::of::<report::Report>(),
    Entry::of::<new::New>(),
    Entry::of::<bowl::BowlState>(),
    Entry::of::<divide::Divide>(),
    Entry::of::<mark::Mark>(),
    Entry::of::<spacer::Spacer>(),
    Entry::of::<shim::Shim>(),
    Entry::of::<moves::Moves>(),
    Entry::of::<page::Page>(),
    Entry::of::<practise::Practise>(),
    Entry::of::<teach::Teach>(),
    Entry::of::<completions::Completions>(),
    Entry::of::<man::Manual>(),
];

/// One line of the table of commands.
struct Entry {
    command: fn() -> Command,
    run: fn(&ArgMatches, &mut Screen) -> Result<(), Failure>,
}

impl Entry {
    const fn of<C: Run>() -> Self {
        Entry { command: C::command, run: run::<C> }
    }
}

fn run<C: Run>(matches: &ArgMatches, screen: &mut Screen) -> Result<(), Failure> {
    C::from_arg_matches(matches).map_err(Failure::wrong)?.run(screen)
}

/// The whole command line, for parsing, completions and manual pages.
pub fn command() -> Command {
    Command::new("ribwright")
        .version(env!("CARGO_PKG_VERSION"))
        .about("From the gaps you measure at a rib's joint to the strokes of a plane that close it")
        .after_help(EXAMPLE)
        // As wide as the terminal, up to what every other output takes.
        .max_term_width(80)
        .subcommand_required(true)
        .arg_required_else_help(true)
        .arg(screen::color_argument())
        .subcommands(COMMANDS.iter().map(|entry| negatives((entry.command)())))
}

/// A number below zero is a value like any other, for its option to judge.
fn negatives(command: Command) -> Command {
    command.mut_args(|a| if a.get_action().takes_values() { a.allow_negative_numbers(true) } else { a })
}

/// Parses the arguments (the program's name first), runs the command, and
/// returns the exit status: 0 an answer was given, 2 the command line or a
/// file is wrong, 1 anything else.
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let matches = match command().try_get_matches_from(arguments) {
        Ok(matches) => matches,
        Err(error) => return screen::refuse(&error),
    };
    let mut screen = Screen::new(&matches, command);
    let failed = match dispatch(&matches, &mut screen) {
        Ok(()) => return ExitCode::SUCCESS,
        Err(failure) => failure,
    };
    screen.report(&failed)
}

fn dispatch(matches: &ArgMatches, screen: &mut Screen) -> Result<(), Failure> {
    let (name, matches) = matches.subcommand().ok_or_else(|| Failure::wrong(NO_COMMAND))?;
    let of_name = |entry: &&Entry| (entry.command)().get_name() == name;
    let entry = COMMANDS.iter().find(of_name).ok_or_else(|| Failure::wrong(NO_COMMAND))?;
    (entry.run)(matches, screen)
}

const EXAMPLE: &str = "\
Example:
  ribwright advise demo-readings/plain   (an invented joint)
  ribwright new my-bowl                  (begin a bowl of your own)

`ribwright COMMAND --help` shows an example of each command.";

const NO_COMMAND: &str = "no command: `ribwright --help` lists them";
