//! The program: parse, run, exit code; nothing else.
fn main() {}
