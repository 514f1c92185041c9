//! Anything at all as `stations.csv`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ribwright_fuzz::one_file("stations.csv", bytes));
