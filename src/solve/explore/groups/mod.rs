//! Which switches can influence one another.
//!
//! Points joined to a battery post or to the chassis by conductors that stay closed in this setting of key and disconnects
//! are rigid: what is switched behind them changes their voltage by drops only. What remains falls apart into groups; a
//! relay joins what its coil hangs on and what its contact feeds, a switch all its contacts. A part whose coil or supply
//! hangs on rigid points alone stays as it is, so that the circuits behind a relay that follows the key are groups of
//! their own.

mod form;
mod settle;
mod tails;
mod ways;

use crate::solve::network::{Network, Rule};
use crate::solve::{Solution, State};

use ways::Way;

/// No group.
pub(super) const NONE: u32 = u32::MAX;
/// More than one group.
pub(super) const MANY: u32 = u32::MAX - 1;

/// Something that a person sets.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Unit {
    /// Index into the vehicle's switches.
    Switch(u32),
    /// A part with modes: index of the part.
    Mode(u32),
}

/// The groups of one setting of key and disconnects.
pub(super) struct Groups {
    /// Of each element: the one group whose settings decide its current, [`NONE`] or [`MANY`].
    pub of_element: Vec<u32>,
    /// Of each terminal, likewise.
    pub of_node: Vec<u32>,
    /// Of each part that decides by voltages, likewise; [`NONE`] where nothing moves it in this setting.
    pub of_part: Vec<u32>,
    /// Units of each group, in order.
    pub units: Vec<Vec<Unit>>,
    /// Where current enters and leaves the groups.
    pub feeders: Vec<Feeder>,
    /// Groups in which something may hold itself.
    pub holds: Vec<bool>,
}

/// An element between a live rigid point and a group.
#[derive(Clone, Copy, Debug)]
pub(super) struct Feeder {
    pub group: u32,
    pub element: u32,
    /// The rigid point.
    pub point: u32,
    /// +1 where current along the element enters the group.
    pub sign: f64,
}

impl Groups {
    /// Everything as one group.
    pub(super) fn whole(network: &Network<'_>) -> Self {
        let vehicle = network.vehicle;
        let switches = (0..).zip(&vehicle.switches);
        let mut units: Vec<Unit> = switches
            .filter(|(_, unit)| !unit.disconnect)
            .map(|(at, _)| Unit::Switch(at))
            .collect();
        let moded = network.loads.iter().filter(|site| {
            let load = site.load;
            load.is_some_and(|load| !load.modes.is_empty())
        });
        units.extend(moded.map(|site| Unit::Mode(site.part.0)));
        units.sort_unstable();
        units.dedup();
        Self {
            of_element: vec![0; network.ends.len()],
            of_node: vec![0; vehicle.terminals.len()],
            of_part: vec![0; vehicle.parts.len()],
            units: vec![units],
            feeders: Vec::new(),
            holds: vec![true],
        }
    }

    /// The same with some of them as one, which takes the place of the first: where it turns out that they do influence one
    /// another.
    pub(super) fn joined(&self, of: &[usize]) -> Self {
        let first = of.first().copied().unwrap_or(0);
        let join = |group: &u32| {
            if of.contains(&(*group as usize)) {
                first as u32
            } else {
                *group
            }
        };
        let mut units = vec![Vec::new(); self.units.len()];
        for (group, own) in self.units.iter().enumerate() {
            units[join(&(group as u32)) as usize].extend_from_slice(own);
        }
        units[first].sort_unstable();
        let feeders = self.feeders.iter().map(|feeder| Feeder {
            group: join(&feeder.group),
            ..*feeder
        });
        Self {
            of_element: self.of_element.iter().map(join).collect(),
            of_node: self.of_node.iter().map(join).collect(),
            of_part: self.of_part.iter().map(join).collect(),
            feeders: feeders.collect(),
            holds: self.holds.clone(),
            units,
        }
    }
}

struct Finder<'n, 'v> {
    network: &'n Network<'v>,
    state: &'n State,
    seen: &'n Solution,
    outer: &'n [bool],
    /// By part: nothing decides it any more.
    settled: Vec<bool>,
    rigid: Vec<bool>,
    ways: Vec<Way>,
}

/// Finds the groups. `outer` marks switches that are fixed by the setting; `seen` is the solution as everything is left.
pub(super) fn find(
    network: &Network<'_>,
    state: &State,
    outer: &[bool],
    seen: &Solution,
) -> Groups {
    let vehicle = network.vehicle;
    let mut finder = Finder {
        network,
        state,
        seen,
        outer,
        settled: vec![true; vehicle.parts.len()],
        rigid: Vec::new(),
        ways: Vec::new(),
    };
    for decider in &network.deciders {
        finder.settled[decider.part.index()] = false;
    }
    loop {
        finder.classify();
        finder.spread();
        let mut more = false;
        for decider in &network.deciders {
            let at = decider.part.index();
            let sensed =
                |&(a, b): &(u32, u32)| finder.rigid[a as usize] && finder.rigid[b as usize];
            let settled = match &decider.rule {
                Rule::Coil { ends, .. } => sensed(ends),
                Rule::Latch { set, reset } => {
                    set.iter().chain(reset).all(|pull| sensed(&pull.ends))
                }
                Rule::Level { points, .. } => points.iter().all(sensed),
            };
            if settled && !finder.settled[at] {
                finder.settled[at] = true;
                more = true;
            }
        }
        more |= finder.settle_the_unreachable();
        if !more {
            break;
        }
    }
    finder.group()
}

#[cfg(test)]
mod tests {
    use std::fmt::Write;

    use crate::model::testing::vehicle;
    use crate::solve::{Solver, explore};

    /// With the key off all of these hang together through the dead feed, but nothing can come of it.
    #[test]
    fn switches_behind_a_dead_feed_multiply_no_work() {
        let mut parts =
            "parts:\n  B1: {kind: battery}\n  RUN: {kind: feed, hot-in: run}\n".to_owned();
        let mut wires = "wires:\n".to_owned();
        for n in 0..14 {
            let _ = writeln!(
                parts,
                "  F{n}: {{kind: fuse, rating: 10 A}}\n  S{n}: {{kind: switch}}\n  K{n}: {{kind: relay, coil: 90 ohm}}\n  L{n}: {{kind: load, type: led, draw: 1 A}}"
            );
            let _ = writeln!(
                wires,
                "  - {{run: [RUN, S{n}, K{n}.86], size: 18 AWG, lengths: [1 m, 1 m]}}\n  - {{run: [B1, F{n}, K{n}.30], size: 14 AWG, lengths: [1 m, 1 m]}}\n  - {{from: K{n}.87, to: L{n}, size: 14 AWG, length: 1 m}}"
            );
        }
        let vehicle = vehicle(&(parts + &wires));
        let explored = explore(&mut Solver::new(&vehicle), 1000);
        assert!(
            explored.complete,
            "{} of {}",
            explored.settings, explored.of
        );
        assert!(explored.settings < 100, "{}", explored.settings);
        for branch in vehicle.branch_ids() {
            if let crate::model::Element::Load(_) = vehicle.branch(branch).element {
                assert!(
                    explored.branches[branch.index()].value.0 > 0.9,
                    "each was seen on"
                );
            }
        }
    }
}
