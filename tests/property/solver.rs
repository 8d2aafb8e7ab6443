//! Laws of every solution, over random circuits.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panic")]

use std::collections::BTreeMap;

use keyoff::model::{Engine, Key, Vehicle};
use keyoff::solve::{Memory, Solution, Solver, State, explore, laws};
use proptest::prelude::*;

use crate::random_circuit::{Random, circuit, with_relays};

fn vehicle(text: &str) -> Vehicle {
    let document = keyoff::read::read(
        "random.yaml",
        text.as_bytes(),
        &mut |_| Err(String::new()),
        &keyoff::read::Limits::default(),
    );
    match document {
        Ok(document) => keyoff::model::build(std::sync::Arc::new(document)),
        Err(unreadable) => panic!("{:#?}\n{text}", unreadable.problems),
    }
}

fn random_state(vehicle: &Vehicle, seed: u64) -> State {
    let mut random = Random::new(seed);
    let mut state = State::parked(vehicle);
    state.key = Key::ALL[random.below(4)];
    state.engine = if random.chance(50) {
        Engine::Idle
    } else {
        Engine::Stopped
    };
    state.settled = state.key == Key::Off && random.chance(50);
    for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
        *position = random.below(unit.positions.len()) as u8;
    }
    state
}

fn by_label(vehicle: &Vehicle, solution: &Solution) -> BTreeMap<String, f64> {
    let labels = vehicle
        .terminals
        .iter()
        .map(|terminal| terminal.label.clone());
    labels
        .zip(solution.volts.iter().map(|volts| volts.0))
        .collect()
}

/// The lines of parts, and of wires, in another order.
fn shuffled(text: &str, seed: u64) -> String {
    let mut random = Random::new(seed);
    let mut lines: Vec<&str> = text.lines().collect();
    let parts = lines.iter().position(|line| *line == "parts:").unwrap() + 1;
    let wires = lines.iter().position(|line| *line == "wires:").unwrap() + 1;
    let end = lines.len();
    // The first part is the battery that starts the engine, which the record's order decides.
    for (from, to) in [(parts + 1, wires - 1), (wires, end)] {
        for at in (from + 1..to).rev() {
            lines.swap(at, from + random.below(at - from + 1));
        }
    }
    lines.join("\n") + "\n"
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, ..ProptestConfig::default() })]

    #[test]
    fn current_and_power_are_kept(seed: u64) {
        let text = circuit(seed);
        let vehicle = vehicle(&text);
        let mut solver = Solver::new(&vehicle);
        let state = random_state(&vehicle, seed);
        for memory in [Memory::all_out(&vehicle), Memory::all_in(&vehicle)] {
            let solution = solver.solve(&state, &memory);
            prop_assert_eq!(&solution.trouble, &None, "{}", text);
            let (point, lost) = laws::lost_current(&vehicle, &solution);
            prop_assert!(lost < 1e-9, "{lost} lost at {}\n{text}", vehicle.terminal(point).label);
            let (less, given) = laws::power(&vehicle, &solution);
            prop_assert!(less.0.abs() <= 1e-9 * (1.0 + given.0.abs()), "{less:?} of {given:?}\n{text}");
            // At rest: solved again from where it came to rest, it stays.
            if solution.chatter.is_empty() {
                let again = solver.solve(&state, &solution.memory);
                prop_assert_eq!(&again.memory, &solution.memory, "{}", text);
                prop_assert_eq!(&again.volts, &solution.volts, "{}", text);
            }
        }
    }

    #[test]
    fn the_order_of_the_record_changes_nothing(seed: u64) {
        let text = circuit(seed);
        let one = vehicle(&text);
        let other = vehicle(&shuffled(&text, seed));
        let key = |vehicle: &Vehicle| {
            let mut state = State::parked(vehicle);
            state.key = Key::Run;
            state.engine = Engine::Idle;
            state.settled = false;
            state.positions.fill(1);
            state
        };
        let first = Solver::new(&one).solve(&key(&one), &Memory::all_out(&one));
        let second = Solver::new(&other).solve(&key(&other), &Memory::all_out(&other));
        if first.chatter.is_empty() {
            let second = by_label(&other, &second);
            for (label, volts) in by_label(&one, &first) {
                prop_assert!((volts - second[&label]).abs() < 1e-6, "{label}: {volts} {}\n{text}", second[&label]);
            }
        }
    }

    #[test]
    fn one_more_load_raises_no_voltage(seed: u64) {
        let mut random = Random::new(seed);
        let mut parts = String::from("  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, rest-voltage: 12.6 V, internal-resistance: 9 mohm}\n");
        let mut wires = String::new();
        let count = 3 + random.below(12);
        for at in 0..count {
            parts += &format!("  P{at}: {{kind: splice, resistance: {} mohm}}\n", random.between(0.1, 2.0));
            let from = if at == 0 { "B1.+".to_owned() } else { format!("P{}", random.below(at)) };
            wires += &format!("  - {{from: {from}, to: P{at}, size: 14 AWG, length: {} m}}\n", random.between(0.2, 5.0));
            parts += &format!("  L{at}: {{kind: load, type: heater, draw: {} ohm}}\n", random.between(0.5, 30.0));
            wires += &format!("  - {{from: P{at}, to: L{at}.+, size: 16 AWG, length: 1 m}}\n");
        }
        for _ in 0..random.below(3) {
            let (a, b) = (random.below(count), random.below(count));
            if a != b {
                wires += &format!("  - {{from: P{a}, to: P{b}, size: 12 AWG, length: 1 m}}\n");
            }
        }
        let record = |parts: &str, wires: &str| format!("keyoff: 1\nvehicle: {{name: passive, system: 12 V}}\nparts:\n{parts}wires:\n{wires}");
        let before = vehicle(&record(&parts, &wires));
        let more = format!("{parts}  X: {{kind: load, type: heater, draw: {} ohm}}\n", random.between(0.5, 30.0));
        let to = random.below(count);
        let after = vehicle(&record(&more, &format!("{wires}  - {{from: P{to}, to: X.+, size: 16 AWG, length: 1 m}}\n")));
        let less = by_label(&after, &Solver::new(&after).solve(&State::parked(&after), &Memory::all_out(&after)));
        let solution = Solver::new(&before).solve(&State::parked(&before), &Memory::all_out(&before));
        for (label, volts) in by_label(&before, &solution) {
            prop_assert!(less[&label] <= volts + 1e-12, "{label}: {volts} rises to {}", less[&label]);
        }
    }

    #[test]
    fn what_can_be_live_was_seen_live(seed: u64) {
        // Without relays: a rail that sags under other groups can keep one from pulling in.
        let text = with_relays(seed, 0);
        let vehicle = vehicle(&text);
        let mut solver = Solver::new(&vehicle);
        let seen = explore(&mut solver, 4096);
        let most = if seen.complete { 4 } else { 0 };
        for round in 0..most {
            let mut state = random_state(&vehicle, seed.wrapping_add(round));
            if state.key != Key::Run {
                state.engine = Engine::Stopped;
            }
            let solution = solver.solve(&state, &Memory::all_out(&vehicle));
            for (at, live) in solution.live.iter().enumerate() {
                let label = &vehicle.terminals[at].label;
                prop_assert!(!live || seen.terminals[at].ever.is_some() || solution.volts[at].0.abs() < 2.0, "{label} at {:?} in {state:?}\n{text}", solution.volts[at]);
            }
        }
    }
}
