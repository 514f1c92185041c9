//! Anything at all as `readings.csv`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ribwright_fuzz::one_file("readings.csv", bytes));
