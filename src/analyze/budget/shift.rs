//! A situation with phases: its worst one, and how the battery comes out of it.

use super::accepts;
use crate::analyze::Worst;
use crate::analyze::balance::Balance;
use crate::analyze::park::Parked;
use crate::model::Situation;
use crate::quantity::Amps;
use crate::solve::{Memory, Solution, Solver, State};
use crate::table::battery;
use crate::table::cold;

/// Longest shift that is followed, in hours.
const LONGEST: f64 = 24.0 * 31.0;

/// Charge of the battery that starts, over a situation with phases.
#[derive(Clone, PartialEq, Debug)]
pub struct Shift {
    /// The situation.
    pub name: String,
    /// Hours from its start, charge; one point at each end of a phase.
    pub charge: Vec<(f64, f64)>,
    /// Name of each phase, in the order passed through, with its net current into the battery.
    pub phases: Vec<(String, Amps)>,
    /// Hours at which the floor was reached; 0 where it starts below it.
    pub reaches_floor: Option<f64>,
    /// Draws that are not stated, and so not in it.
    pub missing: Vec<String>,
}

/// The phase of a shift in which the alternator has least left; nothing where the situation has no phases.
pub(in crate::analyze) fn worst_phase(
    solver: &mut Solver<'_>,
    situation: &Situation,
) -> Option<Worst> {
    let vehicle = solver.vehicle();
    let mut worst: Option<(f64, &Situation, Solution)> = None;
    let (mut hours, mut taken) = (0.0, 0.0);
    for phase in &situation.phases {
        let solution = solver.solve(&State::of(phase), &Memory::charged(vehicle));
        let balance = Balance::of(vehicle, phase, &solution);
        let lasts = phase.lasts.map_or(0.0, |lasts| lasts.likely.hours());
        hours += lasts;
        taken += lasts * balance.average.0;
        let left = balance.alternator_limit.unwrap_or_default().0 - balance.average.0;
        if worst.as_ref().is_none_or(|&(least, ..)| left < least) {
            worst = Some((left, phase, solution));
        }
    }
    let (_, phase, solution) = worst?;
    let average = if hours > 0.0 {
        taken / hours
    } else {
        Balance::of(vehicle, phase, &solution).average.0
    };
    Some(Worst {
        shift: situation.name.clone(),
        phase: phase.name.clone(),
        situation: Situation {
            name: format!("{}, worst phase: {}", situation.name, phase.name),
            at: situation.at,
            phases: situation.phases.clone(),
            ..phase.clone()
        },
        solution,
        average: Amps(average),
    })
}

/// Follows the battery that starts through a situation with phases; nothing where it has none or the capacity is not stated.
#[must_use]
pub fn shift(solver: &mut Solver<'_>, situation: &Situation, parked: &Parked) -> Option<Shift> {
    let vehicle = solver.vehicle();
    let bank = parked.starter()?;
    let known = bank.battery.as_ref()?;
    let at = situation
        .ambient
        .map_or(parked.at, |ambient| ambient.likely);
    let share = cold::capacity_at(known.chemistry, at).value.0;
    let capacity = known.capacity.likely * known.health.likely * share;
    if capacity <= 0.0 {
        return None;
    }
    let floor = crate::analyze::endurance::standing(known, at).floor;
    let accepts = accepts(vehicle, bank).unwrap_or(f64::INFINITY);
    let efficiency = battery::charge_efficiency().value.0;
    let mut missing: Vec<String> = Vec::new();
    let nets: Vec<(String, f64, f64)> = situation
        .phases
        .iter()
        .filter_map(|phase| {
            let hours = phase.lasts?.likely.hours();
            let solution = solver.solve(&State::of(phase), &Memory::charged(vehicle));
            let balance = Balance::of(vehicle, phase, &solution);
            missing.extend(balance.missing.iter().cloned());
            let gives = balance.alternator_limit.unwrap_or_default().0;
            let net = (gives - balance.average.0).min(accepts);
            let net = if net > 0.0 { net * efficiency } else { net };
            Some((phase.name.clone(), hours, net))
        })
        .filter(|&(_, hours, _)| hours > 0.0)
        .collect();
    if nets.is_empty() {
        return None;
    }
    missing.sort();
    missing.dedup();
    let once: f64 = nets.iter().map(|(_, hours, _)| hours).sum();
    let whole = situation
        .lasts
        .map_or(once, |lasts| lasts.likely.hours())
        .clamp(0.0, LONGEST);
    let mut shift = Shift {
        name: situation.name.clone(),
        charge: vec![(0.0, known.charge.likely)],
        phases: Vec::new(),
        reaches_floor: None,
        missing,
    };
    let (mut hour, mut charge) = (0.0, known.charge.likely);
    // In great cold even a full battery may be below it from the start.
    if charge < floor {
        shift.reaches_floor = Some(0.0);
    }
    for (name, hours, net) in nets.iter().cycle() {
        let hours = hours.min(whole - hour);
        if hours <= 1e-9 {
            break;
        }
        let after = charge + net * hours / capacity;
        if shift.reaches_floor.is_none() && after < floor && charge >= floor {
            shift.reaches_floor = Some(hour + hours * (charge - floor) / (charge - after));
        }
        charge = after.clamp(0.0, 1.0);
        hour += hours;
        shift.charge.push((hour, charge));
        shift.phases.push((name.clone(), Amps(*net)));
    }
    Some(shift)
}
