//! A return wire by which nothing comes home any more.

use crate::check::prelude::*;
use crate::check::spread::spread;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
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
    if sensed(context, far) {
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

/// Whether a controller that is fed can tell by this terminal what is grounded: an input takes no current worth counting.
fn sensed(context: &Context<'_>, from: TerminalId) -> bool {
    let vehicle = context.vehicle;
    let leads = |link, _| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => matches!(
            vehicle.branch(branch).element,
            Element::Joint(_) | Element::Contact { .. }
        ),
    };
    let listens = |part: &Part| {
        let mut terminals = part.terminals.iter();
        part.kind == Kind::Controller && terminals.any(|&one| context.walks.fed(one))
    };
    spread(vehicle, [from], |at| at == TerminalId::CHASSIS, leads)
        .into_iter()
        .filter_map(|at| vehicle.terminal(at).part)
        .any(|owner| listens(vehicle.part(owner)))
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
        // Of two in a row the outer one is told, and a splice that nothing comes to.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BOX: {kind: load, type: electronics, draw: 1 A}
  SP1: {kind: splice}
  SP2: {kind: splice}
wires:
  - {run: [BOX, SP1, chassis], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: SP2, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "SP2",
        ),
        // Inputs of a controller that nothing feeds, and a relay that would ground one.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  C1: {kind: controller, type: electronics, draw: 0.2 A, senses: [IN, CODE]}
  C2: {kind: controller, type: electronics, draw: 0.2 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
wires:
  - {from: RUN, to: C2.+, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: C1.CODE, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: C1.IN, to: K1.87, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: K1.30, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "C1",
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
        // Inputs of a controller, grounded for good, by a switch and by a relay.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  C1: {kind: controller, type: electronics, draw: 0.2 A, senses: [CODE, IN1, IN2]}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
wires:
  - {from: RUN, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: C1.CODE, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [C1.IN1, S1, chassis], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: C1.IN2, to: K1.87, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: K1.30, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S2, K1.86], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
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
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {1: 30 A, 2: 30 A}, detach: trailer}
wires:
  - {from: X1.2, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "X1.2.a",
        ),
        // The other way round.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {1: 30 A, 2: 30 A}, detach: trailer}
wires:
  - {from: chassis, to: X1.2, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "X1.2.b",
        ),
    ],
};
