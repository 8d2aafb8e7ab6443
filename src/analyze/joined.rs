//! Which batteries stand together with the key off: side by side, so that they go down as one, or on top of one another, so
//! that the weakest of them decides whether the engine cranks.

use std::collections::{BTreeMap, VecDeque};

use crate::model::vehicle::Battery;
use crate::model::{Control, Element, Link, PartId, TerminalId, Vehicle};
use crate::solve::Solution;

/// Ways above this, in ohm, there and back, join no batteries: at a few hundred milliampere they would stand at different
/// voltages.
const JOINS: f64 = 0.5;

/// How batteries stand together; numbers are places in [`Vehicle::batteries`].
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Joined {
    /// Batteries side by side, in the order of the record; those that stand alone are a group of one.
    pub groups: Vec<Vec<usize>>,
    /// The groups that crank the engine, one on top of the other; the one of the battery that starts is among them.
    pub string: Vec<usize>,
}

impl Joined {
    /// By what conducts in a solution.
    ///
    /// Cutoffs and isolators join nothing here: they open by themselves as the voltage falls. That is for the timeline.
    #[must_use]
    pub fn of(vehicle: &Vehicle, solution: &Solution) -> Self {
        let mut joined = Self::apart(vehicle);
        if vehicle.batteries.len() > 1 {
            joined.find(vehicle, solution);
        }
        joined
    }

    /// Each battery by itself.
    #[must_use]
    pub fn apart(vehicle: &Vehicle) -> Self {
        let starts = |battery: &Battery| Some(battery.part) == vehicle.starter;
        Self {
            groups: (0..vehicle.batteries.len()).map(|one| vec![one]).collect(),
            string: vehicle
                .batteries
                .iter()
                .position(starts)
                .into_iter()
                .collect(),
        }
    }

    fn find(&mut self, vehicle: &Vehicle, solution: &Solution) {
        let ends: Vec<(TerminalId, TerminalId)> = vehicle
            .batteries
            .iter()
            .map(|battery| {
                let cell = vehicle.branch(battery.cell);
                (cell.from, cell.to)
            })
            .collect();
        let near: Vec<[BTreeMap<TerminalId, f64>; 2]> = ends
            .iter()
            .map(|&(minus, plus)| [minus, plus].map(|end| near(vehicle, solution, end)))
            .collect();
        let like = |a: usize, b: usize| {
            let volts = |one: usize| vehicle.batteries[one].nominal.likely.0;
            (volts(a) - volts(b)).abs() < 0.25 * volts(a)
        };
        let beside = |a: usize, b: usize| {
            let (minus, plus) = ends[b];
            let way = near[a][0].get(&minus).zip(near[a][1].get(&plus));
            like(a, b) && way.is_some_and(|(back, there)| back + there <= JOINS)
        };
        let below = |a: usize, b: usize| near[a][0].contains_key(&ends[b].1);
        self.groups.clear();
        for one in 0..ends.len() {
            let with = self
                .groups
                .iter_mut()
                .find(|group| group.iter().any(|&other| beside(other, one)));
            match with {
                Some(group) => group.push(one),
                None => self.groups.push(vec![one]),
            }
        }
        let starter = vehicle.batteries.iter();
        let starter = starter
            .enumerate()
            .find(|(_, one)| Some(one.part) == vehicle.starter);
        let Some(group) = starter.and_then(|(one, _)| self.group_of(one)) else {
            return;
        };
        let on_top = |a: &[usize], b: &[usize]| {
            a.iter()
                .any(|&one| b.iter().any(|&other| below(one, other)))
        };
        let mut string = vec![group];
        let mut next = 0;
        while let Some(&at) = string.get(next) {
            next += 1;
            for other in 0..self.groups.len() {
                let (here, there) = (&self.groups[at], &self.groups[other]);
                if !string.contains(&other) && (on_top(here, there) || on_top(there, here)) {
                    string.push(other);
                }
            }
        }
        string.sort_unstable();
        self.string = string;
    }

    /// The group that a battery is in.
    #[must_use]
    pub fn group_of(&self, battery: usize) -> Option<usize> {
        self.groups
            .iter()
            .position(|group| group.contains(&battery))
    }

    /// Batteries that stand side by side with this one, itself among them.
    #[must_use]
    pub fn with(&self, battery: usize) -> &[usize] {
        let group = self
            .group_of(battery)
            .and_then(|group| self.groups.get(group));
        group.map_or(&[], Vec::as_slice)
    }

    /// Whether it cranks the engine: in the group that does, or on top of or below it.
    #[must_use]
    pub fn cranks(&self, battery: usize) -> bool {
        self.group_of(battery)
            .is_some_and(|group| self.string.contains(&group))
    }
}

/// Whether two batteries are of one `bank`, in the words of the record.
#[must_use]
pub fn one_bank(vehicle: &Vehicle, a: PartId, b: PartId) -> bool {
    let bank = |part: PartId| {
        vehicle
            .part(part)
            .fields
            .text("bank")
            .map(|bank| &bank.value)
    };
    a == b || (bank(a).is_some() && bank(a) == bank(b))
}

/// Terminals that conductors join to this one, with the ohms on the way.
fn near(vehicle: &Vehicle, solution: &Solution, from: TerminalId) -> BTreeMap<TerminalId, f64> {
    let mut known = BTreeMap::from([(from, 0.0)]);
    let mut open = VecDeque::from([from]);
    while let Some(at) = open.pop_front() {
        let here = known.get(&at).copied().unwrap_or_default();
        for edge in vehicle.graph.edges(at.node()) {
            let (ends, ohms) = match *edge.weight() {
                Link::Wire(id) => {
                    let wire = vehicle.wire(id);
                    let own = wire.resistance.map_or(0.0, |ohms| ohms.likely.0);
                    ((wire.from, wire.to), own)
                }
                Link::Branch(id) => {
                    let branch = vehicle.branch(id);
                    let ohms = match &branch.element {
                        Element::Joint(ohms) => ohms.likely.0,
                        Element::Contact {
                            control: Control::Cutoff { .. } | Control::Isolator { .. },
                            ..
                        } => continue,
                        Element::Contact { ohms, .. } if solution.closed[id.index()] => {
                            ohms.likely.0
                        }
                        _ => continue,
                    };
                    ((branch.from, branch.to), ohms)
                }
            };
            let other = if ends.0 == at { ends.1 } else { ends.0 };
            let ohms = here + ohms;
            if ohms <= JOINS && known.get(&other).is_none_or(|&other| ohms < other - 1e-12) {
                known.insert(other, ohms);
                open.push_back(other);
            }
        }
    }
    known
}
