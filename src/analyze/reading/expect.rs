//! What the record makes of each reading: the network solved as it stood when the reading was taken.

use std::collections::BTreeSet;

use super::Shown;
use super::Taken;
use crate::analyze::key_off;
use crate::analyze::key_off::KeyOff;
use crate::model::Basis;
use crate::model::Control;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Law;
use crate::model::PartId;
use crate::model::Status;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Origin;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;
use crate::solve::explored::Explored;

/// What the record says that a reading should show.
#[derive(Clone, Debug)]
pub struct Expected {
    /// The likely current, of a reading that is one or that a fuse's resistance makes one.
    pub current: Option<Amps>,
    /// Its range over the ranges of the facts.
    pub range: Interval<Amps>,
    /// The likely voltage, of a reading that is one.
    pub voltage: Option<Volts>,
    /// Facts that would be needed for a whole figure.
    pub missing: Vec<String>,
    /// The sums, as the vehicle stood then.
    pub sums: KeyOff,
}

/// What the record says of every reading, each from where the one before left the vehicle: a relay that fell out when its fuse
/// was pulled stays out when the fuse is back.
#[must_use]
pub fn expected(vehicle: &Vehicle, readings: &[Taken]) -> Vec<Expected> {
    if readings.is_empty() {
        return Vec::new();
    }
    let mut pullable = with_fuses_that_come_out(vehicle, readings);
    without_what_is_planned(&mut pullable);
    let mut solver = Solver::new(&pullable);
    let mut memory = solver.rests().left.memory;
    readings
        .iter()
        .map(|reading| {
            let out = reading.out.iter().map(|&fuse| group(vehicle, fuse));
            let state = State {
                key: reading.key,
                engine: Engine::Stopped,
                positions: reading.positions.clone(),
                settled: reading.key == Key::Off,
                detached: out.collect(),
                ..State::parked(&pullable)
            };
            let solution = solver.solve(&state, &memory);
            memory = solution.memory.clone();
            of_reading(&pullable, &solution, reading)
        })
        .collect()
}

/// The same vehicle with each fuse that is ever pulled as a connector that can be taken apart.
fn with_fuses_that_come_out(vehicle: &Vehicle, readings: &[Taken]) -> Vehicle {
    let ever: BTreeSet<PartId> = readings
        .iter()
        .flat_map(|reading| reading.out.iter().copied())
        .collect();
    let mut pullable = vehicle.clone();
    for fuse in ever {
        for branch in &vehicle.part(fuse).branches {
            let element = &mut pullable.branches[branch.index()].element;
            if let Element::Joint(ohms) = *element {
                *element = Element::Contact {
                    ohms,
                    control: Control::Attached(group(vehicle, fuse)),
                };
            }
        }
    }
    pullable
}

/// The meter was on the vehicle before what is planned came into it: such loads take nothing.
fn without_what_is_planned(vehicle: &mut Vehicle) {
    for branch in &mut vehicle.branches {
        if vehicle.parts[branch.part.index()].status == Status::Planned
            && let Element::Load(load) = &mut branch.element
        {
            load.law = Some(Law::Current(load.duty.derive(|_| Amps::ZERO)));
            load.parked = None;
            load.settles = None;
            load.modes.clear();
        }
    }
}

fn group(vehicle: &Vehicle, fuse: PartId) -> String {
    // No name in a record has a line break in it.
    format!("out\n{}", vehicle.part(fuse).name.value)
}

fn of_reading(vehicle: &Vehicle, solution: &Solution, reading: &Taken) -> Expected {
    let asleep = reading.key == Key::Off;
    let sums = key_off::sum_asleep(vehicle, solution, &Explored::default(), asleep);
    let none = Interval::exact(Amps::ZERO);
    let over = |through: &dyn Fn(&key_off::Draw) -> bool| {
        let each = sums.by_part.iter().filter(|draw| through(draw));
        each.fold((Amps::ZERO, none), |(likely, range), draw| {
            (likely + draw.current, range + draw.range)
        })
    };
    let (current, range, voltage) = match reading.shown {
        Shown::Battery(part, _) => {
            let of = sums
                .by_battery
                .iter()
                .find(|&&(battery, ..)| battery == part);
            let likely = of.map(|&(_, draw, _)| draw);
            let range = if vehicle.starter == Some(part) {
                sums.range
            } else {
                likely.map_or(none, Interval::exact)
            };
            (likely, range, None)
        }
        Shown::Across(part, _) if key_off::is_fuse(vehicle.part(part).kind) => {
            let (likely, range) = over(&|draw| draw.protected_by.contains(&part));
            (Some(likely), range, None)
        }
        Shown::Wire(wire, _) => {
            let (likely, range) = over(&|draw| draw.over.contains(&wire));
            let solved = solution.wire(wire).abs();
            // A return wire is on the way of nothing: what is solved there stands for itself.
            if likely.0 > 0.0 {
                (Some(likely), range, None)
            } else {
                (Some(solved), Interval::exact(solved), None)
            }
        }
        Shown::At(terminal, _) => {
            let minus = vehicle
                .batteries
                .iter()
                .find(|battery| Some(battery.part) == vehicle.starter)
                .map(|battery| vehicle.branch(battery.cell).from);
            let ground = minus.map_or(Volts(0.0), |minus| solution.at(minus));
            (None, none, Some(solution.at(terminal) - ground))
        }
        Shown::Across(..) | Shown::Nothing => (None, none, None),
    };
    let give = give(vehicle, &sums, reading, current);
    Expected {
        current,
        range: Interval {
            low: Amps((range.low.0 - give).max(0.0)),
            high: Amps(range.high.0 + give),
        },
        voltage,
        missing: sums.missing.clone(),
        sums,
    }
}

/// No figure is known to the last per cent: a twentieth of it, and of the vehicle's own draw what its origin leaves open.
fn give(vehicle: &Vehicle, sums: &KeyOff, reading: &Taken, current: Option<Amps>) -> f64 {
    let whole = matches!(reading.shown, Shown::Battery(part, _) if vehicle.starter == Some(part));
    let own = sums
        .by_part
        .iter()
        .find(|draw| whole && vehicle.own_load == Some(draw.part));
    let own = own.map_or(0.0, |draw| draw.current.0);
    let stated = if reading.key == Key::Off {
        vehicle.own_off
    } else {
        vehicle.own_run
    };
    let loose = match stated.map(|own| own.basis) {
        Some(Basis::Stated(Origin::Guess, _)) => 0.5,
        Some(Basis::Stated(Origin::Measured, _)) => 0.05,
        _ => 0.15,
    };
    let rest = current.map_or(0.0, |current| (current.0 - own).max(0.0));
    0.05 * rest + loose * own
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyze::reading::readings;
    use crate::model::testing::vehicle;

    #[test]
    fn pulling_a_fuse_takes_what_is_behind_it_and_what_its_relay_fed() {
        let vehicle = vehicle(
            "vehicle: {system: 12 V, own-load: {off: 20 mA, run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 1..1.2 A}
wires:
  - {run: [B1, F1, K1.86], size: 14 AWG, lengths: [1 m, 1 m]}
  - {run: [B1, F2, K1.30], size: 14 AWG, lengths: [1 m, 1 m]}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m}
readings:
  - {current: 1.26 A}
  - {pulled: F1, current: 20 mA}
  - {refitted: F1, across: F1, drop: 1.1 mV}
  - {at: LAMP.+, voltage: 12.6 V}
  - {where: w2, current: 140 mA}",
        );
        let taken = readings(&vehicle);
        let expected = expected(&vehicle, &taken);
        let amps = |at: usize| expected[at].current.unwrap().0;
        assert!((amps(0) - 1.26).abs() < 0.02, "{}", amps(0));
        assert!(
            (amps(1) - 0.02).abs() < 1e-4,
            "the coil's contact fed the lamp"
        );
        assert!((amps(2) - 0.141).abs() < 0.003, "{}", amps(2));
        assert!(expected[3].voltage.unwrap().0 > 12.0);
        assert!((amps(4) - 0.141).abs() < 0.003);
        assert!(expected[0].range.low.0 < 1.18 && expected[0].range.high.0 > 1.34);
    }
}
