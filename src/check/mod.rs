//! The checks: one list, one line per check, one file per check.
//!
//! A check judges each of its subjects and gives one of three verdicts: a fault is shown, none is shown by these inputs, or
//! it cannot be judged because something is not stated. What is missing never passes.

pub mod context;
mod derived;
pub mod finding;
pub mod report;
pub mod rule;
pub mod rules;

mod accept;
mod around;
mod carries;
mod clearing;
mod conductors;
mod explained;
mod flow;
mod in_row;
mod key_off;
mod leftovers;
mod prelude;
mod protection;
mod record;
mod returns;
mod run;
#[cfg(test)]
mod said;
mod search;
mod sizing;
mod sources;
mod spread;
mod switches;
mod switching;
#[cfg(test)]
mod tester;
mod trailer;
mod weigh;
mod words;

pub use context::Context;
pub use finding::{Cause, Finding, Gap, Harm, Level, Measure};
pub use report::{Accepted, Report, Reported};
pub use rule::{Check, Judge, Meta, Outcome, Verdict};

use crate::analyze::Solved;
use crate::model::Vehicle;

/// Every check, in the order of the checks page.
pub static ALL: &[&Check] = &[
    &key_off::ahead_of_ignition::CHECK,
    &key_off::can_be_left_on::CHECK,
    &key_off::coil_held_key_off::CHECK,
    &key_off::relay_switches_nothing::CHECK,
    &key_off::stays_latched::CHECK,
    &key_off::standing_draw_high::CHECK,
    &key_off::standing_time_short::CHECK,
    &key_off::stays_live_over_allowance::CHECK,
    &key_off::key_off_without_cutoff::CHECK,
    &key_off::freeze_risk::CHECK,
    &key_off::feeds_back::CHECK,
    &key_off::timed_for_ignition::CHECK,
    &key_off::drops_out_in_start::CHECK,
    &key_off::lamp_on_line_side::CHECK,
    &protection::no_protection::CHECK,
    &protection::protection_too_far::CHECK,
    &protection::fuse_exceeds_wire::CHECK,
    &protection::short_not_cleared::CHECK,
    &protection::upstream_opens_first::CHECK,
    &protection::fuse_opens_on_inrush::CHECK,
    &protection::fuses_paralleled::CHECK,
    &protection::one_fuse_two_sources::CHECK,
    &protection::main_cable_unguarded::CHECK,
    &protection::required_lamp_shares_fuse::CHECK,
    &protection::fuse_exceeds_part::CHECK,
    &protection::fuse_overloaded::CHECK,
    &protection::rating_not_made::CHECK,
    &protection::feed_overloaded::CHECK,
    &protection::fuse_in_return::CHECK,
    &protection::breaker_resets_onto_fault::CHECK,
    &conductors::wire_overloaded::CHECK,
    &conductors::voltage_drop::CHECK,
    &conductors::load_undervoltage::CHECK,
    &conductors::required_lamp_undervoltage::CHECK,
    &conductors::insulation_too_cool::CHECK,
    &conductors::wire_below_minimum::CHECK,
    &conductors::chafe_unprotected::CHECK,
    &conductors::too_near_heat_or_motion::CHECK,
    &conductors::size_ambiguous::CHECK,
    &conductors::piercing_tap::CHECK,
    &returns::no_return::CHECK,
    &returns::return_overloaded::CHECK,
    &returns::ground_rise::CHECK,
    &returns::sneak_path::CHECK,
    &returns::return_through_joint::CHECK,
    &returns::starter_returns_through_accessory::CHECK,
    &returns::battery_sensor_bypassed::CHECK,
    &returns::disconnect_bypassed::CHECK,
    &returns::return_shared_with_controller::CHECK,
    &returns::return_on_safety_fastener::CHECK,
    &sources::alternator_overloaded::CHECK,
    &sources::discharges_while_running::CHECK,
    &sources::reserve_short::CHECK,
    &sources::batteries_tied::CHECK,
    &sources::mixed_voltage::CHECK,
    &sources::centre_tap_load::CHECK,
    &sources::centre_tap_reversed::CHECK,
    &sources::battery_unvented::CHECK,
    &sources::cutoff_set_too_low::CHECK,
    &sources::cannot_start_cold::CHECK,
    &sources::external_source::CHECK,
    &switching::switch_overloaded::CHECK,
    &switching::contact_overloaded::CHECK,
    &switching::output_overloaded::CHECK,
    &switching::pin_overloaded::CHECK,
    &switching::relay_chatters::CHECK,
    &switching::normally_closed_feeds_load::CHECK,
    &switching::coil_reversed::CHECK,
    &switching::relay_supply_on_87::CHECK,
    &switching::intermittent_held_on::CHECK,
    &switching::ground_switched_coil_exposed::CHECK,
    &switching::motion_without_interlock::CHECK,
    &switching::output_below_minimum::CHECK,
    &switching::isolator_threshold::CHECK,
    &switching::shutdown_cut_short::CHECK,
    &switching::supply_shorted::CHECK,
    &switching::two_feeds_joined::CHECK,
    &switching::coil_never_pulls_in::CHECK,
    &switching::never_energised::CHECK,
    &switching::coil_unsuppressed::CHECK,
    &switching::pulsed_output_drives_coil::CHECK,
    &trailer::trailer_battery_not_isolated::CHECK,
    &trailer::live_when_detached::CHECK,
    &trailer::return_only_when_attached::CHECK,
    &leftovers::live_stub::CHECK,
    &leftovers::dead_stub::CHECK,
    &leftovers::abandoned_live::CHECK,
    &leftovers::abandoned_left::CHECK,
    &leftovers::unknown_live::CHECK,
    &leftovers::unconnected_part::CHECK,
    &leftovers::loose_end::CHECK,
    &leftovers::fuse_feeds_nothing::CHECK,
    &leftovers::switch_does_nothing::CHECK,
    &leftovers::coil_control_stub::CHECK,
    &leftovers::surplus_return::CHECK,
    &leftovers::carries_factory_circuit::CHECK,
    &record::near_hazard::CHECK,
    &record::reading_disagrees::CHECK,
    &record::does_not_settle::CHECK,
    &record::unfused_draw::CHECK,
    &record::conditions_missing::CHECK,
    &record::assumption_decides::CHECK,
    &record::accept_unused::CHECK,
];

/// Runs every check over a vehicle that was solved.
#[must_use]
pub fn run(vehicle: &Vehicle, solved: &Solved) -> Report {
    run::run(ALL, vehicle, solved)
}
