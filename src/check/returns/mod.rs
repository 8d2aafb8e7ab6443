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

use crate::check::context::Context;
use crate::model::SwitchUnit;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::Wire;

/// Whether a wire is part of a feed. The chassis does not make it one: a switch that can short a supply to it is another fault.
fn is_fed(context: &Context<'_>, wire: &Wire) -> bool {
    let mut ends = [wire.from, wire.to].into_iter();
    ends.any(|end| end != TerminalId::CHASSIS && context.walks.fed(end))
}

/// Looks at the switches: as they are left, all on, and in each further position that one of them has.
fn passes(vehicle: &Vehicle) -> std::ops::RangeInclusive<usize> {
    let counts = vehicle.switches.iter().map(|unit| unit.positions.len());
    0..=counts.max().unwrap_or_default()
}

/// Where a switch stands in such a look.
fn in_pass(unit: &SwitchUnit, pass: usize) -> u8 {
    match pass {
        0 => unit.left,
        2.. if pass <= unit.positions.len() => (pass - 1) as u8,
        _ => unit.on,
    }
}
