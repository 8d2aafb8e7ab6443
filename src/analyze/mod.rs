//! The sums: what the solved states mean for a person.

pub mod balance;
pub mod budget;
pub mod conductor;
pub mod endurance;
pub mod fault;
pub mod hot;
pub mod joined;
pub mod key_off;
pub mod matrix;
pub mod park;
pub mod protection;
pub mod reading;
pub mod route;
pub mod sample;
pub mod timeline;
pub mod trace;

mod origin;
mod timed;

pub use crate::solve::explored::{Adrift, Explored, Extreme, Seen};
pub use balance::{Balance, Flow};
pub use key_off::{Draw, KeyOff};

use crate::model::{Key, Link, PartId, Situation, TerminalId, Vehicle};
use crate::quantity::Amps;
use crate::solve::{
    Detail, LIVE, Memory, Rests, Solution, Solver, State, explore, explore_in_detail,
};

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
    /// Of each situation with phases: the one in which the alternator has least left.
    pub worst: Vec<Worst>,
    /// What was seen over all explored settings.
    pub explored: Explored,
    /// The key-off sums.
    pub key_off: KeyOff,
}

/// The phase of a shift in which the alternator has least left, and the shift around it.
#[derive(Clone, Debug)]
pub struct Worst {
    /// Name of the shift.
    pub shift: String,
    /// Name of the phase.
    pub phase: String,
    /// The phase, as a situation with a name of its own: `day shift, worst phase: loading`.
    pub situation: Situation,
    /// Its solution.
    pub solution: Solution,
    /// Load over the whole shift, weighted by duty and by how long each phase lasts.
    pub average: Amps,
}

impl Solved {
    /// The vehicle as a person leaves it after use.
    #[must_use]
    pub fn left(&self) -> &Solution {
        let first = self.situations.first();
        first.map_or(&self.parked_out, |(_, left)| left)
    }

    /// Whether nothing comes to a part as the vehicle is left, by a record that says what is wired to it.
    #[must_use]
    pub fn is_dead(&self, vehicle: &Vehicle, part: PartId) -> bool {
        let (terminals, left) = (&vehicle.part(part).terminals, self.left());
        let wired = terminals.iter().any(|terminal| {
            let mut edges = vehicle.graph.edges(terminal.node());
            edges.any(|edge| matches!(*edge.weight(), Link::Wire(_)))
        });
        let live = |&terminal: &TerminalId| left.at(terminal).abs().0 > LIVE;
        wired && !terminals.iter().any(live)
    }

    /// Every situation as it is told: of a shift its worst phase, with the average over the shift.
    #[must_use]
    pub fn told(&self, vehicle: &Vehicle) -> Vec<(&Situation, &Solution, Balance)> {
        let each = self.situations.iter();
        each.map(|(of, solution)| {
            let worst = self.worst_of(of);
            let (of, solution) =
                worst.map_or((of, solution), |worst| (&worst.situation, &worst.solution));
            let mut balance = Balance::of(vehicle, of, solution);
            if let Some(worst) = worst {
                balance.average = worst.average;
            }
            (of, solution, balance)
        })
        .collect()
    }

    /// The worst phase of a situation; nothing where it is the same all the time.
    #[must_use]
    pub fn worst_of(&self, situation: &Situation) -> Option<&Worst> {
        let of = self.worst.iter();
        of.filter(|_| !situation.phases.is_empty())
            .find(|worst| worst.shift == situation.name)
    }
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
    let (explored, rested) = beside(vehicle, |solver| explore(solver, settings), rest);
    sum_up(vehicle, explored, rested)
}

/// The same, and what is live and works in each position of the key.
#[must_use]
pub fn analyze_in_detail(vehicle: &Vehicle, settings: usize) -> (Solved, Detail) {
    let ((explored, detail), rested) =
        beside(vehicle, |solver| explore_in_detail(solver, settings), rest);
    (sum_up(vehicle, explored, rested), detail)
}

/// Sums up a vehicle of which the settings are explored already.
#[must_use]
pub fn analyze_explored(vehicle: &Vehicle, explored: Explored) -> Solved {
    sum_up(vehicle, explored, rest(&mut Solver::new(vehicle)))
}

/// Two things to solve that have nothing to do with one another: one after the other, of a large vehicle at the same time.
fn beside<A: Send, B: Send>(
    vehicle: &Vehicle,
    one: impl FnOnce(&mut Solver<'_>) -> A + Send,
    other: impl FnOnce(&mut Solver<'_>) -> B + Send,
) -> (A, B) {
    if vehicle.is_large() {
        rayon::join(
            || one(&mut Solver::new(vehicle)),
            || other(&mut Solver::new(vehicle)),
        )
    } else {
        let mut solver = Solver::new(vehicle);
        (one(&mut solver), other(&mut solver))
    }
}

/// The states of rest, what flows before them, and every situation.
struct Rested {
    rests: Rests,
    stretches: Vec<timed::Stretch>,
    situations: Vec<(Situation, Solution)>,
    worst: Vec<Worst>,
}

fn rest(solver: &mut Solver<'_>) -> Rested {
    let vehicle = solver.vehicle();
    let rests = solver.rests();
    let charged = Memory::charged(vehicle);
    let mut situations = Vec::with_capacity(vehicle.situations.len());
    for (number, situation) in vehicle.situations.iter().enumerate() {
        let solution = if number == 0 {
            rests.left.clone()
        } else {
            // With the key off a person comes from having driven there.
            let memory = match situation.key {
                Key::Off => &rests.just_off,
                _ => &charged,
            };
            solver.solve(&State::of(situation), memory)
        };
        situations.push((situation.clone(), solution));
    }
    let shifts = vehicle.situations.iter();
    let worst = shifts
        .filter_map(|situation| budget::worst_phase(solver, situation))
        .collect();
    Rested {
        rests,
        worst,
        situations,
        stretches: timed::stretches(solver),
    }
}

fn sum_up(vehicle: &Vehicle, explored: Explored, rested: Rested) -> Solved {
    let key_off = key_off::sum(vehicle, &rested.rests.left, &explored, &rested.stretches);
    Solved {
        parked_out: rested.rests.out,
        parked_in: rested.rests.other,
        situations: rested.situations,
        worst: rested.worst,
        explored,
        key_off,
    }
}
