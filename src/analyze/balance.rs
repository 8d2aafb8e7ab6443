//! What one solved situation takes and gives: loads, alternators, batteries.

use petgraph::visit::EdgeRef;

use crate::model::BranchId;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Situation;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::quantity::Volts;
use crate::solve::Solution;

/// The sums over one situation.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Balance {
    /// Current of all alternators together; nothing without one.
    pub alternator: Option<Amps>,
    /// The most that they give at this engine speed; nothing without one, or where it is not stated.
    pub alternator_limit: Option<Amps>,
    /// Of each battery: current, positive when it gives, and the voltage between its posts.
    pub batteries: Vec<Flow>,
    /// Everything that takes current, with its current and the voltage across it, in document order.
    pub users: Vec<Flow>,
    /// What everything takes together; what stands behind a converter counts by the converter's input.
    pub load: Amps,
    /// The same, weighted by the duty of this situation.
    pub average: Amps,
}

/// Current and voltage of one part.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Flow {
    /// The part.
    pub part: PartId,
    /// Its current.
    pub current: Amps,
    /// Across it.
    pub volts: Volts,
}

/// A converter, with what it takes and gives.
struct Converter {
    part: PartId,
    input: TerminalId,
    back: TerminalId,
    output: TerminalId,
    taken: Amps,
    given: Amps,
}

impl Balance {
    /// Sums up `solution`, which is that of `situation`.
    #[must_use]
    pub fn of(vehicle: &Vehicle, situation: &Situation, solution: &Solution) -> Self {
        let converters = converters(vehicle, solution);
        let behind = behind(vehicle, solution, &converters);
        let mut sum = Self::default();
        for (number, branch) in vehicle.branches.iter().enumerate() {
            let id = BranchId(number as u32);
            let current = solution.branch(id);
            let volts = solution.at(branch.from) - solution.at(branch.to);
            match &branch.element {
                Element::Load(load) => {
                    let stated = situation.duty.iter().find(|(part, _)| *part == branch.part);
                    let duty = stated.map_or(load.duty.likely, |(_, duty)| duty.likely);
                    let share = share(&converters, &behind, branch.from);
                    sum.take(branch.part, current, volts);
                    sum.load += current * share;
                    sum.average += current * share * duty.0;
                }
                Element::Coil { .. } => {
                    let current = current.abs();
                    let share = share(&converters, &behind, branch.from);
                    sum.take(branch.part, current, volts.abs());
                    sum.load += current * share;
                    sum.average += current * share;
                }
                Element::Cell { .. } => sum.batteries.push(Flow {
                    part: branch.part,
                    current,
                    volts: -volts,
                }),
                Element::Alternator { .. } => {
                    sum.alternator = Some(sum.alternator.unwrap_or_default() + current);
                }
                Element::Joint(_)
                | Element::Contact { .. }
                | Element::Charger { .. }
                | Element::Diode { .. }
                | Element::Converter { .. } => {}
            }
        }
        for converter in &converters {
            let volts = solution.at(converter.input) - solution.at(converter.back);
            sum.take(converter.part, converter.taken, volts);
            if converter.given.0 <= 0.0 {
                let share = share(&converters, &behind, converter.input);
                sum.load += converter.taken * share;
                sum.average += converter.taken * share;
            }
        }
        sum.users.sort_by_key(|user| user.part);
        sum
    }

    /// The battery that starts the engine.
    #[must_use]
    pub fn starter(&self, vehicle: &Vehicle) -> Option<Flow> {
        self.batteries
            .iter()
            .copied()
            .find(|flow| Some(flow.part) == vehicle.starter)
    }

    /// A part with several users inside it is one user, with the voltage of the one that takes most.
    fn take(&mut self, part: PartId, current: Amps, volts: Volts) {
        match self.users.iter_mut().rev().find(|user| user.part == part) {
            Some(user) => {
                if current > user.current {
                    user.volts = volts;
                }
                user.current += current;
            }
            None => self.users.push(Flow {
                part,
                current,
                volts,
            }),
        }
    }
}

fn converters(vehicle: &Vehicle, solution: &Solution) -> Vec<Converter> {
    let mut found = Vec::new();
    for branch in &vehicle.branches {
        if let Element::Converter { back, .. } = branch.element {
            found.push(Converter {
                part: branch.part,
                input: branch.from,
                back,
                output: branch.to,
                taken: arriving(vehicle, solution, branch.from),
                given: -arriving(vehicle, solution, branch.to),
            });
        }
    }
    found
}

/// What wires bring to a terminal.
fn arriving(vehicle: &Vehicle, solution: &Solution, terminal: TerminalId) -> Amps {
    let mut sum = Amps::ZERO;
    for edge in vehicle.graph.edges(terminal.node()) {
        if let Link::Wire(id) = *edge.weight() {
            let wire = vehicle.wire(id);
            if wire.from == wire.to {
                continue;
            }
            let current = solution.wire(id);
            sum += if wire.to == terminal {
                current
            } else {
                -current
            };
        }
    }
    sum
}

/// By terminal: the converter whose output reaches it.
fn behind(vehicle: &Vehicle, solution: &Solution, converters: &[Converter]) -> Vec<Option<usize>> {
    let mut reached = vec![None; vehicle.terminals.len()];
    for (number, converter) in converters.iter().enumerate() {
        let mut next = vec![converter.output];
        while let Some(terminal) = next.pop() {
            if terminal == TerminalId::CHASSIS || reached[terminal.index()].is_some() {
                continue;
            }
            reached[terminal.index()] = Some(number);
            for edge in vehicle.graph.edges(terminal.node()) {
                let passes = match *edge.weight() {
                    Link::Wire(_) => true,
                    Link::Branch(id) => {
                        solution.closed[id.index()] && passes(&vehicle.branch(id).element)
                    }
                };
                if passes {
                    let other = if edge.source() == terminal.node() {
                        edge.target()
                    } else {
                        edge.source()
                    };
                    next.push(TerminalId(other.index() as u32));
                }
            }
        }
    }
    reached
}

/// Whether an element leads on to further users of the same supply.
fn passes(element: &Element) -> bool {
    matches!(
        element,
        Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
    )
}

/// What an ampere at this terminal costs ahead of all the converters that it has come through.
fn share(converters: &[Converter], behind: &[Option<usize>], terminal: TerminalId) -> f64 {
    let mut share = 1.0;
    let mut at = terminal;
    // Each converter is passed once at most: one that feeds itself would never end.
    for _ in 0..converters.len() {
        let Some(converter) = behind[at.index()].map(|number| &converters[number]) else {
            break;
        };
        if converter.given.0 <= 0.0 {
            break;
        }
        share *= converter.taken / converter.given;
        at = converter.input;
    }
    share
}
