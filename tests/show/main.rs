//! What is shown: tables, JSON, pictures, the report.

mod answers;
mod draw;
mod invented;
mod marks;
mod pictures;
mod pictures_bowl;
mod pictures_worked;
mod report;
mod studied;
