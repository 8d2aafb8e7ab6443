//! A long battery cable along the frame with neither fuse nor disconnect.

use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Link;
use crate::model::Status;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::walk::is_protection;
use crate::read::document::Kind;
use crate::table::fuse;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "main-cable-unguarded",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a long battery cable along the frame has neither fuse nor disconnect",
        page: include_str!("../../../docs/checks/main-cable-unguarded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Where a cable chafes.
const HARD: &[&str] = &[
    "frame",
    "hinge",
    "hinge-pin",
    "hitch",
    "motion",
    "bare-hole",
];

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .wires()
        .filter(|(_, wire)| wire.status != Status::Factory)
        .filter_map(|(id, wire)| {
            if context.walks.is_cranking(id) {
                judge_cable(context, id, wire)
            } else {
                judge_unknown(context, id, wire)
            }
        })
        .collect()
}

/// A cable that would be at fault were it the starter's, and leads to something of which the record does not say what it is.
fn judge_unknown(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    let parts = context
        .walks
        .through_wire(id)
        .map(|consumer| context.vehicle.part(consumer.part));
    let types: Vec<String> = parts
        .filter(|part| part.kind == Kind::Load && part.fields.is_unknown("type"))
        .map(|part| part.missing("type"))
        .collect();
    if types.is_empty() {
        return None;
    }
    match judge_cable(context, id, wire)? {
        Verdict::NoneShown => None,
        Verdict::Fault(_) | Verdict::CannotJudge(_) => Some(Gap::of(types).wire(id).shown()),
    }
}

/// Cranking cables are exempt from protection; this is about those that lie where they chafe.
fn judge_cable(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let sources = &context.walks.sources;
    let mut battery = None;
    for (number, source) in sources.iter().enumerate() {
        if !matches!(vehicle.branch(source.branch).element, Element::Cell { .. }) {
            continue;
        }
        let ways = [wire.from, wire.to].map(|end| context.walks.way_up(vehicle, number, end));
        let Some(way) = ways.into_iter().flatten().min_by_key(Vec::len) else {
            continue;
        };
        let guarded = way.iter().any(|link| match *link {
            Link::Branch(branch) => {
                let part = vehicle.branch(branch).part;
                is_protection(vehicle, part)
                    || matches!(vehicle.part(part).kind, Kind::Disconnect | Kind::Relay)
            }
            Link::Wire(_) => false,
        });
        if guarded {
            return Some(Verdict::NoneShown);
        }
        battery = Some(source.part);
    }
    // Returns are reached by no source.
    let battery = battery?;
    let limit = fuse::main_cable_up_to();
    let routed = wire.route.iter().any(|word| HARD.contains(&word.as_str()));
    // Where it lies elsewhere its length does not matter.
    if !wire.route.is_empty() && !routed {
        return Some(Verdict::NoneShown);
    }
    let Some(length) = wire.length else {
        return Some(Gap::of([format!("{}.length", wire.id)]).wire(id).shown());
    };
    if length.range.high <= limit.value {
        return Some(Verdict::NoneShown);
    }
    if wire.route.is_empty() {
        return Some(Gap::of([format!("{}.route", wire.id)]).wire(id).shown());
    }
    if length.range.low <= limit.value {
        return Some(Gap::of([format!("{}.length", wire.id)]).wire(id).shown());
    }
    let name = context.name(battery);
    Some(
        Finding::new(
            context.wire_at(id, "route"),
            format!(
                "{} runs {} from {name} along {} with neither fuse nor disconnect: where it chafes through, the whole battery feeds the arc, parked as well",
                wire.id,
                words::length(length.range.low),
                words::list(&wire.route, 4)
            ),
        )
        .label("a cable that can chafe here")
        .wire(id)
        .part(battery)
        .measured(length.range.low, limit.value, limit.source)
        .help(format!(
            "put a disconnect or a fuse made for cranking at {name}, or lead the cable in a sleeve away from what moves"
        ))
        .shown(),
    )
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  STARTER: {kind: load, type: starter, draw: 200 A}
  SOL: {kind: relay, coil: 3 ohm, contact: 500 A}
  KEY: {kind: feed, hot-in: [start], rating: 10 A, limit: 10 A}
wires:
  - {id: main, from: B1, to: SOL.30, size: 2/0 AWG, length: 3 m, insulation: sgx, route: [frame]}
  - {from: SOL.87, to: STARTER, size: 2/0 AWG, length: 20 cm, insulation: sgx, route: [loom]}
  - {from: KEY, to: SOL.86, size: 12 AWG, length: 1 m, insulation: gxl}
",
        "main",
    )],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  M: {kind: disconnect, rating: 500 A, left: closed}
  STARTER: {kind: load, type: starter, draw: 200 A}
  SOL: {kind: relay, coil: 3 ohm, contact: 500 A}
  KEY: {kind: feed, hot-in: [start], rating: 10 A, limit: 10 A}
wires:
  - {from: B1, to: M, size: 2/0 AWG, length: 30 cm, insulation: sgx, route: [loom]}
  - {from: M, to: SOL.30, size: 2/0 AWG, length: 3 m, insulation: sgx, route: [frame]}
  - {from: SOL.87, to: STARTER, size: 2/0 AWG, length: 20 cm, insulation: sgx, route: [loom]}
  - {from: KEY, to: SOL.86, size: 12 AWG, length: 1 m, insulation: gxl}
",
        // Neither on the frame nor anywhere else that chafes, whatever its length; beyond the button 1 m along the frame.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
wires:
  - {from: B1, to: KEY, size: 2/0 AWG, insulation: sgx, route: [loom]}
  - {from: KEY, to: STARTER, size: 2/0 AWG, length: 1 m, insulation: sgx, route: [frame]}
",
        // A short lead to something of which nobody knows what it is would be none even were it the starter.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  BOX: {kind: load, type: unknown, draw: 2 A}
wires:
  - {from: B1, to: STARTER, size: 2/0 AWG, length: 50 cm, insulation: sgx, route: [frame]}
  - {from: B1, to: BOX, size: 14 AWG, length: 50 cm, insulation: sgx, route: [frame]}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  STARTER: {kind: load, type: starter, draw: 200 A}
  SOL: {kind: relay, coil: 3 ohm, contact: 500 A}
  KEY: {kind: feed, hot-in: [start], rating: 10 A, limit: 10 A}
wires:
  - {id: main, from: B1, to: SOL.30, size: 2/0 AWG, length: 3 m, insulation: sgx}
  - {from: SOL.87, to: STARTER, size: 2/0 AWG, length: 20 cm, insulation: sgx, route: [loom]}
  - {from: KEY, to: SOL.86, size: 12 AWG, length: 1 m, insulation: gxl}
",
            "main.route",
        ),
        // Along the frame, and maybe so short that it does not matter.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
wires:
  - {from: B1, to: STARTER, size: 2/0 AWG, length: 0.5..3 m, insulation: sgx, route: [frame]}
",
            "w1.length",
        ),
        // If it is the starter this is its cable, else it is a wire without a fuse; to the lamp it is that in any case.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MOTOR: {kind: load, type: unknown, draw: 150 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: MOTOR, size: 2/0 AWG, length: 3 m, insulation: sgx, route: [frame]}
  - {from: B1, to: LAMP, size: 14 AWG, length: 3 m, insulation: sgx, route: [frame]}
",
            "MOTOR.type",
        ),
    ],
};
