//! Work at the bench: readings and strokes typed, kept and planed, the practice bench, and
//! the lessons.

mod command_line;
mod correct;
mod enter;
mod history;
mod journal;
mod kill;
mod lessons;
mod planed;
mod practise;
mod recover;
mod teach;
mod typing;
mod worlds;

#[path = "../files/folders.rs"]
mod folders;
