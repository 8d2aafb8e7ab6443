//! A live wire passes a bare hole or lies on the frame with nothing around it.

use crate::check::prelude::*;
use crate::model::Status;
use crate::model::Wire;
use crate::model::WireId;
use crate::quantity::Meters;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "chafe-unprotected",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a live wire passes a bare hole or lies on the frame with nothing around it",
        page: include_str!("../../../docs/checks/chafe-unprotected.md"),
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
        .filter(|(_, wire)| !wire.is_resistor())
        // A return that chafes through touches what it is joined to anyway.
        .filter(|(_, wire)| context.walks.fed(wire.from) || context.walks.fed(wire.to))
        .filter_map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    if wire.fields.get("route").is_none() || wire.route.is_empty() {
        let short = wire.length.is_some_and(|length| length.range.high <= SHORT);
        let judged = wire.status != Status::Factory && !short;
        let missing = [format!("{}.route", wire.id)];
        return judged.then(|| Gap::of(missing).wire(id).shown());
    }
    let has = |word: &str| wire.route.iter().any(|one| one == word);
    let (word, what, mend) = if has("bare-hole") && !has("grommet") {
        (
            "bare-hole",
            "passes a bare hole in metal",
            "fit a grommet in the hole",
        )
    } else if has("frame") && !has("loom") {
        (
            "frame",
            "lies on the frame with no loom around it",
            "put a loom around it all along the frame",
        )
    } else {
        return Some(Verdict::NoneShown);
    };
    let unprotected = context
        .walks
        .protections_ahead(context.vehicle, wire.from)
        .iter()
        .any(|(_, protections)| protections.is_empty());
    let worse = if unprotected {
        ", and nothing protects it"
    } else {
        ""
    };
    let finding = Finding::new(
        context.wire_at(id, "route"),
        format!(
            "{} {what}{worse}: a sharp edge cuts through to the copper",
            wire.id
        ),
    )
    .label(word)
    .wire(id)
    .source("49 CFR 393.28 and its guidance: a frame channel is no sheath; 33 CFR 183.445(a)")
    .help(format!(
        "{mend}, and look whether the insulation is cut already"
    ));
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: cut, from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, route: [bare-hole]}
",
            "cut",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: cut, from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, route: [frame, grommet]}
",
            "cut",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, route: [frame, loom, grommet]}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "w1.route",
        ),
    ],
};
