//! What to do: from what is needed to what to fit, from what a meter shows to what to pull.

pub mod compare;
pub mod ends;
pub mod hunt;
pub mod removal;
pub mod size;
pub mod size_for;
pub mod walkround;
