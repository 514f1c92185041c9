//! The program: parse, run, exit code; nothing else.

use std::process::ExitCode;

fn main() -> ExitCode {
    ribwright::cli::main(std::env::args_os())
}
