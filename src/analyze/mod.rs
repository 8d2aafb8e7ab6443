//! The sums: what the solved states mean for a person.

pub mod balance;
pub mod budget;
pub mod conductor;
pub mod endurance;
pub mod fault;
pub mod hot;
pub mod key_off;
pub mod matrix;
pub mod park;
pub mod protection;
pub mod reading;
pub mod route;
pub mod sample;
pub mod timeline;
pub mod trace;

mod left;
mod origin;

pub use crate::solve::explored::{Adrift, Explored, Extreme, Seen};
pub use balance::{Balance, Flow};
pub use key_off::{Draw, KeyOff};

use crate::model::{Key, Situation, Vehicle};
use crate::solve::{Detail, Memory, Solution, Solver, State, explore, explore_in_detail};

/// Combinations of one group of switches that are looked at in one position of the key, at most.
pub const SETTINGS: usize = 4096;

/// Every state that was solved, and the sums over them.
#[derive(Clone, Debug)]
pub struct Solved {
    /// `parked`, solved from everything out.
    pub parked_out: Solution,
    /// `parked`, reached from the engine running with everything on; differs where something stays latched. Where nothing
    /// does: from everything in.
    pub parked_in: Solution,
    /// Every situation of the vehicle, in its order, with its solution. The first is `parked` as a person leaves it after
    /// use: what the standing draw is reckoned from.
    pub situations: Vec<(Situation, Solution)>,
    /// What was seen over all explored settings.
    pub explored: Explored,
    /// The key-off sums.
    pub key_off: KeyOff,
}

/// Solves and sums up everything about a vehicle. Never fails: a state that found no solution says so in its
/// [`Solution::trouble`].
#[must_use]
pub fn analyze(vehicle: &Vehicle) -> Solved {
    analyze_up_to(vehicle, SETTINGS)
}

/// The same, with no more than so many combinations of one group of switches in one position of the key.
#[must_use]
pub fn analyze_up_to(vehicle: &Vehicle, settings: usize) -> Solved {
    let mut solver = Solver::new(vehicle);
    let explored = explore(&mut solver, settings);
    sum_up(&mut solver, explored)
}

/// The same, and what is live and works in each position of the key.
#[must_use]
pub fn analyze_in_detail(vehicle: &Vehicle, settings: usize) -> (Solved, Detail) {
    let mut solver = Solver::new(vehicle);
    let (explored, detail) = explore_in_detail(&mut solver, settings);
    (sum_up(&mut solver, explored), detail)
}

/// Sums up a vehicle of which the settings are explored already.
#[must_use]
pub fn analyze_explored(vehicle: &Vehicle, explored: Explored) -> Solved {
    sum_up(&mut Solver::new(vehicle), explored)
}

fn sum_up(solver: &mut Solver<'_>, explored: Explored) -> Solved {
    let vehicle = solver.vehicle();
    let left::Rests {
        out,
        left,
        just_off,
        other,
    } = left::rests(solver);
    let charged = Memory::charged(vehicle);
    let mut situations = Vec::with_capacity(vehicle.situations.len());
    for (number, situation) in vehicle.situations.iter().enumerate() {
        let solution = if number == 0 {
            left.clone()
        } else {
            // With the key off a person comes from having driven there.
            let memory = match situation.key {
                Key::Off => &just_off,
                _ => &charged,
            };
            solver.solve(&State::of(situation), memory)
        };
        situations.push((situation.clone(), solution));
    }
    let key_off = key_off::sum(vehicle, &left, &explored);
    Solved {
        parked_out: out,
        parked_in: other,
        situations,
        explored,
        key_off,
    }
}
