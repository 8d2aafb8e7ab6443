//! Walks over the graph: the ways of each consumer's current, what lies behind a protection, and what lies ahead of
//! the first one.
//!
//! A *conductor* is anything that passes current without using it: wires, joints, contacts in any position, diodes
//! forwards. Two contacts of one part that are never closed together (87 and 87a) are never passed one after the other.
//! A *consumer* is a load, a coil, or the input of a converter. Current runs from a source over conductors to a consumer
//! and home by the consumer's own returns; the returns of its neighbours are no part of its way.

mod flood;
mod hops;
mod protection;

use std::collections::BTreeMap;

use hops::below;
use hops::hops_from_source;
use hops::hops_home;
use hops::nearer;
use hops::posts;

pub use flood::Reached;
pub use flood::Tree;
pub use protection::Behind;
pub use protection::Downstream;
pub use protection::End;
pub use protection::Reach;
pub use protection::Tap;

use super::element::Control;
use super::element::{Element, Load};
use super::vehicle::BranchId;
use super::vehicle::Link;
use super::vehicle::PartId;
use super::vehicle::TerminalId;
use super::vehicle::Vehicle;
use super::vehicle::WireId;
use crate::quantity::Volts;
use crate::read::document::Kind;

/// Hops to somewhere that cannot be reached.
const FAR: u32 = u32::MAX;

/// Where current comes from: a battery, an alternator, a charger, or the output of a converter.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Source {
    /// The part.
    pub part: PartId,
    /// Its branch.
    pub branch: BranchId,
    /// Its `+`, or a converter's `out`.
    pub plus: TerminalId,
    /// Its `-`.
    pub minus: TerminalId,
}

/// A load, a coil, or the input of a converter, and the ways of its current.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Consumer {
    /// The part.
    pub part: PartId,
    /// Its branch.
    pub branch: BranchId,
    /// Conductors between it and the sources that can reach it, the nearest first.
    pub feed: Vec<Link>,
    /// Conductors on its way home, the nearest first.
    pub back: Vec<Link>,
    /// Indices into [`Walks::sources`] of the sources that can reach it.
    pub sources: Vec<usize>,
    /// Whether a way home exists.
    pub comes_home: bool,
}

/// Ways of current through a vehicle, found once and asked often. Building it costs one pass over the graph for each
/// source and one for all the ways home.
#[derive(Clone, Debug)]
pub struct Walks {
    /// In document order.
    pub sources: Vec<Source>,
    /// In the order of branches.
    pub consumers: Vec<Consumer>,
    /// Hops from each source to each terminal.
    hops: Vec<Vec<u32>>,
    /// Hops from each terminal to the chassis or to the `-` of a source.
    home: Vec<u32>,
    by_wire: Vec<Vec<u32>>,
    by_branch: Vec<Vec<u32>>,
    at_terminal: Vec<Vec<u32>>,
    by_part: BTreeMap<PartId, Vec<u32>>,
    by_source: Vec<Vec<u32>>,
    ends: Vec<bool>,
    /// Of each source: the source on whose `+` its `-` stands, and the ways between the chassis and its `-`.
    below: Vec<Option<usize>>,
    posts: Vec<Vec<Link>>,
    cranking: Vec<bool>,
}

impl Walks {
    /// Finds the ways of a vehicle.
    #[must_use]
    pub fn new(vehicle: &Vehicle) -> Self {
        let sources = sources(vehicle);
        let below = below(vehicle, &sources);
        let hops: Vec<Vec<u32>> = sources
            .iter()
            .map(|source| hops_from_source(vehicle, &sources, &below, source.plus))
            .collect();
        let home = hops_home(vehicle, &sources);
        let mut ends = vec![false; vehicle.terminals.len()];
        ends[TerminalId::CHASSIS.index()] = true;
        for source in &sources {
            ends[source.plus.index()] = true;
            ends[source.minus.index()] = true;
        }
        let mut walks = Self {
            consumers: Vec::new(),
            hops,
            home,
            by_wire: vec![Vec::new(); vehicle.wires.len()],
            by_branch: vec![Vec::new(); vehicle.branches.len()],
            at_terminal: vec![Vec::new(); vehicle.terminals.len()],
            by_part: BTreeMap::new(),
            by_source: vec![Vec::new(); sources.len()],
            below,
            posts: posts(vehicle, &sources),
            ends,
            cranking: vec![false; vehicle.wires.len()],
            sources,
        };
        walks.find_consumers(vehicle);
        walks.link_bank(vehicle);
        walks
    }

    /// A link between the posts of two batteries of the bank that starts the engine is a cranking cable.
    fn link_bank(&mut self, vehicle: &Vehicle) {
        let bank = |part: PartId| {
            vehicle
                .part(part)
                .fields
                .text("bank")
                .map(|bank| &bank.value)
        };
        let Some(cranks) = vehicle.starter.and_then(bank) else {
            return;
        };
        let member = |end: TerminalId| {
            let part = vehicle.terminal(end).part?;
            let of = vehicle.part(part);
            (of.kind == Kind::Battery && bank(part) == Some(cranks)).then_some(part)
        };
        for id in vehicle.wire_ids() {
            let wire = vehicle.wire(id);
            if let (Some(a), Some(b)) = (member(wire.from), member(wire.to))
                && a != b
            {
                self.cranking[id.index()] = true;
            }
        }
    }

    fn find_consumers(&mut self, vehicle: &Vehicle) {
        for branch in vehicle.branch_ids() {
            let inside = vehicle.branch(branch);
            let ends = match &inside.element {
                Element::Load(_) | Element::Coil { .. } => [inside.from, inside.to],
                Element::Converter { back, .. } => [inside.from, *back],
                _ => continue,
            };
            let sources: Vec<usize> = (0..self.sources.len())
                .filter(|&s| ends.iter().any(|end| self.hops[s][end.index()] != FAR))
                .collect();
            let feed = self.uphill(vehicle, &ends);
            let back = self.downhill(vehicle, &ends);
            let comes_home = ends.iter().any(|end| self.home[end.index()] != FAR);
            let number = self.consumers.len() as u32;
            for end in ends {
                self.at_terminal[end.index()].push(number);
            }
            self.by_part.entry(inside.part).or_default().push(number);
            for &source in &sources {
                self.by_source[source].push(number);
            }
            let mut posts: Vec<Link> = Vec::new();
            for &source in &sources {
                for &link in &self.posts[self.bottom_source(source)] {
                    if !posts.contains(&link) && !feed.contains(&link) && !back.contains(&link) {
                        posts.push(link);
                    }
                }
            }
            for link in feed.iter().chain(&back).chain(&posts) {
                match link {
                    Link::Wire(wire) => self.by_wire[wire.index()].push(number),
                    Link::Branch(branch) => self.by_branch[branch.index()].push(number),
                }
            }
            self.by_branch[branch.index()].push(number);
            if is_starter(vehicle, inside.part) {
                for link in feed.iter().chain(&back).chain(&posts) {
                    if let Link::Wire(wire) = link {
                        self.cranking[wire.index()] = true;
                    }
                }
            }
            self.consumers.push(Consumer {
                part: inside.part,
                branch,
                feed,
                back,
                sources,
                comes_home,
            });
        }
    }

    /// Conductors between terminals and every source that can reach them: those that lead nearer to the source.
    fn uphill(&self, vehicle: &Vehicle, from: &[TerminalId]) -> Vec<Link> {
        let mut found = Vec::new();
        for hops in &self.hops {
            nearer(vehicle, hops, from, true, &mut found);
        }
        found
    }

    fn downhill(&self, vehicle: &Vehicle, from: &[TerminalId]) -> Vec<Link> {
        let mut found = Vec::new();
        nearer(vehicle, &self.home, from, false, &mut found);
        found
    }

    /// Conductors between a terminal and every source that can reach it, the nearest to the terminal first.
    #[must_use]
    pub fn leading_to(&self, vehicle: &Vehicle, terminal: TerminalId) -> Vec<Link> {
        self.uphill(vehicle, &[terminal])
    }

    /// Consumers whose current can run through a wire.
    pub fn through_wire(&self, wire: WireId) -> impl Iterator<Item = &Consumer> {
        self.by_wire[wire.index()]
            .iter()
            .map(|&number| &self.consumers[number as usize])
    }

    /// Consumers whose current can run through a branch; of a consumer's own branch, it alone.
    pub fn through_branch(&self, branch: BranchId) -> impl Iterator<Item = &Consumer> {
        self.by_branch[branch.index()]
            .iter()
            .map(|&number| &self.consumers[number as usize])
    }

    /// Consumers that belong to a part, in the order of its branches.
    pub fn consumers_of(&self, part: PartId) -> impl Iterator<Item = &Consumer> {
        let own = self.by_part.get(&part);
        own.into_iter()
            .flatten()
            .map(|&number| &self.consumers[number as usize])
    }

    /// Consumers that a source can reach.
    pub fn behind_source(&self, source: usize) -> impl Iterator<Item = &Consumer> {
        self.by_source[source]
            .iter()
            .map(|&number| &self.consumers[number as usize])
    }

    /// The `-` at the foot of a source: its own, or that of the lowest of several batteries in series.
    #[must_use]
    pub fn bottom(&self, source: usize) -> TerminalId {
        self.sources[self.bottom_source(source)].minus
    }

    fn bottom_source(&self, source: usize) -> usize {
        let mut at = source;
        // Batteries that stand on one another in a ring have no foot.
        for _ in 0..self.sources.len() {
            match self.below[at] {
                Some(next) => at = next,
                None => break,
            }
        }
        at
    }

    /// The voltage of which a drop at a load is a share: that of a converter's output, of the one battery of a 24 V pair that
    /// feeds a 12 V load, else that of the system.
    #[must_use]
    pub fn nominal(&self, vehicle: &Vehicle, source: usize, load: &Load) -> Volts {
        let branch = self.sources[source].branch;
        if let Element::Converter { volts, .. } = &vehicle.branch(branch).element {
            return volts.likely;
        }
        let system = vehicle.system.likely;
        if load.rated.likely.0 < 0.7 * system.0 {
            return system * 0.5;
        }
        system
    }

    /// Whether a part is the starter of the engine.
    #[must_use]
    pub fn is_starter(&self, vehicle: &Vehicle, part: PartId) -> bool {
        is_starter(vehicle, part)
    }

    /// The batteries whose voltages add up at a source's `+`, itself first: those in series below it.
    #[must_use]
    pub fn stack(&self, source: usize) -> Vec<usize> {
        let mut stack = vec![source];
        while let Some(next) = self.below[stack[stack.len() - 1]] {
            if stack.contains(&next) {
                break;
            }
            stack.push(next);
        }
        stack
    }

    /// The conductors of the shortest way between the chassis and the foot of a source; nothing where it stands apart from
    /// the chassis.
    #[must_use]
    pub fn way_home(&self, source: usize) -> &[Link] {
        &self.posts[self.bottom_source(source)]
    }

    /// Where the current of a source can get to over conductors, protections among them: a tree from its `+` that ends at the
    /// chassis and at the posts of other sources.
    #[must_use]
    pub fn spread(&self, vehicle: &Vehicle, source: usize) -> Tree {
        let start = self.sources[source].plus;
        flood::flood(vehicle, &[start], Direction::Downstream, |at, _| {
            at == start || !self.ends[at.index()]
        })
    }

    /// Whether a wire carries the current of the starter: a cranking cable, its return, or a link inside the bank.
    #[must_use]
    pub fn is_cranking(&self, wire: WireId) -> bool {
        self.cranking[wire.index()]
    }

    /// Whether any source can reach a terminal over conductors.
    #[must_use]
    pub fn fed(&self, terminal: TerminalId) -> bool {
        self.hops.iter().any(|hops| hops[terminal.index()] != FAR)
    }

    /// Whether a source can reach a terminal by a shortest way that passes none of these branches.
    #[must_use]
    pub fn fed_apart_from(
        &self,
        vehicle: &Vehicle,
        terminal: TerminalId,
        branches: &[BranchId],
    ) -> bool {
        (0..self.sources.len()).any(|source| {
            self.way_up(vehicle, source, terminal).is_some_and(|way| {
                !way.iter().any(|link| match link {
                    Link::Branch(branch) => branches.contains(branch),
                    Link::Wire(_) => false,
                })
            })
        })
    }

    /// Whether two ends of a conductor are nearer to different sources: it joins them.
    #[must_use]
    pub fn ties_sources(&self, a: TerminalId, b: TerminalId) -> bool {
        let nearer = |a: TerminalId, b: TerminalId| {
            let mut all = self.hops.iter();
            all.any(|hops| hops[a.index()] < hops[b.index()])
        };
        nearer(a, b) && nearer(b, a)
    }

    /// Whether a terminal leads home over conductors.
    #[must_use]
    pub fn comes_home(&self, terminal: TerminalId) -> bool {
        self.home[terminal.index()] != FAR
    }

    /// The conductors at a terminal that lead nearer to the chassis or to the `-` of a source, and where each leads.
    #[must_use]
    pub fn links_home(&self, vehicle: &Vehicle, at: TerminalId) -> Vec<(Link, TerminalId)> {
        let here = self.home[at.index()];
        steps(vehicle, at, Direction::Downstream)
            .filter(|(_, next)| self.home[next.index()] < here)
            .collect()
    }

    /// The shortest way from a terminal up to a source, nearest conductor first; nothing where the source cannot reach it.
    #[must_use]
    pub fn way_up(
        &self,
        vehicle: &Vehicle,
        source: usize,
        terminal: TerminalId,
    ) -> Option<Vec<Link>> {
        let hops = &self.hops[source];
        let mut at = terminal;
        if hops[at.index()] == FAR {
            return None;
        }
        let mut way = Vec::new();
        while hops[at.index()] > 0 {
            let (link, next) = steps(vehicle, at, Direction::Upstream)
                .filter(|(_, next)| hops[next.index()] < hops[at.index()])
                .min_by_key(|&(link, next)| (hops[next.index()], link))?;
            way.push(link);
            at = next;
        }
        Some(way)
    }

    /// The protections on the shortest way from a terminal up to each source that can reach it, nearest first.
    #[must_use]
    pub fn protections_ahead(
        &self,
        vehicle: &Vehicle,
        terminal: TerminalId,
    ) -> Vec<(usize, Vec<PartId>)> {
        (0..self.sources.len())
            .filter_map(|source| {
                let way = self.way_up(vehicle, source, terminal)?;
                let parts = way
                    .into_iter()
                    .filter_map(|link| match link {
                        Link::Branch(branch) => Some(vehicle.branch(branch).part),
                        Link::Wire(_) => None,
                    })
                    .filter(|&part| is_protection(vehicle, part))
                    .collect();
                Some((source, parts))
            })
            .collect()
    }
}

/// Whether a part protects what is behind it: a fuse, breaker or fusible link, or a feed with its factory fuse.
#[must_use]
pub fn is_protection(vehicle: &Vehicle, part: PartId) -> bool {
    matches!(
        vehicle.part(part).kind,
        Kind::Fuse | Kind::Breaker | Kind::FusibleLink | Kind::Feed
    )
}

fn is_starter(vehicle: &Vehicle, part: PartId) -> bool {
    let part = vehicle.part(part);
    part.kind == Kind::Load
        && part
            .fields
            .text("type")
            .is_some_and(|kind| kind.value == "starter")
}

fn sources(vehicle: &Vehicle) -> Vec<Source> {
    vehicle
        .branch_ids()
        .filter_map(|id| {
            let branch = vehicle.branch(id);
            let minus = match &branch.element {
                Element::Cell { .. } | Element::Alternator { .. } | Element::Charger { .. } => {
                    branch.from
                }
                Element::Converter { back, .. } => *back,
                _ => return None,
            };
            Some(Source {
                part: branch.part,
                branch: id,
                plus: branch.to,
                minus,
            })
        })
        .collect()
}

/// Which way along conductors: decides how a diode may be passed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Direction {
    /// With the current.
    Downstream,
    /// Against it.
    Upstream,
}

/// Conductors at a terminal and where each leads, in the order of their ids.
pub(super) fn steps(
    vehicle: &Vehicle,
    at: TerminalId,
    direction: Direction,
) -> impl Iterator<Item = (Link, TerminalId)> {
    let mut list: Vec<(Link, TerminalId)> = vehicle
        .graph
        .edges(at.node())
        .filter_map(|edge| {
            let link = *edge.weight();
            let (from, to) = match link {
                Link::Wire(wire) => {
                    let wire = vehicle.wire(wire);
                    (wire.from, wire.to)
                }
                Link::Branch(id) => {
                    let branch = vehicle.branch(id);
                    match branch.element {
                        Element::Joint(_) | Element::Contact { .. } => {}
                        Element::Diode { .. } => {
                            let start = match direction {
                                Direction::Downstream => branch.from,
                                Direction::Upstream => branch.to,
                            };
                            if start != at {
                                return None;
                            }
                        }
                        _ => return None,
                    }
                    (branch.from, branch.to)
                }
            };
            Some((link, if from == at { to } else { from }))
        })
        .collect();
    list.sort_unstable_by_key(|&(link, _)| link);
    list.into_iter()
}

/// Whether two conductors are contacts of one part that are never closed together.
pub(super) fn exclude_each_other(vehicle: &Vehicle, a: Link, b: Link) -> bool {
    let (Link::Branch(a), Link::Branch(b)) = (a, b) else {
        return false;
    };
    let (a, b) = (vehicle.branch(a), vehicle.branch(b));
    if a.part != b.part {
        return false;
    }
    let (Element::Contact { control: a, .. }, Element::Contact { control: b, .. }) =
        (&a.element, &b.element)
    else {
        return false;
    };
    match (a, b) {
        (Control::Relay { when_in: a, .. }, Control::Relay { when_in: b, .. }) => a != b,
        (
            Control::Switch {
                unit: a,
                closed_in: p,
            },
            Control::Switch {
                unit: b,
                closed_in: q,
            },
        ) => a == b && !p.iter().any(|position| q.contains(position)),
        _ => false,
    }
}
