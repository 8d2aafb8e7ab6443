//! Cases of relays that hold themselves in.

use crate::check::tester::Cases;

pub(super) const CASES: Cases = Cases {
    trips: &[
        // Pulled in by what is live only while the engine runs.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  D1: {kind: diode, rating: 1 A, drop: 0.7 V}
  RUNS: {kind: feed, hot-in: [engine], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: K1.86, size: 18 AWG, length: 10 cm, insulation: gxl}
  - {run: [RUNS, D1, K1.86], size: 18 AWG, lengths: [1 m, 10 cm], insulation: gxl}
",
            "K1",
        ),
        // Two that hold themselves in: each is told with what it leaves on by itself, and with both in at the worst. The clock goes
        // on drawing all the same, and one button works for a while after the key.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  ACC: {kind: feed, hot-in: [accessory, run], stays-on: 10 min, rating: 5 A, limit: 5 A}
  D1: {kind: diode, rating: 1 A, drop: 0.7 V}
  S1: {kind: switch, rating: 10 A, momentary: true}
  S2: {kind: switch, rating: 10 A, momentary: true}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  LAMP: {kind: load, type: led, draw: 0.3 A}
  CLOCK: {kind: load, type: electronics, draw: 5 mA, parked: 5 mA, status: factory}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [ACC, S1, D1, K1.86], size: 18 AWG, lengths: [1 m, 1 m, 10 cm], insulation: gxl}
  - {from: K1.87, to: K1.86, size: 12 AWG, length: 20 cm, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: K2.30, size: 12 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, S2, K2.86], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K2.87, to: K2.86, size: 12 AWG, length: 20 cm, insulation: gxl}
  - {from: K2.85, to: chassis, resistance: 20 ohm}
  - {from: F1, to: CLOCK, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        // A button and the relay's own contact.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 10 A, momentary: true}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  SP: {kind: splice}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [F1, S1, K1.86], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [K1.87, SP, LAMP], size: 12 AWG, lengths: [20 cm, 1 m], insulation: gxl}
  - {from: SP, to: K1.86, size: 12 AWG, length: 20 cm, insulation: gxl}
",
            "S1",
        ),
        // The pilot lamp holds the coil with what it lets through.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  PILOT: {kind: load, type: heater, draw: 100 mA}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PILOT.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.86, to: PILOT.-, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        // The relays that hold themselves in are the vehicle's own and one that is meant to; STAY is held, and not by itself.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, suppression: resistor}
  LAMP: {kind: load, type: led, draw: 2 A}
  S2: {kind: switch, rating: 10 A, momentary: true}
  OWN: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, status: factory}
  S3: {kind: switch, rating: 10 A, momentary: true}
  HOLD: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, stays-live: lights the yard}
  STAY: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V}
wires:
  - {run: [F1, STAY.86], size: 12 AWG, lengths: [1 m], insulation: gxl}
  - {run: [F1, S2, OWN.86], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [F1, OWN.30], size: 12 AWG, lengths: [1 m], insulation: gxl}
  - {from: OWN.87, to: OWN.86, size: 12 AWG, length: 20 cm, insulation: gxl}
  - {run: [F1, S3, HOLD.86], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [F1, HOLD.30], size: 12 AWG, lengths: [1 m], insulation: gxl}
  - {from: HOLD.87, to: HOLD.86, size: 12 AWG, length: 20 cm, insulation: gxl}
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
",
        // Holds itself in, but only while the key is in run.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A, momentary: true}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  SP: {kind: splice}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 12 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [K1.87, SP, LAMP], size: 12 AWG, lengths: [20 cm, 1 m], insulation: gxl}
  - {from: SP, to: K1.86, size: 12 AWG, length: 20 cm, insulation: gxl}
",
    ],
    // Pilot lamps leave about 1 V over one coil, and 1.8 V over the other: whether that holds them depends on when they let go.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  S2: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, suppression: resistor}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 0.8..2.4 V, suppression: resistor}
  PILOT: {kind: load, type: heater, draw: 12 mA}
  PILOT2: {kind: load, type: heater, draw: 25 mA}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: PILOT.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: K2.30, size: 12 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S2, K2.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K2.87, to: PILOT2.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT2.-, to: K2.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K2.85, to: chassis, resistance: 30 ohm}
",
        "K2.drop-out",
    )],
};
