//! The vehicle as a person leaves it: used with everything on, then the key turned off and time to settle.

use super::{Memory, Solution, Solver, State};

/// The states of rest with the key off.
#[derive(Clone, Debug)]
pub struct Rests {
    /// From everything out.
    pub out: Solution,
    /// As it is left after use.
    pub left: Solution,
    /// What holds itself in just after the key was turned off.
    pub just_off: Memory,
    /// What differs from `out` where anything can: as it is left, else, since a hand may have put in what `all on` does not,
    /// from everything in.
    pub other: Solution,
}

impl Solver<'_> {
    /// Solves the states of rest.
    pub fn rests(&mut self) -> Rests {
        let vehicle = self.vehicle();
        let parked = State::parked(vehicle);
        let out = self.solve(&parked, &Memory::all_out(vehicle));
        let ran = self.solve(&State::running(vehicle), &Memory::charged(vehicle));
        let just_off = self.solve(&State::just_off(vehicle), &ran.memory);
        let left = self.solve(&parked, &just_off.memory);
        let other = if left.memory == out.memory {
            self.solve(&parked, &Memory::all_in(vehicle))
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
}
