//! The vehicle as a person leaves it: used with everything on, then the key turned off and time to settle.

use crate::model::{Engine, Key};
use crate::solve::{Memory, Solution, Solver, State};

/// The states of rest with the key off.
pub(super) struct Rests {
    /// From everything out.
    pub(super) out: Solution,
    /// As it is left after use.
    pub(super) left: Solution,
    /// What holds itself in just after the key was turned off.
    pub(super) just_off: Memory,
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
    let ran = solver.solve(&running, &Memory::charged(vehicle));
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
    Rests {
        out,
        left,
        just_off: just_off.memory,
        other,
    }
}
