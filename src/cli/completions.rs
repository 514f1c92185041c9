//! `ribwright completions`: what a shell needs to finish words by itself.

use std::io::Write;

use clap::Parser;
use clap_complete::Shell;

use super::screen::{Failure, Run, Screen};

const EXAMPLE: &str = "\
Example, for bash and for fish:
  ribwright completions bash > ~/.local/share/bash-completion/completions/ribwright
  ribwright completions fish > ~/.config/fish/completions/ribwright.fish

Then, in a new shell, the tab key finishes words:
  ribwright advise demo-readings/plain --pic<tab>";

/// Print what a shell needs to finish commands and options by the tab key
#[derive(Debug, Parser)]
#[command(name = "completions", after_help = EXAMPLE)]
pub(super) struct Completions {
    /// The shell
    shell: Shell,
}

impl Run for Completions {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        // Into memory first: the generator panics where it can't write.
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut screen.command(), "ribwright", &mut script);
        screen.out().write_all(&script)?;
        Ok(())
    }
}
