//! joint
