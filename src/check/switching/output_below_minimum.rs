//! What hangs on a controller's output takes less than the output needs to see a load at all.

use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "output-below-minimum",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a controller's output carries less than it takes for a connected load",
        page: include_str!("../../../docs/checks/output-below-minimum.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Below this an output is not on in any setting.
const NOTHING: Amps = Amps(1e-4);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Controller]) {
        for &branch in &part.branches {
            let contact = matches!(
                context.vehicle.branch(branch).element,
                Element::Contact { .. }
            );
            if contact {
                verdicts.extend(judge_output(context, id, part, branch));
            }
        }
    }
    verdicts
}

fn judge_output(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    branch: BranchId,
) -> Option<Verdict> {
    let inside = context.vehicle.branch(branch);
    let (output, name) = (&inside.name, &part.name.value);
    let mut flow = flow::in_branch(context, branch);
    // Nothing on it, or never on: told elsewhere.
    if context.walks.through_branch(branch).next().is_none()
        || (flow.amps <= NOTHING && flow.missing.is_empty())
    {
        return None;
    }
    let cannot = |missing: Vec<String>| Some(Gap::of(missing).part(id).shown());
    let fields = part
        .fields
        .map("outputs")
        .and_then(|outputs| outputs.map(output));
    let stated = fields.and_then(|fields| fields.get("least"));
    let least: Option<Fact<Amps>> = fields
        .and_then(|fields| fields.stated("least"))
        .map(Fact::stated);
    let Some(least) = least else {
        return cannot(vec![format!("{name}.{output}.least")]);
    };
    match weigh(least.range, flow.range) {
        // More can only flow where a draw is not stated.
        Weighed::Within => return Some(Verdict::NoneShown),
        Weighed::Depends => {
            if !least.range.is_exact() {
                flow.ranged.push(format!("{name}.{output}.least"));
            }
            return cannot(flow.wanted());
        }
        Weighed::Above if !flow.missing.is_empty() => return cannot(flow.missing),
        Weighed::Above => {}
    }
    let consumers: Vec<_> = context.walks.through_branch(branch).collect();
    let takers = flow::takers(context, &consumers, flow.amps, |solution| {
        solution.branch(branch)
    });
    let at = stated.map_or(part.name.at, crate::read::document::Value::at);
    let finding = Finding::new(
        at,
        format!(
            "output {output} of {} carries {} at most, and below {} it takes the load for a broken wire: {}",
            words::called(part),
            words::show(flow.amps),
            words::show(least.range.low),
            takers.words(context, 4)
        ),
    )
    .label("more than hangs on it")
    .part(id)
    .parts(takers.parts())
    .measured(flow.amps, least.range.low, "`least` of the record")
    .setting(flow.showing(NOTHING))
    .worst(flow.setting)
    .help(format!(
        "set {output} up for a smaller load where the controller allows it, or put a resistor beside the load that makes up the rest, away from what heat can harm"
    ));
    Some(takers.point(context, finding).shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, least: 0.5 A, hot-in: [run]}}}
  LAMP: {kind: load, type: led, draw: 0.2 A}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: LAMP, size: 18 AWG, length: 2 m, insulation: gxl}
",
        "C1",
    )],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, least: 0.5 A, hot-in: [run]}}}
  LAMP: {kind: load, type: led, draw: 0.6 A}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: LAMP, size: 18 AWG, length: 2 m, insulation: gxl}
",
        // The second output is on in accessory, and the controller has no supply then: that it is never on is told elsewhere.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  C1: {kind: controller, type: electronics, draw: 0.1 A, outputs: {OUT1: {limit: 8 A, least: 0.5 A, hot-in: [run]}, OUT2: {limit: 8 A, least: 0.5 A, hot-in: [accessory]}}}
  LAMP: {kind: load, type: led, draw: 0.6 A}
  MORE: {kind: load, type: led, draw: 0.6 A}
wires:
  - {from: RUN, to: C1.+, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: C1.OUT1, to: LAMP, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: C1.OUT2, to: MORE, size: 18 AWG, length: 2 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, hot-in: [run]}}}
  LAMP: {kind: load, type: led, draw: 0.2 A}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: LAMP, size: 18 AWG, length: 2 m, insulation: gxl}
",
            "C1.OUT1.least",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, least: 0.5 A, hot-in: [run]}}}
  LAMP: {kind: load, type: led}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: LAMP, size: 18 AWG, length: 2 m, insulation: gxl}
",
            "LAMP.draw",
        ),
        // The least of 0.5 A lies between the two ends of the draw.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  BOX: {kind: controller, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, least: 0.5 A, hot-in: run}}}
  LAMP: {kind: load, type: led, draw: 0.3..0.8 A}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: BOX.OUT1, to: LAMP, size: 16 AWG, length: 2 m, insulation: gxl}
",
            "LAMP.draw",
        ),
        // The draw of 0.5 A lies between the two ends of the least.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  BOX: {kind: controller, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, least: 0.3..0.8 A, hot-in: run}}}
  LAMP: {kind: load, type: led, draw: 0.5 A}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: BOX.OUT1, to: LAMP, size: 16 AWG, length: 2 m, insulation: gxl}
",
            "BOX.OUT1.least",
        ),
    ],
};
