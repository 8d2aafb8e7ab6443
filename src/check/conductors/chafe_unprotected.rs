//! A live wire passes a bare hole or lies on the frame with nothing around it.

use std::collections::BTreeSet;

use crate::check::prelude::*;
use crate::check::spread::spread;
use crate::model::Link;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::Wire;
use crate::model::WireId;
use crate::quantity::Meters;
use crate::read::document::Kind;

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
    let grounded = grounded(context);
    let live = |end: &TerminalId| context.walks.fed(*end) && !grounded.contains(end);
    context
        .wires()
        .filter(|(_, wire)| !wire.is_resistor())
        // A return that chafes through touches what it is joined to anyway.
        .filter(|(_, wire)| [wire.from, wire.to].iter().any(live))
        .filter_map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

/// What wires, pins and ground points join to the chassis. A source can reach it too, where switches that reverse a motor stand
/// between the two; but it is never live.
fn grounded(context: &Context<'_>) -> BTreeSet<TerminalId> {
    let vehicle = context.vehicle;
    let leads = |link, _| match link {
        Link::Wire(wire) => !vehicle.wire(wire).is_resistor(),
        Link::Branch(branch) => {
            let kind = vehicle.part(vehicle.branch(branch).part).kind;
            matches!(kind, Kind::Ground | Kind::Connector)
        }
    };
    let post = |end: TerminalId| context.walks.sources.iter().any(|one| one.plus == end);
    let mut grounded = spread(vehicle, [TerminalId::CHASSIS], post, leads);
    grounded.retain(|&end| !post(end));
    grounded
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    if wire.route.is_empty() {
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
        // Ahead of its fuse nothing protects it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: cut, run: [B1, F1, LAMP], size: 14 AWG, lengths: [2 m, 2 m], insulation: gxl, route: frame}
",
            "cut.1",
        ),
    ],
    quiet: &[
        // A loom, a grommet, or neither where the way is clear; a jumper of 7 in; and the factory's own wire.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP: {kind: splice}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
  DOME: {kind: load, type: led, draw: 1 A, status: factory}
  HEAD: {kind: load, type: led, draw: 1 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, route: [frame, loom, grommet]}
  - {from: RUN, to: HEAD, size: 14 AWG, length: 2 m, insulation: gxl, route: [bare-hole, grommet]}
  - {from: RUN, to: SP, size: 14 AWG, length: 2 m, insulation: gxl, route: loom}
  - {from: SP, to: F1, size: 14 AWG, length: 7 in, insulation: gxl}
  - {from: SP, to: DOME, size: 14 AWG, length: 2 m, insulation: gxl, status: factory}
",
        // Four switches reverse a winch, so that current can get to the chassis; a lamp's return to the same bolt is not live for
        // that. Nor is the return of one that is switched on its way home.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  UP1: {kind: switch, rating: 30 A}
  UP2: {kind: switch, rating: 30 A}
  DOWN1: {kind: switch, rating: 30 A}
  DOWN2: {kind: switch, rating: 30 A}
  S1: {kind: switch, rating: 5 A}
  G1: {kind: ground}
  X1: {kind: connector, pins: [1], detach: trailer}
  WINCH: {kind: load, type: motor, draw: 15 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  STEP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [RUN, UP1, WINCH.+, DOWN2], size: 10 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl, route: loom}
  - {run: [RUN, DOWN1, WINCH.-, UP2], size: 10 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl, route: loom}
  - {from: DOWN2, to: G1, size: 10 AWG, length: 1 m, insulation: gxl, route: frame}
  - {from: UP2, to: G1, size: 10 AWG, length: 1 m, insulation: gxl, route: frame}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, route: loom}
  - {run: [LAMP, X1.1, G1], size: 14 AWG, lengths: [2 m, 1 m], insulation: gxl, route: frame}
  - {from: RUN, to: STEP, size: 14 AWG, length: 2 m, insulation: gxl, route: loom}
  - {run: [STEP, S1, chassis], size: 14 AWG, lengths: [2 m, 1 m], insulation: gxl, route: frame}
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
        // Written as not known.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, route: unknown}
",
            "w1.route",
        ),
    ],
};
