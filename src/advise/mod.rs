//! What to do: from what is needed to what to fit.

pub mod size;
pub mod size_for;
