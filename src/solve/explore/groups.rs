//! Which switches can influence one another.
//!
//! Points joined to a battery post or to the chassis by conductors that stay closed in this setting of key and disconnects
//! are rigid: what is switched behind them changes their voltage by drops only. What remains falls apart into groups; a
//! relay joins what its coil hangs on and what its contact feeds, a switch all its contacts. A part whose coil or supply
//! hangs on rigid points alone stays as it is, so that the circuits behind a relay that follows the key are groups of
//! their own.

use std::collections::BTreeMap;

use crate::model::{Control, Element};
use crate::solve::device::Piecewise;
use crate::solve::network::{Network, Rule};
use crate::solve::{LIVE, Solution, State};

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
    /// Units of each group, in order.
    pub units: Vec<Vec<Unit>>,
    /// Elements through which current enters a group from a live rigid point: group, element, +1 where it enters along
    /// the element.
    pub feeders: Vec<(u32, u32, f64)>,
    /// Groups in which something may hold itself.
    pub holds: Vec<bool>,
}

/// How an element may conduct in this setting.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
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

impl Finder<'_, '_> {
    fn classify(&mut self) {
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
    fn spread(&mut self) {
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

    /// A relay whose coil no voltage can reach, whatever is set, stays as it is: so the switches behind a feed that is dead
    /// in this position of the key do not make one group through the relays that they would move. Says whether any was
    /// found.
    fn settle_the_unreachable(&mut self) -> bool {
        let network = self.network;
        let vehicle = network.vehicle;
        let mut movable = vec![true; vehicle.parts.len()];
        let mut coils: Vec<(usize, Vec<u32>)> = Vec::new();
        for decider in &network.deciders {
            let part = decider.part.index();
            let nodes: Vec<u32> = match &decider.rule {
                _ if self.settled[part] => continue,
                Rule::Coil { ends, .. } => vec![ends.0, ends.1],
                Rule::Latch { set, reset } => {
                    let pulls = set.iter().chain(reset);
                    pulls.flat_map(|pull| [pull.ends.0, pull.ends.1]).collect()
                }
                Rule::Level { .. } => continue,
            };
            movable[part] = false;
            coils.push((part, nodes));
        }
        if coils.is_empty() {
            return false;
        }
        let mut closed = vec![false; network.ends.len()];
        for contact in &network.contacts {
            let now = network.closed(contact.control, self.state, &self.seen.memory);
            closed[contact.element as usize] = now;
        }
        let mut sets = Sets::new(vehicle.terminals.len());
        let mut waiting: Vec<(usize, u32, u32)> = Vec::new();
        for (at, (&(a, b), way)) in network.ends.iter().zip(&self.ways).enumerate() {
            // What is joined by the chassis alone feeds nothing.
            if a == 0 || b == 0 {
                continue;
            }
            match *way {
                Way::Open | Way::Holds => {}
                Way::Part(part) if !movable[part as usize] && !closed[at] => {
                    waiting.push((part as usize, a, b));
                }
                _ => {
                    sets.join(a, b);
                }
            }
        }
        let mut sources: Vec<u32> = (1..vehicle.terminals.len() as u32)
            .filter(|&node| {
                self.rigid[node as usize] && self.seen.volts[node as usize].0.abs() > LIVE
            })
            .collect();
        for (&(a, b), way) in network.ends.iter().zip(&self.ways) {
            if *way == Way::Holds {
                sources.extend([a, b].into_iter().filter(|&node| node != 0));
            }
        }
        // Each round lets the relays move whose coils can be reached; what they close may reach further coils.
        loop {
            let mut live = vec![false; vehicle.terminals.len()];
            for &source in &sources {
                live[sets.lead(source) as usize] = true;
            }
            let mut more = false;
            for (part, nodes) in &coils {
                let reached = nodes
                    .iter()
                    .any(|&node| node != 0 && live[sets.lead(node) as usize]);
                if reached && !movable[*part] {
                    movable[*part] = true;
                    more = true;
                }
            }
            if !more {
                break;
            }
            for &(part, a, b) in &waiting {
                if movable[part] {
                    sets.join(a, b);
                }
            }
        }
        let mut found = false;
        for (part, _) in coils {
            if !movable[part] {
                self.settled[part] = true;
                found = true;
            }
        }
        found
    }

    fn group(&self) -> Groups {
        let network = self.network;
        let vehicle = network.vehicle;
        let nodes = vehicle.terminals.len() as u32;
        let switches = vehicle.switches.len() as u32;
        let parts = vehicle.parts.len() as u32;
        let of_unit = |unit: u32| nodes + unit;
        let of_part = |part: u32| nodes + switches + part;
        let of_mode = |part: u32| nodes + switches + parts + part;
        let mut sets = Sets::new((nodes + switches + 2 * parts) as usize);
        let loose = |node: u32| !self.rigid[node as usize];
        for (&(a, b), way) in network.ends.iter().zip(&self.ways) {
            if *way != Way::Open && loose(a) && loose(b) {
                sets.join(a, b);
            }
        }
        let mut used = vec![false; sets.leads.len()];
        let mut touch = |sets: &mut Sets, item: u32, (a, b): (u32, u32)| {
            used[item as usize] = true;
            let mut again = false;
            for node in [a, b] {
                if loose(node) {
                    again |= !sets.join(item, node);
                }
            }
            again
        };
        for (&ends, way) in network.ends.iter().zip(&self.ways) {
            if let Way::Unit(unit) = *way {
                touch(&mut sets, of_unit(unit), ends);
            }
        }
        for site in &network.loads {
            if site.load.is_some_and(|load| !load.modes.is_empty()) {
                let ends = network.ends[site.element as usize];
                touch(&mut sets, of_mode(site.part.0), ends);
            }
        }
        // A part that joins what is joined already may hold itself in.
        let mut holding = Vec::new();
        for decider in &network.deciders {
            if self.settled[decider.part.index()] {
                continue;
            }
            let item = of_part(decider.part.0);
            let sensed: Vec<(u32, u32)> = match &decider.rule {
                Rule::Coil { ends, .. } => vec![*ends],
                Rule::Latch { set, reset } => {
                    holding.push(item);
                    set.iter().chain(reset).map(|pull| pull.ends).collect()
                }
                Rule::Level {
                    points,
                    rises,
                    falls,
                } => {
                    if rises > falls {
                        holding.push(item);
                    }
                    points.clone()
                }
            };
            for ends in sensed {
                touch(&mut sets, item, ends);
            }
        }
        for (&ends, way) in network.ends.iter().zip(&self.ways) {
            if let Way::Part(part) = *way
                && touch(&mut sets, of_part(part), ends)
            {
                holding.push(of_part(part));
            }
        }
        // An output of a part that also has a unit joins the two.
        for contact in &network.contacts {
            if let Control::Output {
                part,
                unit: Some(unit),
                ..
            } = contact.control
                && matches!(self.ways[contact.element as usize], Way::Part(_))
            {
                used[of_unit(*unit) as usize] = true;
                sets.join(of_part(part.0), of_unit(*unit));
            }
        }
        let mut numbers: BTreeMap<u32, u32> = BTreeMap::new();
        let mut units: Vec<Vec<Unit>> = Vec::new();
        let mut number = |sets: &mut Sets, units: &mut Vec<Vec<Unit>>, item: u32| {
            let lead = sets.lead(item);
            *numbers.entry(lead).or_insert_with(|| {
                units.push(Vec::new());
                units.len() as u32 - 1
            })
        };
        for unit in (0..switches).filter(|&unit| used[of_unit(unit) as usize]) {
            let group = number(&mut sets, &mut units, of_unit(unit));
            units[group as usize].push(Unit::Switch(unit));
        }
        for part in (0..parts).filter(|&part| used[of_mode(part) as usize]) {
            let group = number(&mut sets, &mut units, of_mode(part));
            units[group as usize].push(Unit::Mode(part));
        }
        let of_node: Vec<u32> = (0..nodes)
            .map(|node| {
                if loose(node) {
                    number(&mut sets, &mut units, node)
                } else {
                    NONE
                }
            })
            .collect();
        let mut of_element = vec![NONE; network.ends.len()];
        let mut feeders = Vec::new();
        for (at, (&(a, b), way)) in network.ends.iter().zip(&self.ways).enumerate() {
            let item = match *way {
                Way::Unit(unit) => Some(of_unit(unit)),
                Way::Part(part) => Some(of_part(part)),
                _ => None,
            };
            let group = match item {
                Some(item) => number(&mut sets, &mut units, item),
                None if loose(a) => of_node[a as usize],
                None => of_node[b as usize],
            };
            of_element[at] = group;
            if group == NONE || *way == Way::Open {
                continue;
            }
            let live = |node: u32| !loose(node) && self.seen.volts[node as usize].0.abs() > LIVE;
            if live(a) {
                feeders.push((group, at as u32, 1.0));
            } else if live(b) {
                feeders.push((group, at as u32, -1.0));
            }
        }
        let holding: Vec<u32> = holding
            .into_iter()
            .map(|item| number(&mut sets, &mut units, item))
            .collect();
        let mut holds = vec![false; units.len()];
        for group in holding {
            holds[group as usize] = true;
        }
        let mut groups = Groups {
            of_element,
            of_node,
            units,
            feeders,
            holds,
        };
        self.bury_the_dead(&mut groups);
        self.claim_tails(&mut groups);
        groups
    }

    /// A group that no source can reach, whatever is set, has nothing to explore.
    fn bury_the_dead(&self, groups: &mut Groups) {
        let mut alive = vec![false; groups.units.len()];
        for &(group, ..) in &groups.feeders {
            alive[group as usize] = true;
        }
        for (at, way) in self.ways.iter().enumerate() {
            let group = groups.of_element[at];
            if group != NONE && *way == Way::Holds {
                alive[group as usize] = true;
            }
        }
        for (units, alive) in groups.units.iter_mut().zip(alive) {
            if !alive {
                units.clear();
            }
        }
    }

    /// Gives rigid conductors that lead to one group only, such as its fuse and its return, to that group.
    fn claim_tails(&self, groups: &mut Groups) {
        let network = self.network;
        let nodes = network.vehicle.terminals.len();
        let mut label = vec![NONE; nodes];
        let merge = |label: &mut u32, other: u32| {
            *label = match (*label, other) {
                (NONE, other) => other,
                (own, NONE) => own,
                (own, other) if own == other => own,
                _ => MANY,
            };
        };
        let mut posts = vec![false; nodes];
        let mut near: Vec<Vec<u32>> = vec![Vec::new(); nodes];
        posts[0] = true;
        for (at, (&(a, b), way)) in network.ends.iter().zip(&self.ways).enumerate() {
            let group = groups.of_element[at];
            if group != NONE {
                for node in [a, b] {
                    if self.rigid[node as usize] {
                        merge(&mut label[node as usize], group);
                    }
                }
            } else if *way == Way::Holds {
                posts[a as usize] = true;
                posts[b as usize] = true;
            } else if *way == Way::Joint && a != b && self.rigid[a as usize] {
                near[a as usize].push(at as u32);
                near[b as usize].push(at as u32);
            }
        }
        let mut left: Vec<usize> = near.iter().map(Vec::len).collect();
        let mut gone = vec![false; network.ends.len()];
        let mut leaves: Vec<u32> = (0..nodes as u32)
            .filter(|&node| left[node as usize] == 1 && !posts[node as usize])
            .collect();
        while let Some(leaf) = leaves.pop() {
            let Some(&element) = near[leaf as usize]
                .iter()
                .find(|&&element| !gone[element as usize])
            else {
                continue;
            };
            gone[element as usize] = true;
            let (a, b) = network.ends[element as usize];
            let other = if a == leaf { b } else { a };
            let own = label[leaf as usize];
            groups.of_element[element as usize] = own;
            groups.of_node[leaf as usize] = own;
            merge(&mut label[other as usize], own);
            left[other as usize] -= 1;
            if left[other as usize] == 1 && !posts[other as usize] {
                leaves.push(other);
            }
        }
        for (element, gone) in gone.iter().enumerate() {
            let joint = self.ways[element] == Way::Joint;
            let (a, _) = network.ends[element];
            if joint && !gone && self.rigid[a as usize] {
                groups.of_element[element] = MANY;
            }
        }
        for (at, way) in self.ways.iter().enumerate() {
            if *way == Way::Holds {
                groups.of_element[at] = MANY;
            }
        }
    }
}

/// Union of sets with the smallest member as lead.
pub(super) struct Sets {
    leads: Vec<u32>,
}

impl Sets {
    pub(super) fn new(count: usize) -> Self {
        Self {
            leads: (0..count as u32).collect(),
        }
    }

    pub(super) fn lead(&mut self, mut at: u32) -> u32 {
        while self.leads[at as usize] != at {
            let next = self.leads[self.leads[at as usize] as usize];
            self.leads[at as usize] = next;
            at = next;
        }
        at
    }

    /// Whether they were apart.
    pub(super) fn join(&mut self, a: u32, b: u32) -> bool {
        let (a, b) = (self.lead(a), self.lead(b));
        let (low, high) = (a.min(b), a.max(b));
        self.leads[high as usize] = low;
        low != high
    }
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
