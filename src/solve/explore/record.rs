//! Keeps the extremes that were seen, each with the smallest setting that shows it.

use std::collections::BTreeSet;

use super::combine::{also, tell_switch};
use super::marks::{Lowest, Marks, View};
use super::rails::Rails;
use super::watch::{Found, What};
use super::{MANY, NONE, Pass, amps};
use crate::model::{BranchId, Element, Key, PartId, Setting, TerminalId, Vehicle};
use crate::quantity::{Amps, Volts};
use crate::solve::explored::{Adrift, BackFed, Explored, Extreme, Joined, Seen, Shorted, Use};
use crate::solve::network::Network;
use crate::solve::{LIVE, Solution};

/// A smaller setting that shows this share of an extreme is told instead of a larger one that shows all of it.
const AS_GOOD: f64 = 0.98;
/// Currents below this, in ampere, and voltages below this, in volt, are nothing.
const NOTHING: f64 = 1e-7;

/// Where in the exploration a solution stands.
pub(super) enum Place<'p> {
    /// Each group in this combination; nothing where the group has no such one.
    Combination(&'p [Option<usize>]),
    /// Each group in the combination in which it takes most.
    Most {
        at: &'p [Option<usize>],
        network: &'p Network<'p>,
    },
}

/// A setting, kept short: the pass and the combinations of some groups.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Spot {
    pass: u32,
    combinations: Vec<(u32, u32)>,
}

#[derive(Clone, Default)]
pub(super) struct Best {
    most: f64,
    cost: u32,
    spot: Option<Spot>,
}

/// Everything seen so far.
pub(super) struct Records {
    passes: Vec<Pass>,
    elements: Vec<Best>,
    left: Vec<Best>,
    highest: Vec<Best>,
    ever: Vec<Best>,
    key_off: Vec<Best>,
    parked: Vec<bool>,
    rails: Rails,
    /// By branch of a consumer: the most that it drew with its `from`, and with its `to`, joined to nothing.
    adrift: Vec<[Best; 2]>,
    /// Loops without rest: their parts, what the setting costs, and the setting.
    chatter: Vec<(Vec<PartId>, u32, Spot)>,
    marks: Marks,
}

impl Best {
    /// Takes a value if it is larger, or nearly as large in a smaller setting.
    pub(super) fn see(&mut self, value: f64, cost: u32, spot: impl FnOnce() -> Spot) {
        let (new, old) = (value.abs(), self.most.abs());
        if new <= NOTHING {
            return;
        }
        let larger = new * AS_GOOD > old;
        let smaller = cost < self.cost && new >= old * AS_GOOD;
        if self.spot.is_none() || larger || smaller {
            self.cost = cost;
            self.spot = Some(spot());
        }
        if new > old {
            self.most = value;
        }
    }
}

impl Records {
    pub(super) fn new(vehicle: &Vehicle) -> Self {
        let elements = vehicle.wires.len() + vehicle.branches.len();
        let terminals = vehicle.terminals.len();
        Self {
            passes: Vec::new(),
            elements: vec![Best::default(); elements],
            left: vec![Best::default(); elements],
            highest: vec![Best::default(); terminals],
            ever: vec![Best::default(); terminals],
            key_off: vec![Best::default(); terminals],
            parked: vec![false; terminals],
            rails: Rails::new(vehicle),
            adrift: vec![<[Best; 2]>::default(); vehicle.branches.len()],
            chatter: Vec::new(),
            marks: Marks::new(vehicle),
        }
    }

    pub(super) fn begin(&mut self, pass: Pass) -> usize {
        self.passes.push(pass);
        self.passes.len() - 1
    }

    pub(super) fn pass(&self, pass: usize) -> &Pass {
        &self.passes[pass]
    }

    /// Notes what a solution shows.
    pub(super) fn look(
        &mut self,
        vehicle: &Vehicle,
        pass_id: usize,
        solution: &Solution,
        place: &Place<'_>,
        found: Vec<Found>,
    ) {
        if solution.trouble.is_some() {
            return;
        }
        let pass = &self.passes[pass_id];
        let base = pass.changes();
        let first = pass_id == 0;
        let settled_off = pass.setup.key == Key::Off && pass.setup.settled && !pass.setup.shore;
        let (Place::Combination(at) | Place::Most { at, .. }) = *place;
        let as_left = at.iter().all(|at| at.is_none_or(|at| at == 0));
        let everything_left = at.iter().enumerate().all(|(group, at)| {
            at.is_none_or(|at| pass.combinations[group].get(at).is_none_or(|own| own.left))
        });
        // What it costs to set these groups so, and whether a person can leave it so.
        let weigh = |groups: &[u32]| {
            let mut cost = base;
            let mut left = true;
            for &group in groups {
                let at = at[group as usize]?;
                let own = pass.combinations[group as usize].get(at)?;
                cost += own.changes();
                left &= own.left;
            }
            Some((cost, left))
        };
        let spot = |groups: &[u32]| Spot {
            pass: pass_id as u32,
            combinations: groups
                .iter()
                .filter_map(|&group| Some((group, at[group as usize]? as u32)))
                .filter(|&(_, at)| at > 0)
                .collect(),
        };
        let mut flow: Option<Flow> = None;
        let all_changed = changed(at);
        for circle in &solution.chatter {
            // Other groups may be in other positions at the same time: only those of the loop's own parts are told.
            let wires = vehicle.wires.len();
            let mut groups: Vec<u32> = circle
                .iter()
                .flat_map(|part| &vehicle.part(*part).branches)
                .map(|branch| pass.groups.of_element[wires + branch.index()])
                .filter(|group| *group != NONE)
                .collect();
            groups.sort_unstable();
            groups.dedup();
            if groups.contains(&MANY) {
                groups.clone_from(&all_changed);
            }
            let Some((cost, _)) = weigh(&groups) else {
                continue;
            };
            let known = self.chatter.iter().position(|(known, ..)| known == circle);
            match known {
                Some(known) if self.chatter[known].1 <= cost => {}
                Some(known) => self.chatter[known] = (circle.clone(), cost, spot(&groups)),
                None => self.chatter.push((circle.clone(), cost, spot(&groups))),
            }
        }
        let wires = vehicle.wires.len();
        for &(branch, terminal) in self.rails.adrift(solution) {
            let group = pass.groups.of_element[wires + branch as usize];
            let single = [group];
            let groups: &[u32] = match (group, place) {
                (NONE, _) => &[],
                (MANY, Place::Combination(_)) if as_left => &[],
                (MANY, Place::Combination(_)) => continue,
                (MANY, Place::Most { .. }) => &all_changed,
                _ => &single,
            };
            let Some((cost, _)) = weigh(groups) else {
                continue;
            };
            let value = solution.branch_amps[branch as usize].0;
            let end = usize::from(vehicle.branches[branch as usize].from.0 != terminal);
            self.adrift[branch as usize][end].see(value, cost, || spot(groups));
        }
        let view = View {
            vehicle,
            pass,
            solution,
            changed: &all_changed,
            rails: &self.rails,
        };
        self.marks.look(&view, found, weigh, spot);
        for element in 0..self.elements.len() {
            let value = amps(vehicle, solution, element);
            let group = pass.groups.of_element[element];
            let single = [group];
            let traced;
            let groups: &[u32] = match (group, place) {
                (NONE, _) => &[],
                (MANY, Place::Combination(_)) if as_left => &[],
                (MANY, Place::Combination(_)) => continue,
                (MANY, Place::Most { network, .. }) => {
                    let shown = |best: &Best| value.abs() * AS_GOOD <= best.most.abs();
                    if shown(&self.elements[element])
                        && (!everything_left || shown(&self.left[element]))
                    {
                        continue;
                    }
                    let flow = flow.get_or_insert_with(|| Flow::new(network, solution));
                    traced = flow.behind(network, pass, element);
                    &traced
                }
                _ => &single,
            };
            let Some((cost, left)) = weigh(groups) else {
                continue;
            };
            if settled_off && left && (group != MANY || everything_left) {
                self.left[element].see(value, cost, || spot(groups));
            }
            self.elements[element].see(value, cost, || spot(groups));
        }
        for node in 0..self.highest.len() {
            let group = pass.groups.of_node[node];
            let single = [group];
            let groups: &[u32] = match (group, place) {
                (NONE | MANY, _) if as_left => &[],
                (NONE | MANY, Place::Most { .. }) => &all_changed,
                (NONE | MANY, Place::Combination(_)) => continue,
                _ => &single,
            };
            let Some((cost, left)) = weigh(groups) else {
                continue;
            };
            let volts = solution.volts[node].0;
            self.highest[node].see(volts, cost, || spot(groups));
            if volts.abs() <= LIVE {
                continue;
            }
            if settled_off && left {
                self.key_off[node].see(1.0, cost, || spot(groups));
            }
            if first && as_left {
                self.parked[node] = true;
            }
            self.ever[node].see(1.0, cost, || spot(groups));
        }
    }

    /// What was seen, for people.
    pub(super) fn finish(
        self,
        vehicle: &Vehicle,
        settings: u64,
        of: u64,
        complete: bool,
    ) -> Explored {
        let tell = |best: &Best| best.spot.as_ref().map(|spot| self.tell(vehicle, spot));
        let wires = vehicle.wires.len();
        let of_amps = |best: &Best| Extreme {
            value: Amps(best.most),
            setting: tell(best).unwrap_or_default(),
        };
        let terminals = (0..self.parked.len()).map(|node| Seen {
            parked: self.parked[node],
            key_off: tell(&self.key_off[node]),
            ever: tell(&self.ever[node]),
        });
        let uses = self.uses(vehicle);
        let (mut shorted, mut back_fed, mut joined) = (Vec::new(), Vec::new(), Vec::new());
        for (what, spot) in self.marks.found() {
            let setting = self.tell(vehicle, spot);
            match what.clone() {
                What::Shorted { source, contacts } => shorted.push(Shorted {
                    source,
                    contacts,
                    setting,
                }),
                What::BackFed { feed, from } => back_fed.push(BackFed {
                    feed,
                    from,
                    setting,
                }),
                What::Joined { user, protections } => joined.push(Joined {
                    user,
                    protections,
                    setting,
                }),
            }
        }
        let chatter = self
            .chatter
            .iter()
            .map(|(circle, _, spot)| (circle.clone(), self.tell(vehicle, spot)))
            .collect();
        let ends = vehicle.branches.iter().zip(&self.adrift).enumerate();
        let adrift = ends
            .flat_map(|(at, (branch, seen))| {
                [(branch.from, &seen[0]), (branch.to, &seen[1])]
                    .map(|(end, best)| (BranchId(at as u32), end, best))
            })
            .filter(|(_, _, best)| best.spot.is_some())
            .map(|(branch, at, best)| Adrift {
                branch,
                at,
                seen: of_amps(best),
            })
            .collect();
        Explored {
            adrift,
            uses,
            shorted,
            back_fed,
            joined,
            chatter,
            settings,
            of: of.max(settings),
            complete,
            wires: self.elements[..wires].iter().map(of_amps).collect(),
            branches: self.elements[wires..].iter().map(of_amps).collect(),
            key_off: self.left[wires..].iter().map(of_amps).collect(),
            terminals: terminals.collect(),
            highest: self
                .highest
                .iter()
                .map(|best| Extreme {
                    value: Volts(best.most),
                    setting: tell(best).unwrap_or_default(),
                })
                .collect(),
        }
    }

    /// Of each branch that uses current: how it was seen.
    fn uses(&self, vehicle: &Vehicle) -> Vec<Use> {
        let mut uses = vec![Use::default(); vehicle.branches.len()];
        let set = |best: &Best| best.spot.as_ref().map(|spot| self.tell(vehicle, spot));
        let lowest = |lowest: Option<&Lowest>| {
            lowest.map(|lowest| Extreme {
                value: Volts(lowest.volts),
                setting: self.tell(vehicle, &lowest.spot),
            })
        };
        for mark in self.marks.users() {
            uses[mark.branch] = Use {
                ever: set(mark.ever),
                key_off: set(mark.key_off),
                lasting: set(mark.lasting).map(|setting| Extreme {
                    value: Amps(mark.lasting.most),
                    setting,
                }),
                lowest: lowest(mark.lowest),
                lowest_running: lowest(mark.lowest_running),
            };
        }
        uses
    }

    fn tell(&self, vehicle: &Vehicle, spot: &Spot) -> Setting {
        let pass = &self.passes[spot.pass as usize];
        let mut setting = Setting::default();
        let plain = pass.changes() == 0;
        // The key is named wherever anything but switches left so is needed.
        if !plain && (pass.setup.key != Key::Off || pass.setup.also.is_some()) {
            setting.key = Some(pass.setup.key);
        }
        if let Some(words) = pass.setup.also {
            also(&mut setting, words);
        }
        for &(switch, position) in &pass.outer.switches {
            tell_switch(vehicle, switch, position, &mut setting);
        }
        for group in &pass.outer.detached {
            also(&mut setting, &format!("with {group} unplugged"));
        }
        if pass.from_in {
            also(&mut setting, "once what holds itself in has been put in");
        }
        for &(group, at) in &spot.combinations {
            let own = &pass.combinations[group as usize][at as usize];
            own.tell(vehicle, &mut setting);
        }
        setting
    }
}

/// Groups that are not as they are left.
fn changed(at: &[Option<usize>]) -> Vec<u32> {
    let groups = 0..at.len() as u32;
    groups
        .filter(|&group| at[group as usize].is_some_and(|at| at > 0))
        .collect()
}

/// Which currents meet at each point of one solution.
struct Flow {
    amps: Vec<f64>,
    /// Elements at each node: those of node n are `near[first[n]..first[n + 1]]`.
    first: Vec<u32>,
    near: Vec<u32>,
    seen: Vec<u32>,
    round: u32,
}

impl Flow {
    fn new(network: &Network<'_>, solution: &Solution) -> Self {
        let vehicle = network.vehicle;
        let total = vehicle.wires.len() + vehicle.branches.len();
        let nodes = vehicle.terminals.len();
        let amps: Vec<f64> = (0..total)
            .map(|element| amps(vehicle, solution, element))
            .collect();
        let mut pairs: Vec<(u32, u32)> = Vec::with_capacity(2 * total);
        for (element, amps) in amps.iter().enumerate() {
            if amps.abs() > NOTHING {
                let (a, b) = network.ends[element];
                pairs.push((a, element as u32));
                pairs.push((b, element as u32));
            }
        }
        pairs.sort_unstable();
        let mut first = vec![0; nodes + 1];
        for &(node, _) in &pairs {
            first[node as usize + 1] += 1;
        }
        for node in 0..nodes {
            first[node + 1] += first[node];
        }
        Self {
            amps,
            first,
            near: pairs.into_iter().map(|(_, element)| element).collect(),
            seen: vec![0; nodes],
            round: 0,
        }
    }

    /// Groups whose current runs through an element: those met downstream of it, or where there are none, upstream.
    fn behind(&mut self, network: &Network<'_>, pass: &Pass, element: usize) -> Vec<u32> {
        let (from, to) = network.ends[element];
        let (tail, head) = if self.amps[element] >= 0.0 {
            (from, to)
        } else {
            (to, from)
        };
        let down = self.met(network, pass, element, head, true);
        if down.is_empty() {
            self.met(network, pass, element, tail, false)
        } else {
            down
        }
    }

    fn met(
        &mut self,
        network: &Network<'_>,
        pass: &Pass,
        element: usize,
        start: u32,
        downstream: bool,
    ) -> Vec<u32> {
        let vehicle = network.vehicle;
        self.round += 1;
        let mut groups = BTreeSet::new();
        let mut waiting = vec![start];
        self.seen[start as usize] = self.round;
        while let Some(node) = waiting.pop() {
            if node == TerminalId::CHASSIS.0 && node != start {
                continue;
            }
            let range = self.first[node as usize] as usize..self.first[node as usize + 1] as usize;
            for &other in &self.near[range] {
                let branch = (other as usize).checked_sub(vehicle.wires.len());
                let is_source = branch.is_some_and(|branch| {
                    matches!(
                        vehicle.branches[branch].element,
                        Element::Cell { .. } | Element::Alternator { .. } | Element::Charger { .. }
                    )
                });
                let (a, b) = network.ends[other as usize];
                let leaves = (a == node) == (self.amps[other as usize] > 0.0);
                if other as usize == element || is_source || leaves != downstream {
                    continue;
                }
                let group = pass.groups.of_element[other as usize];
                if group != NONE && group != MANY {
                    groups.insert(group);
                    continue;
                }
                let next = if a == node { b } else { a };
                if std::mem::replace(&mut self.seen[next as usize], self.round) != self.round {
                    waiting.push(next);
                }
            }
        }
        groups.into_iter().collect()
    }
}
