//! strokes
