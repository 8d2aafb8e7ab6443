//! What is looked for in every solution beside extremes: a source joined to its own foot, feeds that are live from
//! elsewhere, and users that stay live whichever fuse is pulled.
//!
//! A vehicle in which no contact, however set, could make such a way is not asked again.

use std::collections::VecDeque;

use super::groups::sets::Sets;
use crate::model::walk::is_protection;
use crate::model::{BranchId, Control, Element, PartId, Vehicle, Wire};
use crate::quantity::Ohms;
use crate::read::document::Kind;
use crate::solve::Solution;
use crate::solve::network::Network;

/// A wire or joint of which the record states this much or more is a resistor of its own and no short.
const RESISTOR: Ohms = Ohms(1.0);
/// A short draws more than this, in ampere.
const SHORT: f64 = 5.0;
/// A user is on above this, in ampere.
const ON: f64 = 1e-4;

/// One end of a conductor, as seen from a node.
#[derive(Clone, Copy)]
struct Step {
    element: u32,
    next: u32,
    /// Index of its branch; nothing for a wire.
    branch: Option<u32>,
    diode: bool,
    isolator: bool,
}

/// A source whose `+` some contacts could join to its foot.
struct Source {
    branch: BranchId,
    plus: u32,
    feet: Vec<u32>,
}

/// A way that was found in a solution.
pub(super) struct Found {
    /// What it is about.
    pub what: What,
    /// Elements that make it up: their groups have to be set so.
    pub elements: Vec<u32>,
}

/// What was found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum What {
    /// A source is joined to its foot through these contacts.
    Shorted {
        source: BranchId,
        contacts: Vec<BranchId>,
    },
    /// A feed that is off is live at its end; whence.
    BackFed { feed: BranchId, from: BranchId },
    /// A user is on, and stays live whichever of these is pulled.
    Joined {
        user: BranchId,
        protections: [PartId; 2],
    },
}

/// What to look for in a vehicle.
pub(super) struct Watch {
    near: Vec<Vec<Step>>,
    shorts: Vec<Source>,
    /// Feeds and key terminals: branch and end.
    feeds: Vec<(BranchId, u32)>,
    /// Loads: branch and supply end.
    users: Vec<(BranchId, u32)>,
    /// Batteries, chargers and converters: branch and `+`.
    sources: Vec<(BranchId, u32)>,
}

/// Where a search got to: by node, the one before and the step between.
type Parents = Vec<Option<(u32, Option<Step>)>>;

impl Watch {
    pub(super) fn new(network: &Network<'_>) -> Self {
        let vehicle = network.vehicle;
        let mut this = Self {
            near: near(vehicle),
            shorts: Vec::new(),
            feeds: Vec::new(),
            users: Vec::new(),
            sources: Vec::new(),
        };
        for id in vehicle.branch_ids() {
            let branch = vehicle.branch(id);
            if matches!(
                branch.element,
                Element::Cell { .. } | Element::Charger { .. } | Element::Converter { .. }
            ) {
                this.sources.push((id, branch.to.0));
            }
        }
        let mut shorts = sources(vehicle);
        shorts.retain(|source| {
            let reached = this.search(&[source.plus], &source.feet, |_| true);
            source
                .feet
                .iter()
                .any(|foot| reached[*foot as usize].is_some())
        });
        this.shorts = shorts;
        let starts: Vec<u32> = this.sources.iter().map(|&(_, plus)| plus).collect();
        for id in vehicle.branch_ids() {
            let branch = vehicle.branch(id);
            match &branch.element {
                Element::Contact {
                    control: Control::Hot { hot, .. },
                    ..
                } if !hot.always => {
                    let reached = this.search(&starts, &[0], |step| step.branch != Some(id.0));
                    if reached[branch.to.index()].is_some() {
                        this.feeds.push((id, branch.to.0));
                    }
                }
                Element::Load(_) if vehicle.own_load != Some(branch.part) => {
                    let end = branch.from.0;
                    let conducts = |step: &Step| !step.diode && !step.isolator;
                    if this.joined(vehicle, &starts, end, conducts).is_some() {
                        this.users.push((id, end));
                    }
                }
                _ => {}
            }
        }
        this
    }

    /// Whether there is nothing to look for.
    fn is_idle(&self) -> bool {
        self.shorts.is_empty() && self.feeds.is_empty() && self.users.is_empty()
    }

    /// What a solution shows.
    pub(super) fn look(&self, vehicle: &Vehicle, solution: &Solution) -> Vec<Found> {
        let mut found = Vec::new();
        if self.is_idle() {
            return found;
        }
        let closed = |step: &Step| {
            step.branch
                .is_none_or(|branch| solution.closed[branch as usize])
        };
        for source in &self.shorts {
            let reached = self.search(&[source.plus], &source.feet, closed);
            let foot = source
                .feet
                .iter()
                .copied()
                .find(|&foot| reached[foot as usize].is_some());
            let Some(foot) = foot else { continue };
            if solution.branch(source.branch).0.abs() < SHORT {
                continue;
            }
            let way = way(&reached, foot);
            let contacts = way
                .iter()
                .filter_map(|step| step.branch.map(BranchId))
                .filter(|&id| matches!(vehicle.branch(id).element, Element::Contact { .. }))
                .collect();
            found.push(Found {
                what: What::Shorted {
                    source: source.branch,
                    contacts,
                },
                elements: way.iter().map(|step| step.element).collect(),
            });
        }
        if self.feeds.is_empty() && self.users.is_empty() {
            return found;
        }
        let starts: Vec<u32> = self
            .sources
            .iter()
            .filter(|(branch, _)| solution.closed[branch.index()])
            .map(|&(_, plus)| plus)
            .collect();
        let off: Vec<&(BranchId, u32)> = self
            .feeds
            .iter()
            .filter(|(feed, end)| !solution.closed[feed.index()] && solution.live[*end as usize])
            .collect();
        if !off.is_empty() {
            let reached = self.search(&starts, &[0], closed);
            for &&(feed, end) in &off {
                if reached[end as usize].is_none() {
                    continue;
                }
                let way = way(&reached, end);
                // What is nearest to the source and is opened by something or protects: there it comes from.
                let from = way.iter().rev().find_map(|step| {
                    let branch = BranchId(step.branch?);
                    let contact = matches!(vehicle.branch(branch).element, Element::Contact { .. });
                    let part = vehicle.branch(branch).part;
                    (contact || is_protection(vehicle, part)).then_some(branch)
                });
                let root = || {
                    let mut at = end;
                    while let Some((before, Some(_))) = reached[at as usize] {
                        at = before;
                    }
                    self.sources.iter().find(|(_, plus)| *plus == at)
                };
                let Some(from) = from.or_else(|| root().map(|&(source, _)| source)) else {
                    continue;
                };
                found.push(Found {
                    what: What::BackFed { feed, from },
                    elements: way.iter().map(|step| step.element).collect(),
                });
            }
        }
        for &(user, end) in &self.users {
            if solution.branch(user).0.abs() < ON {
                continue;
            }
            let conducts = |step: &Step| closed(step) && !step.diode && !step.isolator;
            if let Some((protections, elements)) = self.joined(vehicle, &starts, end, conducts) {
                found.push(Found {
                    what: What::Joined { user, protections },
                    elements,
                });
            }
        }
        found
    }

    /// Two protections of which neither alone makes an end dead, and the ways over both; nothing where there are none, or where
    /// a way has no protection at all.
    fn joined(
        &self,
        vehicle: &Vehicle,
        starts: &[u32],
        end: u32,
        conducts: impl Fn(&Step) -> bool,
    ) -> Option<([PartId; 2], Vec<u32>)> {
        let protection = |step: &Step| {
            let part = vehicle.branch(BranchId(step.branch?)).part;
            is_protection(vehicle, part).then_some(part)
        };
        let reached = self.search(starts, &[0], &conducts);
        reached[end as usize].as_ref()?;
        let first = way(&reached, end);
        let own: Vec<PartId> = first.iter().filter_map(&protection).collect();
        let nearest = *own.first()?;
        let mut other = None;
        for &pulled in &own {
            let reached = self.search(starts, &[0], |step| {
                conducts(step) && protection(step) != Some(pulled)
            });
            reached[end as usize].as_ref()?;
            if pulled == nearest {
                other = Some(way(&reached, end));
            }
        }
        let other = other?;
        let beside = other.iter().find_map(protection)?;
        let elements = first.iter().chain(&other).map(|step| step.element);
        Some(([nearest, beside], elements.collect()))
    }

    /// Spreads from some nodes over conductors; the ends are reached and not passed.
    fn search(&self, starts: &[u32], ends: &[u32], conducts: impl Fn(&Step) -> bool) -> Parents {
        let mut reached: Parents = vec![None; self.near.len()];
        let mut queue = VecDeque::new();
        for &start in starts {
            if reached[start as usize].is_none() {
                reached[start as usize] = Some((start, None));
                queue.push_back(start);
            }
        }
        while let Some(at) = queue.pop_front() {
            if ends.contains(&at) {
                continue;
            }
            for step in &self.near[at as usize] {
                if reached[step.next as usize].is_none() && conducts(step) {
                    reached[step.next as usize] = Some((at, Some(*step)));
                    queue.push_back(step.next);
                }
            }
        }
        reached
    }
}

/// The steps back from a node to where the search began, nearest first.
fn way(reached: &Parents, end: u32) -> Vec<Step> {
    let mut way = Vec::new();
    let mut at = end;
    while let Some((before, Some(step))) = reached[at as usize] {
        way.push(step);
        at = before;
    }
    way
}

/// Conductors at each node.
fn near(vehicle: &Vehicle) -> Vec<Vec<Step>> {
    let mut near: Vec<Vec<Step>> = vec![Vec::new(); vehicle.terminals.len()];
    let is_resistor =
        |wire: &Wire| wire.size.is_none() && wire.resistance.is_some_and(|r| r.likely >= RESISTOR);
    for (element, wire) in (0..).zip(&vehicle.wires) {
        if is_resistor(wire) {
            continue;
        }
        for (a, b) in [(wire.from, wire.to), (wire.to, wire.from)] {
            near[a.index()].push(Step {
                element,
                next: b.0,
                branch: None,
                diode: false,
                isolator: false,
            });
        }
    }
    let wires = vehicle.wires.len() as u32;
    for (at, branch) in (0..).zip(&vehicle.branches) {
        let (diode, isolator) = match &branch.element {
            Element::Joint(ohms) if ohms.likely < RESISTOR => (false, false),
            Element::Contact { control, .. } => {
                (false, matches!(control, Control::Isolator { .. }))
            }
            Element::Diode { .. } => (true, false),
            _ => continue,
        };
        let step = |next: u32| Step {
            element: wires + at,
            next,
            branch: Some(at),
            diode,
            isolator,
        };
        near[branch.from.index()].push(step(branch.to.0));
        if !diode {
            near[branch.to.index()].push(step(branch.from.0));
        }
    }
    near
}

/// Every source with what its `+` may not be joined to: its own `-`, and those of batteries in series below it.
fn sources(vehicle: &Vehicle) -> Vec<Source> {
    let mut rigid = Sets::new(vehicle.terminals.len());
    for wire in &vehicle.wires {
        rigid.join(wire.from.0, wire.to.0);
    }
    for branch in &vehicle.branches {
        let joint = matches!(branch.element, Element::Joint(_));
        if joint || vehicle.part(branch.part).kind == Kind::Disconnect {
            rigid.join(branch.from.0, branch.to.0);
        }
    }
    let mut all: Vec<Source> = vehicle
        .branch_ids()
        .filter_map(|id| {
            let branch = vehicle.branch(id);
            let minus = match &branch.element {
                Element::Cell { .. } | Element::Charger { .. } | Element::Alternator { .. } => {
                    branch.from
                }
                Element::Converter { back, .. } => *back,
                _ => return None,
            };
            Some(Source {
                branch: id,
                plus: branch.to.0,
                feet: vec![minus.0],
            })
        })
        .collect();
    let ends: Vec<(u32, u32)> = all.iter().map(|one| (one.plus, one.feet[0])).collect();
    for source in &mut all {
        let mut at = source.feet[0];
        for _ in 0..ends.len() {
            let below = ends.iter().find(|&&(plus, minus)| {
                rigid.lead(plus) == rigid.lead(at) && !source.feet.contains(&minus)
            });
            let Some(&(_, minus)) = below else { break };
            source.feet.push(minus);
            at = minus;
        }
    }
    all
}
