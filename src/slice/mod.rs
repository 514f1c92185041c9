//! slice
