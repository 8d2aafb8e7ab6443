//! A loose wire that pulls a relay in when it touches metal.

use std::collections::BTreeSet;

use crate::check::prelude::*;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "coil-control-stub",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "a loose wire on a relay's coil that pulls the relay in when it touches metal",
        page: include_str!("../../../docs/checks/coil-control-stub.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Stub])
        .filter_map(|(id, part)| judge_stub(context, id, part))
        .collect()
}

/// A coil on one side of which a loose wire lies.
struct Coil {
    relay: PartId,
    pull_in: Interval<Volts>,
    /// Its other side.
    other: TerminalId,
}

/// Coils to which wires and joints lead from a terminal, where nothing else feeds or grounds that terminal.
fn coils(context: &Context<'_>, from: TerminalId) -> Vec<Coil> {
    let vehicle = context.vehicle;
    if context.walks.fed(from) {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut seen = BTreeSet::from([from]);
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        if at == TerminalId::CHASSIS {
            return Vec::new();
        }
        for edge in vehicle.graph.edges(at.node()) {
            let (a, b) = match *edge.weight() {
                Link::Wire(wire) => (vehicle.wire(wire).from, vehicle.wire(wire).to),
                Link::Branch(branch) => {
                    let branch = vehicle.branch(branch);
                    let ends = (branch.from, branch.to);
                    match &branch.element {
                        Element::Joint(_) => ends,
                        Element::Coil { pull_in, .. } => {
                            found.push(Coil {
                                relay: branch.part,
                                pull_in: pull_in.range,
                                other: if ends.0 == at { ends.1 } else { ends.0 },
                            });
                            continue;
                        }
                        _ => continue,
                    }
                }
            };
            let next = if a == at { b } else { a };
            if seen.insert(next) {
                open.push(next);
            }
        }
    }
    found
}

/// Whether a loose end is live only through the coil of a relay.
pub(super) fn through_a_coil(context: &Context<'_>, end: TerminalId) -> bool {
    let fed = |coil: &Coil| context.walks.fed(coil.other);
    coils(context, end).iter().any(fed)
}

/// Whether a consumer gets its current through a relay that has pulled in, and not without it.
fn comes_on_with(context: &Context<'_>, consumer: &Consumer, relay: PartId) -> bool {
    let vehicle = context.vehicle;
    let closes = |link: &Link| match *link {
        Link::Branch(branch) => matches!(
            vehicle.branch(branch).element,
            Element::Contact {
                control: Control::Relay { relay: by, when_in: true },
                ..
            } if by == relay
        ),
        Link::Wire(_) => false,
    };
    if consumer.back.iter().any(closes) {
        return true;
    }
    let lasts = |link: &Link| match *link {
        Link::Branch(branch) => matches!(vehicle.branch(branch).element, Element::Joint(_)),
        Link::Wire(_) => true,
    };
    // Where the relay ties two batteries, what hangs on one of them is fed as it is.
    let fed_by = |source: usize| {
        let walks = &context.walks;
        let cell = vehicle.branch(walks.sources[source].branch);
        let inside = vehicle.branch(consumer.branch);
        matches!(cell.element, Element::Cell { .. })
            && [inside.from, inside.to].into_iter().any(|end| {
                let way = walks.way_up(vehicle, source, end);
                way.is_some_and(|way| way.iter().all(lasts))
            })
    };
    consumer.feed.iter().any(closes) && !consumer.sources.iter().any(|&source| fed_by(source))
}

fn judge_stub(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let &terminal = part.terminals.first()?;
    let coils = coils(context, terminal);
    let coil = coils.iter().find(|coil| context.walks.fed(coil.other))?;
    let vehicle = context.vehicle;
    let highest = context.solved.explored.highest.get(coil.other.index());
    let volts = highest.map_or(Volts::ZERO, |seen| seen.value.abs());
    if volts < coil.pull_in.low {
        return Some(if context.solved.explored.complete {
            Verdict::NoneShown
        } else {
            Gap::of([context.not_explored()]).part(id).shown()
        });
    }
    let relay = vehicle.part(coil.relay);
    match part.fields.text("end").map(|end| end.value.as_str()) {
        Some("capped") => return Some(Verdict::NoneShown),
        None => return Some(Gap::of([part.missing("end")]).part(id).shown()),
        Some(_) => {}
    }
    if volts < coil.pull_in.high {
        return Some(Gap::of([relay.missing("pull-in")]).part(id).shown());
    }
    let switched: Vec<&Consumer> = context
        .walks
        .consumers
        .iter()
        .filter(|one| one.part != coil.relay && comes_on_with(context, one, coil.relay))
        .collect();
    let mut parts: Vec<PartId> = switched.iter().map(|one| one.part).collect();
    parts.dedup();
    let names: Vec<&str> = parts.iter().map(|&part| context.name(part)).collect();
    let then = if names.is_empty() {
        String::new()
    } else {
        format!(", and {} with it", words::list(&names, 3))
    };
    let moves = parts
        .iter()
        .any(|&part| vehicle.part(part).fields.flag("moves"));
    let live = super::live(context, coil.other);
    let finding = Finding::new(
        part.name.at,
        format!(
            "the loose end {} pulls in {}{then} when it touches metal, {}",
            words::called(part),
            words::called(relay),
            live.words()
        ),
    )
    .label("touching metal, it works the relay")
    .part(id)
    .part(coil.relay)
    .parts(parts)
    .wires(context.landing(terminal))
    .setting(live.setting())
    .source("derived: the coil is fed, and the loose end is its return")
    .help(format!(
        "take the wire off at {} first, then take it out; until then cap the end",
        relay.name.value
    ))
    .also(relay.name.at, "its coil is fed on the other side");
    Some(if moves {
        finding.level(Level::Error).shown()
    } else {
        finding.shown()
    })
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V}
  LAMP: {kind: load, type: led, draw: 2 A}
  OLD: {kind: stub, end: bare}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: OLD, size: 18 AWG, length: 3 m, insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "OLD",
        ),
        // It holds itself in, a lamp goes out by its resting contact, and a horn has nothing to do with it. A plug is on the way.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V}
  HOIST: {kind: load, type: motor, draw: 12 A, moves: true}
  LAMP: {kind: load, type: led, draw: 2 A}
  HORN: {kind: load, type: motor, draw: 4 A}
  X1: {kind: connector, pins: [1]}
  OLD: {kind: stub, end: cut}
wires:
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: K1.86, size: 18 AWG, length: 10 cm, insulation: gxl}
  - {run: [K1.85, X1.1, OLD], size: 18 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: HOIST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "OLD",
        ),
        // It ties two batteries: what moves is fed by its own without it. A fan that it grounds comes on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 100 A, form: bolt-down}
  F2: {kind: fuse, rating: 100 A, form: bolt-down}
  BAR: {kind: busbar}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 40 ohm, contact: 100 A, pull-in: 8 V}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V}
  HOIST: {kind: load, type: motor, draw: 40 A, moves: true}
  FAN: {kind: load, type: motor, draw: 5 A}
  OLD: {kind: stub, end: cut}
  OLD2: {kind: stub, end: cut}
wires:
  - {run: [B1, F1, K1.30], size: 4 AWG, lengths: [10 cm, 1 m], insulation: sgx}
  - {run: [B2, F2, BAR], size: 4 AWG, lengths: [10 cm, 1 m], insulation: sgx}
  - {from: K1.87, to: BAR, size: 4 AWG, length: 1 m, insulation: sgx}
  - {from: BAR, to: HOIST, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: OLD, size: 18 AWG, length: 3 m, insulation: gxl}
  - {from: BAR, to: FAN, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: FAN.-, to: K2.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K2.87, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K2.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K2.85, to: OLD2, size: 18 AWG, length: 3 m, insulation: gxl}
",
            "OLD2",
        ),
    ],
    quiet: &[
        // Capped.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V}
  LAMP: {kind: load, type: led, draw: 2 A}
  OLD: {kind: stub, end: capped}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: OLD, size: 18 AWG, length: 3 m, insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // A relay of another vehicle, made for 24 V.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 360 ohm, contact: 20 A, pull-in: 16 V}
  OLD: {kind: stub, end: bare}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: OLD, size: 18 AWG, length: 3 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V}
  LAMP: {kind: load, type: led, draw: 2 A}
  OLD: {kind: stub}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: OLD, size: 18 AWG, length: 3 m, insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "OLD.end",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8..20 V}
  LAMP: {kind: load, type: led, draw: 2 A}
  OLD: {kind: stub, end: cut}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: OLD, size: 18 AWG, length: 3 m, insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1.pull-in",
        ),
    ],
};
