//! Wires: what they carry and what they lose.

pub(super) mod voltage_drop;
pub(super) mod wire_overloaded;
