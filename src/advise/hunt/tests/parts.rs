//! What the record says of the parts behind the fuses.

use super::*;

const TRUCK: &str = "vehicle: {system: 12 V, own-load: {off: 18 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  FM: {kind: fuse, rating: 60 A, form: bolt-down}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  F3: {kind: fuse, rating: 15 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  S2: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 85 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BOX: {kind: load, type: electronics, draw: 0.4 A, parked: 5 mA}
  WORK: {kind: load, type: led, draw: 6 A}
  SP: {kind: splice}
wires:
  - {run: [B1, FM, SP], size: 8 AWG, lengths: [10 cm, 2 m]}
  - {id: coil, run: [SP, F1, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m, 1 m]}
  - {run: [F1, S2, LAMP], size: 18 AWG, lengths: [1 m, 1 m]}
  - {run: [SP, F2, BOX], size: 18 AWG, lengths: [1 m, 1 m]}
  - {run: [SP, F3, K1.30], size: 14 AWG, lengths: [1 m, 1 m]}
  - {from: K1.87, to: WORK, size: 14 AWG, length: 1 m}
";

#[test]
fn the_parts_behind_the_fuse_are_ranked_by_what_they_could_draw() {
    let (vehicle, hunt) = hunted(&format!(
        "{TRUCK}readings:
  - {{after: 40 min, current: 172 mA}}
  - {{pulled: F1, current: 23 mA}}"
    ));
    assert_eq!(hunt.stage, Stage::Located, "{}", hunt.say);
    let found = &hunt.located[0];
    assert_eq!(name(&vehicle, found.fuse.unwrap()), "F1");
    assert_eq!(name(&vehicle, found.parts[0].part), "K1");
    assert!(found.parts[0].match_ > 0.8, "{found:?}");
    assert!(
        found.parts[1].match_ < 0.1,
        "the lamp draws far more: {found:?}"
    );
    let wires: Vec<&str> = found
        .wires
        .iter()
        .map(|&wire| vehicle.wire(wire).id.as_str())
        .collect();
    assert!(
        wires.contains(&"coil.2") && wires.contains(&"coil.3"),
        "{wires:?}"
    );
    assert!(
        found.like.iter().any(|like| like.contains("relay coil")),
        "{found:?}"
    );
    assert!(found.expect.contains("23"), "{}", found.expect);
    assert!(
        hunt.say.contains("unplug K1 behind F1") || hunt.say.contains("Unplug K1"),
        "{}",
        hunt.say
    );
    assert!(hunt.heed[0].contains("a relay coil draws"));
}

#[test]
fn what_the_record_explains_is_not_hunted() {
    let (_, hunt) = hunted(&format!(
        "{TRUCK}readings:\n  - {{after: 40 min, current: 24 mA}}"
    ));
    assert_eq!(hunt.stage, Stage::Explained, "{}", hunt.say);
    assert!(hunt.suspects.is_empty() && hunt.next.is_none());
}

#[test]
fn less_than_the_record_says_is_told() {
    let (_, hunt) = hunted(&format!(
        "{TRUCK}readings:\n  - {{after: 40 min, current: 9 mA}}"
    ));
    assert_eq!(hunt.stage, Stage::Less, "{}", hunt.say);
}

#[test]
fn what_fits_a_coil_is_suspected_where_there_is_one() {
    let (vehicle, hunt) = hunted(&format!(
        "{TRUCK}readings:\n  - {{after: 40 min, current: 172 mA}}"
    ));
    let first = hunt.suspects[0].fuse.unwrap();
    assert_eq!(name(&vehicle, first), "F1");
    let next = hunt.next.unwrap();
    assert!(next.line.starts_with("- {") && next.line.ends_with('}'));
}

#[test]
fn what_holds_itself_in_is_used_first() {
    let (_, hunt) = hunted(
        "vehicle: {system: 12 V, own-load: {off: 18 mA, run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  RUN: {kind: feed, hot-in: run}
  F1: {kind: fuse, rating: 10 A}
  S1: {kind: switch, left: open}
  D1: {kind: diode, drop: 0.7 V}
  SP: {kind: splice}
  K1: {kind: relay, coil: 90 ohm, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [1 m, 1 m]}
  - {run: [RUN, S1, D1, SP], size: 14 AWG, lengths: [1 m, 1 m, 1 m]}
  - {from: SP, to: K1.86, size: 14 AWG, length: 1 m}
  - {from: K1.87, to: SP, size: 14 AWG, length: 1 m}",
    );
    assert_eq!(hunt.use_first.len(), 1, "{hunt:?}");
    assert!(hunt.say.contains("switch S1 on and off"), "{}", hunt.say);
}

/// 25 mA are the vehicle's own 20 mA and the tracker's 5 mA, whatever is going to be fitted.
#[test]
fn what_is_planned_explains_nothing_of_a_reading() {
    let (vehicle, hunt) = hunted(
        "vehicle: {system: 12 V, own-load: {off: 20 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade, status: planned}
  TRACKER: {kind: load, type: electronics, draw: 90 mA, parked: 5 mA}
  FRIDGE: {kind: load, type: electronics, draw: 1 A, parked: 1 A, status: planned}
  BEACON: {kind: load, type: led, draw: 2 A, status: planned}
wires:
  - {run: [B1, F1, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m]}
  - {run: [B1, F2, FRIDGE], size: 14 AWG, lengths: [10 cm, 1 m], status: planned}
  - {from: F1, to: BEACON, size: 14 AWG, length: 1 m, status: planned}
readings:
  - {after: 40 min, current: 25 mA}
  - {pulled: F1, current: 20 mA}",
    );
    assert_eq!(hunt.stage, Stage::Explained, "{}", hunt.say);
    let explained: Vec<f64> = hunt.readings.iter().map(|line| line.explained.0).collect();
    assert!(
        (explained[0] - 0.025).abs() < 1e-4 && (explained[1] - 0.020).abs() < 1e-4,
        "{explained:?}"
    );
    assert!(
        hunt.suspects
            .iter()
            .all(|suspect| suspect.fuse.is_none_or(|fuse| name(&vehicle, fuse) != "F2"))
    );
}
