//! Whence the current at a terminal comes: the shares of batteries in it, and the devices it has run through.

use std::collections::HashSet;
use std::collections::VecDeque;

use crate::model::{BranchId, Control, Element, Link, PartId, TerminalId, Vehicle, WireId};
use crate::solve::Solution;

/// Below this, in ampere, nothing flows.
pub(super) const NOTHING: f64 = 1e-6;

/// Currents of a solution, followed upstream.
pub(super) struct Origin<'v> {
    vehicle: &'v Vehicle,
    solution: &'v Solution,
    /// By terminal: ampere out of each battery for each ampere taken there, in the order of the vehicle's batteries.
    shares: Vec<Option<Vec<f64>>>,
    /// By terminal: whence the larger part of its current comes.
    main: Vec<Option<Option<(Link, TerminalId)>>>,
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
            main: vec![None; vehicle.terminals.len()],
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
        let mut open = HashSet::new();
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
    pub(super) fn way(&mut self, at: TerminalId) -> Vec<PartId> {
        let mut way = Vec::new();
        let mut seen = HashSet::new();
        let mut at = at;
        while seen.insert(at) {
            let Some((link, from)) = self.main(at) else {
                break;
            };
            if let Link::Branch(id) = link {
                let part = self.vehicle.branch(id).part;
                if way.last() != Some(&part) {
                    way.push(part);
                }
            }
            at = from;
        }
        way
    }

    /// The wires that the larger part of the current at a terminal has run over, the nearest first.
    pub(super) fn wires(&mut self, at: TerminalId) -> Vec<WireId> {
        let mut wires = Vec::new();
        let mut seen = HashSet::new();
        let mut at = at;
        while seen.insert(at) {
            let Some((link, from)) = self.main(at) else {
                break;
            };
            if let Link::Wire(wire) = link {
                wires.push(wire);
            }
            at = from;
        }
        wires
    }

    fn main(&mut self, at: TerminalId) -> Option<(Link, TerminalId)> {
        if let Some(known) = self.main[at.index()] {
            return known;
        }
        let largest = self.arrivals(at).into_iter().next();
        let found = largest.and_then(|arrival| match arrival.from {
            Source::Terminal(from) | Source::Converter(from, _) => Some((arrival.link, from)),
            Source::Battery(_) | Source::Other => None,
        });
        self.main[at.index()] = Some(found);
        found
    }
}

/// The shortest ways from the sources over everything that can conduct in some setting.
pub(super) struct Ways<'v> {
    vehicle: &'v Vehicle,
    /// By terminal: the step that leads nearer to a source.
    nearer: Vec<Option<(Link, TerminalId)>>,
}

impl<'v> Ways<'v> {
    pub(super) fn new(vehicle: &'v Vehicle) -> Self {
        let mut nearer = vec![None; vehicle.terminals.len()];
        let mut seen = vec![false; vehicle.terminals.len()];
        // Nothing is fed through the chassis: it is where everything comes home.
        seen[TerminalId::CHASSIS.index()] = true;
        let mut queue = VecDeque::new();
        for branch in &vehicle.branches {
            let source = matches!(
                branch.element,
                Element::Cell { .. } | Element::Alternator { .. } | Element::Charger { .. }
            );
            if source && !std::mem::replace(&mut seen[branch.to.index()], true) {
                queue.push_back(branch.to);
            }
        }
        while let Some(at) = queue.pop_front() {
            let mut steps: Vec<(Link, TerminalId)> = vehicle
                .graph
                .edges(at.node())
                .filter_map(|edge| {
                    let link = *edge.weight();
                    Some((link, leads(vehicle, link, at)?))
                })
                .collect();
            steps.sort_unstable();
            for (link, next) in steps {
                if !std::mem::replace(&mut seen[next.index()], true) {
                    nearer[next.index()] = Some((link, at));
                    queue.push_back(next);
                }
            }
        }
        Self { vehicle, nearer }
    }

    /// The parts on the way up from a terminal, the nearest first.
    pub(super) fn up(&self, at: TerminalId) -> Vec<PartId> {
        let mut way = Vec::new();
        let mut at = at;
        while let Some((link, next)) = self.nearer[at.index()] {
            if let Link::Branch(id) = link {
                way.push(self.vehicle.branch(id).part);
            }
            at = next;
        }
        way
    }
}

/// Where a link leads from a terminal, with the current.
fn leads(vehicle: &Vehicle, link: Link, at: TerminalId) -> Option<TerminalId> {
    let (from, to, one_way) = match link {
        Link::Wire(id) => {
            let wire = vehicle.wire(id);
            (wire.from, wire.to, false)
        }
        Link::Branch(id) => {
            let branch = vehicle.branch(id);
            let one_way = match &branch.element {
                Element::Joint(_) => false,
                Element::Contact { control, .. } => {
                    matches!(control, Control::Hot { .. } | Control::Output { .. })
                }
                Element::Diode { .. } | Element::Converter { .. } => true,
                _ => return None,
            };
            (branch.from, branch.to, one_way)
        }
    };
    if from == at {
        Some(to)
    } else if one_way {
        None
    } else {
        Some(from)
    }
}
