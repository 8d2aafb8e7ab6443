//! Wires: what they carry, what they lose, and where they run.

pub(super) mod chafe_unprotected;
pub(super) mod insulation_too_cool;
pub(super) mod load_undervoltage;
pub(super) mod piercing_tap;
pub(super) mod required_lamp_undervoltage;
pub(super) mod size_ambiguous;
pub(super) mod too_near_heat_or_motion;
pub(super) mod voltage_drop;
pub(super) mod wire_below_minimum;
pub(super) mod wire_overloaded;

mod loses_most;
mod undervoltage;
