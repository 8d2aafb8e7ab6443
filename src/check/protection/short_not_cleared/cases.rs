//! Cases of a short that is cleared too late, and of one that is cleared in time.

use crate::check::tester::Cases;

pub(super) const CASES: Cases = Cases {
    trips: &[
        // The short draws some 60 A, at which 30 A may take five seconds, and 18 AWG stands less.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 30 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {from: B1, to: F1, size: 10 AWG, length: 10 cm, insulation: gpt}
  - {id: thin, from: F1, to: LAMP, size: 18 AWG, length: 9 m, insulation: gpt}
",
            "thin",
        ),
        // The plain table passes 15 A on 18 AWG; at the far end of 25 m it may take minutes.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 15 A, form: blade}
  LAMP: {kind: load, type: led, draw: 500 mA}
wires:
  - {from: B1, to: F1, size: 10 AWG, length: 10 cm, insulation: gpt}
  - {id: far, from: F1, to: LAMP, size: 18 AWG, length: 25 m, insulation: gpt}
",
            "far",
        ),
        // So long that nothing is sure to open: the thin wires beyond it are told with it, up to the next fuse, which clears its
        // own. 10 AWG carry the 64 A that may flow there for long.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 60 A, form: blade-maxi}
  SP: {kind: splice}
  S1: {kind: switch, rating: 20 A}
  SP2: {kind: splice}
  LAMP: {kind: load, type: led, draw: 5 A}
  F2: {kind: fuse, rating: 5 A, form: blade}
  TAIL: {kind: load, type: led, draw: 1 A}
wires:
  - {from: B1, to: F1, size: 8 AWG, length: 10 cm, insulation: gxl}
  - {id: out, from: F1, to: SP, size: 10 AWG, length: 60 m, insulation: gxl}
  - {from: SP, to: S1, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: S1, to: SP2, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: SP2, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [SP, F2, TAIL], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "out",
        ),
        // Behind a diode, and 40 in hold only in a loom. At 140 A, 3.5 times its rating, the fuse may take 5 s: 98 000 A2s melt 0.5 mm2, which (226 x 0.5)^2 x ln(1318/260) = 21 000 A2s do.
        (
            "
rules: {protection-distance: 40-in-sheathed}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: bolt-down}
  D1: {kind: diode, rating: 60 A, drop: 0.6 V, resistance: 1 mohm}
  F2: {kind: fuse, rating: 3 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
  TAIL: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [B1, F1, D1], size: 8 AWG, lengths: [10 cm, 10 cm], insulation: gxl}
  - {id: lamp, from: D1, to: LAMP, size: 20 AWG, length: 2 m}
  # Too long for a tap.
  - {id: tap, from: D1, to: F2, size: 20 AWG, length: 50 cm}
  - {from: F2, to: TAIL, size: 20 AWG, length: 2 m}
",
            "lamp",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {from: B1, to: F1, size: 10 AWG, length: 10 cm, insulation: gpt}
  - {from: F1, to: LAMP, size: 18 AWG, length: 6 m, insulation: gpt}
",
        // The fan's resistor lets through 15 A or so at the most, and the wire behind it carries them for long.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  R1: {kind: splice}
  FAN: {kind: load, type: motor, draw: 6 A}
wires:
  - {run: [B1, F1], size: 12 AWG, lengths: [10 cm], insulation: gxl}
  - {from: F1, to: R1, resistance: 0.8 ohm}
  - {from: R1, to: FAN, size: 12 AWG, length: 2 m, insulation: gxl}
",
        // The second fuse clears it, insulation not stated and enough even with the poorest; a tap just short enough is its own
        // protection's, and a thin wire of the vehicle its maker's.
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F0: {kind: fuse, rating: 60 A, form: blade-maxi}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LAMP: {kind: load, type: led, draw: 3 A}
  BAR: {kind: busbar}
  OWN: {kind: load, type: led, draw: 1 A, status: factory}
wires:
  - {run: [B1, F0, BAR], size: 8 AWG, lengths: [10 cm, 3 m], insulation: gxl}
  - {from: BAR, to: F1, size: 18 AWG, length: 7 in}
  - {from: F1, to: LAMP, size: 18 AWG, length: 3 m}
  - {from: BAR, to: OWN, size: 18 AWG, length: 50 cm, insulation: gxl, status: factory}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, LAMP], size: 18 AWG, lengths: [10 cm, unknown], insulation: gpt}
",
            "w2.length",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, LAMP], size: 18 AWG, lengths: [10 cm, 3 m], insulation: gpt}
",
            "F1.rating",
        ),
        // From 120 A on the fuse lets 14 400 A2s through; 0.82 mm2 stand 14 200 in thermoplastic and 21 000 in cross-linked.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: bolt-down}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: F1, size: 8 AWG, length: 10 cm, insulation: gxl}
  - {from: F1, to: LAMP, size: 18 AWG, length: 2 m}
",
            "w2.insulation",
        ),
    ],
};
