//! The method against the outside: published figures, worked examples, other solvers, and
//! properties that hold on any joint.

mod active_set;
mod astray;
mod convex;
mod crowd;
mod dense;
mod noticed;
mod pressing_stop;
mod properties;
mod published_constrained;
mod published_form;
mod published_least_squares;
mod ranges;
mod reproducible;
mod slow_solver;
mod try_and_press;
mod worked_joint;
mod worked_strokes;
