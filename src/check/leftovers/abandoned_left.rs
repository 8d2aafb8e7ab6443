//! Something dead was left behind in the vehicle.

use super::Left;
use super::Live;
#[cfg(test)]
use super::MANY_SWITCHES;
use crate::check::prelude::*;
use crate::model::Status;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "abandoned-left",
        level: Level::Note,
        harm: Harm::Record,
        summary: "something dead was left behind in the vehicle",
        page: include_str!("../../../docs/checks/abandoned-left.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let stub = |left: &Left| {
        let part = left.part.map(|part| context.vehicle.part(part));
        part.is_some_and(|part| part.kind == Kind::Stub)
    };
    super::of_status(context, Status::Abandoned)
        .iter()
        // A stub is told as one, live or dead.
        .filter(|left| !stub(left))
        .map(|left| judge_one(context, left))
        .chain(unknown(context))
        .collect()
}

/// What is dead and of which nobody knows whether it is still wanted.
fn unknown(context: &Context<'_>) -> Vec<Verdict> {
    let stub = |left: &&Left| {
        let part = left.part.map(|part| context.vehicle.part(part));
        part.is_some_and(|part| part.kind == Kind::Stub)
    };
    super::of_status(context, Status::Unknown)
        .iter()
        .filter(|left| !stub(left) && matches!(left.live(context), Live::Never))
        .map(|left| {
            let wires = left.wires.iter().copied();
            let name = match left.part {
                Some(part) => context.name(part).to_owned(),
                None => left.name.clone(),
            };
            let gap = Gap::of([format!("{name}.status")]);
            let gap = left.part.into_iter().fold(gap, Gap::part);
            wires.fold(gap, Gap::wire).shown()
        })
        .collect()
}

fn judge_one(context: &Context<'_>, left: &Left) -> Verdict {
    // Live, it is another check's.
    if !matches!(left.live(context), Live::Never) {
        return Verdict::NoneShown;
    }
    if !context.solved.explored.complete {
        return left.not_explored(context);
    }
    let mut finding = Finding::new(
        left.at,
        format!("{} was left behind, dead in every setting", left.name),
    )
    .label("left behind")
    .wires(left.wires.iter().copied())
    .source("the network solved in every setting")
    .help("take it out with its wires from end to end, and close the holes that it leaves");
    if let Some(part) = left.part {
        finding = finding.part(part);
    }
    finding.shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SIREN: {kind: load, type: electronics, draw: 1 A, status: abandoned}
wires:
  - {from: SIREN, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "SIREN",
    )],
    // What nobody knows is told elsewhere where it is live, and an end as an end.
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SIREN: {kind: load, type: electronics, draw: 1 A, status: abandoned}
  RACK: {kind: load, type: electronics, draw: 1 A, status: unknown}
  END: {kind: stub, end: cut, status: unknown}
wires:
  - {from: RUN, to: SIREN, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: RACK, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: END, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
"],
    cannot: &[(MANY_SWITCHES, "settings")],
};
