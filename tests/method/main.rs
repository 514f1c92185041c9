//! The method against the outside: published figures, worked examples, other solvers, and
//! properties that hold on any joint.

mod active_set;
mod astray;
mod beams;
mod bounds;
mod convex;
mod crowd;
mod curves;
mod dense;
mod descent;
mod estimate;
mod forecast;
mod forms;
mod gaussian;
mod joint_frame;
mod noticed;
mod pressing_stop;
mod properties;
mod published_constrained;
mod published_form;
mod published_least_squares;
mod ranges;
mod reproducible;
mod rest;
mod safe_strokes;
mod slices;
mod slow_solver;
mod stations;
mod try_and_press;
mod worked_joint;
mod worked_strokes;
mod worth;
