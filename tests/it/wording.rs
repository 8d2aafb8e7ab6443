//! Sentences about what is not there.

use crate::run::Folder;
use crate::run::run;

/// No name, no load, no alternator.
const BARE: &str = "keyoff: 1
parts:
  B1: {kind: battery, chemistry: agm, capacity: 75 Ah, cold-cranking: 700 A}
  F1: {kind: fuse, rating: 15 A, form: blade}
";

/// A switched load besides.
const LOADED: &str = "keyoff: 1
parts:
  B1: {kind: battery, chemistry: agm, capacity: 75 Ah, cold-cranking: 700 A}
  F1: {kind: fuse, rating: 15 A, form: blade}
  S1: {kind: switch, rating: 20 A, left: open}
  L1: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, S1, L1], size: 14 AWG, lengths: [12 cm, 1.8 m, 2.5 m]}
  - {from: L1, to: chassis, size: 14 AWG, length: 30 cm}
";

#[test]
fn a_vehicle_without_a_name_is_told_as_one_and_null_in_data() {
    let folder = Folder::new();
    let path = folder.file("truck.yaml", LOADED);
    let path = path.to_str().unwrap();
    let words = run(["audit", path]).out;
    assert!(words.starts_with("Vehicle without a name ("), "{words}");
    let data: serde_json::Value =
        serde_json::from_str(&run(["audit", path, "--format", "json"]).out).unwrap();
    assert_eq!(data["document"]["name"], serde_json::Value::Null);
}

#[test]
fn a_check_that_waits_for_a_part_that_is_not_there_names_none() {
    let folder = Folder::new();
    let path = folder.file("truck.yaml", LOADED);
    let words = run(["audit", path.to_str().unwrap()]).out;
    assert!(
        words.contains("an alternator: alternator-overloaded\n"),
        "{words}"
    );
}

#[test]
fn where_nothing_works_by_itself_the_matrix_says_so() {
    let folder = Folder::new();
    let path = folder.file("truck.yaml", BARE);
    let words = run(["matrix", path.to_str().unwrap()]).out;
    assert!(words.contains("nothing that works by itself"), "{words}");
    assert!(!words.contains("By situation"), "{words}");
}

#[test]
fn two_ends_were_where_one_was() {
    let folder = Folder::new();
    // A relay's common and its rest contact are one joint when it is gone.
    let path = folder.file("truck.yaml", RELAY);
    let words = run(["remove", path.to_str().unwrap(), "X1", "PLOW"]).out;
    let words: Vec<&str> = words.split_whitespace().collect();
    let words = words.join(" ");
    assert!(words.contains("where X1.30 and X1.87a were"), "{words}");
}

/// A relay that was cut into a feed of the vehicle's own.
const RELAY: &str = "keyoff: 1
vehicle: {system: 12 V}
parts:
  B1: {kind: battery}
  HEAD: {kind: feed, hot-in: run, status: factory}
  X1: {kind: relay, coil: 90 ohm, what: plow changeover}
  RUN: {kind: feed, hot-in: run}
  LAMP: {kind: load, type: filament, draw: 55 W, required: true}
  PLOW: {kind: load, type: filament, draw: 55 W}
wires:
  - {from: HEAD, to: X1.30, size: 14 AWG, length: 1 m, status: factory}
  - {from: X1.87a, to: LAMP, size: 14 AWG, length: 1 m, status: factory}
  - {from: X1.87, to: PLOW, size: 14 AWG, length: 1 m}
  - {from: RUN, to: X1.86, size: 14 AWG, length: 1 m}
  - {from: X1.85, to: chassis, size: 14 AWG, length: 1 m}
";
