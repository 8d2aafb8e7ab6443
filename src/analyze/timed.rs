//! What goes on for a while after the key goes off: modules that settle, timed feeds, delays.

use crate::model::element::{Control, Element};
use crate::model::{Fact, Vehicle};
use crate::quantity::Seconds;
use crate::solve::{Memory, Solution, Solver, State};

/// Just after the key went off: what lasts any time at all still goes on.
pub(super) const AT_ONCE: Seconds = Seconds(1e-3);

/// A thing that goes on for a while after the key goes off.
pub(super) struct Timed {
    pub(super) lasts: Fact<Seconds>,
    /// What is said when it is over.
    pub(super) words: String,
}

/// The time between two such ends, and what flows in it.
pub(super) struct Stretch {
    pub(super) from: Seconds,
    /// When it is over: at the earliest, likely, at the latest.
    pub(super) until: [Seconds; 3],
    pub(super) solution: Solution,
}

/// Everything that ends by itself after the key goes off, soonest first.
pub(super) fn timed(vehicle: &Vehicle) -> Vec<Timed> {
    let mut list: Vec<Timed> = Vec::new();
    for branch in &vehicle.branches {
        let name = &vehicle.part(branch.part).name.value;
        match &branch.element {
            Element::Load(load) => list.extend(load.settles.map(|(_, lasts)| Timed {
                lasts,
                words: format!("{name} settles"),
            })),
            Element::Contact {
                control:
                    Control::Delay {
                        keeps_on: Some(lasts),
                        ..
                    },
                ..
            } => {
                list.push(Timed {
                    lasts: *lasts,
                    words: format!("{name} switches off"),
                });
            }
            Element::Contact {
                control:
                    Control::Hot {
                        stays_on: Some(lasts),
                        ..
                    },
                ..
            } => {
                list.push(Timed {
                    lasts: *lasts,
                    words: format!("the timed feed {name} goes dead"),
                });
            }
            _ => {}
        }
    }
    list.sort_by(|a, b| {
        let sooner = a.lasts.likely.0.total_cmp(&b.lasts.likely.0);
        sooner.then_with(|| a.words.cmp(&b.words))
    });
    list
}

/// The vehicle at the moment the key goes off, after the engine ran with everything on: the state, and what holds itself in.
pub(super) fn key_goes_off(solver: &mut Solver<'_>) -> (State, Memory) {
    let vehicle = solver.vehicle();
    let ran = solver.solve(&State::running(vehicle), &Memory::charged(vehicle));
    let state = State {
        elapsed: AT_ONCE,
        ..State::just_off(vehicle)
    };
    (state, ran.memory)
}

/// The stretches from key-off until everything timed is over, at the charge that the record states; none where nothing is timed.
pub(super) fn stretches(solver: &mut Solver<'_>) -> Vec<Stretch> {
    let timed = timed(solver.vehicle());
    if timed.is_empty() {
        return Vec::new();
    }
    let (mut state, mut memory) = key_goes_off(solver);
    let mut list: Vec<Stretch> = Vec::new();
    let mut from = Seconds::ZERO;
    for (number, one) in timed.iter().enumerate() {
        let until = one.lasts.likely;
        if until <= from {
            continue;
        }
        state.elapsed = from.max(AT_ONCE);
        let solution = solver.solve(&state, &memory);
        memory = solution.memory.clone();
        // What ends one after the other by its likely times may not by its earliest or latest: no stretch is taken shorter
        // than what is on in it may last, nor longer than it must.
        let later = timed.iter().skip(number);
        let earliest = later
            .map(|one| one.lasts.range.low.0)
            .fold(f64::INFINITY, f64::min);
        let sooner = timed.iter().take_while(|one| one.lasts.likely <= until);
        let latest = sooner.map(|one| one.lasts.range.high.0).fold(0.0, f64::max);
        list.push(Stretch {
            from,
            until: [Seconds(earliest), until, Seconds(latest)],
            solution,
        });
        from = until;
    }
    list
}
