//! What is made dead before anything is touched, and what is live all the same.

use std::collections::BTreeSet;

use super::Plan;
use crate::model::Basis;
use crate::model::Control;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Key;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::element::HotIn;
use crate::model::element::Load;
use crate::model::walk::Walks;
use crate::quantity::Fraction;
use crate::quantity::Interval;
use crate::quantity::Ohms;
use crate::quantity::Scalar;
use crate::read::document::Kind;
use crate::solve;
use crate::solve::Solver;

/// Combinations of one group of switches that are looked at with the fuses pulled, at most.
const SETTINGS: usize = 1024;

/// What is pulled and taken off before anything is touched.
pub(super) struct Isolation {
    /// Fuses, breakers, links and feeds with a fuse: those nearest to the source.
    pub(super) pull: Vec<PartId>,
    /// Batteries from which something leads to what goes without any protection.
    pub(super) batteries: Vec<PartId>,
    /// Chargers that reach what goes.
    pub(super) chargers: Vec<PartId>,
    /// Terminals of what goes that are live even so, and with the key in which positions.
    pub(super) still_live: Vec<(TerminalId, [bool; Key::ALL.len()])>,
}

impl Isolation {
    /// Finds it.
    pub(super) fn of(plan: &Plan, walks: &Walks) -> Self {
        let vehicle = &plan.before.vehicle;
        let mut found = Self {
            pull: Vec::new(),
            batteries: Vec::new(),
            chargers: Vec::new(),
            still_live: Vec::new(),
        };
        let terminals: BTreeSet<TerminalId> = plan
            .remove
            .iter()
            .flat_map(|&part| vehicle.part(part).terminals.iter().copied())
            .collect();
        for &terminal in &terminals {
            found.towards(vehicle, walks, terminal);
        }
        // What is fed over several ways has a fuse in each of them.
        loop {
            let pulled = found.pull.len();
            let without = found.without_pulled(vehicle);
            let walks = Walks::new(&without);
            for &terminal in &terminals {
                found.towards(&without, &walks, terminal);
            }
            if found.pull.len() == pulled {
                break;
            }
        }
        for &wire in &plan.wires_out {
            let wire = vehicle.wire(wire);
            for end in [wire.from, wire.to] {
                // What hangs on a post itself is lifted with the battery off.
                let source = walks.sources.iter().find(|source| source.plus == end);
                if let Some(source) = source {
                    found.unprotected(vehicle, source.part);
                }
            }
        }
        let isolated = found.applied(vehicle);
        let explored = solve::explore(&mut Solver::new(&isolated), SETTINGS);
        for terminal in terminals {
            let seen = explored.terminals.get(terminal.index());
            let by_key = seen.map_or_else(Default::default, |seen| seen.by_key);
            if by_key.contains(&true) {
                found.still_live.push((terminal, by_key));
            }
        }
        found
    }

    fn towards(&mut self, vehicle: &Vehicle, walks: &Walks, terminal: TerminalId) {
        for (source, protections) in walks.protections_ahead(vehicle, terminal) {
            let part = walks.sources[source].part;
            if vehicle.part(part).kind == Kind::Charger && !self.chargers.contains(&part) {
                self.chargers.push(part);
            }
            match protections.last() {
                Some(&first) if !self.pull.contains(&first) => self.pull.push(first),
                Some(_) => {}
                None => self.unprotected(vehicle, part),
            }
        }
    }

    fn unprotected(&mut self, vehicle: &Vehicle, part: PartId) {
        let battery = match vehicle.part(part).kind {
            Kind::Battery => Some(part),
            // The engine stands; what reaches its alternator is the battery.
            Kind::Alternator => vehicle.starter,
            _ => None,
        };
        if let Some(battery) = battery.filter(|battery| !self.batteries.contains(battery)) {
            self.batteries.push(battery);
        }
    }

    /// The vehicle with what is pulled passing no current.
    fn without_pulled(&self, vehicle: &Vehicle) -> Vehicle {
        let mut without = vehicle.clone();
        for branch in &mut without.branches {
            if self.pull.contains(&branch.part) {
                branch.element = Element::Load(Load {
                    law: None,
                    parked: None,
                    parked_duty: None,
                    settles: None,
                    modes: Vec::new(),
                    duty: exactly(Fraction(1.0)),
                    rated: vehicle.system,
                    min_voltage: vehicle.system,
                });
            }
        }
        without
    }

    /// The vehicle with these pulled and taken off.
    fn applied(&self, vehicle: &Vehicle) -> Vehicle {
        let off = [&self.pull, &self.batteries, &self.chargers];
        let mut isolated = opened(vehicle, &off.into_iter().flatten().copied().collect());
        for branch in &mut isolated.branches {
            // Nobody works on it with the engine running.
            if matches!(branch.element, Element::Alternator { .. }) {
                branch.element = Element::Contact {
                    ohms: exactly(Ohms(1.0)),
                    control: never(),
                };
            }
        }
        isolated
    }
}

/// The vehicle with these fuses pulled, the fuses of these feeds, and these batteries and chargers taken off.
pub(super) fn opened(vehicle: &Vehicle, off: &BTreeSet<PartId>) -> Vehicle {
    let mut opened = vehicle.clone();
    for branch in &mut opened.branches {
        if !off.contains(&branch.part) {
            continue;
        }
        match &mut branch.element {
            Element::Joint(ohms) | Element::Cell { ohms, .. } => {
                branch.element = Element::Contact {
                    ohms: *ohms,
                    control: never(),
                };
            }
            Element::Contact { control, .. } | Element::Charger { control, .. } => {
                *control = never();
            }
            _ => {}
        }
    }
    opened
}

/// What never closes a contact.
fn never() -> Control {
    Control::Hot {
        hot: HotIn::default(),
        stays_on: None,
        unit: None,
    }
}

fn exactly<T: Scalar>(value: T) -> Fact<T> {
    Fact {
        range: Interval::exact(value),
        likely: value,
        basis: Basis::Derived(None),
    }
}
