//! A coil with a suppression diode that is connected the wrong way round.

use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "coil-reversed",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "a coil with a suppression diode is connected the wrong way round",
        page: include_str!("../../../docs/checks/coil-reversed.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Below this a coil is not energised: leakage, and rounding of the solution.
const NOTHING: Amps = Amps(1e-3);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Relay]) {
        for &branch in &part.branches {
            if matches!(context.vehicle.branch(branch).element, Element::Coil { .. }) {
                verdicts.push(judge_coil(context, id, part, branch));
            }
        }
    }
    verdicts
}

fn judge_coil(context: &Context<'_>, id: PartId, part: &Part, coil: BranchId) -> Verdict {
    let Some(extreme) = context.solved.explored.branches.get(coil.index()) else {
        return Verdict::NoneShown;
    };
    if extreme.value >= -NOTHING {
        if !context.solved.explored.complete {
            return Gap::of([context.not_explored()]).part(id).shown();
        }
        return Verdict::NoneShown;
    }
    let Some(suppression) = part.fields.text("suppression") else {
        return Gap::of([part.missing("suppression")]).part(id).shown();
    };
    if suppression.value != "diode" {
        return Verdict::NoneShown;
    }
    let branch = context.vehicle.branch(coil);
    let [plus, minus] = [branch.from, branch.to].map(|end| &context.vehicle.terminal(end).label);
    let current = extreme.value.abs();
    Finding::new(
        part.at("suppression"),
        format!(
            "the coil of {} is connected backwards: {minus} is its positive side{}, and its diode lets {} past the coil",
            words::called(part),
            words::when(&extreme.setting),
            words::show(current)
        ),
    )
    .label("conducts instead of blocking")
    .part(id)
    .value(current)
    .setting(
        extreme
            .smaller
            .iter()
            .find(|(amps, _)| *amps < -NOTHING)
            .map_or(&extreme.setting, |(_, setting)| setting)
            .clone(),
    )
    .worst(extreme.setting.clone())
    .help(format!(
        "change over the wires on {plus} and {minus}, or use a relay with a resistor, which works either way; look at the diagram on the relay first, makers differ"
    ))
    .source("the network solved in every setting; 86 is taken as the positive side of a coil with a diode")
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: diode}
wires:
  - {from: RUN, to: K1.85, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.86, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "K1",
    )],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: diode}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // A resistor works either way.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
wires:
  - {from: RUN, to: K1.85, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.86, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {from: RUN, to: K1.85, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.86, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "K1.suppression",
    )],
};
