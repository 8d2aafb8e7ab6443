//! Small circuits with answers worked out by hand, and laws over every record there is.

use std::path::Path;
use std::sync::Arc;

use super::*;
use crate::model::{TerminalId, build};
use crate::read::{Limits, read};

pub(super) fn vehicle(text: &str) -> Vehicle {
    match read(
        "test.yaml",
        text.as_bytes(),
        &mut |_| Err(String::new()),
        &Limits::default(),
    ) {
        Ok(document) => build(Arc::new(document)),
        Err(unreadable) => panic!("{:#?}", unreadable.problems),
    }
}

pub(super) fn at(vehicle: &Vehicle, solution: &Solution, label: &str) -> f64 {
    let found = vehicle
        .terminals
        .iter()
        .position(|terminal| terminal.label == label);
    let Some(found) = found else {
        let all: Vec<_> = vehicle.terminals.iter().map(|t| &t.label).collect();
        panic!("no {label} among {all:?}");
    };
    solution.at(TerminalId(found as u32)).0
}

#[test]
fn every_record_keeps_the_laws() {
    let mut records = 0;
    for folder in [
        "examples",
        "tests/data/clean",
        "tests/data/faulty",
        "tests/data/hostile",
    ] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        let mut files: Vec<_> = std::fs::read_dir(folder)
            .unwrap()
            .map(|file| file.unwrap().path())
            .collect();
        files.sort();
        for file in files {
            let bytes = std::fs::read(&file).unwrap();
            let Ok(document) = read(
                "r.yaml",
                &bytes,
                &mut |_| Err(String::new()),
                &Limits::default(),
            ) else {
                continue;
            };
            let vehicle = build(Arc::new(document));
            let mut solver = Solver::new(&vehicle);
            let mut all: Vec<(String, Solution)> = Vec::new();
            for situation in &vehicle.situations {
                all.push((situation.name.clone(), solver.situation(situation)));
            }
            let rests = solver.rests();
            all.push(("parked out".to_owned(), rests.out));
            all.push(("parked left".to_owned(), rests.left));
            all.push(("parked otherwise".to_owned(), rests.other));
            for (name, solution) in all {
                let place = format!("{} in {name}", file.display());
                assert_eq!(solution.trouble, None, "{place}");
                let (point, lost) = laws::lost_current(&vehicle, &solution);
                let label = &vehicle.terminal(point).label;
                assert!(lost < 1e-9, "{place}: {lost} lost at {label}");
                let (less, given) = laws::power(&vehicle, &solution);
                assert!(
                    less.0.abs() <= 1e-9 * (1.0 + given.0.abs()),
                    "{place}: {less:?} of {given:?}"
                );
                if !solution.chatter.is_empty() {
                    assert!(
                        file.to_string_lossy().contains("relay"),
                        "{place}: {:?}",
                        solution.chatter
                    );
                }
            }
            records += 1;
        }
    }
    assert!(records > 60, "only {records}");
}

/// A lamp behind a switch, a relay behind a switch, a socket always live.
const SIMPLE: &str = "
keyoff: 1
vehicle: {name: simple, system: 12 V, climate: {parked: 20 C, engine-bay: 20 C, cabin: 20 C, exterior: 20 C}}
parts:
  B1: {kind: battery, rest-voltage: 12.6 V, internal-resistance: 10 mohm, chemistry: flooded, capacity: 75 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade, resistance: 2 mohm}
  S1: {kind: switch, rating: 10 A, resistance: 10 mohm}
  S2: {kind: switch, rating: 10 A, resistance: 10 mohm, momentary: true}
  K1: {kind: relay, coil: 90 ohm, contact: 40 A, pull-in: 8 V, drop-out: 1.2 V, contact-resistance: 3 mohm}
  L1: {kind: load, type: heater, draw: 6 ohm}
  L2: {kind: load, type: heater, draw: 2 ohm}
wires:
  - {id: main, from: B1, to: F1, resistance: 5 mohm}
  - {id: lamp, from: F1, to: S1, resistance: 20 mohm}
  - {id: lamp2, from: S1, to: L1, resistance: 20 mohm}
  - {id: feed, from: F1, to: K1.30, resistance: 4 mohm}
  - {id: out, from: K1.87, to: L2, resistance: 10 mohm}
  - {id: trigger, from: F1, to: S2, resistance: 30 mohm}
  - {id: coil, from: S2, to: K1.86, resistance: 30 mohm}
";

fn wire(vehicle: &Vehicle, id: &str) -> usize {
    vehicle.wires.iter().position(|wire| wire.id == id).unwrap()
}

#[test]
fn two_resistances_in_parallel_as_worked_by_hand() {
    let vehicle = vehicle(SIMPLE);
    let mut solver = Solver::new(&vehicle);
    let mut state = State::parked(&vehicle);
    let out = Memory::all_out(&vehicle);
    let idle = solver.solve(&state, &out);
    assert!((at(&vehicle, &idle, "S1.in") - 12.6).abs() < 1e-12);
    assert_eq!(at(&vehicle, &idle, "S1.out"), 0.0);
    state.positions.fill(1);
    let on = solver.solve(&state, &out);
    // Three ways behind F1: 6.05 ohm, 2.017 ohm, 90.07 ohm; 17 mohm before them.
    let ways = 1.0 / (1.0 / 6.05 + 1.0 / 2.017 + 1.0 / 90.07);
    let amps = 12.6 / (ways + 0.017);
    let main = on.wire_amps[wire(&vehicle, "main")].0;
    assert!((main - amps).abs() < 1e-6, "{main} {amps}");
    let node = 12.6 - amps * 0.017;
    assert!((at(&vehicle, &on, "L2.+") - node * 2.0 / 2.017).abs() < 1e-6);
}

#[test]
fn everything_is_explored_with_the_smallest_setting() {
    let vehicle = vehicle(SIMPLE);
    let mut solver = Solver::new(&vehicle);
    let seen = explore(&mut solver, 1000);
    assert!(seen.complete);
    assert_eq!(seen.settings, seen.of);
    let lamp = &seen.wires[wire(&vehicle, "lamp2")];
    assert_eq!(lamp.setting.closed, ["S1"]);
    assert_eq!(lamp.setting.key, None);
    assert!(lamp.value.0 > 2.0);
    let out = &seen.wires[wire(&vehicle, "out")];
    assert_eq!(out.setting.closed, ["S2"]);
    let main = &seen.wires[wire(&vehicle, "main")];
    assert_eq!(main.setting.closed, ["S1", "S2"]);
    assert!(main.value.0 > 8.0, "{main:?}");
    let terminal = |label: &str| {
        let found = vehicle
            .terminals
            .iter()
            .position(|terminal| terminal.label == label);
        &seen.terminals[found.unwrap()]
    };
    // S2 springs back: what is behind it cannot be left live.
    assert_eq!(terminal("K1.87").key_off, None);
    assert_eq!(terminal("K1.87").ever.as_ref().unwrap().closed, ["S2"]);
    assert_eq!(terminal("S1.out").key_off.as_ref().unwrap().closed, ["S1"]);
    assert!(terminal("S1.in").parked && !terminal("S1.out").parked);
}

#[test]
fn what_cannot_be_finished_is_said() {
    let many = include_str!("../../tests/data/hostile/switches-in-a-crowd.yaml");
    let vehicle = vehicle(many);
    let mut solver = Solver::new(&vehicle);
    let seen = explore(&mut solver, 64);
    assert!(!seen.complete);
    assert!(seen.settings < seen.of && seen.of > 1 << 20);
    // One switch is enough for the coil, and everything together was looked at as well.
    let coil = vehicle
        .branches
        .iter()
        .position(|branch| branch.name == "coil")
        .unwrap();
    assert_eq!(seen.branches[coil].setting.closed.len(), 1);
}

/// A coil with a suppression diode that is connected the wrong way round: the diode takes the current, and the current of the
/// relay's coil terminals says so.
#[test]
fn the_current_of_a_coil_connected_backwards_counts_its_diode() {
    let vehicle = vehicle(
        "keyoff: 1
vehicle: {system: 12 V}
parts:
  B1: {kind: battery, rest-voltage: 12.6 V, internal-resistance: 5 mohm}
  K1: {kind: relay, coil: 90 ohm, contact: 40 A, suppression: diode}
wires:
  - {from: B1, to: K1.85, resistance: 2 ohm}
  - {from: K1.86, to: chassis, resistance: 1 ohm}",
    );
    let solution =
        Solver::new(&vehicle).solve(&State::parked(&vehicle), &Memory::all_out(&vehicle));
    // (12.6 V - 0.7 V) / (0.005 + 2 + 0.05 + 1) ohm, and the coil beside it.
    let wire = solution.wire_amps[0].0;
    assert!((wire - 3.9).abs() < 0.03, "{wire}");
    let coil = coil_of(&vehicle);
    assert!((solution.branch(coil).0 + wire).abs() < 1e-6 * wire);
    assert!(solution.burnt.is_empty());
}

fn coil_of(vehicle: &Vehicle) -> BranchId {
    let mut branches = vehicle.branch_ids();
    branches
        .find(|&id| vehicle.branch(id).name == "coil")
        .unwrap()
}

/// Where nothing but wire limits it, neither the diode nor the fuse ahead of it lasts: what it would take is kept apart, and the
/// rest stands without it.
#[test]
fn a_diode_that_shorts_the_supply_is_taken_out() {
    let vehicle = vehicle(
        "keyoff: 1
vehicle: {system: 12 V}
parts:
  B1: {kind: battery, rest-voltage: 12.6 V, internal-resistance: 5 mohm}
  K1: {kind: relay, coil: 90 ohm, contact: 40 A, suppression: diode}
wires:
  - {from: B1, to: K1.85, resistance: 100 mohm}
  - {from: K1.86, to: chassis, resistance: 100 mohm}",
    );
    let solution =
        Solver::new(&vehicle).solve(&State::parked(&vehicle), &Memory::all_out(&vehicle));
    let coil = coil_of(&vehicle);
    // (12.6 V - 0.7 V) / (5 + 100 + 50 + 100) mohm, and the coil beside it.
    let [(burnt, amps)] = solution.burnt[..] else {
        panic!("{:?}", solution.burnt);
    };
    assert_eq!(burnt, coil);
    assert!((amps.0 - 46.6).abs() < 0.3, "{amps:?}");
    let left = 12.6 / (90.0 + 0.205);
    assert!((solution.branch(coil).0 + left).abs() < 1e-6);
}
