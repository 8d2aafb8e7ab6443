//! Which way supply flows: how far each terminal is from a source, and which lead home.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use petgraph::visit::EdgeRef;

use super::net::Heat;
use super::words;
use crate::model::vehicle::Link;
use crate::model::{Element, TerminalId, Vehicle};
use crate::read::document::Kind;

/// Beyond this distance a terminal is reached only through something that uses current.
pub const THROUGH_LOAD: u32 = 100_000;
/// From one throw of a relay or switch to another: a way for what no source reaches otherwise.
const BACK: u32 = 1000;
/// Not reached at all.
pub const NEVER: u32 = u32::MAX;

/// Distances and ways home.
#[derive(Clone, Debug)]
pub struct Flow {
    /// Steps from the nearest source.
    pub depth: Vec<u32>,
    /// On the way from a consumer to the chassis.
    pub home: Vec<bool>,
}

impl Flow {
    /// Of a vehicle.
    #[must_use]
    pub fn of(vehicle: &Vehicle) -> Self {
        let depth = depth(vehicle);
        let home = home(vehicle, &depth);
        Self { depth, home }
    }

    /// Steps from the nearest source.
    #[must_use]
    pub fn depth(&self, end: TerminalId) -> u32 {
        self.depth[end.index()]
    }

    /// Whether it is on the way home.
    #[must_use]
    pub fn home(&self, end: TerminalId) -> bool {
        self.home[end.index()]
    }
}

fn depth(vehicle: &Vehicle) -> Vec<u32> {
    let mut depth = vec![NEVER; vehicle.terminals.len()];
    let mut heap = BinaryHeap::new();
    for (index, terminal) in vehicle.terminals.iter().enumerate() {
        let Some(part) = terminal.part else { continue };
        // The battery that starts the engine decides which way an isolator faces; another battery comes after it.
        let start = match (vehicle.part(part).kind, terminal.name.as_str()) {
            (Kind::Battery, "+") if vehicle.starter.is_none_or(|id| id == part) => 0,
            (Kind::Alternator, "+") | (Kind::Feed, _) => 0,
            (Kind::Battery, "+") => 200,
            (Kind::Charger, "+") => 100,
            _ => continue,
        };
        heap.push(Reverse((start, index, None)));
    }
    // The relay or switch that the way to a terminal led through last: current does not go back through another throw of the same.
    let mut thrown = vec![None; vehicle.terminals.len()];
    while let Some(Reverse((distance, at, through))) = heap.pop() {
        if distance >= depth[at] {
            continue;
        }
        depth[at] = distance;
        thrown[at] = through;
        let node = TerminalId(at as u32).node();
        for edge in vehicle.graph.edges(node) {
            let other = edge.target().index();
            if other == TerminalId::CHASSIS.index() {
                continue;
            }
            let through = match edge.weight() {
                Link::Wire(_) => None,
                Link::Branch(id) => Some(vehicle.branch(*id).part)
                    .filter(|&part| matches!(vehicle.part(part).kind, Kind::Relay | Kind::Switch)),
            };
            let back = through.is_some() && through == thrown[at];
            let step = match edge.weight() {
                Link::Wire(_) => 1,
                Link::Branch(id) => match vehicle.branch(*id).element {
                    _ if back => BACK,
                    Element::Joint(_)
                    | Element::Contact { .. }
                    | Element::Diode { .. }
                    | Element::Converter { .. } => 1,
                    Element::Coil { .. } | Element::Load(_) => THROUGH_LOAD,
                    Element::Cell { .. } | Element::Alternator { .. } | Element::Charger { .. } => {
                        continue;
                    }
                },
            };
            heap.push(Reverse((
                distance.saturating_add(step).min(NEVER - 1),
                other,
                through,
            )));
        }
    }
    depth
}

fn home(vehicle: &Vehicle, depth: &[u32]) -> Vec<bool> {
    let mut home = vec![false; vehicle.terminals.len()];
    home[TerminalId::CHASSIS.index()] = true;
    let mut waiting = vec![TerminalId::CHASSIS.index()];
    while let Some(at) = waiting.pop() {
        let node = TerminalId(at as u32).node();
        for edge in vehicle.graph.edges(node) {
            let other = edge.target().index();
            // What a source reaches without a consumer in between is supply, even where a fault joins it to the chassis.
            if home[other] || depth[other] < THROUGH_LOAD {
                continue;
            }
            let passes = match edge.weight() {
                Link::Wire(_) => true,
                Link::Branch(id) => vehicle.terminals[other].part.is_some_and(|_| {
                    matches!(
                        vehicle.part(vehicle.branch(*id).part).kind,
                        Kind::Ground | Kind::Connector | Kind::Disconnect
                    )
                }),
            };
            if passes {
                home[other] = true;
                waiting.push(other);
            }
        }
    }
    home
}

/// When each terminal is live without anything being operated: through wires, fuses and plugs alone. What lies behind a
/// switch, a relay or a module is [`Heat::Other`].
#[must_use]
pub fn heat(vehicle: &Vehicle) -> Vec<Heat> {
    let mut heat = vec![Heat::Other; vehicle.terminals.len()];
    // The hottest last, so that it stays.
    for class in [Heat::Unknown, Heat::Ignition, Heat::Always] {
        let mut waiting: Vec<usize> = Vec::new();
        for (index, terminal) in vehicle.terminals.iter().enumerate() {
            let Some(id) = terminal.part else { continue };
            let part = vehicle.part(id);
            let own = match (part.kind, terminal.name.as_str()) {
                (Kind::Battery, "+") => Heat::Always,
                (Kind::Feed, _) => words::heat(&part.fields),
                _ => continue,
            };
            if own == class {
                heat[index] = class;
                waiting.push(index);
            }
        }
        while let Some(at) = waiting.pop() {
            let node = TerminalId(at as u32).node();
            for edge in vehicle.graph.edges(node) {
                let other = edge.target().index();
                let passes = match edge.weight() {
                    Link::Wire(_) => true,
                    Link::Branch(id) => {
                        let branch = vehicle.branch(*id);
                        matches!(branch.element, Element::Joint(_))
                            || vehicle.part(branch.part).kind == Kind::Connector
                    }
                };
                if passes && other != TerminalId::CHASSIS.index() && heat[other] != class {
                    heat[other] = class;
                    waiting.push(other);
                }
            }
        }
    }
    heat
}
