//! Laws that every solution must keep, from its numbers alone: what flows to a point flows away from it, and what the sources
//! give is what the rest takes.

use super::Solution;
use crate::model::{Element, TerminalId, Vehicle};
use crate::quantity::{Amps, Watts};

/// The point where most current is lost or gained, and how much, as a share of all that flows there. Currents below a nanoampere
/// do not count.
#[must_use]
pub fn lost_current(vehicle: &Vehicle, solution: &Solution) -> (TerminalId, f64) {
    let mut sums = vec![0.0; vehicle.terminals.len()];
    let mut sizes = vec![0.0; vehicle.terminals.len()];
    let mut flow = |from: TerminalId, to: TerminalId, amps: Amps| {
        sums[from.index()] -= amps.0;
        sums[to.index()] += amps.0;
        sizes[from.index()] += amps.0.abs();
        sizes[to.index()] += amps.0.abs();
    };
    for (wire, &amps) in vehicle.wires.iter().zip(&solution.wire_amps) {
        flow(wire.from, wire.to, amps);
    }
    for (branch, &amps) in vehicle.branches.iter().zip(&solution.branch_amps) {
        match branch.element {
            Element::Converter { back, .. } => flow(back, branch.to, amps),
            _ => flow(branch.from, branch.to, amps),
        }
    }
    for &(id, amps) in &solution.inputs {
        let branch = vehicle.branch(id);
        if let Element::Converter { back, .. } = branch.element {
            flow(branch.from, back, amps);
        }
    }
    let mut worst = (TerminalId::CHASSIS, 0.0);
    for (at, (sum, size)) in sums.iter().zip(&sizes).enumerate() {
        let share = (sum.abs() - 1e-9).max(0.0) / size.max(1e-9);
        if share > worst.1 || share.is_nan() {
            worst = (TerminalId(at as u32), share);
        }
    }
    worst
}

/// What sources give less what everything else takes, and what they give; the first is nothing but rounding.
#[must_use]
pub fn power(vehicle: &Vehicle, solution: &Solution) -> (Watts, Watts) {
    let mut given = 0.0;
    let mut taken = 0.0;
    let drop = |from: TerminalId, to: TerminalId| solution.at(from).0 - solution.at(to).0;
    for (wire, amps) in vehicle.wires.iter().zip(&solution.wire_amps) {
        taken += amps.0 * drop(wire.from, wire.to);
    }
    for (branch, amps) in vehicle.branches.iter().zip(&solution.branch_amps) {
        match branch.element {
            Element::Cell { .. } | Element::Alternator { .. } | Element::Charger { .. } => {
                given -= amps.0 * drop(branch.from, branch.to);
            }
            Element::Converter { back, .. } => given -= amps.0 * drop(back, branch.to),
            _ => taken += amps.0 * drop(branch.from, branch.to),
        }
    }
    for &(id, amps) in &solution.inputs {
        let branch = vehicle.branch(id);
        if let Element::Converter { back, .. } = branch.element {
            taken += amps.0 * drop(branch.from, back);
        }
    }
    (Watts(given - taken), Watts(given))
}
