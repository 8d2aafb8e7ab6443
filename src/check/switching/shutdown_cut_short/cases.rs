//! Cases of an orderly shut-down that is cut short.

use crate::check::tester::Cases;

pub(super) const CASES: Cases = Cases {
    trips: &[
        // A heater behind the master switch.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 20 A, form: blade}
  HEATER: {kind: load, type: electronics, draw: 2 A, parked: 3 mA, needs-shutdown: 3 min, stays-live: runs down}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, HEATER], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "HEATER",
        ),
        // On a feed that is live while the engine runs.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ENG: {kind: feed, hot-in: [engine], rating: 10 A, limit: 10 A}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
wires:
  - {from: ENG, to: TABLET, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "TABLET",
        ),
        // A delay that is too short.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  T1: {kind: delay, keeps-on: 1 min, draw: 3 mA}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
wires:
  - {run: [B1, F1, T1, TABLET], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "T1",
        ),
        // Two cutoffs, that of the panel and its own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  PANEL: {kind: cutoff, opens: 11.8 V, closes: 12.6 V, draw: 3 mA}
  LVD: {kind: cutoff, opens: 12 V, closes: 12.8 V, draw: 3 mA}
  RECORDER: {kind: load, type: electronics, draw: 1 A, needs-shutdown: 30 s}
wires:
  - {run: [B1, F1, PANEL, LVD, RECORDER], size: 14 AWG, lengths: [10 cm, 1 m, 1 m, 1 m], insulation: gxl}
",
            "LVD",
        ),
        // Its own switch, in its return, which is on at work.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, PC], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [PC.-, S1, chassis], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "S1",
        ),
        // The output of a controller goes off with the key.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  BOX: {kind: controller, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, hot-in: run}}}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, BOX.+], size: 14 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: BOX.OUT1, to: PC, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "PC",
        ),
        // The driver turns the feed off, or closes a switch that takes it away; the key leaves both as they are.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  AUX: {kind: feed, hot-in: [always], driver-switched: true, rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {from: AUX, to: K1.30, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: K1.87a, to: PC, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [AUX, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "AUX",
        ),
    ],
    quiet: &[
        // A delay that keeps on just long enough. A memory supply that stays on, where the key only tells it to shut down. Behind a
        // button that springs back it is never at work by itself.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  T1: {kind: delay, keeps-on: 2 min, draw: 3 mA}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, needs-shutdown: 10 s, supplies: {memory: {draw: 5 mA}, main: {draw: 2 A}}}
  S1: {kind: switch, rating: 10 A, momentary: true}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, T1, TABLET], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: F1, to: RADIO.memory, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: RADIO.main, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, S1, PC], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        // The cutoff is bridged the long way round: it opens and nothing happens.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  SP1: {kind: splice}
  SP2: {kind: splice}
  CUT: {kind: cutoff, opens: 11.9 V, closes: 12.8 V, draw: 5 mA, rating: 20 A}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, CUT.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CUT.out, to: PC, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F2, SP1, SP2, PC], size: 14 AWG, lengths: [1 m, 1 m, 1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[
        // One delay of no stated time, one that may or may not be long enough, and one for what may or may not need more.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  T1: {kind: delay, draw: 3 mA}
  T2: {kind: delay, keeps-on: 1..5 min, draw: 3 mA}
  T3: {kind: delay, keeps-on: 3 min, draw: 3 mA}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
  RADIO: {kind: load, type: electronics, draw: 1 A, needs-shutdown: 2 min}
  PC: {kind: load, type: electronics, draw: 1 A, needs-shutdown: 2..4 min}
wires:
  - {run: [B1, F1, T1, TABLET], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [F1, T2, RADIO], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [F1, T3, PC], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "T1.keeps-on",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
wires:
  - {from: TAP, to: TABLET, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "TAP.hot-in",
        ),
        // For how long the feed stays on is said to be unknown.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], stays-on: unknown, rating: 10 A, limit: 10 A}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {from: ACC, to: PC, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "ACC.stays-on",
        ),
    ],
};
