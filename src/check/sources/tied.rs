//! Which batteries are joined with the key off, and what is not known of the ways between them.

use std::collections::BTreeMap;
use std::collections::VecDeque;

use crate::check::context::Context;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

/// Two batteries with a way between their `+` that conductors make, in whatever position.
pub(in crate::check) struct Pair {
    /// The one that stands first in the record.
    pub(in crate::check) first: PartId,
    pub(in crate::check) second: PartId,
    /// The way passes a plug that can be pulled.
    pub(in crate::check) plugged: bool,
    pub(in crate::check) state: Tie,
}

/// How two batteries stand to one another with the key off, as the vehicle is left.
pub(in crate::check) enum Tie {
    /// Joined; by way of these parts.
    Joined(Vec<PartId>),
    /// Apart.
    Apart,
    /// It depends on facts that are not stated.
    Unknown(Vec<String>),
}

/// Pairs of batteries between which there is a way; those in series with one another are none.
pub(in crate::check) fn pairs(context: &Context<'_>) -> Vec<Pair> {
    let batteries: Vec<(usize, PartId, TerminalId)> = context
        .walks
        .sources
        .iter()
        .enumerate()
        .filter(|(_, source)| context.vehicle.part(source.part).kind == Kind::Battery)
        .map(|(at, source)| (at, source.part, source.plus))
        .collect();
    let mut pairs = Vec::new();
    for (number, &(a, first, from)) in batteries.iter().enumerate() {
        for &(b, second, to) in &batteries[number + 1..] {
            let stacked =
                context.walks.stack(a).contains(&b) || context.walks.stack(b).contains(&a);
            if stacked {
                continue;
            }
            let conducts = |branch: BranchId| passes(context, branch);
            if let Some(way) = way(context, from, to, conducts) {
                pairs.push(Pair {
                    first,
                    second,
                    plugged: passes_a_plug(context, &way),
                    state: state(context, from, to),
                });
            }
        }
    }
    pairs
}

/// Whether current can pass a branch both ways in some position.
fn passes(context: &Context<'_>, branch: BranchId) -> bool {
    matches!(
        context.vehicle.branch(branch).element,
        Element::Joint(_) | Element::Contact { .. }
    )
}

fn passes_a_plug(context: &Context<'_>, way: &[Link]) -> bool {
    way.iter().any(|link| match *link {
        Link::Branch(branch) => matches!(
            context.vehicle.branch(branch).element,
            Element::Contact {
                control: Control::Attached(_),
                ..
            }
        ),
        Link::Wire(_) => false,
    })
}

fn state(context: &Context<'_>, from: TerminalId, to: TerminalId) -> Tie {
    let solution = context.solved.left();
    if let Some(trouble) = &solution.trouble {
        return Tie::Unknown(vec![format!("parked: {trouble}")]);
    }
    let closed = |branch: BranchId| passes(context, branch) && solution.closed[branch.index()];
    if let Some(way) = way(context, from, to, closed) {
        let mut parts: Vec<PartId> = way
            .iter()
            .filter_map(|link| match *link {
                Link::Branch(branch) => Some(context.vehicle.branch(branch).part),
                Link::Wire(_) => None,
            })
            .collect();
        parts.dedup();
        return Tie::Joined(parts);
    }
    let doubtful = |branch: BranchId| doubt(context, solution, branch);
    let perhaps = way(context, from, to, |branch| {
        closed(branch) || (passes(context, branch) && doubtful(branch).is_some())
    });
    match perhaps {
        None => {
            let held = held(context, from, to);
            if held.is_empty() {
                Tie::Apart
            } else {
                Tie::Unknown(held)
            }
        }
        Some(way) => Tie::Unknown(
            way.iter()
                .filter_map(|link| match *link {
                    Link::Branch(branch) if !closed(branch) => doubtful(branch),
                    _ => None,
                })
                .collect(),
        ),
    }
}

/// How each switch is left that would join the two by a relay, where nobody says it.
fn held(context: &Context<'_>, from: TerminalId, to: TerminalId) -> Vec<String> {
    let vehicle = context.vehicle;
    let mut solver = Solver::new(vehicle);
    let mut joins = |switch: usize, position: u8| {
        let mut state = State::parked(vehicle);
        state.positions[switch] = position;
        let solution = solver.solve(&state, &Memory::charged(vehicle));
        let closed = |branch: BranchId| passes(context, branch) && solution.closed[branch.index()];
        way(context, from, to, closed).is_some()
    };
    let mut held = Vec::new();
    for (number, unit) in vehicle.switches.iter().enumerate() {
        let part = vehicle.part(unit.part);
        let open = part.kind == Kind::Switch && !unit.left_stated && !unit.momentary;
        let mut positions = 0..unit.positions.len() as u8;
        if open && positions.any(|position| joins(number, position)) {
            held.push(part.missing("left"));
        }
    }
    held
}

/// The fact that would have to be known to be sure that an open contact is open.
fn doubt(context: &Context<'_>, solution: &Solution, branch: BranchId) -> Option<String> {
    let inside = context.vehicle.branch(branch);
    let part = context.vehicle.part(inside.part);
    let Element::Contact { control, .. } = &inside.element else {
        return None;
    };
    match control {
        Control::Switch { unit, .. } => {
            let unit = context.vehicle.switches.get(*unit as usize)?;
            (!unit.left_stated && !unit.momentary).then(|| part.missing("left"))
        }
        Control::Isolator { opens, .. } => {
            let volts = [inside.from, inside.to].map(|end| solution.at(end));
            let higher = volts
                .into_iter()
                .fold(Volts::ZERO, |a, b| if b > a { b } else { a });
            let open = opens.range;
            (!open.is_exact() && higher > open.low).then(|| part.missing("opens"))
        }
        _ => None,
    }
}

/// The shortest way between two terminals over wires and such branches; never over the chassis or the `-` of a source.
fn way(
    context: &Context<'_>,
    from: TerminalId,
    to: TerminalId,
    conducts: impl Fn(BranchId) -> bool,
) -> Option<Vec<Link>> {
    let vehicle = context.vehicle;
    let mut came: BTreeMap<TerminalId, Option<(TerminalId, Link)>> = BTreeMap::from([(from, None)]);
    let mut queue = VecDeque::from([from]);
    while let Some(at) = queue.pop_front() {
        if at == to {
            let mut way = Vec::new();
            let mut at = at;
            while let Some(Some((before, link))) = came.get(&at) {
                way.push(*link);
                at = *before;
            }
            way.reverse();
            return Some(way);
        }
        let mut sources = context.walks.sources.iter();
        if at == TerminalId::CHASSIS || sources.any(|source| source.minus == at) {
            continue;
        }
        let mut next: Vec<(Link, TerminalId)> = vehicle
            .graph
            .edges(at.node())
            .filter_map(|edge| {
                let link = *edge.weight();
                let (a, b) = match link {
                    Link::Wire(wire) => (vehicle.wire(wire).from, vehicle.wire(wire).to),
                    Link::Branch(branch) if conducts(branch) => {
                        (vehicle.branch(branch).from, vehicle.branch(branch).to)
                    }
                    Link::Branch(_) => return None,
                };
                Some((link, if a == at { b } else { a }))
            })
            .collect();
        next.sort_unstable();
        for (link, end) in next {
            came.entry(end).or_insert_with(|| {
                queue.push_back(end);
                Some((at, link))
            });
        }
    }
    None
}
