//! Cases of too much voltage lost, and of what would mend it.

use crate::check::tester::Cases;

pub(super) const CASES: Cases = Cases {
    trips: &[
        // All of the range is over the limit.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  WORK: {kind: load, type: led, draw: 8 A}
wires:
  - {from: RUN, to: WORK, size: 16 AWG, length: 15..20 m, insulation: gxl}
  - {from: WORK, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "WORK",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
wires:
  - {from: RUN, to: LAMP, size: 16 AWG, length: 12 m, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 16 AWG, length: 1 m, insulation: 105 C}
",
            "LAMP",
        ),
        // The loss is in a corroded ground.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
  G1: {kind: ground, resistance: 0.2 ohm}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, length: 1 m, insulation: 105 C}
  - {from: LAMP, to: G1, size: 10 AWG, length: 1 m, insulation: 105 C}
",
            "LAMP",
        ),
        // By its own limit; its way is known exactly.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A, resistance: 5 mohm}
  RADIO: {kind: load, type: led, draw: 8 A, drop-limit: 3 %}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 6 m, insulation: 105 C}
  - {from: RADIO, to: chassis, size: 14 AWG, length: 4 m, insulation: 105 C}
",
            "RADIO",
        ),
        // A return that is rotten inside, as it was measured. It is written of the way out that nobody measured it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  WORK: {kind: load, type: led, draw: 8 A}
  STEP: {kind: load, type: led, draw: 8 A}
wires:
  - {from: RUN, to: WORK, size: 14 AWG, length: 4 m, insulation: 105 C, resistance: unknown}
  - {from: WORK, to: chassis, size: 14 AWG, resistance: 0.15 ohm}
  - {from: RUN, to: STEP, size: 16 AWG, length: 14 m, insulation: 105 C, resistance: unknown}
  - {from: STEP, to: chassis, size: 14 AWG, length: 1 m, insulation: 105 C}
",
            "WORK",
        ),
        // It is over the limit for certain once two others are on as well, and loses most with a third.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  SP: {kind: splice}
  S1: {kind: switch, rating: 20 A}
  S2: {kind: switch, rating: 20 A}
  S3: {kind: switch, rating: 20 A}
  TAIL: {kind: load, type: led, draw: 4..5 A}
  ONE: {kind: load, type: led, draw: 5 A}
  TWO: {kind: load, type: led, draw: 6 A}
  THREE: {kind: load, type: led, draw: 9 A}
wires:
  - {from: RUN, to: SP, size: 14 AWG, length: 10..12 m, insulation: 105 C}
  - {from: SP, to: TAIL, size: 14 AWG, length: 1 m, insulation: 105 C}
  - {run: [SP, S1, ONE], size: 14 AWG, lengths: [1 m, 1 m], insulation: 105 C}
  - {run: [SP, S2, TWO], size: 14 AWG, lengths: [1 m, 1 m], insulation: 105 C}
  - {run: [SP, S3, THREE], size: 14 AWG, lengths: [1 m, 1 m], insulation: 105 C}
",
            "TAIL",
        ),
        // What resistors take is not counted, on the way out or home; the thin wire is.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 20 A}
  S2: {kind: switch, rating: 20 A}
  FAN: {kind: load, type: motor, draw: 8 A}
  PUMP: {kind: load, type: motor, draw: 8 A}
  G1: {kind: stud}
wires:
  - {from: RUN, to: S1, size: 16 AWG, length: 18 m, insulation: 105 C}
  - {from: S1, to: FAN, resistance: 0.4 ohm}
  - {run: [RUN, S2, PUMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: 105 C}
  - {from: PUMP, to: G1, resistance: 0.4 ohm}
  - {from: G1, to: chassis, size: 16 AWG, length: 18 m, insulation: 105 C}
",
            "FAN",
        ),
        // The longest wire alone would not do, that of the next size stays as it is, and the shortest can stay too.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  X1: {kind: connector, pins: [1]}
  S1: {kind: switch, rating: 20 A}
  WORK: {kind: load, type: led, draw: 8 A, drop-limit: 21 %}
wires:
  - {from: RUN, to: S1, size: 16 AWG, length: 4 m, insulation: 105 C}
  - {from: S1, to: X1.1, size: 14 AWG, length: 8 m, insulation: 105 C}
  - {from: X1.1, to: WORK, size: 16 AWG, length: 14 m, insulation: 105 C}
  - {from: WORK, to: chassis, size: 16 AWG, length: 5 m, insulation: 105 C}
",
            "WORK",
        ),
    ],
    quiet: &[
        // The low speed of a fan: its resistor is meant to lose.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 20 A, positions: {off: [], low: [[B, L]], high: [[B, H]]}}
  FAN: {kind: load, type: motor, draw: 8 A}
wires:
  - {from: RUN, to: S1.B, size: 12 AWG, length: 1 m, insulation: 105 C}
  - {from: S1.H, to: FAN, size: 12 AWG, length: 1 m, insulation: 105 C}
  - {from: S1.L, to: FAN, resistance: 0.8 ohm}
",
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, length: 6 m, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 10 AWG, length: 1 m, insulation: 105 C}
",
        // What the factory fitted is its own affair.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  HEAD: {kind: load, type: led, draw: 8 A, status: factory}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: HEAD, size: 16 AWG, length: 20 m, insulation: 105 C, status: factory}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: 105 C}
",
    ],
    cannot: &[
        // 8 A lose an eighth, 4 A half as much: the limit of a tenth lies between.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  LAMP: {kind: load, type: led, draw: 4..8 A}
wires:
  - {from: RUN, to: LAMP, size: 16 AWG, length: 12 m, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 16 AWG, length: 1 m, insulation: 105 C}
",
            "LAMP.draw",
        ),
        // The limit lies inside the range of its length, above the middle of it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  WORK: {kind: load, type: led, draw: 8 A}
wires:
  - {from: RUN, to: WORK, size: 16 AWG, length: 5..12 m, insulation: gxl}
  - {from: WORK, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "w1.length",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 10 AWG, length: 1 m, insulation: 105 C}
",
            "w1.length",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, length: 1 m, insulation: 105 C}
",
            "LAMP.draw",
        ),
        // It has the same wire as a pump of which nobody knows whether it is a small one.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  SP: {kind: splice}
  S1: {kind: switch, rating: 40 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  PUMP: {kind: load, type: motor, draw: 5..30 A, status: factory}
wires:
  - {from: RUN, to: SP, size: 16 AWG, length: 10 m, insulation: gxl}
  - {from: SP, to: LAMP, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [SP, S1, PUMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "PUMP.draw",
        ),
        // What takes a share of the same wire is not stated.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  SP: {kind: splice}
  S1: {kind: switch, rating: 40 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  PUMP: {kind: load, type: motor, status: factory}
wires:
  - {from: RUN, to: SP, size: 16 AWG, length: 10 m, insulation: gxl}
  - {from: SP, to: LAMP, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [SP, S1, PUMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "PUMP.draw",
        ),
    ],
};
