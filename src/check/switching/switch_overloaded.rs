//! More current can flow through a switch than it is made for, or than it may close onto.

use super::closing;
use super::closing::Closing;
use super::rated;
use super::rated::Rated;
use crate::check::prelude::*;
use crate::model::Element;
use crate::read::document::Kind;
use crate::table::joint;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "switch-overloaded",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "more current can flow through a switch than it is made for or may close onto",
        page: include_str!("../../../docs/checks/switch-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let kinds = &[Kind::Switch, Kind::Disconnect, Kind::KeySwitch];
    for (id, part) in context.parts_of(kinds) {
        for &branch in &part.branches {
            let inside = context.vehicle.branch(branch);
            if !matches!(inside.element, Element::Contact { .. }) {
                continue;
            }
            let name = &part.name.value;
            let side = if inside.name.is_empty() {
                name.clone()
            } else {
                format!("{} of {name}", inside.name)
            };
            let rated = Rated {
                part: id,
                branch,
                name: side,
                rating: part.stated("rating"),
                fact: part.missing("rating"),
                at: part.at("rating"),
                help: format!(
                    "let {name} drive a relay and the relay carry the load, or fit a switch that is made for it"
                ),
            };
            match rated::judge(context, &rated) {
                Some(Verdict::NoneShown) if part.kind == Kind::Switch => {
                    let multiple = joint::switch_make_multiple();
                    let closing = Closing {
                        part: id,
                        branch,
                        name: rated.name,
                        rating: ("rating", rated.rating),
                        share: (multiple.low, multiple.high),
                        rule: format!("{} times its rating: {}", multiple.high, multiple.source),
                        help: rated.help,
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
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, rating: 10 A}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, S1, WORK], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "S1",
        ),
        // 80 A at the moment of closing, and five times 10 A is 50 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, rating: 10 A}
  FAN: {kind: load, type: motor, draw: 8 A, inrush: 10x for 150 ms}
wires:
  - {run: [RUN, S1, FAN], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "S1",
        ),
        // The least that a cold filament takes is eight times its draw.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, rating: 10 A}
  WORK: {kind: load, type: filament, draw: 110 W}
wires:
  - {run: [RUN, S1, WORK], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "S1",
        ),
        // The surge as a current: 40 A, and the record says that it may close onto 20 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A, make: 20 A}
  PUMP: {kind: load, type: motor, draw: 5 A, inrush: 40 A}
wires:
  - {run: [RUN, S1, PUMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "S1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, rating: 20 A}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, S1, WORK], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
        // Its maker allows the inrush; a master switch is not closed onto running equipment.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  M1: {kind: disconnect, rating: 10 A}
  S1: {kind: switch, rating: 10 A, make: 90 A}
  FAN: {kind: load, type: motor, draw: 8 A, inrush: 10x for 150 ms}
wires:
  - {run: [B1, M1, S1, FAN], size: 10 AWG, lengths: [1 m, 1 m, 2 m], insulation: gxl}
",
    ],
    cannot: &[
        // 36 A lies between two and a half and five times 10 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, rating: 10 A}
  FAN: {kind: load, type: motor, draw: 6 A, inrush: 6x for 150 ms}
wires:
  - {run: [RUN, S1, FAN], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "S1.make",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, S1, WORK], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "S1.rating",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, rating: 10 A}
  BOX: {kind: load, type: electronics}
wires:
  - {run: [RUN, S1, BOX], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "BOX.draw",
        ),
        // 7 A lie between the two ends of its rating.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 5..10 A}
  LAMP: {kind: load, type: led, draw: 7 A}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "S1.rating",
        ),
        // 7 A lie between the two ends of the draw.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 7 A}
  LAMP: {kind: load, type: led, draw: 5..10 A}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "LAMP.draw",
        ),
        // A motor takes 18 A to 60 A, and 10 A may close onto 25 A to 50 A: either would tell.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, rating: 10 A}
  FAN: {kind: load, type: motor, draw: 6 A}
wires:
  - {run: [RUN, S1, FAN], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "FAN.inrush",
        ),
    ],
};
