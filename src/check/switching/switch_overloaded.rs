//! More current can flow through a switch than it is made for.

use super::rated;
use super::rated::Rated;
use crate::check::prelude::*;
use crate::model::Element;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "switch-overloaded",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "more current can flow through a switch than it is made for",
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
            verdicts.extend(rated::judge(context, &rated));
        }
    }
    verdicts
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
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
    )],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, rating: 20 A}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, S1, WORK], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
"],
    cannot: &[
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
    ],
};
