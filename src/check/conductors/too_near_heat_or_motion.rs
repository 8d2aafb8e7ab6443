//! A wire runs too near something hot or something that moves.

use crate::check::prelude::*;
use crate::model::Status;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::Zone;
use crate::quantity::Meters;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "too-near-heat-or-motion",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a wire runs too near something hot or something that moves",
        page: include_str!("../../../docs/checks/too-near-heat-or-motion.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// What is shorter goes from terminal to terminal beside each other.
const SHORT: Meters = Meters(0.1778);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .wires()
        .filter(|(_, wire)| wire.status != Status::Factory)
        .filter_map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    if wire.route.is_empty() {
        let short = wire.length.is_some_and(|length| length.range.high <= SHORT);
        let judged = !short && wire.zone != Zone::Cabin;
        let missing = [format!("{}.route", wire.id)];
        return judged.then(|| Gap::of(missing).wire(id).shown());
    }
    let has = |word: &str| wire.route.iter().any(|one| one == word);
    let (what, mend) = match (has("heat"), has("motion")) {
        (false, false) => return Some(Verdict::NoneShown),
        (true, false) => (
            "runs near something hot",
            "keep it 100 mm or more away from the exhaust, or put a heat shield between and say so in its `note`",
        ),
        (false, true) => (
            "runs near something that moves",
            "keep it 75 mm or more away from what moves, and tie it so that it stays there",
        ),
        (true, true) => (
            "runs near something hot and something that moves",
            "keep it 100 mm or more away from the exhaust and 75 mm from what moves, and tie it so that it stays there",
        ),
    };
    let finding = Finding::new(
        context.wire_at(id, "route"),
        format!("{} {what}", wire.id),
    )
    .label("the record says so")
    .wire(id)
    .source("a body-builder guide on SAE J1292: 75 mm to moving parts, 100 mm to the exhaust (read)")
    .help(mend);
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: hot, from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, route: [loom, heat]}
",
        "hot",
    ),
    (
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP: {kind: splice}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: belt, from: RUN, to: SP, size: 14 AWG, length: 2 m, insulation: gxl, route: motion}
  - {id: both, from: SP, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, route: [heat, motion]}
",
        "belt",
    )],
    quiet: &[
        // In the cab, and of a jumper of 7 in, it need not be said.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP: {kind: splice}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: SP, size: 14 AWG, length: 7 in, insulation: gxl, zone: engine-bay}
  - {from: SP, to: S1, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: S1, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, zone: exterior, route: loom}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, zone: engine-bay}
",
        "w1.route",
    ),
    // Written as not known.
    (
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, zone: exterior, route: [unknown]}
",
        "w1.route",
    )],
};
