//! Batteries, alternators and what they have to carry.

pub(super) mod alternator_overloaded;
pub(super) mod cannot_start_cold;
pub(super) mod cutoff_set_too_low;
pub(super) mod discharges_while_running;
pub(super) mod reserve_short;
