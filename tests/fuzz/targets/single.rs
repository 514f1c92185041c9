//! Anything at all as a single table.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ribwright_fuzz::single(bytes));
