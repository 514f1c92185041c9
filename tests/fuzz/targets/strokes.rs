//! Anything at all as `strokes.csv`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ribwright_fuzz::one_file("strokes.csv", bytes));
