//! How each element may conduct, and which points stay joined to a post or to the chassis.

use super::Finder;
use crate::model::Control;
use crate::model::Element;
use crate::solve::device::Piecewise;
use crate::solve::sets::Sets;

/// How an element may conduct in this setting.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// Always, without a voltage to speak of.
    Joint,
    /// Never.
    Open,
    /// By itself, as a load or diode does.
    Passes,
    /// If a unit is set so.
    Unit(u32),
    /// If a part moves.
    Part(u32),
    /// Holds a voltage between its ends.
    Holds,
}

impl Finder<'_, '_> {
    pub(super) fn classify(&mut self) {
        let network = self.network;
        let vehicle = network.vehicle;
        self.ways.clear();
        self.ways.resize(network.ends.len(), Way::Joint);
        for (at, branch) in vehicle.branches.iter().enumerate() {
            if matches!(branch.element, Element::Coil { .. }) {
                self.ways[vehicle.wires.len() + at] = Way::Passes;
            }
        }
        for site in &network.loads {
            self.ways[site.element as usize] = Way::Passes;
        }
        for site in &network.pieces {
            let piece = network.piece(site, self.state, &self.seen.memory);
            self.ways[site.element as usize] = match piece {
                Piecewise::Cell { .. } => Way::Holds,
                Piecewise::Diode { .. } => Way::Passes,
                Piecewise::Source { .. } if !self.settled[site.part.index()] => {
                    Way::Part(site.part.0)
                }
                Piecewise::Source { on: true, .. } => Way::Holds,
                Piecewise::Source { on: false, .. } => Way::Open,
            };
        }
        for contact in &network.contacts {
            self.ways[contact.element as usize] = self.contact(contact.control);
        }
    }

    fn contact(&self, control: &Control) -> Way {
        let plain = |closed: bool| if closed { Way::Joint } else { Way::Open };
        // What it would be with every unit on.
        let with_units = || {
            let mut state = self.state.clone();
            state.positions.fill(1);
            self.network.closed(control, &state, &self.seen.memory)
        };
        let now = || self.network.closed(control, self.state, &self.seen.memory);
        let of_part = |part: crate::model::PartId, unit: Option<u32>| {
            if !self.settled[part.index()] {
                Way::Part(part.0)
            } else if let Some(unit) = unit.filter(|_| with_units()) {
                Way::Unit(unit)
            } else {
                plain(now())
            }
        };
        match control {
            Control::Switch { unit, .. } if self.outer[*unit as usize] => plain(now()),
            Control::Switch { unit, .. } => Way::Unit(*unit),
            Control::Hot {
                unit: Some(unit), ..
            } => {
                if with_units() {
                    Way::Unit(*unit)
                } else {
                    Way::Open
                }
            }
            Control::Always | Control::Hot { .. } | Control::Attached(_) => plain(now()),
            Control::Relay { relay, .. } => of_part(*relay, None),
            Control::Delay { part, .. }
            | Control::Cutoff { part, .. }
            | Control::Isolator { part, .. } => of_part(*part, None),
            Control::Output { part, unit, .. } => of_part(*part, *unit),
        }
    }

    /// Spreads rigidity from the chassis and the battery posts.
    pub(super) fn spread(&mut self) {
        let network = self.network;
        let nodes = network.vehicle.terminals.len();
        let mut sets = Sets::new(nodes);
        for (&(a, b), way) in network.ends.iter().zip(&self.ways) {
            if matches!(way, Way::Joint | Way::Holds) {
                sets.join(a, b);
            }
        }
        let mut rigid = vec![false; nodes];
        rigid[sets.lead(0) as usize] = true;
        for (at, branch) in network.vehicle.branches.iter().enumerate() {
            if matches!(branch.element, Element::Cell { .. }) {
                let (a, _) = network.ends[network.vehicle.wires.len() + at];
                rigid[sets.lead(a) as usize] = true;
            }
        }
        self.rigid = (0..nodes as u32)
            .map(|node| rigid[sets.lead(node) as usize])
            .collect();
    }
}
