//! How far terminals are from a source and from home, and the ways that lead nearer.

use std::collections::BTreeSet;
use std::collections::VecDeque;

use super::Direction;
use super::FAR;
use super::Source;
use super::flood;
use super::steps;
use crate::model::vehicle::Link;
use crate::model::vehicle::TerminalId;
use crate::model::vehicle::Vehicle;

/// Of each source, the battery on whose `+` its `-` stands: joined by a conductor.
pub(super) fn below(vehicle: &Vehicle, sources: &[Source]) -> Vec<Option<usize>> {
    let mut stop = vec![false; vehicle.terminals.len()];
    stop[TerminalId::CHASSIS.index()] = true;
    for source in sources {
        stop[source.plus.index()] = true;
    }
    sources
        .iter()
        .map(|source| {
            let tree = flood::flood(vehicle, &[source.minus], Direction::Downstream, |at, _| {
                !stop[at.index()]
            });
            let homely = tree.reached.iter().any(|one| one.at == TerminalId::CHASSIS);
            if homely {
                return None;
            }
            sources.iter().position(|other| {
                other.plus != source.plus && tree.reached.iter().any(|one| one.at == other.plus)
            })
        })
        .collect()
}

/// Of each source, the conductors of the shortest way between the chassis and its `-`.
pub(super) fn posts(vehicle: &Vehicle, sources: &[Source]) -> Vec<Vec<Link>> {
    let mut stop = vec![false; vehicle.terminals.len()];
    for source in sources {
        stop[source.plus.index()] = true;
    }
    sources
        .iter()
        .map(|source| {
            let tree = flood::flood(vehicle, &[source.minus], Direction::Upstream, |at, _| {
                at != TerminalId::CHASSIS && !stop[at.index()]
            });
            let home = tree
                .reached
                .iter()
                .position(|one| one.at == TerminalId::CHASSIS);
            home.map_or_else(Vec::new, |entry| tree.way_back(entry))
        })
        .collect()
}

pub(super) fn hops_from_source(
    vehicle: &Vehicle,
    sources: &[Source],
    below: &[Option<usize>],
    start: TerminalId,
) -> Vec<u32> {
    let mut stop = vec![false; vehicle.terminals.len()];
    stop[TerminalId::CHASSIS.index()] = true;
    for (source, below) in sources.iter().zip(below) {
        stop[source.plus.index()] |= source.plus != start;
        // What hangs on the `-` of the upper of two batteries in series hangs on the `+` of the lower.
        stop[source.minus.index()] |= source.minus != start && below.is_none();
    }
    let tree = flood::flood(vehicle, &[start], Direction::Downstream, |at, _| {
        !stop[at.index()] || at == start
    });
    tree.hops(vehicle.terminals.len())
}

pub(super) fn hops_home(vehicle: &Vehicle, sources: &[Source]) -> Vec<u32> {
    let mut stop = vec![false; vehicle.terminals.len()];
    for source in sources {
        stop[source.plus.index()] = true;
    }
    let mut homes = vec![TerminalId::CHASSIS];
    for source in sources {
        // The `-` of the upper of two batteries in series is not home: a source's `+` stands there.
        let on_top =
            steps(vehicle, source.minus, Direction::Downstream).any(|(_, next)| stop[next.index()]);
        if !on_top && !homes.contains(&source.minus) {
            homes.push(source.minus);
        }
    }
    let tree = flood::flood(vehicle, &homes, Direction::Upstream, |at, _| {
        !stop[at.index()]
    });
    tree.hops(vehicle.terminals.len())
}

/// Adds every conductor that leads from these terminals nearer to where `hops` counts from, breadth first.
pub(super) fn nearer(
    vehicle: &Vehicle,
    hops: &[u32],
    from: &[TerminalId],
    feed: bool,
    found: &mut Vec<Link>,
) {
    let direction = if feed {
        Direction::Upstream
    } else {
        Direction::Downstream
    };
    let mut known: BTreeSet<Link> = found.iter().copied().collect();
    let mut seen: BTreeSet<TerminalId> = BTreeSet::new();
    let mut queue: VecDeque<TerminalId> = VecDeque::new();
    for &start in from {
        if hops[start.index()] != FAR && seen.insert(start) {
            queue.push_back(start);
        }
    }
    while let Some(at) = queue.pop_front() {
        // There already: half the vehicle may hang on this terminal.
        if hops[at.index()] == 0 {
            continue;
        }
        for (link, next) in steps(vehicle, at, direction) {
            if hops[next.index()] >= hops[at.index()] {
                continue;
            }
            if known.insert(link) {
                found.push(link);
            }
            if seen.insert(next) {
                queue.push_back(next);
            }
        }
    }
}
