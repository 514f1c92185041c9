//! Anything at all as a bowl's folder, worked on as `bowl`, `divide` and `mark` do.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ribwright_fuzz::bowl(bytes));
