//! What is looked for in every solution beside extremes: a source joined to its own foot, feeds that are live from
//! elsewhere, and users that stay live whichever fuse is pulled.
//!
//! A vehicle in which no contact, however set, could make such a way is not asked again.

use std::collections::BTreeMap;
use std::collections::VecDeque;

use crate::model::walk::is_protection;
use crate::model::{BranchId, Control, Element, PartId, Vehicle, Wire};
use crate::quantity::Ohms;
use crate::read::document::Kind;
use crate::solve::LIVE;
use crate::solve::Solution;
use crate::solve::network::Network;
use crate::solve::sets::Sets;

/// A wire or joint of which the record states this much or more is a resistor of its own and no short.
const RESISTOR: Ohms = Ohms(1.0);
/// A short draws more than this, in ampere.
const SHORT: f64 = 5.0;
/// A user is on above this, in ampere.
const ON: f64 = 1e-4;
/// Less current than this running back through a feed that is on does no harm, in ampere.
const BACK: f64 = 0.010;

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
    /// How much of it: ampere out of a source or back through a feed, volt at the end of one that is off.
    pub value: f64,
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
    /// A feed that is on passes current back; whence.
    Backwards { feed: BranchId, from: BranchId },
    /// A user is on, and stays live whichever of these is pulled.
    Joined {
        user: BranchId,
        protections: [PartId; 2],
    },
}

/// What to look for in a vehicle.
pub(super) struct Watch {
    /// Conductors at each node, as current leaves by them, and as it comes in.
    down: Vec<Vec<Step>>,
    up: Vec<Vec<Step>>,
    shorts: Vec<Source>,
    /// Feeds and key terminals: branch and end.
    feeds: Vec<(BranchId, u32)>,
    /// Loads: branch and supply end.
    users: Vec<(BranchId, u32)>,
    /// Batteries, chargers and converters: branch and `+`.
    sources: Vec<(BranchId, u32)>,
}

/// A way that was found: where it ends, and its steps, the nearest to the start first.
struct Way {
    end: u32,
    steps: Vec<Step>,
}

impl Watch {
    pub(super) fn new(network: &Network<'_>) -> Self {
        let vehicle = network.vehicle;
        let mut this = Self {
            down: near(vehicle, false),
            up: near(vehicle, true),
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
        shorts.retain(|source| this.to_foot(source, |_| true).is_some());
        this.shorts = shorts;
        let posts = this.posts(|_| true);
        for id in vehicle.branch_ids() {
            let branch = vehicle.branch(id);
            let end = branch.to.0;
            match &branch.element {
                Element::Contact {
                    control: Control::Hot { hot, .. },
                    ..
                } if !hot.always => {
                    let conducts = |step: &Step| step.branch != Some(id.0);
                    if this.to_source(end, &posts, conducts).is_some() {
                        this.feeds.push((id, end));
                    }
                }
                Element::Load(_) if vehicle.own_load != Some(branch.part) => {
                    let end = branch.from.0;
                    let conducts = |step: &Step| !step.diode && !step.isolator;
                    if this.joined(vehicle, &posts, end, conducts).is_some() {
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

    /// By node: whether the `+` of a source is there that is on.
    fn posts(&self, is_on: impl Fn(BranchId) -> bool) -> Vec<bool> {
        let mut posts = vec![false; self.up.len()];
        for &(source, plus) in &self.sources {
            posts[plus as usize] |= is_on(source);
        }
        posts
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
            let Some(way) = self.to_foot(source, closed) else {
                continue;
            };
            let drawn = solution.branch(source.branch).0.abs();
            if drawn < SHORT {
                continue;
            }
            let mut contacts: Vec<BranchId> = way
                .steps
                .iter()
                .filter_map(|step| step.branch.map(BranchId))
                .filter(|&id| matches!(vehicle.branch(id).element, Element::Contact { .. }))
                .collect();
            contacts.sort_unstable();
            // What else hangs on the source does not run through these.
            let through = contacts.iter().map(|&id| solution.branch(id).0.abs());
            let value = through.fold(drawn, f64::min);
            found.push(Found {
                what: What::Shorted {
                    source: source.branch,
                    contacts,
                },
                value,
                elements: way.steps.iter().map(|step| step.element).collect(),
            });
        }
        if self.feeds.is_empty() && self.users.is_empty() {
            return found;
        }
        let posts = self.posts(|source| solution.closed[source.index()]);
        for &(feed, end) in &self.feeds {
            let on = solution.closed[feed.index()];
            let back = -solution.branch(feed).0;
            let told = if on {
                back > BACK
            } else {
                solution.live[end as usize]
            };
            if !told {
                continue;
            }
            let elsewhere = |step: &Step| step.branch != Some(feed.0) && closed(step);
            let Some(way) = self.to_source(end, &posts, elsewhere) else {
                continue;
            };
            // What is nearest to the source and is opened by something or protects: there it comes from.
            let from = way.steps.iter().rev().find_map(|step| {
                let branch = BranchId(step.branch?);
                let contact = matches!(vehicle.branch(branch).element, Element::Contact { .. });
                let part = vehicle.branch(branch).part;
                (contact || is_protection(vehicle, part)).then_some(branch)
            });
            let root = || {
                let mut sources = self.sources.iter();
                sources.find(|(_, plus)| *plus == way.end)
            };
            let Some(from) = from.or_else(|| root().map(|&(source, _)| source)) else {
                continue;
            };
            let (what, value) = if on {
                (What::Backwards { feed, from }, back)
            } else {
                let volts = solution.volts[end as usize].0;
                (What::BackFed { feed, from }, volts)
            };
            found.push(Found {
                what,
                value,
                elements: way.steps.iter().map(|step| step.element).collect(),
            });
        }
        for &(user, end) in &self.users {
            let value = solution.branch(user).0.abs();
            if value < ON && !is_on_unknown(vehicle, solution, user) {
                continue;
            }
            let conducts = |step: &Step| closed(step) && !step.diode && !step.isolator;
            if let Some((protections, elements)) = self.joined(vehicle, &posts, end, conducts) {
                found.push(Found {
                    what: What::Joined { user, protections },
                    value,
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
        posts: &[bool],
        end: u32,
        conducts: impl Fn(&Step) -> bool,
    ) -> Option<([PartId; 2], Vec<u32>)> {
        let protection = |step: &Step| {
            let part = vehicle.branch(BranchId(step.branch?)).part;
            is_protection(vehicle, part).then_some(part)
        };
        let first = self.to_source(end, posts, &conducts)?.steps;
        let own: Vec<PartId> = first.iter().filter_map(protection).collect();
        let nearest = *own.first()?;
        let mut other = None;
        for &pulled in &own {
            let conducts = |step: &Step| conducts(step) && protection(step) != Some(pulled);
            let way = self.to_source(end, posts, conducts)?;
            if pulled == nearest {
                other = Some(way.steps);
            }
        }
        let other = other?;
        let beside = other.iter().find_map(protection)?;
        let elements = first.iter().chain(&other).map(|step| step.element);
        Some(([nearest, beside], elements.collect()))
    }

    /// The shortest way from a point up to a source, that does not go over the chassis.
    fn to_source(
        &self,
        start: u32,
        posts: &[bool],
        conducts: impl Fn(&Step) -> bool,
    ) -> Option<Way> {
        let passes = |at: u32| at != 0;
        search(&self.up, start, |at| posts[at as usize], passes, conducts)
    }

    /// The shortest way from the `+` of a source down to its foot.
    fn to_foot(&self, source: &Source, conducts: impl Fn(&Step) -> bool) -> Option<Way> {
        let is_end = |at: u32| source.feet.contains(&at);
        search(&self.down, source.plus, is_end, |_| true, conducts)
    }
}

/// Whether a load is supplied of which the record does not say what it takes: it is on, though nothing is seen to flow.
fn is_on_unknown(vehicle: &Vehicle, solution: &Solution, user: BranchId) -> bool {
    let branch = vehicle.branch(user);
    let volts = solution.at(branch.from) - solution.at(branch.to);
    matches!(&branch.element, Element::Load(load) if load.law.is_none() && load.modes.is_empty())
        && volts.0.abs() > LIVE
}

/// The shortest way over conductors from a node to the first end.
fn search(
    near: &[Vec<Step>],
    start: u32,
    is_end: impl Fn(u32) -> bool,
    passes: impl Fn(u32) -> bool,
    conducts: impl Fn(&Step) -> bool,
) -> Option<Way> {
    let mut reached: BTreeMap<u32, Option<(u32, Step)>> = BTreeMap::from([(start, None)]);
    let mut queue = VecDeque::from([start]);
    while let Some(at) = queue.pop_front() {
        if is_end(at) {
            let mut steps = Vec::new();
            let mut back = at;
            while let Some(&Some((before, step))) = reached.get(&back) {
                steps.push(step);
                back = before;
            }
            steps.reverse();
            return Some(Way { end: at, steps });
        }
        if !passes(at) {
            continue;
        }
        for step in &near[at as usize] {
            if !reached.contains_key(&step.next) && conducts(step) {
                reached.insert(step.next, Some((at, *step)));
                queue.push_back(step.next);
            }
        }
    }
    None
}

/// Conductors at each node; diodes are passed with the current, or against it.
fn near(vehicle: &Vehicle, against: bool) -> Vec<Vec<Step>> {
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
        if !diode || !against {
            near[branch.from.index()].push(step(branch.to.0));
        }
        if !diode || against {
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
