//! Switches, relays and outputs, and what they can stand.

pub(super) mod coil_never_pulls_in;
pub(super) mod coil_reversed;
pub(super) mod coil_unsuppressed;
pub(super) mod contact_overloaded;
pub(super) mod ground_switched_coil_exposed;
pub(super) mod intermittent_held_on;
pub(super) mod isolator_threshold;
pub(super) mod motion_without_interlock;
pub(super) mod never_energised;
pub(super) mod normally_closed_feeds_load;
pub(super) mod output_below_minimum;
pub(super) mod output_overloaded;
pub(super) mod pin_overloaded;
pub(super) mod pulsed_output_drives_coil;
pub(super) mod relay_chatters;
pub(super) mod relay_supply_on_87;
pub(super) mod shutdown_cut_short;
pub(super) mod supply_shorted;
pub(super) mod switch_overloaded;
pub(super) mod two_feeds_joined;

mod closing;
mod driven;
mod rated;
