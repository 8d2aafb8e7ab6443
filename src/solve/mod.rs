//! The nonlinear DC network of a vehicle in one state, brought to rest.
//!
//! [`Solver::new`] finds the structure once; [`Solver::solve`] gives voltages and currents of one state,
//! [`Solver::rests`] the states of rest with the key off.

mod device;
mod explore;
pub mod explored;
pub mod laws;
mod left;
mod linear;
mod network;
mod newton;
mod rest;
mod sets;
pub mod solution;
pub mod state;
#[cfg(test)]
mod switching_tests;
#[cfg(test)]
mod tests;
pub mod works;

pub(crate) use device::output as alternator_output;
pub use explore::{AtKey, Detail, Found, explore, explore_in_detail, explore_one_by_one};
pub use explored::{
    Adrift, BackFed, Backwards, Burnt, Explored, Extreme, Joined, Seen, Shorted, Shown, Use,
};
pub use left::Rests;
pub use solution::{Solution, Way};
pub use state::{Memory, State};
pub use works::Does;

use crate::model::{BranchId, Element, Situation, Vehicle};
use crate::quantity::{Amps, Volts};

use network::Network;
use newton::Newton;
use sets::Sets;

/// A terminal is live from this voltage on, against the chassis, in volt: above what a sound return drops at full load, below
/// what any supply gives.
pub const LIVE: f64 = 0.5;

/// The circuit of a vehicle, ready to be solved in any state.
pub struct Solver<'v> {
    network: Network<'v>,
    newton: Newton,
    islands: Islands,
}

impl std::fmt::Debug for Solver<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Solver")
            .field("vehicle", &self.network.vehicle.name)
            .finish_non_exhaustive()
    }
}

impl<'v> Solver<'v> {
    /// Finds the structure of the vehicle's circuit.
    #[must_use]
    pub fn new(vehicle: &'v Vehicle) -> Self {
        Self {
            network: Network::new(vehicle),
            newton: Newton::default(),
            islands: Islands::default(),
        }
    }

    /// The vehicle.
    #[must_use]
    pub const fn vehicle(&self) -> &'v Vehicle {
        self.network.vehicle
    }

    /// Solves a state, with what remembers brought to rest from `memory`. A network without a solution that could be
    /// found, or numbers that are none, are told in [`Solution::trouble`].
    pub fn solve(&mut self, state: &State, memory: &Memory) -> Solution {
        let rest = rest::bring(&self.network, &mut self.newton, state, memory);
        let network = &self.network;
        let newton = &mut self.newton;
        self.islands.settle(network, newton);
        let vehicle = network.vehicle;
        let volts: Vec<Volts> = newton
            .volts
            .iter()
            .zip(&newton.rest)
            .map(|(volts, rest)| Volts(volts + rest))
            .collect();
        let finite = newton.amps.iter().all(|amps| amps.is_finite())
            && volts.iter().all(|volts| volts.0.is_finite());
        let trouble = if !finite {
            Some("the sums overflow: some value in the record is far out of any range".to_owned())
        } else if !rest.arrived {
            Some("no voltages were found at which all currents agree".to_owned())
        } else {
            None
        };
        let wires = vehicle.wires.len();
        let own = wires + vehicle.branches.len();
        let mut closed: Vec<bool> = vehicle
            .branches
            .iter()
            .map(|branch| match &branch.element {
                Element::Contact { control, .. } => network.closed(control, state, &rest.memory),
                _ => true,
            })
            .collect();
        for (site, draw) in network.loads.iter().zip(&newton.draws) {
            if site.load.is_some() {
                closed[site.element as usize - wires] = draw.draws();
            }
        }
        let mut ways = Vec::new();
        for (site, &way) in network.pieces.iter().zip(&newton.ways) {
            let Some(branch) = site.branch else { continue };
            closed[branch.index()] = way != Way::Off;
            if Network::is_source(site) {
                ways.push((branch, way));
            }
        }
        let inputs = network
            .converters
            .iter()
            .filter_map(|converter| {
                let branch = network.pieces[converter.source as usize].branch?;
                let input = network.loads[converter.input as usize].element;
                Some((branch, Amps(newton.amps[input as usize])))
            })
            .collect();
        let mut branch_amps: Vec<Amps> =
            newton.amps[wires..own].iter().copied().map(Amps).collect();
        // What a suppression diode takes goes through the relay's coil terminals too.
        for diode in &network.suppressors {
            branch_amps[diode.coil as usize - wires] += Amps(-newton.amps[diode.element as usize]);
        }
        let burnt = rest.burnt.iter();
        let burnt = burnt.map(|&(coil, amps)| (BranchId(coil - wires as u32), Amps(amps)));
        let solution = Solution {
            live: volts.iter().map(|volts| volts.0.abs() > LIVE).collect(),
            volts,
            wire_amps: newton.amps[..wires].iter().copied().map(Amps).collect(),
            branch_amps,
            inputs,
            closed,
            memory: rest.memory,
            chatter: rest.chatter,
            ways,
            burnt: burnt.collect(),
            trouble,
        };
        debug_assert!(
            solution.trouble.is_some() || laws::lost_current(vehicle, &solution).1 < 1e-6,
            "current is lost at {:?}",
            laws::lost_current(vehicle, &solution)
        );
        solution
    }

    /// Solves a situation of the vehicle from everything out, batteries charged.
    pub fn situation(&mut self, situation: &Situation) -> Solution {
        let memory = Memory::charged(self.vehicle());
        self.solve(&State::of(situation), &memory)
    }

    /// Current that a branch gives to a terminal is positive where it leaves by it: of a converter, output and input
    /// differ.
    #[must_use]
    pub fn ends(&self, branch: BranchId) -> (u32, u32) {
        self.network.ends[self.network.element(branch)]
    }
}

/// What no conductor joins to the chassis has no voltage of its own: its lowest point is taken as nothing.
#[derive(Default)]
struct Islands {
    sets: Sets,
    lowest: Vec<f64>,
}

impl Islands {
    fn settle(&mut self, network: &Network<'_>, newton: &mut Newton) {
        // Most often nothing is below the chassis, and there is nothing to shift.
        if newton.volts.iter().all(|&volts| volts >= 0.0) {
            return;
        }
        let sets = &mut self.sets;
        sets.leads.clone_from(&network.joined);
        for contact in &network.contacts {
            if newton.conductances[contact.element as usize] > 0.0 {
                let (a, b) = network.ends[contact.element as usize];
                sets.join(a, b);
            }
        }
        let loads = network.loads.iter().zip(&newton.draws);
        let loads = loads
            .filter(|(_, draw)| draw.draws())
            .map(|(site, _)| site.element);
        let pieces = network.pieces.iter().zip(&newton.ways);
        let pieces = pieces
            .filter(|(_, way)| **way != Way::Off)
            .map(|(site, _)| site.element);
        for element in loads.chain(pieces) {
            let (a, b) = network.ends[element as usize];
            sets.join(a, b);
        }
        self.lowest.clear();
        self.lowest.resize(newton.volts.len(), 0.0);
        let mut shifted = false;
        for (node, &volts) in newton.volts.iter().enumerate() {
            let lead = sets.lead(node as u32) as usize;
            if lead != 0 && volts < self.lowest[lead] {
                self.lowest[lead] = volts;
                shifted = true;
            }
        }
        if shifted {
            for (node, volts) in newton.volts.iter_mut().enumerate() {
                *volts -= self.lowest[sets.lead(node as u32) as usize];
            }
        }
    }
}
