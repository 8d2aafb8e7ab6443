//! Combinations of the units of one group, fewest changes first.

use super::Unit;
use crate::model::{Element, PartId, Setting, Vehicle};
use crate::solve::State;

/// One combination: the units that are not as they are left.
#[derive(Clone, Debug, Default)]
pub(super) struct Combination {
    switches: Vec<(u32, u8)>,
    modes: Vec<(PartId, String)>,
    /// A person can go away from it: nothing momentary is held.
    pub left: bool,
}

impl Combination {
    /// How many units are changed.
    pub(super) fn changes(&self) -> u32 {
        (self.switches.len() + self.modes.len()) as u32
    }

    /// Sets the units.
    pub(super) fn apply(&self, state: &mut State) {
        for &(switch, position) in &self.switches {
            state.positions[switch as usize] = position;
        }
        state.modes.extend(self.modes.iter().cloned());
    }

    /// Adds its units to a setting told to a person.
    pub(super) fn tell(&self, vehicle: &Vehicle, setting: &mut Setting) {
        for &(switch, position) in &self.switches {
            setting.switch(&vehicle.switches[switch as usize], position);
        }
        for (part, mode) in &self.modes {
            let part = &vehicle.part(*part).name.value;
            setting.add(&format!("with {part} in {mode}"));
        }
    }
}

/// Names of a part's modes, each once.
fn modes(vehicle: &Vehicle, part: PartId) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for &branch in &vehicle.part(part).branches {
        if let Element::Load(load) = &vehicle.branch(branch).element {
            for (name, _) in &load.modes {
                if !names.contains(&name.as_str()) {
                    names.push(name);
                }
            }
        }
    }
    names
}

/// How many settings a unit has besides the one it is left in.
fn others(vehicle: &Vehicle, unit: Unit) -> u64 {
    match unit {
        Unit::Switch(at) => {
            let count = vehicle.switches[at as usize].positions.len() as u64;
            count.saturating_sub(1)
        }
        Unit::Mode(part) => modes(vehicle, PartId(part)).len() as u64,
    }
}

/// How many combinations there are.
pub(super) fn total(vehicle: &Vehicle, units: &[Unit]) -> u64 {
    units.iter().fold(1_u64, |product, &unit| {
        product.saturating_mul(1 + others(vehicle, unit))
    })
}

/// All combinations, or the first `limit` of them with everything changed as the last.
pub(super) fn combinations(vehicle: &Vehicle, units: &[Unit], limit: usize) -> Vec<Combination> {
    let counts: Vec<u64> = units.iter().map(|&unit| others(vehicle, unit)).collect();
    let mut all = Vec::new();
    for changes in 0..=units.len() {
        let mut chosen = Vec::with_capacity(changes);
        pick(&counts, changes, 0, &mut chosen, &mut all, limit);
        if all.len() >= limit {
            break;
        }
    }
    if total(vehicle, units) > all.len() as u64 {
        let every = (0..units.len()).filter(|&at| counts[at] > 0);
        all.pop();
        all.push(every.map(|at| (at, 1)).collect());
    }
    all.into_iter()
        .map(|chosen| combination(vehicle, units, &chosen))
        .collect()
}

/// Adds each choice of `changes` more units from `from` on, each in each of its other settings.
fn pick(
    counts: &[u64],
    changes: usize,
    from: usize,
    chosen: &mut Vec<(usize, u64)>,
    all: &mut Vec<Vec<(usize, u64)>>,
    limit: usize,
) {
    if changes == 0 {
        all.push(chosen.clone());
        return;
    }
    for at in from..counts.len() {
        for other in 1..=counts[at] {
            if all.len() >= limit {
                return;
            }
            chosen.push((at, other));
            pick(counts, changes - 1, at + 1, chosen, all, limit);
            chosen.pop();
        }
    }
}

fn combination(vehicle: &Vehicle, units: &[Unit], chosen: &[(usize, u64)]) -> Combination {
    let mut made = Combination {
        left: true,
        ..Combination::default()
    };
    for &(at, other) in chosen {
        match units[at] {
            Unit::Switch(switch) => {
                let unit = &vehicle.switches[switch as usize];
                // Its other positions in order, the one it is left in passed over.
                let position = other as u8 - u8::from(other as u8 <= unit.left);
                made.switches.push((switch, position));
                made.left &= !unit.momentary;
            }
            Unit::Mode(part) => {
                let part = PartId(part);
                if let Some(mode) = modes(vehicle, part).get(other as usize - 1) {
                    made.modes.push((part, (*mode).to_owned()));
                }
            }
        }
    }
    made
}
