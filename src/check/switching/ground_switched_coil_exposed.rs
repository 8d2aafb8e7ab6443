//! A coil that is live at all times and switched to the chassis by a wire that can chafe through: then it pulls in.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::check::prelude::*;
use crate::model::Control as Contact;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::WireId;
use crate::model::Zone;
use crate::model::element::CoilRole;
use crate::model::walk::Consumer;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "ground-switched-coil-exposed",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a chafed control wire would pull a relay in: its coil is live and switched to the chassis",
        page: include_str!("../../../docs/checks/ground-switched-coil-exposed.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Relay]) {
        if !context.is_added(id) {
            continue;
        }
        for consumer in context.walks.consumers_of(id) {
            // What puts a latching relay out switches nothing on.
            let element = &context.vehicle.branch(consumer.branch).element;
            let puts_out = matches!(
                element,
                Element::Coil {
                    role: CoilRole::Reset,
                    ..
                }
            );
            if !puts_out {
                verdicts.extend(judge_coil(context, id, part, consumer));
            }
        }
    }
    verdicts
}

fn judge_coil(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    consumer: &Consumer,
) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let branch = vehicle.branch(consumer.branch);
    // One end is on a supply, the other goes home over a contact.
    let ends = [branch.from, branch.to];
    let control = match ends.map(|end| context.walks.fed(end)) {
        [true, false] => ends[1],
        [false, true] => ends[0],
        _ => return None,
    };
    let way = Control::of(context, part, control);
    if way.home || !way.switched {
        return None;
    }
    let parked = context.solved.left();
    let live = parked.live[branch.from.index()] && parked.live[branch.to.index()];
    if !live {
        return Some(Verdict::NoneShown);
    }
    let unsure = super::normally_closed_feeds_load::unsure_feeds(context, id);
    if !unsure.is_empty() {
        return Some(Gap::of(unsure).part(id).shown());
    }
    let mut missing = Vec::new();
    let mut exposed = Vec::new();
    for &wire in &way.wires {
        match exposure(context, wire) {
            Some(Ok(words)) => exposed.push((wire, words)),
            Some(Err(fact)) => missing.push(fact),
            None => {}
        }
    }
    if exposed.is_empty() {
        return Some(if missing.is_empty() {
            Verdict::NoneShown
        } else {
            Gap::of(missing).part(id).shown()
        });
    }
    Some(fault(context, id, part, control, &exposed).shown())
}

/// What lies between the control end of a coil and the first contact.
struct Control {
    wires: Vec<WireId>,
    /// It goes to the chassis without any contact.
    home: bool,
    /// A contact is on it.
    switched: bool,
}

impl Control {
    fn of(context: &Context<'_>, relay: &Part, start: TerminalId) -> Self {
        let vehicle = context.vehicle;
        let mut found = Self {
            wires: Vec::new(),
            home: false,
            switched: false,
        };
        let mut seen = BTreeSet::from([start]);
        let mut next = vec![start];
        while let Some(at) = next.pop() {
            if at == TerminalId::CHASSIS {
                found.home = true;
                continue;
            }
            for edge in vehicle.graph.edges(at.node()) {
                let passes = match *edge.weight() {
                    Link::Wire(wire) => {
                        if !vehicle.wire(wire).assumed && !found.wires.contains(&wire) {
                            found.wires.push(wire);
                        }
                        true
                    }
                    Link::Branch(branch) => match &vehicle.branch(branch).element {
                        // A plug switches nothing: the switch is behind it.
                        Element::Contact {
                            control: Contact::Attached(_),
                            ..
                        }
                        | Element::Joint(_)
                        | Element::Diode { .. } => true,
                        Element::Contact { .. } => {
                            found.switched |= !relay.branches.contains(&branch);
                            false
                        }
                        _ => false,
                    },
                };
                if let Ok(end) = u32::try_from(edge.target().index()).map(TerminalId)
                    && passes
                    && seen.insert(end)
                {
                    next.push(end);
                }
            }
        }
        found.wires.sort_unstable();
        found
    }
}

/// How a wire can get to the metal, in words; an error where the record does not say how it runs; nothing where it cannot.
fn exposure(context: &Context<'_>, id: WireId) -> Option<Result<&'static str, String>> {
    let wire = context.vehicle.wire(id);
    let has = |word: &str| wire.route.iter().any(|one| one == word);
    if wire.zone == Zone::Cabin && !has("bare-hole") {
        return None;
    }
    if wire.route.is_empty() {
        return Some(Err(format!("{}.route", wire.id)));
    }
    if has("bare-hole") && !has("grommet") {
        return Some(Ok(BARE_HOLE));
    }
    if has("heat") || has("motion") {
        return Some(Ok(NEAR));
    }
    (!has("loom")).then_some(Ok(OPEN))
}

const BARE_HOLE: &str = "passes a bare hole";
const NEAR: &str = "runs near heat or a moving part";
const OPEN: &str = "runs outside the cab with no loom around it";

/// What keeps a wire that runs so from the metal.
fn mend(how: &str) -> &'static str {
    match how {
        BARE_HOLE => "put a grommet in the hole",
        NEAR => "lead it round by another way",
        _ => "put a loom around it",
    }
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    control: TerminalId,
    exposed: &[(WireId, &'static str)],
) -> Finding {
    let vehicle = context.vehicle;
    let (first, how) = exposed[0];
    let closes = part.branches.iter().copied().find(|&branch| {
        matches!(
            vehicle.branch(branch).element,
            Element::Contact {
                control: Contact::Relay { when_in: true, .. },
                ..
            }
        )
    });
    let moved: Vec<PartId> = closes
        .into_iter()
        .flat_map(|branch| context.walks.through_branch(branch))
        .map(|consumer| consumer.part)
        .filter(|&load| load != id)
        .collect();
    let parked = context.solved.left();
    let live = closes.is_some_and(|branch| {
        let inside = vehicle.branch(branch);
        parked.live[inside.from.index()] || parked.live[inside.to.index()]
    });
    let hurts = |load: &&PartId| {
        let load = vehicle.part(**load);
        let kind = load.fields.text("type");
        load.fields.flag("moves") || kind.is_some_and(|kind| kind.value == "heater")
    };
    let worst = moved.iter().find(hurts);
    let mut names: Vec<&str> = moved.iter().map(|&load| context.name(load)).collect();
    names.dedup();
    let what = match names.as_slice() {
        [] => "the relay comes on".to_owned(),
        [name] => format!("{name} comes on"),
        names => format!("{} come on", words::list(names, 3)),
    };
    let when = if live || names.is_empty() {
        "with the key off"
    } else {
        "whenever the contact has a supply"
    };
    let label = &vehicle.terminal(control).label;
    let mut finding = Finding::new(
        context.wire_at(first, "route"),
        format!(
            "the coil of {} is live at all times and {} switches it to the chassis: {} {how}, and once it has chafed through, {what} {when}",
            words::called(part),
            label,
            vehicle.wire(first).id,
        ),
    )
    .label(how)
    .part(id)
    .wires(exposed.iter().map(|&(wire, _)| wire))
    .parts(moved.iter().copied())
    .source("common practice, no source")
    .help(format!(
        "{}, or feed the coil of {} from something that is dead with the key off, or switch its supply instead of its return",
        mend(how),
        part.name.value
    ))
    .also(part.name.at, "its coil is live with the key off");
    for &(wire, how) in &exposed[1..] {
        finding = finding.also(context.wire_at(wire, "route"), how);
    }
    if worst.is_some() {
        finding = finding.level(Level::Error);
    }
    finding
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // Behind a plug.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  X1: {kind: connector, pins: {1: 10 A}, detach: trailer}
  S1: {kind: switch, momentary: true, rating: 5 A}
  HORN: {kind: load, type: motor, draw: 8 A, duty: 2 %}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl, route: loom}
  - {from: F1, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl, route: loom}
  - {from: K1.85, to: X1.1, size: 18 AWG, length: 3 m, insulation: gxl, zone: exterior, route: loom}
  - {from: X1.1, to: S1, size: 18 AWG, length: 3 m, insulation: gxl, zone: exterior, route: frame}
  - {from: S1, to: chassis, size: 18 AWG, length: 30 cm, insulation: gxl, route: loom}
  - {from: K1.87, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl, route: loom}
",
            "K1",
        ),
        // Through a bare hole, and what it switches heats; the supply is on 85. What puts
        // the latching one out switches nothing on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  S1: {kind: switch, rating: 10 A}
  K2: {kind: relay, latching: true, coil: 90 ohm, contact: 30 A}
  S2: {kind: switch, rating: 10 A, positions: {rest: [], in: [[A, G]], out: [[B, G]]}}
  FAN: {kind: load, type: motor, draw: 2 A}
  OUT: {kind: load, type: heater, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: K1.85, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.86, to: S1, size: 16 AWG, length: 3 m, insulation: gxl, zone: engine-bay, route: [bare-hole]}
  - {from: S1, to: chassis, size: 16 AWG, length: 3 m, insulation: gxl, zone: engine-bay, route: [bare-hole]}
  - {from: K1.87, to: OUT, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: FAN, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: K2.85, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K2.set, to: S2.A, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: K2.reset, to: S2.B, size: 16 AWG, length: 3 m, insulation: gxl, zone: engine-bay, route: [bare-hole]}
  - {from: S2.G, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // Two wires with a splice between, the first near what moves; what it switches moves as well, and has
        // a supply in run only; what it switches off is not told.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  S1: {kind: switch, rating: 10 A}
  SP: {kind: splice}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 1 A}
  HOIST: {kind: load, type: motor, draw: 20 A, moves: true}
wires:
  - {run: [B1, F1, K1.86], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: SP, size: 16 AWG, length: 3 m, insulation: gxl, zone: engine-bay, route: [motion]}
  - {from: SP, to: S1, size: 16 AWG, length: 3 m, insulation: gxl, zone: exterior, route: [bare-hole]}
  - {from: S1, to: chassis, size: 16 AWG, length: 3 m, insulation: gxl}
  - {from: K1.87, to: HOIST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "w5",
        ),
        // A relay that switches nothing yet.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  S1: {kind: switch, rating: 10 A}
wires:
  - {run: [B1, F1, K1.86], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.85, to: S1, size: 16 AWG, length: 3 m, insulation: gxl, zone: exterior, route: [frame]}
  - {from: S1, to: chassis, size: 16 AWG, length: 3 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        // In a loom.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  S1: {kind: switch, momentary: true, rating: 5 A}
  HORN: {kind: load, type: motor, draw: 8 A, duty: 2 %}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl, route: loom}
  - {from: F1, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl, route: loom}
  - {from: K1.85, to: S1, size: 18 AWG, length: 3 m, insulation: gxl, zone: exterior, route: loom}
  - {from: S1, to: chassis, size: 18 AWG, length: 30 cm, insulation: gxl, route: loom}
  - {from: K1.87, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl, route: loom}
",
        // Dead with the key off.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  S1: {kind: switch, momentary: true, rating: 5 A}
  HORN: {kind: load, type: motor, draw: 8 A, duty: 2 %}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl, route: loom}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl, route: loom}
  - {from: K1.85, to: S1, size: 18 AWG, length: 3 m, insulation: gxl, zone: exterior, route: frame}
  - {from: S1, to: chassis, size: 18 AWG, length: 30 cm, insulation: gxl, route: loom}
  - {from: K1.87, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl, route: loom}
",
        // One is switched on already, on the other nothing is switched and its wire ends capped, the wire of the third stays
        // in the cab.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  S1: {kind: switch, rating: 5 A, left: closed}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A}
  SP: {kind: splice}
  ST: {kind: stub, end: capped}
  K3: {kind: relay, coil: 90 ohm, contact: 30 A}
  S3: {kind: switch, rating: 5 A}
wires:
  - {run: [B1, F1, K1.86], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.85, to: S1, size: 16 AWG, length: 3 m, insulation: gxl, zone: exterior, route: frame}
  - {from: S1, to: chassis, size: 16 AWG, length: 30 cm, insulation: gxl}
  - {from: F1, to: K2.86, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [K2.85, SP, ST], size: 16 AWG, lengths: [3 m, 3 m], insulation: gxl, zone: exterior, route: frame}
  - {from: F1, to: K3.86, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [K3.85, S3, chassis], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  S1: {kind: switch, momentary: true, rating: 5 A}
  HORN: {kind: load, type: motor, draw: 8 A, duty: 2 %}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl, route: loom}
  - {from: F1, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl, route: loom}
  - {from: K1.85, to: S1, size: 18 AWG, length: 3 m, insulation: gxl, zone: exterior}
  - {from: S1, to: chassis, size: 18 AWG, length: 30 cm, insulation: gxl, route: loom}
  - {from: K1.87, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl, route: loom}
",
        "w4.route",
    ),
        // Whether its feed is live at all times is not stated.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BATT: {kind: feed, rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: BATT, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: BATT, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: S1, size: 16 AWG, length: 3 m, insulation: gxl, zone: exterior, route: [frame]}
  - {from: S1, to: chassis, size: 16 AWG, length: 3 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "BATT.hot-in",
        ),
    ],
};
