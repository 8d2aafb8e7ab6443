//! The smallest setting of the switches that shows something, and the one that shows it worst, for checks that solve states of
//! their own.

use crate::model::{Engine, Key, Setting, SwitchUnit, Vehicle};
use crate::solve::State;

/// So many settings are looked at one by one. Where there are more, switches are moved one at a time: from as they are left and
/// from everything on to where it is worst, and from there back to where none of those still moved can be left alone.
const EVERY: usize = 512;

/// What is solved, and how it is told, before any switch is moved.
pub(super) struct Base {
    pub(super) state: State,
    pub(super) setting: Setting,
}

impl Base {
    /// A state in another position of the key and with the engine otherwise.
    pub(super) fn at(from: State, key: Key, engine: Engine) -> Self {
        let also = match engine {
            Engine::Idle => Some("with the engine at idle".to_owned()),
            Engine::Cruise => Some("with the engine at speed".to_owned()),
            _ => None,
        };
        Self {
            state: State {
                key,
                engine,
                ..from
            },
            setting: Setting {
                key: (key != Key::Off).then_some(key),
                also,
                ..Setting::default()
            },
        }
    }

    /// Each position of the key, and the engine at idle, as the key has just been turned there: what a start is looked for in.
    pub(super) fn all(vehicle: &Vehicle) -> [Self; 5] {
        [
            (Key::Off, Engine::Stopped),
            (Key::Accessory, Engine::Stopped),
            (Key::Run, Engine::Stopped),
            (Key::Run, Engine::Idle),
            (Key::Start, Engine::Stopped),
        ]
        .map(|(key, engine)| Self::at(State::just_off(vehicle), key, engine))
    }
}

/// Where something shows.
#[derive(Clone)]
pub(super) struct Seen {
    pub(super) value: f64,
    pub(super) setting: Setting,
    pub(super) state: State,
}

/// Where something shows with least changed, and where it is worst.
pub(super) struct Shows {
    pub(super) first: Seen,
    pub(super) worst: Seen,
}

/// Looks through the settings of the switches that are `free`, from each base. `measure` says how bad it is in a state; nothing
/// where it does not show.
pub(super) fn search(
    vehicle: &Vehicle,
    bases: &[Base],
    free: impl Fn(usize, &SwitchUnit) -> bool,
    measure: impl FnMut(&State) -> Option<f64>,
) -> Option<Shows> {
    let units: Vec<usize> = (0..vehicle.switches.len())
        .filter(|&unit| free(unit, &vehicle.switches[unit]))
        .collect();
    let of = |&unit: &usize| vehicle.switches[unit].positions.len();
    let all = units.iter().fold(bases.len(), |product, unit| {
        product.saturating_mul(of(unit))
    });
    let mut look = Look {
        vehicle,
        units: &units,
        measure,
        shows: None,
    };
    for base in bases {
        if all <= EVERY {
            look.every(base);
        } else {
            look.nearby(base);
        }
    }
    look.shows
}

struct Look<'a, M> {
    vehicle: &'a Vehicle,
    units: &'a [usize],
    measure: M,
    shows: Option<Shows>,
}

impl<M: FnMut(&State) -> Option<f64>> Look<'_, M> {
    /// Solves one setting; how bad it is there.
    fn at(&mut self, base: &Base, positions: &[u8]) -> Option<f64> {
        let mut state = base.state.clone();
        let mut setting = base.setting.clone();
        for (&unit, &position) in self.units.iter().zip(positions) {
            if position != base.state.positions[unit] {
                setting.switch(&self.vehicle.switches[unit], position);
                state.positions[unit] = position;
            }
        }
        let value = (self.measure)(&state)?;
        let seen = Seen {
            value,
            setting,
            state,
        };
        match &mut self.shows {
            None => {
                self.shows = Some(Shows {
                    first: seen.clone(),
                    worst: seen,
                });
            }
            Some(Shows { first, worst }) => {
                if seen.setting.changes() < first.setting.changes() {
                    *first = seen.clone();
                }
                // What a smaller setting shows as nearly as makes no difference is told of that one.
                let more = value > worst.value * 1.02 + 1e-9;
                let less =
                    value * 1.02 >= worst.value && seen.setting.changes() < worst.setting.changes();
                if more || less {
                    let most = value.max(worst.value);
                    *worst = Seen {
                        value: most,
                        ..seen
                    };
                } else {
                    worst.value = worst.value.max(value);
                }
            }
        }
        Some(value)
    }

    fn left(&self, base: &Base) -> Vec<u8> {
        let units = self.units.iter();
        units.map(|&unit| base.state.positions[unit]).collect()
    }

    fn every(&mut self, base: &Base) {
        let mut positions = vec![0_u8; self.units.len()];
        loop {
            self.at(base, &positions);
            let mut digit = 0;
            loop {
                let Some(&unit) = self.units.get(digit) else {
                    return;
                };
                positions[digit] += 1;
                if usize::from(positions[digit]) < self.vehicle.switches[unit].positions.len() {
                    break;
                }
                positions[digit] = 0;
                digit += 1;
            }
        }
    }

    fn nearby(&mut self, base: &Base) {
        let left = self.left(base);
        let units = self.units.iter();
        let on: Vec<u8> = units.map(|&unit| self.vehicle.switches[unit].on).collect();
        for start in [&left, &on] {
            let mut here = start.clone();
            let mut value = self.at(base, &here);
            for digit in 0..here.len() {
                let unit = self.units[digit];
                for position in 0..self.vehicle.switches[unit].positions.len() as u8 {
                    let before = std::mem::replace(&mut here[digit], position);
                    if before == position {
                        continue;
                    }
                    let moved = self.at(base, &here);
                    if moved > value {
                        value = moved;
                    } else {
                        here[digit] = before;
                    }
                }
            }
            let Some(most) = value else { continue };
            // What makes no difference at its worst is left alone, then all that can be while it still shows.
            for digit in 0..here.len() {
                let before = std::mem::replace(&mut here[digit], left[digit]);
                if before != left[digit]
                    && self.at(base, &here).is_none_or(|less| less * 1.02 < most)
                {
                    here[digit] = before;
                }
            }
            for digit in 0..here.len() {
                let before = std::mem::replace(&mut here[digit], left[digit]);
                if before != left[digit] && self.at(base, &here).is_none() {
                    here[digit] = before;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn vehicle(switches: usize) -> Vehicle {
        let parts: String = (0..switches)
            .map(|number| format!("  S{number}: {{kind: switch}}\n"))
            .collect();
        let text =
            format!("keyoff: 1\nvehicle: {{name: x}}\nparts:\n  B1: {{kind: battery}}\n{parts}");
        let limits = crate::read::Limits::default();
        let mut library = |_: &str| Err(String::new());
        let document = crate::read::read("x.yaml", text.as_bytes(), &mut library, &limits).unwrap();
        crate::model::build(std::sync::Arc::new(document))
    }

    /// It shows where S1 is closed, and is worse with each further even one.
    fn look(switches: usize) -> (Vec<String>, Vec<String>, f64) {
        let vehicle = vehicle(switches);
        let bases = [Base {
            state: State::parked(&vehicle),
            setting: Setting::default(),
        }];
        let shows = search(
            &vehicle,
            &bases,
            |_, _| true,
            |state| {
                let even = state.positions.iter().step_by(2);
                (state.positions[1] == 1)
                    .then(|| 1.0 + even.map(|&position| f64::from(position)).sum::<f64>())
            },
        );
        let shows = shows.unwrap();
        (
            shows.first.setting.closed,
            shows.worst.setting.closed,
            shows.worst.value,
        )
    }

    #[test]
    fn the_smallest_and_the_worst_are_found_by_looking_at_all_and_by_moving_one_at_a_time() {
        assert_eq!(
            look(4),
            (
                vec!["S1".to_owned()],
                vec!["S0".to_owned(), "S1".to_owned(), "S2".to_owned()],
                3.0
            )
        );
        let (first, worst, value) = look(20);
        assert_eq!(first, ["S1"]);
        assert_eq!(worst.len(), 11);
        assert_eq!(value, 11.0);
    }
}
