//! A part with no wire on it.

use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "unconnected-part",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a part with no wire on it",
        page: include_str!("../../../docs/checks/unconnected-part.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts()
        .filter(|(_, part)| {
            matches!(part.status, Status::Added | Status::Unknown)
                // A battery and an alternator are joined to the vehicle by its own cables, which no record needs to have.
                && !matches!(part.kind, Kind::Battery | Kind::Alternator)
                && !part.terminals.is_empty()
        })
        .map(|(id, part)| judge_part(context, id, part))
        .collect()
}

fn judge_part(context: &Context<'_>, id: PartId, part: &Part) -> Verdict {
    let wired = part.terminals.iter().any(|&terminal| {
        !context.landing(terminal).is_empty() || context.joined_inside(id, terminal)
    });
    if wired {
        return Verdict::NoneShown;
    }
    if part.status == Status::Unknown {
        return Gap::of([format!("{}.wires", part.name.value)])
            .part(id)
            .shown();
    }
    let name = &part.name.value;
    Finding::new(
        part.name.at,
        format!("{} has no wire on it", words::called(part)),
    )
    .label("not connected to anything")
    .part(id)
    .help(format!(
        "record its wires, write `status: planned` or `status: abandoned` at {name}, or take it out of the record"
    ))
    .source("the record itself")
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  HORN: {kind: load, type: motor, draw: 4 A}
",
        "HORN",
    )],
    // What has cables of the vehicle's own, is the vehicle's own, or is not there yet or any more need have none.
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 140 A}
  HEATER: {kind: load, type: motor, draw: 10 A, status: factory}
  BEACON: {kind: load, type: led, draw: 2 A, status: planned}
  SIREN: {kind: load, type: electronics, draw: 5 A, status: abandoned}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  HORN: {kind: load, type: motor, draw: 4 A}
wires:
  - {from: RUN, to: HORN, size: 14 AWG, length: 2 m, insulation: gxl}
"],
    // It was found, and nobody has looked yet what is on it.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BOX: {kind: load, type: electronics, status: unknown}
",
        "BOX.wires",
    )],
};
