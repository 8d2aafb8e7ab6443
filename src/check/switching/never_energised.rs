//! A load or coil that no setting of key and switches brings current to.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::check::flow;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "never-energised",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a load or coil that no setting of key and switches brings current to",
        page: include_str!("../../../docs/checks/never-energised.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let consumers = context.walks.consumers.iter();
    consumers
        .filter_map(|consumer| {
            let part = vehicle.part(consumer.part);
            // What has no wires, no return or no future is told by other checks.
            let judged = vehicle.own_load != Some(consumer.part)
                && matches!(part.kind, Kind::Load | Kind::Controller | Kind::Relay)
                && part.status != Status::Abandoned
                && consumer.comes_home
                && is_wired(context, consumer);
            judged.then(|| judge_one(context, consumer, part))
        })
        .collect()
}

fn is_wired(context: &Context<'_>, consumer: &Consumer) -> bool {
    let from = context.vehicle.branch(consumer.branch).from;
    !context.landing(from).is_empty() || context.joined_inside(consumer.part, from)
}

fn judge_one(context: &Context<'_>, consumer: &Consumer, part: &Part) -> Verdict {
    let vehicle = context.vehicle;
    let explored = &context.solved.explored;
    let branch = vehicle.branch(consumer.branch);
    let uses = explored.uses.get(consumer.branch.index());
    if uses.is_some_and(|uses| uses.ever.is_some()) {
        return Verdict::NoneShown;
    }
    // Of one whose draw is not known, or nothing, the voltage tells.
    let draws = flow::load(context, consumer).is_none_or(|load| {
        let (_, most) = load.law.map_or((0.0, 0.0), crate::model::Law::spread);
        most > 0.0 || !load.modes.is_empty()
    });
    let live = explored
        .terminals
        .get(branch.from.index())
        .is_some_and(|seen| seen.ever.is_some());
    if live && !draws {
        return Verdict::NoneShown;
    }
    let pins = open_pins(context, branch.from);
    if !pins.is_empty() {
        return Gap::of(pins).part(consumer.part).shown();
    }
    if !explored.complete {
        return Gap::of([context.not_explored()])
            .part(consumer.part)
            .shown();
    }
    let what = match branch.element {
        Element::Coil { .. } => format!("the coil of {}", words::called(part)),
        _ => words::called(part),
    };
    let supply = &vehicle.terminal(branch.from).label;
    let (why, mend) = if consumer.sources.is_empty() {
        (
            "nothing that its wires lead to is a source",
            format!("find where the wire on {supply} comes from and add it to the record"),
        )
    } else if live {
        (
            "it has voltage on its supply and never a way home at the same time",
            format!("look at what switches its return, then at {supply}"),
        )
    } else {
        (
            "what switches it is never closed while its supply is live",
            format!(
                "follow the wire on {supply} to its switch or relay and look what has to close it; a wire may be missing from the record"
            ),
        )
    };
    Finding::new(
        part.name.at,
        format!("{what} gets no current in any setting of key and switches: {why}"),
    )
    .label("never on")
    .part(consumer.part)
    .help(mend)
    .source(format!(
        "the network solved in {} settings, all that there are",
        explored.settings
    ))
    .shown()
}

/// Open sides of connector pins that a terminal leads to: what is plugged in there is not in the record.
fn open_pins(context: &Context<'_>, start: TerminalId) -> Vec<String> {
    let vehicle = context.vehicle;
    let mut pins = Vec::new();
    let mut seen = BTreeSet::from([start]);
    let mut next = vec![start];
    while let Some(at) = next.pop() {
        if at == TerminalId::CHASSIS {
            continue;
        }
        let owner = vehicle.terminal(at).part.map(|owner| vehicle.part(owner));
        if owner.is_some_and(|owner| owner.kind == Kind::Connector)
            && context.landing(at).is_empty()
        {
            pins.push(vehicle.terminal(at).label.clone());
        }
        for edge in vehicle.graph.edges(at.node()) {
            let passes = match *edge.weight() {
                Link::Wire(_) => true,
                Link::Branch(branch) => matches!(
                    vehicle.branch(branch).element,
                    Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
                ),
            };
            if let Ok(end) = u32::try_from(edge.target().index()).map(TerminalId)
                && passes
                && seen.insert(end)
            {
                next.push(end);
            }
        }
    }
    pins.sort();
    pins
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // Behind a relay whose coil has no supply.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        // Two contacts that exclude each other in a row.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  S1: {kind: switch, rating: 20 A, positions: {up: [[A, U]], down: [[C, D]]}}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: S1.A, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: S1.U, to: S1.C, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: S1.D, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        // Its supply is live, and what switches its return has a coil that leads nowhere.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  ST: {kind: stub, end: capped}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [LAMP.-, K1.30], size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: ST, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [engine], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // Of what it draws nothing is stated, and it is live. What has no wire on its supply, or is abandoned, is told by other checks.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  BOX: {kind: load, type: electronics}
  SPARE: {kind: load, type: led, draw: 2 A}
  OLD: {kind: load, type: led, draw: 2 A, status: abandoned}
  ST: {kind: stub, end: capped}
wires:
  - {run: [B1, F1, BOX], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: ST, to: OLD, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SPARE, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    // What is plugged in there is not in the record.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {4: 30 A}, detach: trailer}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: X1.4, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "X1.4.a",
    )],
};
