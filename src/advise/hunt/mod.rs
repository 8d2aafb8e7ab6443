//! Where an unknown draw is.
pub mod belief;
pub mod plan;
