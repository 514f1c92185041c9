//! Anything at all as a folder, read, advised on and shown.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| ribwright_fuzz::whole(bytes));
