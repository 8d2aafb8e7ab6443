//! Keeps the extremes that were seen, each with the smallest setting that shows it.

use std::cell::OnceCell;
use std::collections::BTreeMap;

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
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Walks;
use crate::solve::LIVE;
use crate::solve::Solution;
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

impl<'p> Place<'p> {
    /// The combination of each group.
    const fn at(self) -> &'p [Option<usize>] {
        let (Self::Together(at) | Self::Whole { at, .. }) = self;
        at
    }
}

/// Everything seen so far.
pub(super) struct Records {
    pub(super) passes: Vec<Pass>,
    /// By wire, then by branch: current.
    pub(super) elements: Vec<Best>,
    /// The same with the key off, in settings that a person can leave behind.
    pub(super) left: Vec<Best>,
    /// The same with the key not in start and without loads that do not run all the time; empty where there are none, nothing
    /// of elements that carry none.
    pub(super) lasting: Vec<Option<Lasting>>,
    pub(super) highest: Vec<Best>,
    pub(super) ever: Vec<Least>,
    pub(super) key_off: Vec<Least>,
    pub(super) parked: Vec<bool>,
    rails: Rails,
    /// By branch of a consumer: the most that it drew with its `from`, and with its `to`, joined to nothing.
    pub(super) adrift: Vec<[Best; 2]>,
    pub(super) marks: Marks,
    /// Coils whose suppression diode would short the supply, each with the most that it would take.
    pub(super) burnt: BTreeMap<BranchId, Best>,
    /// By terminal: in which positions of the key it was seen live.
    pub(super) live_in: Vec<[bool; Key::ALL.len()]>,
    /// Loops without rest: their parts, what the setting costs, and the setting.
    pub(super) chatter: Vec<(Vec<PartId>, u32, Spot)>,
    /// By position of the key, where that is asked for.
    by_key: Option<Vec<KeySeen>>,
}

/// The current of an element without that of the loads that it carries and that do not run all the time.
pub(super) struct Lasting {
    /// Branches of these loads.
    without: Vec<u32>,
    pub(super) best: Best,
}

impl Lasting {
    fn amps(&self, whole: f64, solution: &Solution) -> f64 {
        let without = self.without.iter();
        let without: f64 = without
            .map(|&branch| solution.branch_amps[branch as usize].0.abs())
            .sum();
        (whole.abs() - without).max(0.0)
    }
}

/// What a solution shows is told of some groups: what their combinations cost, and whether a person can go away from them.
#[derive(Clone, Copy)]
struct Weight {
    cost: u32,
    left: bool,
}

impl Records {
    /// `detail` asks for what is live and works in each position of the key as well.
    pub(super) fn new(vehicle: &Vehicle, walks: &Walks, detail: bool) -> Self {
        let branches = vehicle.branches.len();
        let elements = vehicle.wires.len() + branches;
        let terminals = vehicle.terminals.len();
        Self {
            passes: Vec::new(),
            elements: vec![Best::default(); elements],
            left: vec![Best::default(); elements],
            lasting: lasting(vehicle, walks),
            highest: vec![Best::default(); terminals],
            ever: vec![Least::default(); terminals],
            key_off: vec![Least::default(); terminals],
            parked: vec![false; terminals],
            rails: Rails::new(vehicle),
            adrift: vec![<[Best; 2]>::default(); branches],
            live_in: vec![[false; Key::ALL.len()]; terminals],
            marks: Marks::new(vehicle, walks),
            burnt: BTreeMap::new(),
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
        let changed = Changed::of(&self.passes[pass_id], pass_id, place);
        self.note_chatter(vehicle, solution, &changed);
        self.note_adrift(vehicle, solution, &changed);
        self.note_burnt(vehicle, solution, &changed);
        let pass = &self.passes[pass_id];
        let view = View {
            vehicle,
            pass,
            solution,
            changed: &changed.groups,
            rails: &self.rails,
            whole: matches!(place, Place::Whole { .. }),
        };
        let cost = |groups: &[u32]| changed.weigh(pass, groups).map(|of| (of.cost, of.left));
        self.marks
            .look(&view, found, cost, |groups| changed.spot(groups));
        self.note_currents(vehicle, solution, &changed);
        self.note_voltages(solution, &changed);
        self.note_works(vehicle, solution, &changed);
    }

    fn note_chatter(&mut self, vehicle: &Vehicle, solution: &Solution, all: &Changed<'_>) {
        let pass = &self.passes[all.pass];
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
                groups.clone_from(&all.groups);
            }
            let Some(Weight { cost, .. }) = all.weigh(pass, &groups) else {
                continue;
            };
            let known = self.chatter.iter().position(|(known, ..)| known == circle);
            match known {
                Some(known) if self.chatter[known].1 <= cost => {}
                Some(known) => self.chatter[known] = (circle.clone(), cost, all.spot(&groups)),
                None => self.chatter.push((circle.clone(), cost, all.spot(&groups))),
            }
        }
    }

    fn note_adrift(&mut self, vehicle: &Vehicle, solution: &Solution, all: &Changed<'_>) {
        let pass = &self.passes[all.pass];
        for &(branch, terminal) in self.rails.adrift(solution) {
            let group = &pass.groups.of_element[vehicle.wires.len() + branch as usize];
            let Some((groups, Weight { cost, .. })) = all.told(pass, group) else {
                continue;
            };
            let value = solution.branch_amps[branch as usize].0;
            let end = usize::from(vehicle.branches[branch as usize].from.0 != terminal);
            self.adrift[branch as usize][end].see(value, cost, || all.spot(groups));
        }
    }

    fn note_burnt(&mut self, vehicle: &Vehicle, solution: &Solution, all: &Changed<'_>) {
        let pass = &self.passes[all.pass];
        for &(coil, amps) in &solution.burnt {
            let group = &pass.groups.of_element[vehicle.wires.len() + coil.index()];
            if let Some((groups, Weight { cost, .. })) = all.told(pass, group) {
                let best = self.burnt.entry(coil).or_default();
                best.see(amps.0, cost, || all.spot(groups));
            }
        }
    }

    fn note_currents(&mut self, vehicle: &Vehicle, solution: &Solution, all: &Changed<'_>) {
        let pass = &self.passes[all.pass];
        let settled_off = pass.is_settled_off();
        let lasts = pass.setup.key != Key::Start;
        let mut flow: Option<Flow> = None;
        for element in 0..self.elements.len() {
            let value = amps(vehicle, solution, element);
            if value.abs() <= NOTHING {
                continue;
            }
            let group = &pass.groups.of_element[element];
            let lasting = self.lasting.get_mut(element).and_then(Option::as_mut);
            let mut lasting = lasting.filter(|_| lasts).map(|lasting| {
                let amps = lasting.amps(value, solution);
                (&mut lasting.best, amps)
            });
            let traced;
            let mut told = all.told(pass, group);
            if let Place::Whole { network, at } = all.place
                && *group == MANY
                && all.groups.len() > 1
            {
                let cost = all.weight.map_or(0, |whole| whole.cost);
                let least = pass.changes().min(cost);
                let known = !self.elements[element].is_news(value, least)
                    && (!settled_off || !self.left[element].is_news(value, least))
                    && lasting
                        .as_ref()
                        .is_none_or(|(best, amps)| !best.is_news(*amps, least));
                if known {
                    continue;
                }
                let flow = flow.get_or_insert_with(|| Flow::new(network, solution));
                let behind = flow.behind(network, pass, element);
                traced = behind
                    .into_iter()
                    .filter(|group| at[*group as usize].is_some_and(|at| at > 0))
                    .collect::<Vec<u32>>();
                if !traced.is_empty() {
                    told = all.weigh(pass, &traced).map(|of| (traced.as_slice(), of));
                }
            }
            let Some((groups, Weight { cost, left })) = told else {
                continue;
            };
            let everything_left = left && all.weight.is_some_and(|whole| whole.left);
            if settled_off && left && (*group != MANY || everything_left) {
                self.left[element].see(value, cost, || all.spot(groups));
            }
            self.elements[element].see(value, cost, || all.spot(groups));
            if let Some((best, amps)) = &mut lasting {
                best.see(*amps, cost, || all.spot(groups));
            }
        }
    }

    fn note_voltages(&mut self, solution: &Solution, all: &Changed<'_>) {
        let pass = &self.passes[all.pass];
        let settled_off = pass.is_settled_off();
        let mut seen = self.by_key.as_mut().and_then(|keys| keys.last_mut());
        for node in 0..self.highest.len() {
            let volts = solution.volts[node].0;
            // Whatever the switches of other groups do meanwhile: it was seen.
            self.live_in[node][pass.setup.key as usize] |= volts.abs() > LIVE;
            let group = &pass.groups.of_node[node];
            let Some((groups, Weight { cost, left })) = all.told(pass, group) else {
                continue;
            };
            self.highest[node].see(volts, cost, || all.spot(groups));
            if volts.abs() <= LIVE {
                continue;
            }
            if settled_off && left {
                self.key_off[node].see(cost, || all.spot(groups));
            }
            if all.pass == 0 && all.groups.is_empty() {
                self.parked[node] = true;
            }
            self.ever[node].see(cost, || all.spot(groups));
            if let Some(seen) = &mut seen {
                seen.live[node].see(cost, || all.spot(groups));
            }
        }
    }

    fn note_works(&mut self, vehicle: &Vehicle, solution: &Solution, all: &Changed<'_>) {
        let pass = &self.passes[all.pass];
        let Some(seen) = self.by_key.as_mut().and_then(|keys| keys.last_mut()) else {
            return;
        };
        for id in vehicle.branch_ids() {
            let Some(does) = crate::solve::works::does(vehicle, solution, id) else {
                continue;
            };
            let branch = id.index();
            let group = &pass.groups.of_element[vehicle.wires.len() + branch];
            if let Some((groups, Weight { cost, .. })) = all.told(pass, group) {
                seen.works[branch].see(does, cost, || all.spot(groups));
            }
        }
    }

    /// Passes, and what was seen in each position of the key.
    pub(super) fn into_detail(self) -> (Vec<Pass>, Vec<KeySeen>) {
        (self.passes, self.by_key.unwrap_or_default())
    }
}

/// Elements that carry loads which do not run all the time, with the branches of these.
fn lasting(vehicle: &Vehicle, walks: &Walks) -> Vec<Option<Lasting>> {
    let rests = |branch: BranchId| match &vehicle.branch(branch).element {
        Element::Load(load) => load.duty.likely.0 < 1.0 - 1e-9,
        _ => false,
    };
    if !vehicle.branch_ids().any(rests) {
        return Vec::new();
    }
    let of = |without: Vec<u32>| {
        (!without.is_empty()).then(|| Lasting {
            without,
            best: Best::default(),
        })
    };
    let wires = vehicle.wire_ids().map(|wire: WireId| {
        let through = walks.through_wire(wire).map(|one| one.branch);
        through
            .filter(|&branch| rests(branch))
            .map(|branch| branch.0)
    });
    let wires = wires.map(|without| of(without.collect()));
    let branches = vehicle.branch_ids().map(|branch| {
        let through = walks.through_branch(branch).map(|one| one.branch);
        through
            .filter(|&branch| rests(branch))
            .map(|branch| branch.0)
    });
    let branches = branches.map(|without| of(without.collect()));
    wires.chain(branches).collect()
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

/// Groups that are not as they are left in a setting of a pass.
struct Changed<'p> {
    pass: usize,
    place: Place<'p>,
    groups: Vec<u32>,
    /// Of all of them. With hundreds of groups it is worth keeping, as is the setting.
    weight: Option<Weight>,
    /// The setting of all of them, once it is asked for.
    whole: OnceCell<Spot>,
}

impl<'p> Changed<'p> {
    fn of(pass: &Pass, number: usize, place: Place<'p>) -> Self {
        let at = place.at();
        let groups = 0..at.len() as u32;
        let changed = groups.filter(|&group| at[group as usize].is_some_and(|at| at > 0));
        let groups: Vec<u32> = changed.collect();
        Self {
            pass: number,
            place,
            weight: weigh(pass, at, &groups),
            groups,
            whole: OnceCell::new(),
        }
    }

    /// Of which groups a value is told that hangs on a group, and what they cost; nothing where it says nothing here.
    fn told<'g>(&'g self, pass: &Pass, group: &'g u32) -> Option<(&'g [u32], Weight)> {
        let groups = match self.place {
            Place::Whole { .. } => &self.groups,
            // As everything is left.
            Place::Together(_) if self.groups.is_empty() => &self.groups,
            Place::Together(_) if *group == NONE || *group == MANY => return None,
            Place::Together(_) => std::slice::from_ref(group),
        };
        Some((groups, self.weigh(pass, groups)?))
    }

    fn weigh(&self, pass: &Pass, groups: &[u32]) -> Option<Weight> {
        if std::ptr::eq(groups, self.groups.as_slice()) {
            self.weight
        } else {
            weigh(pass, self.place.at(), groups)
        }
    }

    /// The setting of some groups.
    fn spot(&self, groups: &[u32]) -> Spot {
        let at = self.place.at();
        let spot = || Spot {
            pass: self.pass as u32,
            combinations: groups
                .iter()
                .filter_map(|&group| Some((group, at[group as usize]? as u32)))
                .filter(|&(_, at)| at > 0)
                .collect(),
        };
        if std::ptr::eq(groups, self.groups.as_slice()) {
            self.whole.get_or_init(spot).clone()
        } else {
            spot()
        }
    }
}
