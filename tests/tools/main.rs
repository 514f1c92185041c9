//! What needs a tool that a plain machine may lack.

mod browser;
mod permission;
mod reference;

#[path = "../files/folders.rs"]
mod folders;
#[path = "../page/served.rs"]
mod served;
#[path = "../bench/typing.rs"]
mod typing;
