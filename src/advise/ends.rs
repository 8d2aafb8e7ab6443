//! Bare ends, and when they are live.

use crate::model::BranchId;
use crate::model::Key;
use crate::model::Link;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::phrase;
use crate::read::document::Kind;
use crate::solve::Explored;

/// Wires on a terminal, those taken for granted among them.
pub(super) fn wires_at(vehicle: &Vehicle, at: TerminalId) -> impl Iterator<Item = WireId> {
    vehicle
        .graph
        .edges(at.node())
        .filter_map(|edge| match *edge.weight() {
            Link::Wire(wire) => Some(wire),
            Link::Branch(_) => None,
        })
}

/// Whether a terminal is an end: nothing lands on it, or it is the end of a wire that goes nowhere.
pub(super) fn is_bare(vehicle: &Vehicle, at: TerminalId) -> bool {
    let part = vehicle.terminal(at).part;
    let stub = part.is_some_and(|part| vehicle.part(part).kind == Kind::Stub);
    if stub {
        return wires_at(vehicle, at).next().is_some();
    }
    let other = |branch: BranchId| Some(vehicle.branch(branch).part) != part;
    let joined = vehicle
        .graph
        .edges(at.node())
        .any(|edge| match *edge.weight() {
            Link::Wire(_) => true,
            Link::Branch(branch) => other(branch),
        });
    !joined
}

/// In which positions of the key a terminal was seen live.
pub(super) fn by_key(explored: &Explored, at: TerminalId) -> [bool; Key::ALL.len()] {
    let seen = explored.terminals.get(at.index());
    seen.map_or_else(Default::default, |seen| seen.by_key)
}

/// `with the key in run and start`, `with the key in any position`.
#[must_use]
pub fn keys(by_key: [bool; Key::ALL.len()]) -> String {
    let hot: Vec<&str> = Key::ALL
        .into_iter()
        .zip(by_key)
        .filter(|(_, hot)| *hot)
        .map(|(key, _)| key.text())
        .collect();
    match hot.as_slice() {
        [] => "in no position of the key".to_owned(),
        all if all.len() == Key::ALL.len() => "with the key in any position".to_owned(),
        ["off"] => "with the key off".to_owned(),
        some => format!("with the key in {}", phrase::and(some)),
    }
}
