//! The project as it is handed over: its README and other documents, the demo readings,
//! licences, and the package.

mod cli;
mod demo;
mod developers;
mod handover;
mod licences;
mod readme;

#[path = "../demo/mod.rs"]
mod made;

#[path = "../files/folders.rs"]
mod folders;
