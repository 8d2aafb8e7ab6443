//! A switch that changes nothing.

use super::fuse_feeds_nothing::beyond;
use crate::check::prelude::*;
use crate::check::spread::spread;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "switch-does-nothing",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a switch whose positions make no difference to anything",
        page: include_str!("../../../docs/checks/switch-does-nothing.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Switch])
        .filter(|(_, part)| !matches!(part.status, Status::Planned | Status::Factory))
        .filter_map(|(id, part)| judge_switch(context, id, part))
        .collect()
}

fn judge_switch(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let wired =
        |end: TerminalId| !context.landing(end).is_empty() || context.joined_inside(id, end);
    // Of one that is wired on one side only, or on none, other checks tell.
    let contacts: Vec<(BranchId, [TerminalId; 2])> = part
        .branches
        .iter()
        .map(|&branch| {
            (
                branch,
                [vehicle.branch(branch).from, vehicle.branch(branch).to],
            )
        })
        .filter(|(_, ends)| ends.iter().all(|&end| wired(end)))
        .collect();
    if contacts.is_empty() {
        return None;
    }
    let mut bridged = true;
    let mut pins: Vec<String> = Vec::new();
    for (branch, ends) in &contacts {
        if joined_for_good(context, ends[0], ends[1]) {
            continue;
        }
        bridged = false;
        let mut users = context.walks.through_branch(*branch);
        if users.next().is_some() || context.walks.ties_sources(ends[0], ends[1]) {
            return Some(Verdict::NoneShown);
        }
        let beyond = beyond(context, part, ends);
        if beyond.used {
            return Some(Verdict::NoneShown);
        }
        pins.extend(beyond.pins);
    }
    if !pins.is_empty() {
        return Some(Gap::of(pins).part(id).shown());
    }
    let why = if bridged {
        "a wire past it joins its two sides"
    } else {
        "nothing behind it uses current"
    };
    let wires = part.terminals.iter().flat_map(|&end| context.landing(end));
    let finding = Finding::new(
        part.name.at,
        format!("{} does nothing: {why}", words::called(part)),
    )
    .label("makes no difference")
    .part(id)
    .wires(wires)
    .source("the record itself")
    .help("take it out with its wires, source end first, or record what it switches");
    Some(finding.shown())
}

/// Whether wires and joints join two terminals whatever is switched.
fn joined_for_good(context: &Context<'_>, from: TerminalId, to: TerminalId) -> bool {
    let vehicle = context.vehicle;
    let leads = |link, _| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => matches!(vehicle.branch(branch).element, Element::Joint(_)),
    };
    spread(vehicle, [from], |at| at == to, leads).contains(&to)
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  OLD: {kind: stub, end: capped}
wires:
  - {run: [RUN, S1, OLD], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "S1",
        ),
        // Somebody has bridged it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: S1.in, to: S1.out, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "S1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        // It tells a controller something.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  C1: {kind: controller, type: electronics, draw: 0.2 A, senses: [IN]}
wires:
  - {from: RUN, to: C1.+, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, C1.IN], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  X1: {kind: connector, pins: {4: 30 A}, detach: trailer}
wires:
  - {run: [RUN, S1, X1.4], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        "X1.4.b",
    )],
};
