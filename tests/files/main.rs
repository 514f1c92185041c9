//! Files in and out: every dialect, every mistake, and what is said about it.

mod bad;
mod bad_bowl;
mod bad_files;
mod bowl_files;
mod bowl_typed;
mod broken_demo;
mod cells;
mod corpus;
mod dialects;
mod encodings;
mod folders;
mod intervals;
mod pack;
mod round_trip;
mod store;
mod typed;
mod workbooks;

#[path = "../fuzzed/mod.rs"]
mod fuzzed;
