//! More current can flow through a relay's contact than it carries or may close onto.

use super::closing;
use super::closing::Closing;
use super::rated;
use super::rated::Rated;
use crate::check::prelude::*;
use crate::model::Element;
use crate::read::document::Kind;
use crate::table::relay;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "contact-overloaded",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "more current can flow through a relay's contact than it carries or may close onto",
        page: include_str!("../../../docs/checks/contact-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Relay]) {
        for &branch in &part.branches {
            let inside = context.vehicle.branch(branch);
            if !matches!(inside.element, Element::Contact { .. }) {
                continue;
            }
            let name = &part.name.value;
            let rated = Rated {
                part: id,
                branch,
                name: format!("{} of {name}", inside.name),
                rating: part.stated("contact"),
                fact: part.missing("contact"),
                at: part.at("contact"),
                help: format!(
                    "fit a relay that is made for it in place of {name}, or share the load out over two"
                ),
            };
            match rated::judge(context, &rated) {
                Some(Verdict::NoneShown) => {
                    let multiple = relay::make_multiple();
                    let closing = Closing {
                        part: id,
                        branch,
                        name: format!("{} of {name}", inside.name),
                        rating: ("contact", part.stated("contact")),
                        share: (multiple.value, multiple.value),
                        rule: format!(
                            "{} times its contact rating: {}",
                            multiple.value, multiple.source
                        ),
                        help: format!(
                            "fit a relay in place of {name} that is made to switch motors or lamps of this size"
                        ),
                    };
                    verdicts.push(closing::judge(context, &closing));
                }
                other => verdicts.extend(other),
            }
        }
    }
    verdicts
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: blade-maxi}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  WORK: {kind: load, type: led, draw: 40 A}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: WORK, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // 150 A at the start, and three times 30 A is 90 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  PUMP: {kind: load, type: motor, draw: 25 A, inrush: 6x for 200 ms}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // The surge as a current: 40 A, and the record says that it may close onto 20 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 10 A, make: 20 A}
  PUMP: {kind: load, type: motor, draw: 5 A, inrush: 40 A}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PUMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // A lamp of just what it may close onto, and of what is too much alone the one that takes fewest switches.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 15 A, make: 20 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  S3: {kind: switch, rating: 10 A}
  S4: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: filament, draw: 2 A, inrush: 20 A}
  FAN: {kind: load, type: motor, draw: 3 A, inrush: 30 A}
  PUMP1: {kind: load, type: motor, draw: 4 A, inrush: 40 A}
  PUMP2: {kind: load, type: motor, draw: 4 A, inrush: 40 A}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [K1.87, S1, S2, FAN], size: 14 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl}
  - {run: [K1.87, S3, PUMP1], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [K1.87, S4, PUMP2], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "K1",
        ),
        // Of two speeds that a relay turns over between, the higher is too much.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  K1: {kind: relay, coil: 90 ohm, contact: 20 A, make: 45 A}
  K2: {kind: relay, coil: 90 ohm, contact: 20 A}
  S1: {kind: switch, rating: 5 A}
  LOW: {kind: load, type: motor, draw: 6 A, inrush: 40 A}
  HIGH: {kind: load, type: motor, draw: 10 A, inrush: 50 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: K2.30, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K2.86], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K2.87a, to: LOW, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: K2.87, to: HIGH, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, make: 180 A}
  PUMP: {kind: load, type: motor, draw: 25 A, inrush: 6x for 200 ms}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
        // Never both speeds at once.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  K1: {kind: relay, coil: 90 ohm, contact: 20 A}
  S1: {kind: switch, rating: 20 A, positions: {off: [], low: [[B, L]], high: [[B, H]]}}
  LOW: {kind: load, type: motor, draw: 6 A, inrush: 40 A}
  HIGH: {kind: load, type: motor, draw: 10 A, inrush: 50 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [K1.87, S1.B], size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: S1.L, to: LOW, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: S1.H, to: HIGH, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm}
  WORK: {kind: load, type: led, draw: 25 A}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: WORK, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1.contact",
        ),
        // A motor takes 3 to 10 times its draw: between 60 A and 200 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  PUMP: {kind: load, type: motor, draw: 20 A}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "PUMP.inrush",
        ),
        // The higher speed takes 40 A to 70 A, and the lower less than three times 20 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  K1: {kind: relay, coil: 90 ohm, contact: 20 A}
  S1: {kind: switch, rating: 20 A, positions: {off: [], low: [[B, L]], high: [[B, H]]}}
  LOW: {kind: load, type: motor, draw: 6 A, inrush: 50 A}
  HIGH: {kind: load, type: motor, draw: 10 A, inrush: 40..70 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [K1.87, S1.B], size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: S1.L, to: LOW, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: S1.H, to: HIGH, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "HIGH.inrush",
        ),
    ],
};
