//! The other half of the circuit: ways home.

pub(super) mod battery_sensor_bypassed;
pub(super) mod disconnect_bypassed;
pub(super) mod ground_rise;
pub(super) mod no_return;
mod point;
pub(super) mod return_on_safety_fastener;
pub(super) mod return_overloaded;
pub(super) mod return_shared_with_controller;
pub(super) mod return_through_joint;
pub(super) mod sneak_path;
pub(super) mod starter_returns_through_accessory;
