//! What some links join, in one sweep for all checks that ask.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::model::Link;
use crate::model::TerminalId;
use crate::model::Vehicle;

/// Terminals that can be got to from these, themselves included, over the links for which `leads` holds as seen from where one
/// stands. What `stops` names is reached and not passed.
pub(super) fn spread(
    vehicle: &Vehicle,
    from: impl IntoIterator<Item = TerminalId>,
    stops: impl Fn(TerminalId) -> bool,
    leads: impl Fn(Link, TerminalId) -> bool,
) -> BTreeSet<TerminalId> {
    let mut reached: BTreeSet<TerminalId> = from.into_iter().collect();
    let mut open: Vec<TerminalId> = reached.iter().copied().collect();
    while let Some(at) = open.pop() {
        if stops(at) {
            continue;
        }
        for edge in vehicle.graph.edges(at.node()) {
            let next = TerminalId(edge.target().index() as u32);
            if leads(*edge.weight(), at) && reached.insert(next) {
                open.push(next);
            }
        }
    }
    reached
}
