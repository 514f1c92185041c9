//! What is shown: tables, JSON, pictures, the report.

mod answers;
mod colours;
mod draw;
mod invented;
mod marks;
mod pictures;
mod pictures_bowl;
mod pictures_worked;
mod raster;
mod report;
mod scales;
mod studied;
mod words;
