//! Cases of an isolator set to the wrong voltages.

use crate::check::tester::Cases;

pub(super) const CASES: Cases = Cases {
    trips: &[
        // It closes above what the alternator ever holds; another opens where it closes.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A, voltage: 13.2 V}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.5 V, opens: 12.8 V}
  B3: {kind: battery, chemistry: agm, capacity: 80 Ah}
  NOBAND: {kind: isolator, style: relay, rating: 100 A, closes: 13 V, opens: 13.4 V}
wires:
  - {from: B1, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
  - {run: [B1, NOBAND, B3], size: 6 AWG, lengths: [1 m, 2 m], insulation: sgx}
",
            "ISO",
        ),
        // It lets go when the battery no longer starts the engine. To another less gets over a diode than it closes at.
        (
            "
vehicle: {name: a, system: 12 V, own-load: {off: 10 mA, run: 20 A}, engine: {cranking: 200 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A, voltage: 14.2 V}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 11.8 V}
  D1: {kind: diode, rating: 100 A}
  LAMP: {kind: load, type: led, draw: 1 A}
  FAR: {kind: isolator, style: relay, rating: 100 A, closes: 13.8 V, opens: 12.8 V}
  B3: {kind: battery, chemistry: flooded, capacity: 80 Ah}
wires:
  - {from: B1, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
  - {run: [B1, D1, FAR, B3], size: 6 AWG, lengths: [1 m, 1 m, 2 m], insulation: sgx}
  - {from: D1, to: LAMP, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "ISO",
        ),
        // Two batteries in series: 23 V are 11.5 V of each.
        (
            "
vehicle: {name: a, system: 24 V, own-load: {off: 10 mA, run: 20 A}, engine: {cranking: 300 A, battery: LO}, climate: {parked: 10 C}}
parts:
  LO: {kind: battery, chemistry: flooded, capacity: 150 Ah, cold-cranking: 900 A, voltage: 12 V, health: 90 %, charge: 100 %}
  UP: {kind: battery, chemistry: flooded, capacity: 150 Ah, cold-cranking: 900 A, voltage: 12 V, health: 90 %, charge: 100 %}
  B2: {kind: battery, chemistry: flooded, capacity: 100 Ah}
  ALT: {kind: alternator, rated: 100 A, at-idle: 60 A, voltage: 28.2 V}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 26.6 V, opens: 23 V}
wires:
  - {from: LO.+, to: UP.-, size: 1/0 AWG, length: 30 cm, insulation: sgx}
  - {from: ALT, to: UP.+, size: 2 AWG, length: 1 m, insulation: sgx}
  - {from: UP, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
",
            "ISO",
        ),
    ],
    quiet: &[
        // A master and a fuse on the way; a battery of another voltage stands by itself.
        "
vehicle: {name: a, system: 12 V, own-load: {off: 10 mA, run: 20 A}, engine: {cranking: 200 A}, stands: 7 days, climate: {parked: 10 C}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
  BW: {kind: battery, chemistry: flooded, capacity: 40 Ah, voltage: 24 V}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A, voltage: 14.2 V}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.8 V}
  MASTER: {kind: disconnect, rating: 300 A}
  F1: {kind: fuse, rating: 100 A, form: bolt-down}
wires:
  - {run: [B1, MASTER, F1, ISO.a], size: 6 AWG, lengths: [1 m, 1 m, 1 m], insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
",
        // Neither side starts the engine. A small charger is at its voltage once the battery is full, and that is as much as the
        // isolator can need.
        "
vehicle: {name: a, system: 12 V, own-load: {off: 10 mA, run: 20 A}, engine: {cranking: 200 A, battery: B1}, climate: {parked: 10 C}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, health: 90 %}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  B3: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A, voltage: 14.2 V}
  SOL: {kind: charger, output: 10 A, voltage: 14.2 V, hot-in: [always]}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3..14.2 V, opens: 11.5 V}
wires:
  - {from: SOL, to: B2, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: B2, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B3, size: 6 AWG, length: 2 m, insulation: sgx}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.5 V, opens: 12.8 V}
wires:
  - {from: B1, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
",
            "ALT.voltage",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.5 V, opens: 12.8 V}
wires:
  - {from: B1, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
",
            "an alternator",
        ),
        // At what charge it lets go is known; how much charge the engine needs is not. The alternator gives all that it
        // can, and that is no loss on the way.
        (
            "
vehicle: {name: a, system: 12 V, own-load: {off: 10 mA, run: 20 A}, engine: {cranking: 200 A}}
parts:
  B1: {kind: battery, chemistry: flooded}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A, voltage: 14.2 V}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 11.8 V}
wires:
  - {from: B1, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
",
            "B1.capacity",
        ),
        // What the engine needs is not stated.
        (
            "
vehicle: {name: a, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A, voltage: 14.2 V}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.2 V}
wires:
  - {from: B1, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
",
            "vehicle.engine.cranking",
        ),
        // From an empty battery to three quarters of a charge, and the engine needs half. Of another the setting is known, and
        // what charge that is lies about half; it closes about where the alternator holds.
        (
            "
vehicle: {name: a, system: 12 V, own-load: {off: 10 mA, run: 20 A}, engine: {cranking: 200 A}, climate: {parked: 10 C}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, health: 90 %}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A, voltage: 14.2 V}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 11.9..12.4 V}
  B3: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  LATE: {kind: isolator, style: relay, rating: 100 A, closes: 14..14.4 V, opens: 12.25 V}
wires:
  - {from: B1, to: ISO.a, size: 6 AWG, length: 1 m, insulation: sgx}
  - {from: ISO.b, to: B2, size: 6 AWG, length: 2 m, insulation: sgx}
  - {run: [B1, LATE, B3], size: 6 AWG, lengths: [1 m, 2 m], insulation: sgx}
",
            "ISO.opens",
        ),
    ],
};
