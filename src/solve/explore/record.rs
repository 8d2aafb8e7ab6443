//! Keeps the extremes that were seen, each with the smallest setting that shows it.

use std::sync::Arc;

use super::MANY;
use super::NONE;
use super::Pass;
use super::amps;
use super::best::Best;
use super::best::Least;
use super::best::NOTHING;
use super::best::Spot;
use super::detail::KeySeen;
use super::flow::Flow;
use super::marks::Marks;
use super::marks::View;
use super::rails::Rails;
use super::watch::Found;
use super::watch::What;
use crate::model::BranchId;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::quantity::Volts;
use crate::solve::LIVE;
use crate::solve::Solution;
use crate::solve::explored::Adrift;
use crate::solve::explored::BackFed;
use crate::solve::explored::Explored;
use crate::solve::explored::Extreme;
use crate::solve::explored::Joined;
use crate::solve::explored::Seen;
use crate::solve::explored::Shorted;
use crate::solve::explored::Shown;
use crate::solve::explored::Use;
use crate::solve::network::Network;

/// Where in the exploration a solution stands.
#[derive(Clone, Copy)]
pub(super) enum Place<'p> {
    /// Each group in this combination, all at once so as to save work: what it shows is told of one group, as if the others
    /// were as they are left; nothing where a group has no such combination.
    Together(&'p [Option<usize>]),
    /// A setting that was looked at for its own sake.
    Whole {
        at: &'p [Option<usize>],
        network: &'p Network<'p>,
    },
}

/// Everything seen so far.
pub(super) struct Records {
    passes: Vec<Pass>,
    /// By wire, then by branch: current.
    elements: Vec<Best>,
    /// The same with the key off, in settings that a person can leave behind.
    left: Vec<Best>,
    highest: Vec<Best>,
    ever: Vec<Least>,
    key_off: Vec<Least>,
    parked: Vec<bool>,
    rails: Rails,
    /// By branch of a consumer: the most that it drew with its `from`, and with its `to`, joined to nothing.
    adrift: Vec<[Best; 2]>,
    marks: Marks,
    /// By terminal: in which positions of the key it was seen live.
    live_in: Vec<[bool; Key::ALL.len()]>,
    /// Loops without rest: their parts, what the setting costs, and the setting.
    chatter: Vec<(Vec<PartId>, u32, Spot)>,
    /// By position of the key, where that is asked for.
    by_key: Option<Vec<KeySeen>>,
}

/// What a solution shows is told of some groups: what their combinations cost, and whether a person can go away from them.
#[derive(Clone, Copy)]
struct Weight {
    cost: u32,
    left: bool,
}

impl Records {
    /// `detail` asks for what is live and works in each position of the key as well.
    pub(super) fn new(vehicle: &Vehicle, detail: bool) -> Self {
        let branches = vehicle.branches.len();
        let elements = vehicle.wires.len() + branches;
        let terminals = vehicle.terminals.len();
        Self {
            passes: Vec::new(),
            elements: vec![Best::default(); elements],
            left: vec![Best::default(); elements],
            highest: vec![Best::default(); terminals],
            ever: vec![Least::default(); terminals],
            key_off: vec![Least::default(); terminals],
            parked: vec![false; terminals],
            rails: Rails::new(vehicle),
            adrift: vec![<[Best; 2]>::default(); branches],
            live_in: vec![[false; Key::ALL.len()]; terminals],
            marks: Marks::new(vehicle),
            chatter: Vec::new(),
            by_key: detail.then(Vec::new),
        }
    }

    pub(super) fn begin(&mut self, pass: Pass) -> usize {
        if let Some(keys) = &mut self.by_key
            && keys.last().is_none_or(|last| last.setup != pass.setup)
        {
            let (terminals, branches) = (self.highest.len(), self.adrift.len());
            keys.push(KeySeen::new(pass.setup, terminals, branches));
        }
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
        place: Place<'_>,
        found: Vec<Found>,
    ) {
        if solution.trouble.is_some() {
            return;
        }
        let (Place::Together(at) | Place::Whole { at, .. }) = place;
        let changed = changed(at);
        self.note_chatter(vehicle, pass_id, solution, at, &changed);
        self.note_adrift(vehicle, pass_id, solution, place, &changed);
        let pass = &self.passes[pass_id];
        let view = View {
            vehicle,
            pass,
            solution,
            changed: &changed,
            rails: &self.rails,
        };
        let cost = |groups: &[u32]| weigh(pass, at, groups).map(|of| (of.cost, of.left));
        self.marks
            .look(&view, found, cost, |groups| spot(pass_id, at, groups));
        self.note_currents(vehicle, pass_id, solution, place, &changed);
        self.note_voltages(pass_id, solution, place, &changed);
        self.note_works(vehicle, pass_id, solution, place, &changed);
    }

    fn note_chatter(
        &mut self,
        vehicle: &Vehicle,
        pass_id: usize,
        solution: &Solution,
        at: &[Option<usize>],
        changed: &[u32],
    ) {
        let pass = &self.passes[pass_id];
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
                groups = changed.to_vec();
            }
            let Some(Weight { cost, .. }) = weigh(pass, at, &groups) else {
                continue;
            };
            let known = self.chatter.iter().position(|(known, ..)| known == circle);
            match known {
                Some(known) if self.chatter[known].1 <= cost => {}
                Some(known) => {
                    self.chatter[known] = (circle.clone(), cost, spot(pass_id, at, &groups));
                }
                None => self
                    .chatter
                    .push((circle.clone(), cost, spot(pass_id, at, &groups))),
            }
        }
    }

    fn note_adrift(
        &mut self,
        vehicle: &Vehicle,
        pass_id: usize,
        solution: &Solution,
        place: Place<'_>,
        changed: &[u32],
    ) {
        let pass = &self.passes[pass_id];
        let (Place::Together(at) | Place::Whole { at, .. }) = place;
        let whole = weigh(pass, at, changed);
        for &(branch, terminal) in self.rails.adrift(solution) {
            let group = pass.groups.of_element[vehicle.wires.len() + branch as usize];
            let single = [group];
            let (groups, weight): (&[u32], _) = match told_of(group, place, changed) {
                Told::Nothing => continue,
                Told::AsLeft => (&[], weigh(pass, at, &[])),
                Told::Group => (&single, weigh(pass, at, &single)),
                Told::Changed => (changed, whole),
            };
            let Some(Weight { cost, .. }) = weight else {
                continue;
            };
            let value = solution.branch_amps[branch as usize].0;
            let end = usize::from(vehicle.branches[branch as usize].from.0 != terminal);
            self.adrift[branch as usize][end].see(value, cost, || spot(pass_id, at, groups));
        }
    }

    fn note_currents(
        &mut self,
        vehicle: &Vehicle,
        pass_id: usize,
        solution: &Solution,
        place: Place<'_>,
        changed: &[u32],
    ) {
        let pass = &self.passes[pass_id];
        let settled_off = pass.is_settled_off();
        let whole = weigh_at(pass, place, changed);
        let mut flow: Option<Flow> = None;
        for element in 0..self.elements.len() {
            let value = amps(vehicle, solution, element);
            if value.abs() <= NOTHING {
                continue;
            }
            let group = pass.groups.of_element[element];
            let traced;
            let single = [group];
            let groups: &[u32] = match (told_of(group, place, changed), place) {
                (Told::Nothing, _) => continue,
                (Told::AsLeft, _) => &[],
                (Told::Group, _) => &single,
                (Told::Changed, Place::Whole { network, at })
                    if group == MANY && changed.len() > 1 =>
                {
                    let cost = whole.as_ref().map_or(0, |whole| whole.cost);
                    let base = pass.changes();
                    let known = !self.elements[element].is_news(value, base.min(cost))
                        && (!settled_off || !self.left[element].is_news(value, base.min(cost)));
                    if known {
                        continue;
                    }
                    let flow = flow.get_or_insert_with(|| Flow::new(network, solution));
                    let behind = flow.behind(network, pass, element);
                    traced = behind
                        .into_iter()
                        .filter(|group| at[*group as usize].is_some_and(|at| at > 0))
                        .collect::<Vec<u32>>();
                    if traced.is_empty() { changed } else { &traced }
                }
                (Told::Changed, _) => changed,
            };
            let (Place::Together(at) | Place::Whole { at, .. }) = place;
            // Of all that is changed it is the same for every element: with hundreds of groups it is worth keeping.
            let weight = if std::ptr::eq(groups, changed) {
                whole
            } else {
                weigh(pass, at, groups)
            };
            let Some(Weight { cost, left }) = weight else {
                continue;
            };
            let everything_left = left && whole.as_ref().is_some_and(|whole| whole.left);
            if settled_off && left && (group != MANY || everything_left) {
                self.left[element].see(value, cost, || spot(pass_id, at, groups));
            }
            self.elements[element].see(value, cost, || spot(pass_id, at, groups));
        }
    }

    fn note_voltages(
        &mut self,
        pass_id: usize,
        solution: &Solution,
        place: Place<'_>,
        changed: &[u32],
    ) {
        let pass = &self.passes[pass_id];
        let settled_off = pass.is_settled_off();
        let (Place::Together(at) | Place::Whole { at, .. }) = place;
        let whole = weigh(pass, at, changed);
        let mut seen = self.by_key.as_mut().and_then(|keys| keys.last_mut());
        for node in 0..self.highest.len() {
            let volts = solution.volts[node].0;
            // Whatever the switches of other groups do meanwhile: it was seen.
            self.live_in[node][pass.setup.key as usize] |= volts.abs() > LIVE;
            let group = pass.groups.of_node[node];
            let single = [group];
            let (groups, weight): (&[u32], _) = match told_of(group, place, changed) {
                Told::Nothing => continue,
                Told::AsLeft => (&[], weigh(pass, at, &[])),
                Told::Group => (&single, weigh(pass, at, &single)),
                Told::Changed => (changed, whole),
            };
            let Some(Weight { cost, left }) = weight else {
                continue;
            };
            self.highest[node].see(volts, cost, || spot(pass_id, at, groups));
            if volts.abs() <= LIVE {
                continue;
            }
            if settled_off && left {
                self.key_off[node].see(cost, || spot(pass_id, at, groups));
            }
            if pass_id == 0 && changed.is_empty() {
                self.parked[node] = true;
            }
            self.ever[node].see(cost, || spot(pass_id, at, groups));
            if let Some(seen) = &mut seen {
                seen.live[node].see(cost, || spot(pass_id, at, groups));
            }
        }
    }

    fn note_works(
        &mut self,
        vehicle: &Vehicle,
        pass_id: usize,
        solution: &Solution,
        place: Place<'_>,
        changed: &[u32],
    ) {
        let pass = &self.passes[pass_id];
        let Some(seen) = self.by_key.as_mut().and_then(|keys| keys.last_mut()) else {
            return;
        };
        let (Place::Together(at) | Place::Whole { at, .. }) = place;
        for id in vehicle.branch_ids() {
            let Some(does) = crate::solve::works::does(vehicle, solution, id) else {
                continue;
            };
            let branch = id.index();
            let group = pass.groups.of_element[vehicle.wires.len() + branch];
            let single = [group];
            let groups: &[u32] = match told_of(group, place, changed) {
                Told::Nothing => continue,
                Told::AsLeft => &[],
                Told::Group => &single,
                Told::Changed => changed,
            };
            if let Some(Weight { cost, .. }) = weigh(pass, at, groups) {
                seen.works[branch].see(does, cost, || spot(pass_id, at, groups));
            }
        }
    }

    /// What was seen, for people.
    pub(super) fn finish(
        &self,
        vehicle: &Vehicle,
        settings: u64,
        of: u64,
        complete: bool,
    ) -> Explored {
        let tell = |spot: &Spot| self.passes[spot.pass as usize].tell(vehicle, spot);
        let wires = vehicle.wires.len();
        let of_amps = |best: &Best| Extreme {
            value: Amps(best.most),
            setting: best.told().map(|step| tell(&step.spot)).unwrap_or_default(),
            smaller: best
                .smaller()
                .map(|step| (Amps(step.value), tell(&step.spot)))
                .collect(),
        };
        let terminals = (0..self.parked.len()).map(|node| Seen {
            parked: self.parked[node],
            key_off: self.key_off[node].spot().map(tell),
            ever: self.ever[node].spot().map(tell),
            by_key: self.live_in[node],
        });
        let (mut shorted, mut back_fed, mut joined) = (Vec::new(), Vec::new(), Vec::new());
        for (what, spot) in self.marks.found() {
            let setting = tell(spot);
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
        let ends = vehicle.branches.iter().zip(&self.adrift).enumerate();
        let adrift = ends
            .flat_map(|(at, (branch, seen))| {
                [(branch.from, &seen[0]), (branch.to, &seen[1])]
                    .map(|(end, best)| (BranchId(at as u32), end, best))
            })
            .filter(|(_, _, best)| best.told().is_some())
            .map(|(branch, at, best)| Adrift {
                branch,
                at,
                seen: of_amps(best),
            });
        Explored {
            adrift: adrift.collect(),
            uses: self.uses(vehicle),
            shorted,
            back_fed,
            joined,
            chatter: self
                .chatter
                .iter()
                .map(|(circle, _, spot)| (circle.clone(), tell(spot)))
                .collect(),
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
                    setting: best.told().map(|step| tell(&step.spot)).unwrap_or_default(),
                    smaller: Vec::new(),
                })
                .collect(),
        }
    }

    /// Of each branch that uses current: how it was seen.
    fn uses(&self, vehicle: &Vehicle) -> Vec<Use> {
        let mut uses = vec![Use::default(); vehicle.branches.len()];
        let tell = |spot: &Spot| self.passes[spot.pass as usize].tell(vehicle, spot);
        let [mut lasting, mut lowest, mut lowest_running] = [const { Telling(None) }; 3];
        for mark in self.marks.users() {
            uses[mark.branch] = Use {
                ever: mark.ever.spot().map(tell),
                key_off: mark.key_off.spot().map(tell),
                lasting: mark.lasting.told().map(|step| Shown {
                    value: Amps(mark.lasting.most),
                    setting: lasting.tell(&step.spot, tell),
                }),
                lowest: mark.lowest.map(|seen| Shown {
                    value: Volts(seen.volts),
                    setting: lowest.tell(&seen.spot, tell),
                }),
                lowest_running: mark.lowest_running.map(|seen| Shown {
                    value: Volts(seen.volts),
                    setting: lowest_running.tell(&seen.spot, tell),
                }),
            };
        }
        uses
    }

    /// Passes, and what was seen in each position of the key.
    pub(super) fn into_detail(self) -> (Vec<Pass>, Vec<KeySeen>) {
        (self.passes, self.by_key.unwrap_or_default())
    }
}

/// Tells settings one after the other: one that is as the last is not put in words again. With everything on hundreds of users
/// share one of hundreds of names.
struct Telling<'s>(Option<(&'s Spot, Arc<Setting>)>);

impl<'s> Telling<'s> {
    fn tell(&mut self, spot: &'s Spot, tell: impl Fn(&Spot) -> Setting) -> Arc<Setting> {
        match &self.0 {
            Some((last, told)) if *last == spot => Arc::clone(told),
            _ => {
                let told = Arc::new(tell(spot));
                self.0 = Some((spot, Arc::clone(&told)));
                told
            }
        }
    }
}

/// Of which groups a value is told.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Told {
    /// It says nothing here.
    Nothing,
    /// It is so as everything is left.
    AsLeft,
    /// Of its own group.
    Group,
    /// Of all groups that are changed.
    Changed,
}

fn told_of(group: u32, place: Place<'_>, changed: &[u32]) -> Told {
    match place {
        _ if changed.is_empty() => Told::AsLeft,
        Place::Together(_) if group == NONE || group == MANY => Told::Nothing,
        Place::Together(_) => Told::Group,
        Place::Whole { .. } => Told::Changed,
    }
}

fn weigh_at(pass: &Pass, place: Place<'_>, groups: &[u32]) -> Option<Weight> {
    let (Place::Together(at) | Place::Whole { at, .. }) = place;
    weigh(pass, at, groups)
}

/// What it costs to set these groups so; nothing where one of them has no such combination.
fn weigh(pass: &Pass, at: &[Option<usize>], groups: &[u32]) -> Option<Weight> {
    let mut weight = Weight {
        cost: pass.changes(),
        left: true,
    };
    for &group in groups {
        let at = at[group as usize]?;
        let own = pass.combinations[group as usize].get(at)?;
        weight.cost += own.changes();
        weight.left &= own.left;
    }
    Some(weight)
}

fn spot(pass: usize, at: &[Option<usize>], groups: &[u32]) -> Spot {
    Spot {
        pass: pass as u32,
        combinations: groups
            .iter()
            .filter_map(|&group| Some((group, at[group as usize]? as u32)))
            .filter(|&(_, at)| at > 0)
            .collect(),
    }
}

/// Groups that are not as they are left.
fn changed(at: &[Option<usize>]) -> Vec<u32> {
    let groups = 0..at.len() as u32;
    groups
        .filter(|&group| at[group as usize].is_some_and(|at| at > 0))
        .collect()
}
