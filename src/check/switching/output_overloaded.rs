//! More current can flow through a controller's output than it gives.

use super::rated;
use super::rated::Rated;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Fact;
use crate::quantity::Amps;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "output-overloaded",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "more current can flow through a controller's output than it gives",
        page: include_str!("../../../docs/checks/output-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Controller]) {
        for &branch in &part.branches {
            let inside = context.vehicle.branch(branch);
            if !matches!(inside.element, Element::Contact { .. }) {
                continue;
            }
            let output = &inside.name;
            let name = &part.name.value;
            let fields = part
                .fields
                .map("outputs")
                .and_then(|outputs| outputs.map(output));
            let limit: Option<Fact<Amps>> = fields
                .and_then(|fields| fields.stated("limit"))
                .map(Fact::stated);
            let stated = fields.and_then(|fields| fields.get("limit"));
            let rated = Rated {
                part: id,
                branch,
                name: format!("output {output} of {name}"),
                rating: limit,
                fact: format!("{name}.{output}.limit"),
                at: stated.map_or(part.name.at, crate::read::document::Value::at),
                help: format!(
                    "let {output} drive a relay and the relay carry the load, or share the load out over more outputs"
                ),
            };
            verdicts.extend(rated::judge(context, &rated));
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
  F1: {kind: fuse, rating: 30 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, hot-in: [run]}}}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: WORK, size: 10 AWG, length: 2 m, insulation: gxl}
",
            "C1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 15 A, hot-in: [run]}}}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: WORK, size: 10 AWG, length: 2 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {hot-in: [run]}}}
  WORK: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: WORK, size: 10 AWG, length: 2 m, insulation: gxl}
",
            "C1.OUT1.limit",
        ),
    ],
};
