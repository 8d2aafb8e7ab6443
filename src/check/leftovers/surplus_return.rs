//! A return wire by which nothing comes home any more.

use crate::check::prelude::*;
use crate::model::Link;
use crate::model::TerminalId;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::walk::Consumer;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "surplus-return",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a return wire by which nothing comes home any more",
        page: include_str!("../../../docs/checks/surplus-return.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .wires()
        .filter_map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let link = Link::Wire(id);
    let ends = [wire.from, wire.to];
    if ends.iter().any(|&end| context.walks.fed(end)) {
        return None;
    }
    // The end that lies farther from home.
    let far = ends.into_iter().find(|&end| {
        let home = context.walks.links_home(vehicle, end);
        home.iter().any(|&(other, _)| other == link)
    })?;
    let users: Vec<&Consumer> = context.walks.through_wire(id).collect();
    if users.iter().any(|one| !one.sources.is_empty()) {
        return Some(Verdict::NoneShown);
    }
    let others = context.landing(far).len() > 1;
    let owner = vehicle.terminal(far).part?;
    let part = vehicle.part(owner);
    let dead = match part.kind {
        // What leads on from it is told of the wire farther out.
        _ if others => return None,
        Kind::Stub => "a loose end",
        Kind::Connector => {
            return Some(
                open_pin(context, far)
                    .map_or(Verdict::NoneShown, |pin| Gap::of([pin]).wire(id).shown()),
            );
        }
        Kind::Load | Kind::Controller | Kind::Relay | Kind::Delay | Kind::Cutoff => {
            "a part that nothing feeds"
        }
        Kind::Splice => "a splice from which nothing leads on",
        // Metal that is bonded, sources, switches and fuses are other matters.
        _ => return None,
    };
    let finding = Finding::new(
        context.wire_at(id, "id"),
        format!(
            "{} brings nothing home: it leads from {}, {dead}",
            wire.id,
            words::called(part)
        ),
    )
    .label("a return without a feed")
    .wire(id)
    .part(owner)
    .source("common practice, no source")
    .help("take it out, or insulate both ends and label it: an abandoned ground becomes a way for stray current")
    .also(part.name.at, "where it comes from");
    Some(finding.shown())
}

/// The other side of a connector's pin, where nothing is recorded on it.
fn open_pin(context: &Context<'_>, near: TerminalId) -> Option<String> {
    let vehicle = context.vehicle;
    let part = vehicle.part(vehicle.terminal(near).part?);
    part.branches.iter().find_map(|&branch| {
        let branch = vehicle.branch(branch);
        let other = match near {
            end if end == branch.from => branch.to,
            end if end == branch.to => branch.from,
            _ => return None,
        };
        context
            .landing(other)
            .is_empty()
            .then(|| vehicle.terminal(other).label.clone())
    })
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  OLD: {kind: stub, end: capped}
wires:
  - {from: OLD, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "OLD",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BOX: {kind: load, type: electronics, draw: 1 A}
  G1: {kind: ground, limit: 30 A}
wires:
  - {from: BOX, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "BOX",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // A strap that bonds a body is no return of anything and wanted.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud, what: body, limit: 30 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: BODY, to: chassis, size: 8 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {1: 30 A}, detach: trailer}
wires:
  - {from: X1.1, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "X1.1.",
    )],
};
