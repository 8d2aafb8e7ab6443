//! Terminals that are fed by others through what conducts in a solution.

use std::collections::BTreeSet;

use crate::check::context::Context;
use crate::check::spread::spread;
use crate::model::Element;
use crate::model::Link;
use crate::model::TerminalId;
use crate::solve::Solution;

/// Where current gets to from some terminals: over wires, joints, closed contacts, diodes and converters forwards; never over the
/// chassis or the `-` of a source.
pub(super) fn reach(
    context: &Context<'_>,
    solution: &Solution,
    from: Vec<TerminalId>,
) -> BTreeSet<TerminalId> {
    let vehicle = context.vehicle;
    let ends = |terminal: TerminalId| {
        let mut sources = context.walks.sources.iter();
        terminal == TerminalId::CHASSIS || sources.any(|source| source.minus == terminal)
    };
    let leads = |link: Link, at: TerminalId| match link {
        Link::Wire(_) => true,
        Link::Branch(id) => match vehicle.branch(id).element {
            Element::Joint(_) => true,
            Element::Contact { .. } => solution.closed[id.index()],
            Element::Diode { .. } | Element::Converter { .. } => vehicle.branch(id).from == at,
            _ => false,
        },
    };
    spread(vehicle, from, ends, leads)
}
