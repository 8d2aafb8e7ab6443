//! Whence the current at a terminal comes: the shares of batteries in it, and the devices it has run through.

use crate::model::{BranchId, Element, Link, PartId, TerminalId, Vehicle};
use crate::solve::Solution;

/// Below this, in ampere, nothing flows.
pub(super) const NOTHING: f64 = 1e-6;

/// Currents of a solution, followed upstream.
pub(super) struct Origin<'v> {
    vehicle: &'v Vehicle,
    solution: &'v Solution,
    /// By terminal: ampere out of each battery for each ampere taken there, in the order of the vehicle's batteries.
    shares: Vec<Option<Vec<f64>>>,
}

/// A current that comes to a terminal.
struct Arrival {
    amps: f64,
    from: Source,
    link: Link,
}

enum Source {
    /// Over a conductor, from its other end.
    Terminal(TerminalId),
    /// Out of a battery.
    Battery(usize),
    /// Out of a converter: so many ampere at its input for each ampere here.
    Converter(TerminalId, f64),
    /// Out of something that does not run down.
    Other,
}

impl<'v> Origin<'v> {
    pub(super) fn new(vehicle: &'v Vehicle, solution: &'v Solution) -> Self {
        Self {
            vehicle,
            solution,
            shares: vec![None; vehicle.terminals.len()],
        }
    }

    fn arrivals(&self, at: TerminalId) -> Vec<Arrival> {
        let mut arrivals = Vec::new();
        for edge in self.vehicle.graph.edges(at.node()) {
            let link = *edge.weight();
            let (from, to, amps) = match link {
                Link::Wire(id) => {
                    let wire = self.vehicle.wire(id);
                    (wire.from, wire.to, self.solution.wire(id).0)
                }
                Link::Branch(id) => {
                    let branch = self.vehicle.branch(id);
                    (branch.from, branch.to, self.solution.branch(id).0)
                }
            };
            if from == to {
                continue;
            }
            let (other, amps) = if to == at { (from, amps) } else { (to, -amps) };
            if amps <= NOTHING {
                continue;
            }
            let from = match link {
                Link::Wire(_) => Source::Terminal(other),
                Link::Branch(id) => match self.source(id, at, other, amps) {
                    Some(source) => source,
                    None => continue,
                },
            };
            arrivals.push(Arrival { amps, from, link });
        }
        // The largest first, then in the order of the record, whatever order the graph keeps.
        arrivals.sort_by(|a, b| b.amps.total_cmp(&a.amps).then(a.link.cmp(&b.link)));
        arrivals
    }

    fn source(&self, id: BranchId, at: TerminalId, other: TerminalId, amps: f64) -> Option<Source> {
        let branch = self.vehicle.branch(id);
        match &branch.element {
            Element::Joint(_)
            | Element::Contact { .. }
            | Element::Diode { .. }
            | Element::Load(_)
            | Element::Coil { .. } => Some(Source::Terminal(other)),
            Element::Cell { .. } => {
                let batteries = &self.vehicle.batteries;
                let number = batteries.iter().position(|battery| battery.cell == id)?;
                (branch.to == at).then_some(Source::Battery(number))
            }
            Element::Converter { standby, .. } if branch.to == at => {
                let inputs = &self.solution.inputs;
                let taken = inputs.iter().find(|&&(input, _)| input == id)?.1;
                // What it takes for itself is its own draw.
                let passed = (taken - standby.likely).max(crate::quantity::Amps::ZERO);
                Some(Source::Converter(branch.from, passed.0 / amps))
            }
            Element::Converter { .. } => None,
            Element::Alternator { .. } | Element::Charger { .. } => Some(Source::Other),
        }
    }

    /// Ampere out of each battery for each ampere taken at a terminal, in the order of the vehicle's batteries.
    pub(super) fn shares(&mut self, at: TerminalId) -> Vec<f64> {
        let none = vec![0.0; self.vehicle.batteries.len()];
        let mut path: Vec<(TerminalId, Vec<Arrival>, usize)> = Vec::new();
        let mut open = std::collections::HashSet::new();
        if self.shares[at.index()].is_none() {
            open.insert(at);
            path.push((at, self.arrivals(at), 0));
        }
        while let Some((terminal, arrivals, next)) = path.last_mut() {
            let terminal = *terminal;
            if let Some(arrival) = arrivals.get(*next) {
                *next += 1;
                if let Source::Terminal(from) | Source::Converter(from, _) = arrival.from
                    && self.shares[from.index()].is_none()
                    && open.insert(from)
                {
                    let arrivals = self.arrivals(from);
                    path.push((from, arrivals, 0));
                }
                continue;
            }
            let Some((_, arrivals, _)) = path.pop() else {
                break;
            };
            self.shares[terminal.index()] = Some(self.mix(&arrivals, &none));
        }
        self.shares[at.index()].clone().unwrap_or(none)
    }

    fn mix(&self, arrivals: &[Arrival], none: &[f64]) -> Vec<f64> {
        let mut sum = none.to_vec();
        let mut whole = 0.0;
        for arrival in arrivals {
            let (from, ratio) = match arrival.from {
                Source::Terminal(from) => (from, 1.0),
                Source::Converter(from, ratio) => (from, ratio),
                Source::Battery(number) => {
                    whole += arrival.amps;
                    sum[number] += arrival.amps;
                    continue;
                }
                Source::Other => {
                    whole += arrival.amps;
                    continue;
                }
            };
            // A loop without resistance has no upstream end: what runs round in it says nothing.
            let Some(shares) = &self.shares[from.index()] else {
                continue;
            };
            whole += arrival.amps;
            for (sum, share) in sum.iter_mut().zip(shares) {
                *sum += arrival.amps * ratio * share;
            }
        }
        if whole > 0.0 {
            for share in &mut sum {
                *share /= whole;
            }
        }
        sum
    }

    /// The parts that the larger part of the current at a terminal has run through, the nearest first, up to its source.
    pub(super) fn way(&self, at: TerminalId) -> Vec<PartId> {
        let mut way = Vec::new();
        let mut seen = std::collections::HashSet::new();
        let mut at = at;
        while seen.insert(at) {
            let arrivals = self.arrivals(at);
            let Some(arrival) = arrivals.first() else {
                break;
            };
            if let Link::Branch(id) = arrival.link {
                let part = self.vehicle.branch(id).part;
                if way.last() != Some(&part) {
                    way.push(part);
                }
            }
            match arrival.from {
                Source::Terminal(from) | Source::Converter(from, _) => at = from,
                Source::Battery(_) | Source::Other => break,
            }
        }
        way
    }
}
