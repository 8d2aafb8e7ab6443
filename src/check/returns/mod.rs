//! The way home.

pub(super) mod battery_sensor_bypassed;
pub(super) mod disconnect_bypassed;
pub(super) mod no_return;
