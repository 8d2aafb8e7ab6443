//! Cases of what goes on although the master switch is open.

use crate::check::tester::Cases;

pub(super) const CASES: Cases = Cases {
    trips: &[
        // By its return, with the key in run only.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: B1.-, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "LAMP",
        ),
        // By its feed; that the key feeds it as well is no reason to ask where that feed starts.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
wires:
  - {run: [B1, MASTER, KEY, STARTER], size: 2/0 AWG, lengths: [40 cm, 50 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "LAMP",
        ),
        // A converter whose return lands on the post, and what it feeds: 5 V x 1 A / 90 % of 12.9 V, and 20 mA of its own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CONV: {kind: converter, output: 5 V, rating: 5 A, efficiency: 90 %, standby: 20 mA}
  CAM: {kind: load, type: electronics, draw: 1 A, rated-voltage: 5 V}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, CONV.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CONV.-, to: B1.-, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CONV.out, to: CAM, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CAM, to: CONV.-, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "CONV",
        ),
        // Two that return past it: a radio of two supplies, the larger of them in the last position of a switch.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 15 A, form: blade}
  S1: {kind: switch, rating: 15 A, positions: {off: [], lamp: [[B, L]], radio: [[B, R]]}}
  CLOCK: {kind: load, type: electronics, draw: 50 mA}
  RADIO: {kind: load, type: electronics, supplies: {memory: {draw: 0.2 A}, main: {draw: 9 A}}}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, S1.B], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: CLOCK, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: RADIO.memory, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: S1.R, to: RADIO.main, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: S1.L, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: CLOCK, to: B1.-, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: RADIO, to: B1.-, size: 12 AWG, length: 1 m, insulation: gxl}
",
            "RADIO",
        ),
        // A thin cable of something else, from the post to the chassis: everything goes on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  DOME: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: B1.-, to: chassis, size: 10 AWG, length: 40 cm, insulation: gxl}
  - {run: [B1, F1, S1, DOME], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "DOME",
        ),
        // Two of 12 V in series: a return to the foot of the lower one, and one to the foot of the upper.
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 5 A}
  RADIO: {kind: load, type: electronics, draw: 2 A, rated-voltage: 12 V}
  DOME: {kind: load, type: led, draw: 1 A}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [BUP, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: LAMP, to: BLO.-, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, RADIO], size: 14 AWG, lengths: [1 m], insulation: gxl}
  - {from: RADIO, to: BUP.-, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: DOME, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        // The switch opens the upper one, and the lower one goes on feeding.
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  RADIO: {kind: load, type: electronics, draw: 2 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, MASTER, KEY, STARTER], size: 2/0 AWG, lengths: [40 cm, 50 cm, 50 cm], insulation: sgx}
  - {run: [BLO, F1, S1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "RADIO",
        ),
    ],
    quiet: &[
        // The other two disconnects open only some circuits, by feed and by return, and are no master switches.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  REAR: {kind: disconnect, rating: 50 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  DOME: {kind: load, type: led, draw: 1 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  GATE: {kind: disconnect, rating: 50 A, left: open}
  LIFT: {kind: load, type: motor, draw: 30 A}
wires:
  - {from: REAR, to: LIFT, size: 6 AWG, length: 3 m, insulation: gxl}
  - {run: [LIFT.-, GATE, B1.-], size: 6 AWG, lengths: [1 m, 3 m], insulation: gxl}
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: B1, to: REAR, size: 6 AWG, length: 10 cm, insulation: gxl}
  - {run: [B1, F1, S1, DOME], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
",
        // One is meant to go on, and the record says so; the other is the vehicle's own.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 2 A, form: blade}
  TRACKER: {kind: load, type: electronics, draw: 20 mA, parked: 5 mA, stays-live: recovery after theft}
  CLOCK: {kind: load, type: electronics, draw: 20 mA, status: factory}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: TRACKER, to: B1.-, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: CLOCK, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: CLOCK, to: B1.-, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // A second battery feeds it, the first over a link as well; but with the switch open nothing comes home to the first.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  LINK: {kind: switch, rating: 300 A}
  BUS: {kind: busbar, limit: 300 A}
  F2: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: B2.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx}
  - {run: [B1, LINK, BUS], size: 2/0 AWG, lengths: [50 cm, 1 m], insulation: sgx}
  - {from: B2, to: BUS, size: 2/0 AWG, length: 50 cm, insulation: sgx}
  - {run: [BUS, F2, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        // Half a milliampere is leakage; what it draws when awake does not matter with the key off.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  F1: {kind: fuse, rating: 2 A, form: blade}
  TAG: {kind: load, type: electronics, parked: 0.5 mA}
wires:
  - {run: [B1, MASTER, KEY, STARTER], size: 2/0 AWG, lengths: [40 cm, 50 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, TAG], size: 18 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: B1.-, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "LAMP.draw",
    ),
        // A feed that is always hot, and no word of which side of the switch in the positive it hangs on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  BATT: {kind: feed, hot-in: always, rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, MASTER, KEY, STARTER], size: 2/0 AWG, lengths: [40 cm, 50 cm, 50 cm], insulation: sgx}
  - {from: BATT, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "BATT.from",
        ),
        // The same, with no word of what it draws.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  F1: {kind: fuse, rating: 2 A, form: blade}
  TAG: {kind: load, type: electronics}
wires:
  - {run: [B1, MASTER, KEY, STARTER], size: 2/0 AWG, lengths: [40 cm, 50 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, TAG], size: 18 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "TAG.draw",
        ),
    ],
};
