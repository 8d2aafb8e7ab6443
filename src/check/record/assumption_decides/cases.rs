//! Cases of findings that hang on a value, and of those that do not.

use crate::check::tester::Cases;

pub(super) const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2..7.5 V, suppression: resistor}
  PILOT: {kind: load, type: heater, draw: 150 mA}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PILOT.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "K1",
    )],
    quiet: &[
        // It holds at both ends.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2..3 V, suppression: resistor}
  PILOT: {kind: load, type: heater, draw: 150 mA}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PILOT.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // A finding that rests on no such value.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  OLD: {kind: stub, end: capped}
wires:
  - {from: OLD, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    // More values than are tried.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 85..95 ohm, contact: 30 A, pull-in: 7..8 V, drop-out: 1.2..3 V, suppression: resistor}
  K2: {kind: relay, coil: 85..95 ohm, contact: 30 A, pull-in: 7..8 V, drop-out: 1.2..3 V, suppression: resistor}
  PILOT: {kind: load, type: heater, draw: 150 mA}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.30, to: K2.30, size: 12 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: K2.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K2.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PILOT.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "K",
    )],
};
