//! A wire end that goes nowhere and is dead in every setting.

use super::Live;
#[cfg(test)]
use super::MANY_SWITCHES;
use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "dead-stub",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a wire end that goes nowhere and is dead in every setting",
        page: include_str!("../../../docs/checks/dead-stub.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Stub])
        .filter(|(_, part)| !matches!(part.status, Status::Planned | Status::Factory))
        .filter_map(|(id, part)| judge_stub(context, id, part))
        .collect()
}

fn judge_stub(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let &terminal = part.terminals.first()?;
    let wires = context.landing(terminal);
    if wires.is_empty() {
        return None;
    }
    if !matches!(super::live(context, terminal), Live::Never) {
        return Some(Verdict::NoneShown);
    }
    if !context.solved.explored.complete {
        return Some(Gap::of([context.not_explored()]).part(id).shown());
    }
    let finding = Finding::new(
        part.name.at,
        format!("the wire end {} goes nowhere and is dead in every setting", words::called(part)),
    )
    .label("dead end")
    .part(id)
    .wires(wires)
    .source("the network solved in every setting")
    .help("take the wire out from end to end, or cap and label it: it comes alive when somebody fits a fuse");
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  OLD: {kind: stub, end: capped}
wires:
  - {from: OLD, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "OLD",
    )],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  OLD: {kind: stub, end: capped}
wires:
  - {from: RUN, to: OLD, size: 14 AWG, length: 2 m, insulation: gxl}
"],
    cannot: &[(MANY_SWITCHES, "settings")],
};
