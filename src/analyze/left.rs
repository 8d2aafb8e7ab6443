//! The vehicle as a person leaves it: used with everything on, then the key turned off and time to settle.

use crate::model::{Engine, Key, Vehicle};
use crate::read::document::Kind;
use crate::solve::{Memory, Solution, Solver, State};

/// The states of rest with the key off.
pub(super) struct Rests {
    /// From everything out.
    pub(super) out: Solution,
    /// As it is left after use.
    pub(super) left: Solution,
    /// What differs from `out` where anything can: as it is left, else from everything in.
    pub(super) other: Solution,
}

/// Solves them.
pub(super) fn rests(solver: &mut Solver<'_>) -> Rests {
    let vehicle = solver.vehicle();
    let parked = State::parked(vehicle);
    let out = solver.solve(&parked, &Memory::all_out(vehicle));
    let running = State {
        key: Key::Run,
        engine: Engine::Idle,
        positions: vehicle.switches.iter().map(|unit| unit.on).collect(),
        settled: false,
        ..parked.clone()
    };
    let ran = solver.solve(&running, &charged(vehicle));
    let awake = State {
        settled: false,
        ..parked.clone()
    };
    let just_off = solver.solve(&awake, &ran.memory);
    let left = solver.solve(&parked, &just_off.memory);
    let other = if left.memory == out.memory {
        solver.solve(&parked, &Memory::all_in(vehicle))
    } else {
        left.clone()
    };
    Rests { out, left, other }
}

/// Everything out, but cutoffs closed: a vehicle that has just run has a charged battery, even where the record has no
/// alternator.
fn charged(vehicle: &Vehicle) -> Memory {
    let closed = |part: &crate::model::Part| part.kind == Kind::Cutoff;
    Memory(vehicle.parts.iter().map(closed).collect())
}
