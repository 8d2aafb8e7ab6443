//! What a wire is there for.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::advise::ends::wires_at;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Walks;
use crate::read::document::Kind;
use crate::read::document::Value;

/// What the wires of a vehicle are there for.
pub(super) struct Serves<'v> {
    vehicle: &'v Vehicle,
    walks: &'v Walks,
    /// Wires between batteries, and between a battery and the chassis.
    homes: BTreeSet<WireId>,
    /// Wires on the way to a controller's sense input, with the parts that sense there: they carry no current worth counting,
    /// and are needed all the same.
    signals: BTreeMap<WireId, BTreeSet<PartId>>,
    /// Wires between consumers that work one through the other, as a pilot lamp does.
    series: BTreeSet<WireId>,
    /// Terminals that only sense.
    senses: BTreeSet<TerminalId>,
}

impl<'v> Serves<'v> {
    /// Looks at all ways once.
    pub(super) fn of(vehicle: &'v Vehicle, walks: &'v Walks) -> Self {
        let wires = |links: &[Link]| -> Vec<WireId> {
            let wires = links.iter().filter_map(|link| match link {
                Link::Wire(wire) => Some(*wire),
                Link::Branch(_) => None,
            });
            wires.collect()
        };
        let homes = (0..walks.sources.len()).flat_map(|source| wires(walks.way_home(source)));
        let senses: BTreeSet<TerminalId> = senses(vehicle).into_iter().collect();
        let mut signals: BTreeMap<WireId, BTreeSet<PartId>> = BTreeMap::new();
        for &sense in &senses {
            let part = vehicle.terminal(sense).part;
            for wire in wires(&walks.leading_to(vehicle, sense)) {
                signals.entry(wire).or_default().extend(part);
            }
        }
        Self {
            homes: homes.collect(),
            signals,
            series: series(vehicle, walks),
            senses,
            vehicle,
            walks,
        }
    }

    /// Whether it joins sources with one another, with the chassis or with the starter.
    pub(super) fn ties(&self, wire: WireId) -> bool {
        let ends = self.vehicle.wire(wire);
        self.homes.contains(&wire)
            || self.walks.is_cranking(wire)
            || self.walks.ties_sources(ends.from, ends.to)
    }

    /// Whether anything that is fed takes its current or its signal through it.
    pub(super) fn is_needed(&self, wire: WireId) -> bool {
        let mut consumers = self.walks.through_wire(wire);
        consumers.any(|consumer| !consumer.sources.is_empty())
            || self.signals.contains_key(&wire)
            || self.series.contains(&wire)
            || self.ties(wire)
    }

    /// Parts that sense at the end of a wire.
    pub(super) fn sensing(&self, wire: WireId) -> impl Iterator<Item = PartId> + '_ {
        self.signals.get(&wire).into_iter().flatten().copied()
    }

    /// Whether anything takes its current or its signal through a part: it is needed at each of its terminals that has a wire.
    pub(super) fn passes_on(&self, part: PartId) -> bool {
        let own = &self.vehicle.part(part).terminals;
        let mut wired = own
            .iter()
            .map(|&at| wires_at(self.vehicle, at).collect::<Vec<WireId>>())
            .filter(|wires| !wires.is_empty())
            .peekable();
        wired.peek().is_some()
            && wired.all(|wires| wires.into_iter().any(|wire| self.is_needed(wire)))
    }

    /// Whether nothing is beyond an end of a wire: no other wire, nothing that uses or senses current, no source, not the
    /// chassis.
    pub(super) fn leads_nowhere(&self, end: TerminalId, wire: WireId) -> bool {
        if end == TerminalId::CHASSIS {
            return false;
        }
        let vehicle = self.vehicle;
        let mut seen = BTreeSet::from([end]);
        let mut waiting = vec![end];
        while let Some(at) = waiting.pop() {
            if self.senses.contains(&at) {
                return false;
            }
            for edge in vehicle.graph.edges(at.node()) {
                let other = edge.target();
                let next = TerminalId(other.index() as u32);
                match *edge.weight() {
                    Link::Wire(other) if other == wire => {}
                    Link::Wire(_) => return false,
                    Link::Branch(id) => {
                        let inside = vehicle.branch(id);
                        let kind = vehicle.part(inside.part).kind;
                        match inside.element {
                            Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. } => {
                                // A feed that lies behind this point, or a ground that leads home from it.
                                if kind == Kind::Feed {
                                    return false;
                                }
                                if next != TerminalId::CHASSIS && seen.insert(next) {
                                    waiting.push(next);
                                }
                            }
                            _ => return false,
                        }
                    }
                }
            }
        }
        true
    }
}

/// Wires by which a consumer without a feed or a way home of its own finds it through another that has one.
fn series(vehicle: &Vehicle, walks: &Walks) -> BTreeSet<WireId> {
    let mut found = BTreeSet::new();
    for consumer in &walks.consumers {
        let own = vehicle.branch(consumer.branch);
        let (fed, home) = (!consumer.sources.is_empty(), consumer.comes_home);
        let start = match (fed, home) {
            (true, false) => own.to,
            (false, true) => own.from,
            _ => continue,
        };
        let (seen, wires) = joined_with(vehicle, start);
        let mut others = walks.consumers.iter();
        let through = others.any(|other| {
            let ends = vehicle.branch(other.branch);
            let wanted = if fed {
                other.comes_home
            } else {
                !other.sources.is_empty()
            };
            wanted
                && other.branch != consumer.branch
                && [ends.from, ends.to].iter().any(|end| seen.contains(end))
        });
        if through {
            found.extend(wires);
        }
    }
    found
}

/// What conductors join with a terminal short of the chassis, and the wires among them.
fn joined_with(vehicle: &Vehicle, start: TerminalId) -> (BTreeSet<TerminalId>, BTreeSet<WireId>) {
    let (mut seen, mut wires) = (BTreeSet::from([start]), BTreeSet::new());
    let mut waiting = vec![start];
    while let Some(at) = waiting.pop() {
        if at == TerminalId::CHASSIS {
            continue;
        }
        for edge in vehicle.graph.edges(at.node()) {
            let other = edge.target();
            match *edge.weight() {
                Link::Wire(wire) => {
                    wires.insert(wire);
                }
                Link::Branch(id) => match vehicle.branch(id).element {
                    Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. } => {}
                    _ => continue,
                },
            }
            let next = TerminalId(other.index() as u32);
            if seen.insert(next) {
                waiting.push(next);
            }
        }
    }
    (seen, wires)
}

/// Terminals of controllers that only sense.
pub(super) fn senses(vehicle: &Vehicle) -> Vec<TerminalId> {
    let mut found = Vec::new();
    for part in vehicle
        .parts
        .iter()
        .filter(|part| part.kind == Kind::Controller)
    {
        let named = |name: &str| {
            let mut names = part.fields.list("senses").iter();
            names.any(|value| matches!(value, Value::Text(text) if text.value == name))
        };
        let own = part.terminals.iter().copied();
        found.extend(own.filter(|at| named(&vehicle.terminal(*at).name)));
    }
    found
}
