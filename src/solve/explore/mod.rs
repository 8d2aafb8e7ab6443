//! Every setting of keys and switches, looked at with as few solutions as independence allows.
//!
//! For each position of the key, each setting of disconnects and plugs, and for what remembers both from everything out
//! and from everything in: switches fall into groups that cannot influence one another ([`groups`]), and of each group
//! every combination is looked at ([`looks`]).

mod best;
mod combine;
mod detail;
mod flow;
mod groups;
mod looks;
mod marks;
mod others;
mod rails;
mod record;
mod setups;
mod tell;
mod watch;

use super::{Memory, Solution, Solver, State};
use crate::model::walk::Walks;
use crate::model::{Key, Setting, Vehicle};

use super::explored::Explored;
use best::Spot;
use combine::Combination;
pub use detail::{AtKey, Detail, Found};
use groups::{Groups, MANY, NONE, Unit};
use record::Records;
use setups::{Outer, Setup, base, outers, setups};
use watch::Watch;

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
    explore_into(solver, limit, Extent::default()).0
}

/// Looks at every single setting, one by one: what exploring by groups is held to. The work is the product over all switches.
pub fn explore_one_by_one(solver: &mut Solver<'_>) -> Explored {
    let extent = Extent {
        one_by_one: true,
        ..Extent::default()
    };
    explore_into(solver, usize::MAX, extent).0
}

/// The same, and what is live and works in each position of the key.
pub fn explore_in_detail(solver: &mut Solver<'_>, limit: usize) -> (Explored, Detail) {
    let extent = Extent {
        detail: true,
        ..Extent::default()
    };
    let (explored, records) = explore_into(solver, limit, extent);
    let (passes, keys) = records.into_detail();
    (explored, Detail::new(passes, keys))
}

/// How far to go.
#[derive(Clone, Copy, Default)]
struct Extent {
    /// Keep what is live and works in each position of the key.
    detail: bool,
    /// Without groups.
    one_by_one: bool,
}

fn explore_into(solver: &mut Solver<'_>, limit: usize, extent: Extent) -> (Explored, Records) {
    let vehicle = solver.vehicle();
    let limit = limit.max(2);
    let mut records = Records::new(vehicle, &Walks::new(vehicle), extent.detail);
    let watch = Watch::new(&solver.network);
    let (outers, mut complete) = outers(vehicle);
    let (mut looked, mut of) = (0_u64, 0_u64);
    let mut together = false;
    if !complete {
        of = of.saturating_add(1);
    }
    for setup in setups(vehicle) {
        for outer in &outers {
            let base = base(vehicle, setup, outer);
            let from_out = solver.solve(&base, &Memory::charged(vehicle));
            let from_in = solver.solve(&base, &Memory::all_in(vehicle));
            let differ = from_out.memory != from_in.memory;
            // What may hold itself in, and contacts that depend on how far a voltage is pulled down, are looked at from both
            // histories.
            let (mut held_back, mut coupled) = (false, extent.one_by_one);
            for (is_in, seen) in [(false, from_out), (true, from_in)] {
                if is_in && !differ && !held_back && !coupled {
                    continue;
                }
                let mut pass = pass(solver, setup, outer, is_in, &base, &seen, limit);
                if extent.one_by_one {
                    pass.groups = Groups::whole(&solver.network);
                    let units = &pass.groups.units[0];
                    pass.combinations = vec![combine::combinations(vehicle, units, limit)];
                }
                held_back |= pass.groups.holds.contains(&true);
                let only_holds = is_in && !differ && !coupled;
                let count = looks::at(solver, &mut records, &watch, pass, &seen, only_holds, limit);
                coupled |= count.coupled;
                together |= count.together;
                // As everything is left, once; then what differs from it.
                looked = looked.saturating_add(1 + count.looked);
                of = of.saturating_add(1).saturating_add(count.of);
                complete &= count.looked == count.of;
            }
        }
    }
    let explored = Explored {
        settings: looked,
        of: of.max(looked),
        complete,
        limit,
        together,
        ..records.finish(vehicle)
    };
    (explored, records)
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
        .map(|units| combine::combinations(vehicle, units, limit))
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

    /// The state of a setting of this pass.
    fn state_at(&self, spot: &Spot) -> State {
        let mut state = self.base.clone();
        for &(group, at) in spot.combinations.iter() {
            self.combinations[group as usize][at as usize].apply(&mut state);
        }
        state
    }

    /// What it is solved from.
    fn memory(&self, vehicle: &Vehicle) -> Memory {
        if self.from_in {
            Memory::all_in(vehicle)
        } else {
            Memory::charged(vehicle)
        }
    }

    /// How many settings these groups have beside the one that they are left in, and how many of them are looked at.
    fn count(&self, vehicle: &Vehicle, groups: &[usize]) -> looks::Count {
        let mut count = looks::Count {
            looked: 0,
            of: 0,
            coupled: false,
            together: false,
        };
        for &group in groups {
            let all = combine::total(vehicle, &self.groups.units[group]);
            let looked = self.combinations[group].len() as u64;
            count.looked = count.looked.saturating_add(looked - 1);
            count.of = count.of.saturating_add(all - 1);
        }
        count
    }

    /// The same with these groups as one, which takes the place of the first.
    fn joined(&self, vehicle: &Vehicle, groups: &[usize], limit: usize) -> Self {
        let first = groups.first().copied().unwrap_or(0);
        let joined = self.groups.joined(groups);
        let mut combinations: Vec<Vec<Combination>> = self.combinations.clone();
        for &group in groups {
            combinations[group] = combine::combinations(vehicle, &[], limit);
        }
        combinations[first] = combine::combinations(vehicle, &joined.units[first], limit);
        Self {
            setup: self.setup,
            outer: self.outer.clone(),
            from_in: self.from_in,
            base: self.base.clone(),
            groups: joined,
            combinations,
        }
    }

    /// How much of it is not as the vehicle is left.
    fn changes(&self) -> u32 {
        let outer = self.outer.switches.len() + self.outer.detached.len();
        let setup = u32::from(self.setup.key != Key::Off) + u32::from(self.setup.also.is_some());
        outer as u32 + setup + u32::from(self.from_in)
    }

    /// With the key off, settled, on its own batteries.
    fn is_settled_off(&self) -> bool {
        self.setup.key == Key::Off && self.setup.settled && !self.setup.shore
    }

    /// A setting of this pass, for people.
    fn tell(&self, vehicle: &Vehicle, spot: &Spot) -> Setting {
        let mut setting = Setting::default();
        let plain = self.changes() == 0;
        // The key is named wherever anything but switches left so is needed.
        if !plain && (self.setup.key != Key::Off || self.setup.also.is_some()) {
            setting.key = Some(self.setup.key);
        }
        if let Some(words) = self.setup.also {
            setting.add(words);
        }
        for &(switch, position) in &self.outer.switches {
            setting.switch(&vehicle.switches[switch as usize], position);
        }
        for group in &self.outer.detached {
            setting.add(&format!("with {group} unplugged"));
        }
        if self.from_in {
            setting.add("once what holds itself in has been put in");
        }
        for &(group, at) in spot.combinations.iter() {
            let own = &self.combinations[group as usize][at as usize];
            own.tell(vehicle, &mut setting);
        }
        setting
    }
}
