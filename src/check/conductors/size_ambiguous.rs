//! A size is written in a way that can mean two.

use crate::check::prelude::*;
use crate::model::Wire;
use crate::model::WireId;
use crate::table::wire;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "size-ambiguous",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a size is written in a way that can mean two",
        page: include_str!("../../../docs/checks/size-ambiguous.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// As the reader calls what it took as AWG.
const TOPIC: &str = "size-ambiguous";

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .wires()
        .filter_map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    let Some(size) = wire.size else {
        let missing = [format!("{}.size", wire.id)];
        return wire
            .resistance
            .is_none()
            .then(|| Gap::of(missing).wire(id).shown());
    };
    let at = context.wire_at(id, "size");
    let remarks = &context.vehicle.document.remarks;
    let Some(remark) = remarks
        .iter()
        .find(|remark| remark.topic == TOPIC && remark.at == at)
    else {
        return Some(Verdict::NoneShown);
    };
    let finding = Finding::new(at, remark.message.clone())
        .label("AWG or SAE?")
        .wire(id)
        .source("SAE J1128 sizes are some per cent smaller than AWG sizes of the same number")
        .help(format!(
            "write `{}` or the SAE size, as it is printed on the wire",
            wire::label(size)
        ));
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        // Each is told of its own size, and the wire whose size is clear of none.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP: {kind: splice}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: SP, size: 12 AWG, length: 2 m, insulation: gxl}
  - {id: odd, from: SP, to: LAMP, size: 14 ga, length: 2 m, insulation: gxl}
  - {id: home, from: LAMP, to: chassis, size: 12 gauge, length: 1 m, insulation: gxl}
",
        "odd",
    )],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
"],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: unknown, length: 2 m, insulation: gxl}
",
        "w1.size",
    )],
};
