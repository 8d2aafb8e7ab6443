//! Whether another source takes over where a fuse is pulled.

use crate::model::{Element, Link, PartId, TerminalId, Vehicle};
use crate::solve::Solution;

/// Sources that can give something with the engine stopped.
pub(super) fn steady_sources(vehicle: &Vehicle) -> usize {
    let steady =
        |element: &Element| matches!(element, Element::Cell { .. } | Element::Charger { .. });
    let branches = vehicle.branches.iter();
    branches.filter(|branch| steady(&branch.element)).count()
}

/// Whether conductors still join a terminal to the `+` of a source with a part taken out.
pub(super) fn fed_without(
    vehicle: &Vehicle,
    left: &Solution,
    at: TerminalId,
    without: PartId,
) -> bool {
    let mut seen = vec![false; vehicle.terminals.len()];
    seen[at.index()] = true;
    let mut next = vec![at];
    while let Some(at) = next.pop() {
        for edge in vehicle.graph.edges(at.node()) {
            let (from, to) = match *edge.weight() {
                Link::Wire(id) => (vehicle.wire(id).from, vehicle.wire(id).to),
                Link::Branch(id) => {
                    let branch = vehicle.branch(id);
                    match branch.element {
                        Element::Cell { .. } | Element::Charger { .. }
                            if branch.to == at && left.closed[id.index()] =>
                        {
                            return true;
                        }
                        Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
                            if branch.part != without && left.closed[id.index()] => {}
                        _ => continue,
                    }
                    (branch.from, branch.to)
                }
            };
            let other = if from == at { to } else { from };
            if other != TerminalId::CHASSIS && !seen[other.index()] {
                seen[other.index()] = true;
                next.push(other);
            }
        }
    }
    false
}
