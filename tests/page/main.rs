//! The local page, asked through plain sockets.

mod begun;
mod bowl;
mod correct;
mod guard;
mod guard_parts;
mod recover;
mod served;
mod stores;
mod typed;

#[path = "../files/folders.rs"]
mod folders;
#[path = "../bench/typing.rs"]
mod typing;
