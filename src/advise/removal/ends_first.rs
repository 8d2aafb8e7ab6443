//! Which wires a step takes off, and by which end first.

use super::least::hops;
use super::steps::Work;
use crate::model::Element;
use crate::model::Link;
use crate::model::TerminalId;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::walk::Consumer;

impl Work<'_> {
    pub(super) fn has_wire(&self, terminal: TerminalId) -> bool {
        let mut edges = self.vehicle.graph.edges(terminal.node());
        edges.any(|edge| match *edge.weight() {
            Link::Wire(wire) => !self.vehicle.wire(wire).assumed,
            Link::Branch(_) => false,
        })
    }

    pub(super) fn consumers(&self, wire: WireId) -> Vec<&Consumer> {
        self.walks.through_wire(wire).collect()
    }

    pub(super) fn is_return(&self, wire: WireId) -> bool {
        let consumers = self.consumers(wire);
        let back = consumers
            .iter()
            .any(|one| one.back.contains(&Link::Wire(wire)));
        let feed = consumers
            .iter()
            .any(|one| one.feed.contains(&Link::Wire(wire)));
        let ends = self.vehicle.wire(wire);
        let chassis = [ends.from, ends.to].contains(&TerminalId::CHASSIS);
        (back && !feed) || (consumers.is_empty() && chassis)
    }

    pub(super) fn is_control(&self, wire: WireId) -> bool {
        let consumers = self.consumers(wire);
        !consumers.is_empty()
            && consumers.iter().all(|one| {
                matches!(
                    self.vehicle.branch(one.branch).element,
                    Element::Coil { .. }
                )
            })
    }

    /// Conductors from a terminal up to the nearest source that stays, then up to the nearest of all.
    pub(super) fn hops(&self, terminal: TerminalId) -> [usize; 2] {
        hops(self.vehicle, &self.walks, &self.plan.remove, terminal)
    }

    /// Wires that come out, nearest to the source first, each with the end to lift first.
    pub(super) fn lifted(&self, which: impl Fn(WireId) -> bool) -> Vec<(WireId, TerminalId)> {
        let mut list: Vec<([usize; 2], WireId, TerminalId)> = self
            .plan
            .wires_out
            .iter()
            .copied()
            .filter(|&wire| which(wire))
            .map(|id| {
                let wire: &Wire = self.vehicle.wire(id);
                let (from, to) = (self.hops(wire.from), self.hops(wire.to));
                if from <= to {
                    (from, id, wire.from)
                } else {
                    (to, id, wire.to)
                }
            })
            .collect();
        list.sort();
        list.into_iter().map(|(_, wire, end)| (wire, end)).collect()
    }

    pub(super) fn off(&self, wires: Vec<(WireId, TerminalId)>) -> Vec<String> {
        wires
            .into_iter()
            .map(|(wire, end)| {
                let at = self.vehicle.terminal(end);
                let place = at
                    .part
                    .and_then(|part| self.vehicle.part(part).place.clone());
                let place = place.map_or_else(String::new, |place| format!(" ({place})"));
                format!("{}: first at {}{place}.", self.wire(wire), at.label)
            })
            .collect()
    }
}
