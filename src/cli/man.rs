//! `ribwright man`: the manual pages.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Command, Parser};
use clap_mangen::Man;

use super::screen::{Failure, Run, Screen};

const EXAMPLE: &str = "\
Example:
  ribwright man --into ~/.local/share/man/man1
  man ribwright-advise

Without --into the first page is printed; it lists the commands. What they do
can be seen at once with `ribwright advise demo-readings/plain`.";

/// Write the manual pages, one a command
#[derive(Debug, Parser)]
#[command(name = "man", after_help = EXAMPLE)]
pub(super) struct Manual {
    /// Write every page into this folder, instead of printing the first
    #[arg(long, value_name = "DIR")]
    into: Option<PathBuf>,
}

impl Run for Manual {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let mut command = screen.command().disable_help_subcommand(true);
        // Global options and the names of subcommands are settled by this.
        command.build();
        let Some(dir) = &self.into else {
            screen.out().write_all(&page(command)?)?;
            return Ok(());
        };
        fs::create_dir_all(dir).map_err(|e| Failure::system(dir, e))?;
        let each: Vec<Command> = command.get_subcommands().cloned().collect();
        for command in std::iter::once(command).chain(each) {
            write(dir, command, screen)?;
        }
        Ok(())
    }
}

/// The page of one command, as troff reads it. What stands behind a command's help
/// is its example, and is called so.
fn page(command: Command) -> io::Result<Vec<u8>> {
    let mut text = Vec::new();
    let source = concat!("ribwright ", env!("CARGO_PKG_VERSION"));
    Man::new(command).source(source).manual("ribwright").render(&mut text)?;
    let text = String::from_utf8_lossy(&text)
        .replace(".SH EXTRA\nExample:\n", ".SH EXAMPLES\n")
        .replace(".SH EXTRA\n", ".SH EXAMPLES\n");
    Ok(text.into_bytes())
}

fn write(dir: &Path, command: Command, screen: &mut Screen) -> Result<(), Failure> {
    let man = Man::new(command.clone());
    let file = dir.join(man.get_filename());
    fs::write(&file, page(command)?).map_err(|e| Failure::system(&file, e))?;
    writeln!(screen.out(), "Written: {}", file.display())?;
    Ok(())
}
