//! Hunts in small vehicles, by what is tried.

mod fuses;
mod parts;
mod readings;

use super::*;
use crate::analyze::analyze;
use crate::model::testing::vehicle;

fn hunted(text: &str) -> (Vehicle, Hunt) {
    let vehicle = vehicle(text);
    let solved = analyze(&vehicle);
    let hunt = hunt(&vehicle, &solved);
    (vehicle, hunt)
}

fn bare(fuses: usize, readings: &str) -> String {
    let mut text = String::from("parts:\n  B1: {kind: battery, capacity: 75 Ah}\n");
    for fuse in 1..=fuses {
        text += &format!("  F{fuse}: {{kind: fuse, rating: 10 A, form: blade}}\n");
    }
    text + &format!("readings:\n{readings}")
}

fn name(vehicle: &Vehicle, part: PartId) -> &str {
    &vehicle.part(part).name.value
}

const YARD: &str = "vehicle: {system: 12 V, own-load: {off: 20 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  B2: {kind: battery, capacity: 75 Ah}
  ISO: {kind: isolator, opens: 12.8 V, closes: 13.3 V}
  FM: {kind: fuse, rating: 60 A, form: bolt-down}
  SP: {kind: busbar}
  A1: {kind: fuse, rating: 15 A, form: blade}
  A2: {kind: fuse, rating: 10 A, form: blade}
  A3: {kind: fuse, rating: 5 A, form: blade}
  CB: {kind: breaker, rating: 20 A}
  S1: {kind: switch, left: open}
  ALT: {kind: alternator, rated: 100 A}
  RUN: {kind: feed, hot-in: run, limit: 10 A}
  BAT: {kind: feed, hot-in: always, limit: 10 A}
  CAMERA: {kind: load, type: electronics, draw: 60 mA, parked: 1 mA}
  BEACON: {kind: load, type: led, draw: 1.5 A}
  RADIO: {kind: load, type: electronics, draw: 0.4 A, parked: 5 mA}
  TRACKER: {kind: load, type: electronics, draw: 90 mA, parked: 6 mA}
wires:
  - {id: main, run: [B1, FM, SP], size: 8 AWG, lengths: [10 cm, 2 m]}
  - {id: a1, run: [SP, A1, S1, BEACON], size: 14 AWG, lengths: [10 cm, 1 m, 1 m]}
  - {id: a2, run: [SP, A2, RADIO], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {id: a3, run: [SP, A3, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m]}
  - {id: cam, from: B1, to: CAMERA, size: 18 AWG, length: 1 m}
  - {id: alt, from: ALT, to: B1, size: 4 AWG, length: 1 m}
  - {id: iso, run: [B1, ISO, B2], size: 4 AWG, lengths: [1 m, 1 m]}
  - {id: run, from: RUN, to: CB, size: 14 AWG, length: 1 m}
readings:
";
