//! By which way a terminal is live in a solved state: from which sources, over which conductors.

use std::collections::VecDeque;

use crate::model::BranchId;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::walk::is_protection;
use crate::solve::Solution;

/// One way from a source to a terminal.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Route {
    /// The source.
    pub source: PartId,
    /// What it runs over, from the source on.
    pub way: Vec<Link>,
    /// Protections on it, nearest to the source first.
    pub protections: Vec<PartId>,
    /// Users of current that it runs through: the terminal is live because it finds no way home.
    pub through: Vec<PartId>,
}

/// The shortest way from each source that gives a voltage in this state. Where no conductors lead to the terminal, ways
/// through users of current are given.
#[must_use]
pub fn routes(vehicle: &Vehicle, solution: &Solution, at: TerminalId) -> Vec<Route> {
    let conducts = |link: Link, from: TerminalId| step(vehicle, link, from, Some(solution));
    let direct = ways(vehicle, Some(solution), at, |link, from| {
        conducts(link, from)
            .filter(|step| !step.uses)
            .map(|step| step.to)
    });
    if !direct.is_empty() {
        return direct;
    }
    ways(vehicle, Some(solution), at, |link, from| {
        conducts(link, from).map(|step| step.to)
    })
}

/// The shortest way from each source to a terminal over everything that can conduct in some setting, these branches apart;
/// where wanted, through users of current as well.
pub(super) fn possible(
    vehicle: &Vehicle,
    at: TerminalId,
    opened: &[BranchId],
    through: bool,
) -> Vec<Route> {
    ways(vehicle, None, at, |link, from| {
        if let Link::Branch(branch) = link
            && opened.contains(&branch)
        {
            return None;
        }
        step(vehicle, link, from, None)
            .filter(|step| through || !step.uses)
            .map(|step| step.to)
    })
    .into_iter()
    .filter(|route| {
        let own = &vehicle.part(route.source).branches;
        !own.iter().any(|branch| opened.contains(branch))
    })
    .collect()
}

/// Where a conductor leads, and whether that is a user of current.
struct Step {
    to: TerminalId,
    uses: bool,
}

/// A step over a link; with a solution only over what conducts in it.
fn step(
    vehicle: &Vehicle,
    link: Link,
    from: TerminalId,
    solution: Option<&Solution>,
) -> Option<Step> {
    let (a, b, one_way, uses) = match link {
        Link::Wire(wire) => {
            let wire = vehicle.wire(wire);
            (wire.from, wire.to, false, false)
        }
        Link::Branch(id) => {
            let branch = vehicle.branch(id);
            let closed = solution.is_none_or(|solution| solution.closed[id.index()]);
            let (one_way, uses) = match &branch.element {
                Element::Joint(_) => (false, false),
                Element::Contact { .. } if closed => (false, false),
                Element::Diode { .. } if closed => (true, false),
                Element::Load(_) | Element::Coil { .. } => (false, true),
                _ => return None,
            };
            (branch.from, branch.to, one_way, uses)
        }
    };
    if a == from {
        Some(Step { to: b, uses })
    } else if one_way {
        None
    } else {
        Some(Step { to: a, uses })
    }
}

fn ways(
    vehicle: &Vehicle,
    solution: Option<&Solution>,
    at: TerminalId,
    leads: impl Fn(Link, TerminalId) -> Option<TerminalId>,
) -> Vec<Route> {
    if at == TerminalId::CHASSIS {
        return Vec::new();
    }
    let sources = vehicle.branch_ids().filter(|&id| {
        let source = matches!(
            vehicle.branch(id).element,
            Element::Cell { .. }
                | Element::Alternator { .. }
                | Element::Charger { .. }
                | Element::Converter { .. }
        );
        source && solution.is_none_or(|solution| solution.closed[id.index()])
    });
    sources
        .filter_map(|id| {
            let branch = vehicle.branch(id);
            let way = shortest(vehicle, branch.to, at, &leads)?;
            let parts = way.iter().filter_map(|link| match link {
                Link::Branch(branch) => Some(*branch),
                Link::Wire(_) => None,
            });
            let mut route = Route {
                source: branch.part,
                protections: Vec::new(),
                through: Vec::new(),
                way: Vec::new(),
            };
            for branch in parts {
                let of = vehicle.branch(branch);
                if is_protection(vehicle, of.part) {
                    route.protections.push(of.part);
                }
                if matches!(of.element, Element::Load(_) | Element::Coil { .. }) {
                    route.through.push(of.part);
                }
            }
            route.way = way;
            Some(route)
        })
        .collect()
}

/// The shortest way, from the start on; nothing is fed through the chassis.
fn shortest(
    vehicle: &Vehicle,
    from: TerminalId,
    to: TerminalId,
    leads: &impl Fn(Link, TerminalId) -> Option<TerminalId>,
) -> Option<Vec<Link>> {
    let mut reached: Vec<Option<(TerminalId, Link)>> = vec![None; vehicle.terminals.len()];
    let mut seen = vec![false; vehicle.terminals.len()];
    seen[TerminalId::CHASSIS.index()] = true;
    seen[from.index()] = true;
    let mut queue = VecDeque::from([from]);
    while let Some(at) = queue.pop_front() {
        if at == to {
            let mut way = Vec::new();
            let mut at = to;
            while let Some((before, link)) = reached[at.index()] {
                way.push(link);
                at = before;
            }
            way.reverse();
            return Some(way);
        }
        let mut links: Vec<Link> = vehicle
            .graph
            .edges(at.node())
            .map(|edge| *edge.weight())
            .collect();
        links.sort_unstable();
        for link in links {
            if let Some(next) = leads(link, at)
                && !std::mem::replace(&mut seen[next.index()], true)
            {
                reached[next.index()] = Some((at, link));
                queue.push_back(next);
            }
        }
    }
    None
}
