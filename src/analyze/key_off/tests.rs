//! The standing draw of small vehicles, by hand.

use super::*;
use crate::analyze::analyze;
use crate::model::testing::vehicle;

const OWN: &str = "vehicle: {system: 12 V, own-load: {off: 20 mA, run: 20 A}}\n";

fn key_off(text: &str) -> (Vehicle, KeyOff) {
    let vehicle = vehicle(&format!("{OWN}{text}"));
    let key_off = analyze(&vehicle).key_off;
    (vehicle, key_off)
}

fn rows(vehicle: &Vehicle, key_off: &KeyOff) -> Vec<(String, f64, String)> {
    let row = |draw: &Draw| {
        let name = |&part: &PartId| vehicle.part(part).name.value.clone();
        let fuses: Vec<String> = draw.protected_by.iter().map(name).collect();
        (
            name(&draw.part),
            (draw.current.0 * 1e5).round() / 1e5,
            fuses.join(" "),
        )
    };
    let left = key_off.by_part.iter().filter(|draw| draw.only_if.is_none());
    left.map(row).collect()
}

#[test]
fn a_fuse_whose_source_is_not_the_only_one_is_not_ahead_of_a_draw() {
    let (vehicle, key_off) = key_off(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  PV: {kind: charger, output: 3 A, voltage: 13.8 V, hot-in: always}
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  BOX: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [PV, F1, B1], size: 16 AWG, lengths: [1 m, 10 cm], insulation: gxl}
  - {run: [B1, F2, BOX], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
    );
    assert_eq!(
        rows(&vehicle, &key_off),
        [
            ("BOX".to_owned(), 1.0, "F2".to_owned()),
            ("own-load".to_owned(), 0.02, String::new())
        ]
    );
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6 * b.abs().max(1e-3)
}

const LENGTH: &str = "size: 14 AWG, length: 1 m";

#[test]
fn what_is_ahead_of_the_key_draws_and_what_is_behind_does_not() {
    let (vehicle, key_off) = key_off(&format!(
        "parts:
  B1: {{kind: battery, capacity: 75 Ah}}
  RUN: {{kind: feed, hot-in: run}}
  F0: {{kind: fuse, rating: 30 A}}
  F1: {{kind: fuse, rating: 5 A}}
  CLOCK: {{kind: load, type: electronics, draw: 0.4 A, parked: 5 mA}}
  LAMP: {{kind: load, type: led, draw: 3 A}}
wires:
  - {{run: [B1, F0, F1, CLOCK], {LENGTH_RUN}}}
  - {{from: RUN, to: LAMP, {LENGTH}}}",
        LENGTH_RUN = "size: 14 AWG, lengths: [1 m, 1 m, 1 m]"
    ));
    assert_eq!(
        rows(&vehicle, &key_off),
        [
            ("own-load".to_owned(), 0.02, String::new()),
            ("CLOCK".to_owned(), 0.005, "F1 F0".to_owned()),
        ]
    );
    assert!(near(key_off.draw.0, 0.025), "{:?}", key_off.draw);
    let fuses: Vec<f64> = key_off.by_fuse.iter().map(|(_, amps)| amps.0).collect();
    assert_eq!(fuses.len(), 2);
    assert!(fuses.iter().all(|&amps| near(amps, 0.005)), "{fuses:?}");
    // 75 Ah / 25 mA = 3000 h.
    assert!(near(key_off.simple.unwrap().hours(), 3000.0));
    assert_eq!(key_off.missing, Vec::<String>::new());
}

#[test]
fn a_coil_held_in_counts_under_the_relays_name() {
    let (vehicle, key_off) = key_off(&format!(
        "parts:
  B1: {{kind: battery, capacity: 75 Ah, rest-voltage: 12.6 V, internal-resistance: 1 mohm}}
  F1: {{kind: fuse, rating: 5 A, resistance: 0 mohm}}
  K1: {{kind: relay, coil: 80..100 ohm, contact: 40 A}}
wires:
  - {{from: B1, to: F1, {LENGTH}}}
  - {{from: F1, to: K1.86, {LENGTH}}}"
    ));
    let coil = &key_off.by_part[0];
    assert_eq!(vehicle.part(coil.part).name.value, "K1");
    // 12.6 V / 90 ohm; wires and the battery take less than one part in two thousand.
    assert!((coil.current.0 / 0.14 - 1.0).abs() < 5e-4, "{coil:?}");
    assert!((coil.range.low.0 / 0.126 - 1.0).abs() < 5e-4, "{coil:?}");
    assert!((coil.range.high.0 / 0.1575 - 1.0).abs() < 5e-4, "{coil:?}");
    let range = key_off.range;
    assert!((range.low.0 / 0.146 - 1.0).abs() < 5e-4, "{range:?}");
    assert!((range.high.0 / 0.1775 - 1.0).abs() < 5e-4, "{range:?}");
}

#[test]
fn a_module_that_is_not_known_to_sleep_counts_in_full_and_may_be_nothing() {
    let (vehicle, key_off) = key_off(&format!(
        "parts:
  B1: {{kind: battery}}
  F1: {{kind: fuse, rating: 5 A}}
  BOX: {{kind: load, type: electronics, draw: 0.3 A}}
wires:
  - {{from: B1, to: F1, {LENGTH}}}
  - {{from: F1, to: BOX, {LENGTH}}}"
    ));
    assert_eq!(rows(&vehicle, &key_off)[0].1, 0.3);
    assert_eq!(key_off.by_part[0].range.low, Amps::ZERO);
    assert!(near(key_off.range.low.0, 0.02) && near(key_off.range.high.0, 0.32));
    assert_eq!(key_off.missing, ["BOX.parked", "B1.capacity"]);
    assert_eq!(key_off.simple, None);
}

#[test]
fn what_cycles_counts_at_its_average() {
    let (_, key_off) = key_off(&format!(
        "parts:
  B1: {{kind: battery, capacity: 100 Ah}}
  F1: {{kind: fuse, rating: 15 A}}
  FRIDGE: {{kind: load, type: motor, draw: 4 A, duty: 25 %}}
wires:
  - {{from: B1, to: F1, {LENGTH}}}
  - {{from: F1, to: FRIDGE, {LENGTH}}}"
    ));
    assert!(near(key_off.draw.0, 1.02), "{:?}", key_off.draw);
    assert!(near(key_off.by_fuse[0].1.0, 1.0), "{:?}", key_off.by_fuse);
}

#[test]
fn each_battery_gives_what_hangs_on_it() {
    let (vehicle, key_off) = key_off(&format!(
        "parts:
  B1: {{kind: battery, capacity: 80 Ah}}
  B2: {{kind: battery, capacity: 100 Ah}}
  ISO: {{kind: isolator, style: relay, closes: 13.3 V, opens: 12.8 V}}
  ALT: {{kind: alternator, rated: 100 A}}
  F1: {{kind: fuse, rating: 15 A}}
  CAMP: {{kind: load, type: led, draw: 1..2 A}}
wires:
  - {{run: [B1, ISO, B2], size: 6 AWG, lengths: [1 m, 1 m]}}
  - {{from: B2, to: F1, {LENGTH}}}
  - {{from: F1, to: CAMP, {LENGTH}}}"
    ));
    let named = |name: &str| {
        let found = key_off
            .by_battery
            .iter()
            .find(|&&(part, ..)| vehicle.part(part).name.value == name);
        found.copied().unwrap()
    };
    assert!(near(named("B1").1.0, 0.02));
    assert!(near(named("B2").1.0, 1.5));
    assert!(near(named("B2").2.unwrap().hours(), 100.0 / 1.5));
    assert!(near(key_off.draw.0, 0.02));
    assert!(
        near(key_off.range.high.0, 0.02),
        "the other battery's range"
    );
}

#[test]
fn behind_a_converter_a_draw_costs_what_the_converter_takes() {
    let (vehicle, key_off) = key_off(
        "parts:
  B1: {kind: battery, capacity: 100 Ah, rest-voltage: 12.5 V, internal-resistance: 0.1 mohm}
  F1: {kind: fuse, rating: 15 A, resistance: 0 mohm}
  C1: {kind: converter, output: 25 V, rating: 10 A, efficiency: 80 %, standby: 10 mA}
  BOX: {kind: load, type: electronics, draw: 1 A, parked: 80..120 mA}
wires:
  - {from: B1, to: F1, resistance: 0.1 mohm}
  - {from: F1, to: C1, resistance: 0.1 mohm}
  - {from: C1, to: BOX, resistance: 0.1 mohm}",
    );
    // 0.1 A x 25 V / 80 % / 12.5 V = 0.25 A.
    assert!((key_off.draw.0 - 0.28).abs() < 1e-4, "{:?}", key_off.draw);
    assert!(
        (key_off.range.low.0 - 0.23).abs() < 2e-4,
        "{:?}",
        key_off.range
    );
    assert!(
        (key_off.range.high.0 - 0.33).abs() < 2e-4,
        "{:?}",
        key_off.range
    );
    let names: Vec<_> = rows(&vehicle, &key_off)
        .into_iter()
        .map(|row| row.0)
        .collect();
    assert_eq!(names, ["BOX", "own-load", "C1"]);
}

#[test]
fn without_the_vehicles_own_draw_it_says_so() {
    let vehicle = vehicle("parts: {B1: {kind: battery, capacity: 75 Ah}}");
    let key_off = analyze(&vehicle).key_off;
    assert_eq!(key_off.missing, ["vehicle.own-load.off"]);
    assert_eq!((key_off.draw, key_off.simple), (Amps::ZERO, None));
}

#[test]
fn a_feed_of_unknown_kind_is_named() {
    let (_, key_off) = key_off(&format!(
        "parts:
  B1: {{kind: battery, capacity: 75 Ah}}
  SLOT: {{kind: feed}}
  LAMP: {{kind: load, type: led, draw: 1 A}}
wires:
  - {{from: SLOT, to: LAMP, {LENGTH}}}"
    ));
    assert!(near(key_off.draw.0, 1.02));
    assert_eq!(key_off.missing, ["SLOT.hot-in"]);
}

#[test]
fn a_relay_that_holds_itself_in_after_use_draws_as_left() {
    // Closed by the run feed through S1, then held from its own contact.
    let (vehicle, key_off) = key_off(
        "parts:
  B1: {kind: battery, capacity: 75 Ah}
  RUN: {kind: feed, hot-in: run}
  F1: {kind: fuse, rating: 10 A}
  D1: {kind: diode, drop: 0.7 V}
  SP: {kind: splice}
  K1: {kind: relay, coil: 90 ohm, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [1 m, 1 m]}
  - {run: [RUN, D1, SP], size: 14 AWG, lengths: [1 m, 1 m]}
  - {from: SP, to: K1.86, size: 14 AWG, length: 1 m}
  - {from: K1.87, to: SP, size: 14 AWG, length: 1 m}",
    );
    let coil = rows(&vehicle, &key_off)[0].clone();
    assert_eq!((coil.0.as_str(), coil.2.as_str()), ("K1", "F1"));
    assert!(coil.1 > 0.13, "{coil:?}");
}

#[test]
fn what_draws_only_with_a_switch_left_closed_names_it() {
    let (vehicle, key_off) = key_off(
        "parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 15 A}
  S1: {kind: switch}
  S2: {kind: switch, momentary: true}
  LAMP: {kind: load, type: led, draw: 2..3 A}
  HORN: {kind: load, type: motor, draw: 5 A}
wires:
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [1 m, 1 m, 1 m]}
  - {run: [F1, S2, HORN], size: 14 AWG, lengths: [1 m, 1 m]}",
    );
    assert!(near(key_off.draw.0, 0.02), "not as it is left");
    let [own, lamp] = key_off.by_part.as_slice() else {
        panic!("{:?}", key_off.by_part);
    };
    assert_eq!(own.only_if, None);
    assert_eq!(vehicle.part(lamp.part).name.value, "LAMP");
    assert_eq!(lamp.only_if.as_ref().unwrap().closed, ["S1"]);
    assert!(near(lamp.current.0, 2.5) && near(lamp.range.high.0, 3.0));
    let fuse = vehicle.part(lamp.protected_by[0]);
    assert_eq!(
        (fuse.name.value.as_str(), lamp.protected_by.len()),
        ("F1", 1)
    );
}
