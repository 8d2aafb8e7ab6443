//! About the record itself, and what it warns of.

pub(super) mod accept_unused;
pub(super) mod near_hazard;
