//! A fuse or breaker behind which nothing uses current.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::check::prelude::*;
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
        name: "fuse-feeds-nothing",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a fuse or breaker behind which nothing uses current",
        page: include_str!("../../../docs/checks/fuse-feeds-nothing.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Fuse, Kind::Breaker, Kind::FusibleLink])
        .filter(|(_, part)| !matches!(part.status, Status::Planned | Status::Factory))
        .filter_map(|(id, part)| judge_fuse(context, id, part, context.passage(part)?))
        .collect()
}

fn judge_fuse(context: &Context<'_>, id: PartId, part: &Part, branch: BranchId) -> Option<Verdict> {
    let inside = context.vehicle.branch(branch);
    let ends = [inside.from, inside.to];
    // With no wire at all, or nothing that feeds it, it is another check's.
    if !ends.iter().any(|&end| context.walks.fed(end)) {
        return None;
    }
    let used = context.walks.through_branch(branch).next().is_some();
    if used || context.walks.ties_sources(inside.from, inside.to) {
        return Some(Verdict::NoneShown);
    }
    let beyond = beyond(context, part, &ends);
    if beyond.used {
        return Some(Verdict::NoneShown);
    }
    if !beyond.pins.is_empty() {
        return Some(Gap::of(beyond.pins).part(id).shown());
    }
    let finding = Finding::new(
        part.name.at,
        format!("nothing behind {} uses current", words::called(part)),
    )
    .label("protects nothing")
    .part(id)
    .source("the record itself")
    .help("take the fuse out of its slot, or record what it feeds");
    Some(finding.shown())
}

#[derive(Default)]
pub(super) struct Beyond {
    /// A controller senses it, or a source is charged through it.
    pub(super) used: bool,
    /// Open sides of connector pins: what is plugged in there is not in the record.
    pub(super) pins: Vec<String>,
}

/// What stands on the side of a fuse or contact that is not fed without it.
pub(super) fn beyond(context: &Context<'_>, part: &Part, ends: &[TerminalId; 2]) -> Beyond {
    let vehicle = context.vehicle;
    let apart = |&end: &TerminalId| !context.walks.fed_apart_from(vehicle, end, &part.branches);
    let mut next: Vec<TerminalId> = ends.iter().copied().filter(apart).collect();
    // What is fed from both sides gets by this way what it does not get by the other.
    let between = next.is_empty();
    if between {
        next.extend(ends);
    }
    let mut seen: BTreeSet<TerminalId> = next.iter().copied().collect();
    let mut found = Beyond::default();
    while let Some(at) = next.pop() {
        if at == TerminalId::CHASSIS {
            continue;
        }
        let owner = vehicle
            .terminal(at)
            .part
            .map(|owner| vehicle.part(owner).kind);
        match owner {
            Some(Kind::Connector) if context.landing(at).is_empty() => {
                found.pins.push(vehicle.terminal(at).label.clone());
            }
            Some(Kind::Controller) => found.used = true,
            _ => {}
        }
        for edge in vehicle.graph.edges(at.node()) {
            let passes = match *edge.weight() {
                Link::Wire(_) => true,
                Link::Branch(branch) => {
                    let element = &vehicle.branch(branch).element;
                    found.used |= if between {
                        matches!(element, Element::Load(_) | Element::Coil { .. })
                            && vehicle
                                .own_load
                                .is_none_or(|own| vehicle.branch(branch).part != own)
                    } else {
                        matches!(
                            element,
                            Element::Cell { .. }
                                | Element::Alternator { .. }
                                | Element::Charger { .. }
                        )
                    };
                    !part.branches.contains(&branch)
                        && matches!(
                            element,
                            Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
                        )
                }
            };
            let other = edge.target();
            if let Ok(end) = u32::try_from(other.index()).map(TerminalId)
                && passes
                && seen.insert(end)
            {
                next.push(end);
            }
        }
    }
    found
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
wires:
  - {from: B1, to: F1, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "F1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CUT: {kind: stub, end: capped}
wires:
  - {run: [B1, F1, CUT], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "F1",
        ),
        // A link between two bars that feed nothing any more; the vehicle's own draw is at the battery.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  F3: {kind: fuse, rating: 20 A, form: blade}
  LEFT: {kind: busbar}
  RIGHT: {kind: busbar}
wires:
  - {run: [B1, F1, LEFT], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B1, F2, RIGHT], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [LEFT, F3, RIGHT], size: 10 AWG, lengths: [10 cm, 10 cm], insulation: gxl}
",
            "F3",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        // The same link, with a lamp that it feeds when the bar's own fuse is out.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  F3: {kind: fuse, rating: 20 A, form: blade}
  LEFT: {kind: busbar}
  RIGHT: {kind: busbar}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LEFT], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B1, F2, RIGHT, LAMP], size: 10 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [LEFT, F3, RIGHT], size: 10 AWG, lengths: [10 cm, 10 cm], insulation: gxl}
",
        // Between two batteries in series: all that the pair gives passes it.
        "
vehicle: {name: a truck, system: 24 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 200 A, form: bolt-down}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [B1, F1, B2.-], size: 2/0 AWG, lengths: [10 cm, 10 cm], insulation: sgx}
  - {from: B2, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  X1: {kind: connector, pins: {4: 30 A}, detach: trailer}
wires:
  - {run: [B1, F1, X1.4], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        "X1.4.b",
    )],
};
