//! seat
