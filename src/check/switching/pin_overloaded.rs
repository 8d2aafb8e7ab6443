//! More current can flow through a connector's pin than it carries.

use super::rated;
use super::rated::Rated;
use crate::check::prelude::*;
use crate::model::Fact;
use crate::model::Part;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::read::document::Value;
use crate::source::Span;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "pin-overloaded",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "more current can flow through a connector's pin than it carries",
        page: include_str!("../../../docs/checks/pin-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Connector]) {
        for &branch in &part.branches {
            let pin = &context.vehicle.branch(branch).name;
            let name = &part.name.value;
            let (limit, at) = limit(part, pin);
            let rated = Rated {
                part: id,
                branch,
                name: format!("pin {pin} of {name}"),
                rating: limit,
                fact: format!("{name}.{pin}.limit"),
                at,
                help: format!(
                    "share the current out over more pins of {name}, or use a connector that is made for it"
                ),
            };
            verdicts.extend(rated::judge(context, &rated));
        }
    }
    verdicts
}

/// What a pin carries: its own figure, else that of the connector.
fn limit(part: &Part, pin: &str) -> (Option<Fact<Amps>>, Span) {
    let pins = part.fields.map("pins");
    let own = pins.and_then(|pins| pins.stated(pin)).map(Fact::stated);
    match own {
        Some(own) => {
            let at = pins.and_then(|pins| pins.get(pin)).map(Value::at);
            (Some(own), at.unwrap_or(part.name.at))
        }
        None => (part.stated("limit"), part.at("limit")),
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  X1: {kind: connector, pins: {4: 10 A}}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, X1.4, WORK], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
        "X1",
    )],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  X1: {kind: connector, limit: 20 A, pins: [4]}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, X1.4, WORK], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
"],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  X1: {kind: connector, pins: [4]}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, X1.4, WORK], size: 10 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
        "X1.4.limit",
    )],
};
