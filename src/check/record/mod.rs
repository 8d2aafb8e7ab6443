//! About the record itself, and what it warns of.

pub(super) mod accept_unused;
pub(super) mod assumption_decides;
pub(super) mod conditions_missing;
pub(super) mod does_not_settle;
pub(super) mod near_hazard;
pub(super) mod reading_disagrees;
pub(super) mod unfused_draw;
