//! Which settings of one pass are solved.
//!
//! Groups cannot influence one another's contacts, but they share batteries, feeds and returns, and what one takes lowers
//! the voltage of the others. What a group shows at its worst is therefore looked at between the ends of what the others
//! can do: as they are left, each in the combination in which it takes most, and each in the one in which it takes least
//! (or gives most). What carries the current of several groups is looked at with each of them in the combination that adds
//! most to it, in either direction.
//!
//! Where a vehicle has so much in it that this would take long, the n-th combination of every group is looked at in the
//! same solution, and what is shared with all groups at their most.

use std::collections::BTreeSet;

use super::Pass;
use super::amps;
use super::groups::Feeder;
use super::groups::MANY;
use super::groups::NONE;
use super::others::Others;
use super::record::Place;
use super::record::Records;
use super::watch::Watch;
use crate::model::Key;
use crate::model::Vehicle;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;

/// Combinations of all groups of a pass, times elements of the vehicle, up to which each is looked at by itself.
const ALONE: usize = 40_000;

/// Ends of what the other groups can do between which each group is looked at, at most.
const ENDS: usize = 12;

/// Share of the system's voltage by which groups may move a point that they share; where it is more, they are looked at in all
/// combinations of one another.
const MOVES: f64 = 0.1;

/// Each group in one of its combinations.
type At = Vec<Option<usize>>;

/// How many settings of a pass there are, beside that in which everything is left, and how many were looked at.
pub(super) struct Count {
    pub looked: u64,
    pub of: u64,
    /// The groups turned out to influence one another.
    pub coupled: bool,
    /// Combinations of several groups were looked at in the same solution.
    pub together: bool,
}

/// Looks at the settings of a pass. `only_holds` leaves out groups in which nothing can hold itself; of one group no more
/// than `limit` combinations are looked at.
pub(super) fn at(
    solver: &mut Solver<'_>,
    records: &mut Records,
    watch: &Watch,
    pass: Pass,
    as_left: &Solution,
    only_holds: bool,
    limit: usize,
) -> Count {
    let vehicle = solver.vehicle();
    let varies: Vec<usize> = (0..pass.combinations.len())
        .filter(|&group| pass.combinations[group].len() > 1)
        .filter(|&group| !only_holds || pass.groups.holds[group])
        .collect();
    let count = pass.count(vehicle, &varies);
    let work: usize = varies
        .iter()
        .map(|&group| pass.combinations[group].len())
        .sum();
    let elements = vehicle.wires.len() + vehicle.branches.len();
    let mut looks = Looks::new(solver, records, watch, pass, as_left);
    if varies.len() >= 2 && work.saturating_mul(elements) > ALONE {
        looks.together(&varies);
        return Count {
            together: true,
            ..count
        };
    }
    looks.alone(&varies, as_left);
    if !looks.coupled {
        return count;
    }
    if varies.len() < 2 {
        return Count {
            coupled: true,
            ..count
        };
    }
    let pass = looks
        .records
        .pass(looks.pass)
        .joined(vehicle, &varies, limit);
    let first = varies[0];
    let count = pass.count(vehicle, &[first]);
    Looks::new(solver, records, watch, pass, as_left).alone(&[first], as_left);
    Count {
        coupled: true,
        ..count
    }
}

/// The pass being looked at.
struct Looks<'a, 'v> {
    solver: &'a mut Solver<'v>,
    records: &'a mut Records,
    watch: &'a Watch,
    pass: usize,
    memory: Memory,
    /// Settings that were solved.
    seen: BTreeSet<At>,
    most: Most,
    /// Voltages of shared points, lowest and highest.
    shared: Vec<(f64, f64)>,
    /// Of each part that decides, by the combination of its group: how it did; of one that nothing should move, as the first.
    decided: Vec<Vec<Option<bool>>>,
    /// The groups turned out to influence one another.
    coupled: bool,
}

impl<'a, 'v> Looks<'a, 'v> {
    fn new(
        solver: &'a mut Solver<'v>,
        records: &'a mut Records,
        watch: &'a Watch,
        pass: Pass,
        as_left: &Solution,
    ) -> Self {
        let vehicle = solver.vehicle();
        let memory = pass.memory(vehicle);
        let groups = pass.combinations.len();
        let deciders = solver.network.deciders.len();
        let pass = records.begin(pass);
        let mut looks = Self {
            solver,
            records,
            watch,
            pass,
            memory,
            seen: BTreeSet::new(),
            most: Most::new(groups),
            shared: Vec::new(),
            decided: vec![Vec::new(); deciders],
            coupled: false,
        };
        let left = vec![Some(0); groups];
        looks.look(as_left, &left, true);
        let pass = looks.records.pass(pass);
        looks.most.take(pass, vehicle, as_left, &left);
        looks
    }

    /// Whether the groups are as independent as they were taken to be: what nothing should move stays as it is, what belongs
    /// to a group stays as its combination puts it whatever the others do, and the points that they share keep their voltage.
    fn compare(&mut self, solution: &Solution, at: &[Option<usize>]) {
        let pass = self.records.pass(self.pass);
        let vehicle = self.solver.vehicle();
        let deciders = self.solver.network.deciders.iter();
        for (decider, known) in deciders.zip(&mut self.decided) {
            let part = decider.part.index();
            let round = match pass.groups.of_part[part] {
                NONE => Some(0),
                group => at[group as usize],
            };
            let Some(round) = round else { continue };
            if known.len() <= round {
                known.resize(round + 1, None);
            }
            let is_in = solution.memory.0[part];
            self.coupled |= *known[round].get_or_insert(is_in) != is_in;
        }
        let most = vehicle.system.likely.0 * MOVES;
        let nodes = pass.groups.of_node.iter().zip(&solution.volts);
        let points = nodes.filter(|(group, _)| **group == NONE || **group == MANY);
        for (at, (_, volts)) in points.enumerate() {
            if let Some((low, high)) = self.shared.get_mut(at) {
                *low = low.min(volts.0);
                *high = high.max(volts.0);
                self.coupled |= *high - *low > most;
            } else {
                self.shared.push((volts.0, volts.0));
            }
        }
    }

    fn look(&mut self, solution: &Solution, at: &[Option<usize>], whole: bool) {
        let vehicle = self.solver.vehicle();
        if whole {
            self.compare(solution, at);
        }
        let network = &self.solver.network;
        let place = if whole {
            Place::Whole { at, network }
        } else {
            Place::Together(at)
        };
        let found = self.watch.look(vehicle, solution);
        self.records
            .look(vehicle, self.pass, solution, place, found);
    }

    /// Solves a setting and looks at it, unless that was done already.
    fn solve(&mut self, at: &At) -> Option<Solution> {
        if at.iter().all(|at| *at == Some(0)) || !self.seen.insert(at.clone()) {
            return None;
        }
        let state = self.records.pass(self.pass).state(at);
        let solution = self.solver.solve(&state, &self.memory);
        self.look(&solution, at, true);
        Some(solution)
    }

    /// Each combination of each group by itself, between the ends of what the others can do.
    fn alone(&mut self, varies: &[usize], as_left: &Solution) {
        let vehicle = self.solver.vehicle();
        let shared = Shared::new(vehicle, self.records.pass(self.pass), as_left);
        let groups = self.most.of.len();
        let left = vec![Some(0); groups];
        let mut adds = vec![Adds::default(); shared.before.len()];
        for &group in varies {
            for adds in &mut adds {
                adds.next();
            }
            for round in 1..self.records.pass(self.pass).combinations[group].len() {
                let mut at = left.clone();
                at[group] = Some(round);
                let Some(solution) = self.solve(&at) else {
                    continue;
                };
                let pass = self.records.pass(self.pass);
                self.most.take(pass, vehicle, &solution, &at);
                if varies.len() > 1 {
                    for (adds, more) in adds.iter_mut().zip(shared.more(vehicle, &solution)) {
                        adds.see(more, group, round);
                    }
                }
            }
        }
        if varies.len() < 2 {
            return;
        }
        // Settings in which all groups add up, one way or another.
        let mut ends = vec![self.most.at(Take::Most), self.most.at(Take::Least)];
        if self.records.pass(self.pass).setup.key == Key::Off {
            ends.push(self.most.at(Take::Kept));
        }
        let (currents, voltages) = adds.split_at(shared.elements.len());
        let sums = |adds: &[Adds]| -> BTreeSet<At> {
            let both = adds
                .iter()
                .flat_map(|adds| [adds.at(groups, &adds.most), adds.at(groups, &adds.least)]);
            both.collect()
        };
        for at in &sums(currents) {
            self.solve(at);
        }
        for at in sums(voltages) {
            if ends.len() < ENDS && !ends.contains(&at) {
                ends.push(at);
            }
        }
        for end in &ends {
            self.solve(end);
            for &group in varies {
                for round in 0..self.records.pass(self.pass).combinations[group].len() {
                    let mut at = end.clone();
                    at[group] = Some(round);
                    self.solve(&at);
                }
            }
        }
    }

    /// The n-th combination of every group at once, then all of them at their most.
    fn together(&mut self, varies: &[usize]) {
        let vehicle = self.solver.vehicle();
        let many = |pass: &Pass, group: usize| pass.combinations[group].len();
        let pass = self.records.pass(self.pass);
        let mut others = Others::new(vehicle);
        let rounds = varies.iter().map(|&group| many(pass, group)).max();
        for round in 1..rounds.unwrap_or(0) {
            let pass = self.records.pass(self.pass);
            let mut at: At = vec![None; self.most.of.len()];
            for &group in varies {
                at[group] = (round < many(pass, group)).then_some(round);
            }
            let state = pass.state(&at);
            let solution = self.solver.solve(&state, &self.memory);
            self.look(&solution, &at, false);
            let pass = self.records.pass(self.pass);
            self.most.take(pass, vehicle, &solution, &at);
            others.look(vehicle, &pass.groups, &solution, &at);
        }
        let off = self.records.pass(self.pass).setup.key == Key::Off;
        let most = self.most.at(Take::Most);
        let solution = self.solve(&most);
        if off {
            let kept = self.most.at(Take::Kept);
            self.solve(&kept);
            return;
        }
        // A user that is off there has its least voltage with its own group in another combination.
        let Some(solution) = solution else { return };
        for (group, combination) in others.off_in(vehicle, &solution, &most) {
            let mut at = most.clone();
            at[group as usize] = Some(combination);
            self.solve(&at);
        }
    }
}

/// How much a group takes.
#[derive(Clone, Copy)]
enum Take {
    /// The most of any combination.
    Most,
    /// The most of one that can be left behind.
    Kept,
    /// The least.
    Least,
}

/// Of each group: what it takes at [`Take::Most`], [`Take::Kept`] and [`Take::Least`], in watt, and in which combination.
struct Most {
    of: Vec<[(f64, usize); 3]>,
    known: Vec<bool>,
}

impl Most {
    fn new(groups: usize) -> Self {
        Self {
            of: vec![[(0.0, 0); 3]; groups],
            known: vec![false; groups],
        }
    }

    /// Notes what each group takes in a solution.
    fn take(&mut self, pass: &Pass, vehicle: &Vehicle, solution: &Solution, at: &[Option<usize>]) {
        let mut taken = vec![0.0; self.of.len()];
        for &Feeder {
            group,
            element,
            point,
            sign,
        } in &pass.groups.feeders
        {
            let amps = sign * amps(vehicle, solution, element as usize);
            taken[group as usize] += amps * solution.volts[point as usize].0;
        }
        for (group, taken) in taken.into_iter().enumerate() {
            let Some(round) = at[group] else { continue };
            let Some(combination) = pass.combinations[group].get(round) else {
                continue;
            };
            let [most, kept, least] = &mut self.of[group];
            if !std::mem::replace(&mut self.known[group], true) {
                *most = (taken, round);
                *kept = (taken, round);
                *least = (taken, round);
                continue;
            }
            if taken > most.0 {
                *most = (taken, round);
            }
            if combination.left && taken > kept.0 {
                *kept = (taken, round);
            }
            if taken < least.0 {
                *least = (taken, round);
            }
        }
    }

    fn at(&self, take: Take) -> At {
        let round = |of: &[(f64, usize); 3]| Some(of[take as usize].1);
        self.of.iter().map(round).collect()
    }
}

/// What several groups share: elements that carry the current of several, then points that they hang on; and the currents
/// and voltages of these as everything is left.
struct Shared {
    elements: Vec<usize>,
    points: Vec<usize>,
    before: Vec<f64>,
}

impl Shared {
    fn new(vehicle: &Vehicle, pass: &Pass, as_left: &Solution) -> Self {
        let count = vehicle.wires.len() + vehicle.branches.len();
        let mut shared = Self {
            elements: (0..count)
                .filter(|&element| pass.groups.of_element[element] == MANY)
                .collect(),
            points: (1..vehicle.terminals.len())
                .filter(|&node| matches!(pass.groups.of_node[node], NONE | MANY))
                .collect(),
            before: Vec::new(),
        };
        shared.before = shared.all(vehicle, as_left).collect();
        shared
    }

    fn all<'a>(
        &'a self,
        vehicle: &'a Vehicle,
        solution: &'a Solution,
    ) -> impl Iterator<Item = f64> + 'a {
        let currents = self.elements.iter();
        let currents = currents.map(|&element| amps(vehicle, solution, element));
        currents.chain(self.points.iter().map(|&node| solution.volts[node].0))
    }

    /// How much more each has in another setting.
    fn more<'a>(
        &'a self,
        vehicle: &'a Vehicle,
        solution: &'a Solution,
    ) -> impl Iterator<Item = f64> + 'a {
        let all = self.all(vehicle, solution);
        all.zip(&self.before).map(|(now, before)| now - before)
    }
}

/// What groups add to the current of one element or the voltage of one point: of each group the combination that adds most, up
/// and down.
#[derive(Clone, Default)]
struct Adds {
    most: Vec<(usize, usize)>,
    least: Vec<(usize, usize)>,
    now: [f64; 2],
}

impl Adds {
    /// Goes on to the next group.
    fn next(&mut self) {
        self.now = [0.0; 2];
    }

    fn see(&mut self, more: f64, group: usize, round: usize) {
        let [most, least] = &mut self.now;
        let put = |list: &mut Vec<(usize, usize)>| {
            if let Some(last) = list.last_mut().filter(|last| last.0 == group) {
                last.1 = round;
            } else {
                list.push((group, round));
            }
        };
        if more > *most + super::best::NOTHING {
            *most = more;
            put(&mut self.most);
        }
        if more < *least - super::best::NOTHING {
            *least = more;
            put(&mut self.least);
        }
    }

    /// All groups so.
    fn at(&self, groups: usize, rounds: &[(usize, usize)]) -> At {
        let mut at = vec![Some(0); groups];
        for &(group, round) in rounds {
            at[group] = Some(round);
        }
        at
    }
}
