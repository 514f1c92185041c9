//! Anything at all as `joint.toml`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ribwright_fuzz::one_file("joint.toml", bytes));
