//! Batteries, alternators and what they have to carry.

pub(super) mod alternator_overloaded;
mod average;
pub(super) mod batteries_tied;
pub(super) mod battery_unvented;
pub(super) mod cannot_start_cold;
pub(super) mod centre_tap_load;
pub(super) mod centre_tap_reversed;
pub(super) mod cutoff_set_too_low;
pub(super) mod discharges_while_running;
mod drained;
pub(super) mod external_source;
pub(super) mod mixed_voltage;
mod output;
mod posts;
mod reach;
pub(super) mod reserve_short;
mod shift;
mod tap;
pub(super) mod tied;
