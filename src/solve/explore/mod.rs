//! Every setting of keys and switches, looked at with as few solutions as independence allows.
//!
//! For each position of the key, each setting of disconnects and plugs, and for what remembers both from everything out
//! and from everything in: switches fall into groups that cannot influence one another ([`groups`]). Of each group every
//! combination is looked at, fewest changes first; the n-th of every group in the same solution. What carries the current of
//! several groups is looked at with each of them in the combination in which it takes most.

mod combine;
mod groups;
mod marks;
mod rails;
mod record;
mod watch;

use std::collections::BTreeSet;

use super::{Memory, Solution, Solver, State};
use crate::model::{Control, Element, Engine, Key, Vehicle};

use super::explored::Explored;
use combine::{Combination, combinations};
use groups::{Groups, MANY, NONE, Unit};
use record::{Place, Records};
use watch::Watch;

/// Disconnects and plugs of which all settings are combined; of more, each is changed alone.
const OUTER: usize = 4;

/// A position of the key, and what goes with it.
#[derive(Clone, Copy, Debug)]
struct Setup {
    key: Key,
    engine: Engine,
    shore: bool,
    settled: bool,
    /// Words for what the key does not tell.
    also: Option<&'static str>,
}

/// Disconnects and plugs that are not as they are left.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
struct Outer {
    switches: Vec<(u32, u8)>,
    detached: BTreeSet<String>,
}

/// One pass: a setup, an outer setting and a memory, with its groups.
struct Pass {
    setup: Setup,
    outer: Outer,
    /// Started with everything in.
    from_in: bool,
    base: State,
    groups: Groups,
    combinations: Vec<Vec<Combination>>,
}

/// Looks at every setting; no more than `limit` combinations of one group in one position of the key.
pub fn explore(solver: &mut Solver<'_>, limit: usize) -> Explored {
    let vehicle = solver.vehicle();
    let limit = limit.max(2);
    let mut records = Records::new(vehicle);
    let watch = Watch::new(&solver.network);
    let (outers, mut complete) = outers(vehicle);
    let (mut looked, mut of) = (0_u64, 0_u64);
    if !complete {
        of = of.saturating_add(1);
    }
    for setup in setups(vehicle) {
        for outer in &outers {
            let base = base(vehicle, setup, outer);
            let from_out = solver.solve(&base, &Memory::charged(vehicle));
            let from_in = solver.solve(&base, &Memory::all_in(vehicle));
            let differ = from_out.memory != from_in.memory;
            let mut held_back = false;
            for (is_in, seen) in [(false, from_out), (true, from_in)] {
                if is_in && !differ && !held_back {
                    continue;
                }
                let pass = pass(solver, setup, outer, is_in, &base, &seen, limit);
                held_back |= pass.groups.holds.contains(&true);
                let only_holds = is_in && !differ;
                // As everything is left, once; then what differs from it, by group.
                looked = looked.saturating_add(1);
                of = of.saturating_add(1);
                for (group, list) in pass.combinations.iter().enumerate() {
                    if only_holds && !pass.groups.holds[group] {
                        continue;
                    }
                    let units = &pass.groups.units[group];
                    let all = combine::total(vehicle, units);
                    looked = looked.saturating_add(list.len() as u64 - 1);
                    of = of.saturating_add(all - 1);
                    complete &= list.len() as u64 == all;
                }
                run(solver, &mut records, &watch, pass, seen, only_holds);
            }
        }
    }
    records.finish(vehicle, looked, of, complete)
}

/// Solves the combinations of a pass, all groups at once.
fn run(
    solver: &mut Solver<'_>,
    records: &mut Records,
    watch: &Watch,
    pass: Pass,
    as_left: Solution,
    only_holds: bool,
) {
    let vehicle = solver.vehicle();
    let pass = records.begin(pass);
    let memory = if records.pass(pass).from_in {
        Memory::all_in(vehicle)
    } else {
        Memory::charged(vehicle)
    };
    let of_groups = records.pass(pass).combinations.len();
    let explored =
        |records: &Records, group: usize| !only_holds || records.pass(pass).groups.holds[group];
    let rounds = (0..of_groups)
        .filter(|&group| explored(records, group))
        .map(|group| records.pass(pass).combinations[group].len())
        .max()
        .unwrap_or(0);
    // Of each group: the most it took in any combination, and in one that can be left behind.
    let mut most = vec![[(0.0_f64, 0_usize); 2]; of_groups];
    let mut others = Others::new(vehicle);
    for round in 0..rounds.max(1) {
        let at: Vec<Option<usize>> = (0..of_groups)
            .map(|group| {
                let many = records.pass(pass).combinations[group].len();
                (round < many && (round == 0 || explored(records, group))).then_some(round)
            })
            .collect();
        let solution = if round == 0 {
            None
        } else {
            let state = records.pass(pass).state(&at);
            Some(solver.solve(&state, &memory))
        };
        let solution = solution.as_ref().unwrap_or(&as_left);
        let found = watch.look(vehicle, solution);
        records.look(vehicle, pass, solution, &Place::Combination(&at), found);
        others.look(vehicle, &records.pass(pass).groups, solution, &at);
        let mut taken = vec![0.0; of_groups];
        for &(group, element, sign) in &records.pass(pass).groups.feeders {
            taken[group as usize] += sign * amps(vehicle, solution, element as usize);
        }
        for (group, taken) in taken.into_iter().enumerate() {
            let Some(round) = at[group] else { continue };
            let left = records.pass(pass).combinations[group][round].left;
            let [any, kept] = &mut most[group];
            if taken > any.0 {
                *any = (taken, round);
            }
            if left && taken > kept.0 {
                *kept = (taken, round);
            }
        }
    }
    let key_off = records.pass(pass).setup.key == Key::Off;
    for (which, left) in [(0, false), (1, true)] {
        if left && !key_off {
            continue;
        }
        let at: Vec<Option<usize>> = most.iter().map(|most| Some(most[which].1)).collect();
        if at.iter().all(|at| *at == Some(0)) {
            continue;
        }
        let state = records.pass(pass).state(&at);
        let solution = solver.solve(&state, &memory);
        let network = &solver.network;
        let found = watch.look(vehicle, &solution);
        let place = Place::Most { at: &at, network };
        records.look(vehicle, pass, &solution, &place, found);
        if left || records.pass(pass).setup.key == Key::Off {
            continue;
        }
        // A user that is off there has its least voltage with its own group in another combination.
        for (group, combination) in others.off_in(vehicle, &solution, &at) {
            let mut at = at.clone();
            at[group as usize] = Some(combination);
            let state = records.pass(pass).state(&at);
            let solution = solver.solve(&state, &memory);
            let network = &solver.network;
            let found = watch.look(vehicle, &solution);
            let place = Place::Most { at: &at, network };
            records.look(vehicle, pass, &solution, &place, found);
        }
    }
}

/// Of each load: its group, and the combination of that group in which it was seen to take most.
struct Others {
    loads: Vec<(usize, u32, f64, usize)>,
}

impl Others {
    fn new(vehicle: &Vehicle) -> Self {
        let loads = vehicle.branches.iter().enumerate();
        let loads = loads.filter(|(_, branch)| matches!(branch.element, Element::Load(_)));
        Self {
            loads: loads.map(|(at, _)| (at, NONE, 0.0, 0)).collect(),
        }
    }

    fn look(
        &mut self,
        vehicle: &Vehicle,
        groups: &Groups,
        solution: &Solution,
        at: &[Option<usize>],
    ) {
        for (branch, own, most, combination) in &mut self.loads {
            let group = groups.of_element[vehicle.wires.len() + *branch];
            let Some(Some(round)) = at.get(group as usize) else {
                continue;
            };
            let amps = solution.branch_amps[*branch].0.abs();
            if amps > *most {
                (*own, *most, *combination) = (group, amps, *round);
            }
        }
    }

    /// Groups, each in a combination in which a load is on that is off in this solution.
    fn off_in(
        &self,
        vehicle: &Vehicle,
        solution: &Solution,
        at: &[Option<usize>],
    ) -> BTreeSet<(u32, usize)> {
        let off = self
            .loads
            .iter()
            .filter(|(branch, group, most, combination)| {
                vehicle.own_load != Some(vehicle.branches[*branch].part)
                    && *most > 1e-3
                    && solution.branch_amps[*branch].0.abs() <= 1e-3
                    && at.get(*group as usize) != Some(&Some(*combination))
            });
        off.map(|&(_, group, _, combination)| (group, combination))
            .collect()
    }
}

/// Current of a wire or branch by its element number.
fn amps(vehicle: &Vehicle, solution: &Solution, element: usize) -> f64 {
    let wires = vehicle.wires.len();
    if element < wires {
        solution.wire_amps[element].0
    } else {
        solution
            .branch_amps
            .get(element - wires)
            .map_or(0.0, |amps| amps.0)
    }
}

fn pass(
    solver: &Solver<'_>,
    setup: Setup,
    outer: &Outer,
    from_in: bool,
    base: &State,
    seen: &Solution,
    limit: usize,
) -> Pass {
    let vehicle = solver.vehicle();
    let fixed: Vec<bool> = vehicle
        .switches
        .iter()
        .map(|unit| unit.disconnect)
        .collect();
    let groups = groups::find(&solver.network, base, &fixed, seen);
    let combinations = groups
        .units
        .iter()
        .map(|units| combinations(vehicle, units, limit))
        .collect();
    Pass {
        setup,
        outer: outer.clone(),
        from_in,
        base: base.clone(),
        groups,
        combinations,
    }
}

fn base(vehicle: &Vehicle, setup: Setup, outer: &Outer) -> State {
    let mut state = State::parked(vehicle);
    state.key = setup.key;
    state.engine = setup.engine;
    state.shore = setup.shore;
    state.settled = setup.settled;
    for &(switch, position) in &outer.switches {
        state.positions[switch as usize] = position;
    }
    state.detached.clone_from(&outer.detached);
    state
}

/// Positions of the key, with the engine as it can be there.
fn setups(vehicle: &Vehicle) -> Vec<Setup> {
    let plain = |key, engine, also| Setup {
        key,
        engine,
        shore: false,
        settled: key == Key::Off,
        also,
    };
    let mut all = vec![plain(Key::Off, Engine::Stopped, None)];
    let timed = vehicle.branches.iter().any(|branch| match &branch.element {
        Element::Load(load) => load.settles.is_some(),
        Element::Contact { control, .. } => match control {
            Control::Hot { stays_on, .. } => stays_on.is_some(),
            Control::Delay { keeps_on, .. } => keeps_on.is_some(),
            _ => false,
        },
        _ => false,
    });
    if timed {
        all.push(Setup {
            settled: false,
            ..plain(
                Key::Off,
                Engine::Stopped,
                Some("just after the key is turned off"),
            )
        });
    }
    let on_shore = |control: &Control| match control {
        Control::Hot { hot, .. } | Control::Output { hot, .. } => hot.shore,
        _ => false,
    };
    let shore = vehicle.branches.iter().any(|branch| match &branch.element {
        Element::Contact { control, .. } | Element::Charger { control, .. } => on_shore(control),
        _ => false,
    });
    if shore {
        all.push(Setup {
            shore: true,
            ..plain(Key::Off, Engine::Stopped, Some("on shore power"))
        });
    }
    all.push(plain(Key::Accessory, Engine::Stopped, None));
    all.push(plain(Key::Run, Engine::Stopped, None));
    all.push(plain(
        Key::Run,
        Engine::Idle,
        Some("with the engine at idle"),
    ));
    let alternator = |element: &Element| matches!(element, Element::Alternator { .. });
    if vehicle
        .branches
        .iter()
        .any(|branch| alternator(&branch.element))
    {
        all.push(plain(
            Key::Run,
            Engine::Cruise,
            Some("with the engine at speed"),
        ));
    }
    all.push(plain(Key::Start, Engine::Stopped, None));
    all
}

/// Settings of disconnects and plugs, as left first; and whether they are all.
fn outers(vehicle: &Vehicle) -> (Vec<Outer>, bool) {
    let mut choices: Vec<Vec<Outer>> = Vec::new();
    for (at, unit) in vehicle.switches.iter().enumerate() {
        if unit.disconnect {
            let others = (0..unit.positions.len() as u8).filter(|&position| position != unit.left);
            choices.push(
                others
                    .map(|position| Outer {
                        switches: vec![(at as u32, position)],
                        ..Outer::default()
                    })
                    .collect(),
            );
        }
    }
    let groups: BTreeSet<&String> = vehicle
        .branches
        .iter()
        .filter_map(|branch| match &branch.element {
            Element::Contact {
                control: Control::Attached(group),
                ..
            } => Some(group),
            _ => None,
        })
        .collect();
    for group in groups {
        choices.push(vec![Outer {
            detached: BTreeSet::from([group.clone()]),
            ..Outer::default()
        }]);
    }
    let together = choices.len() <= OUTER;
    let mut all = vec![Outer::default()];
    for choice in &choices {
        let known = if together { all.len() } else { 1 };
        for at in 0..known {
            for change in choice {
                let mut next = all[at].clone();
                next.switches.extend(&change.switches);
                next.detached.extend(change.detached.iter().cloned());
                all.push(next);
            }
        }
    }
    all.sort_by_key(|outer| outer.switches.len() + outer.detached.len());
    (all, together)
}

impl Pass {
    /// The state with each group in one of its combinations; as left where none is given.
    fn state(&self, at: &[Option<usize>]) -> State {
        let mut state = self.base.clone();
        for (group, at) in at.iter().enumerate() {
            let Some(at) = at else { continue };
            let Some(combination) = self.combinations[group].get(*at) else {
                continue;
            };
            combination.apply(&mut state);
        }
        state
    }

    /// How much of it is not as the vehicle is left.
    fn changes(&self) -> u32 {
        let outer = self.outer.switches.len() + self.outer.detached.len();
        let setup = u32::from(self.setup.key != Key::Off) + u32::from(self.setup.also.is_some());
        outer as u32 + setup + u32::from(self.from_in)
    }
}
