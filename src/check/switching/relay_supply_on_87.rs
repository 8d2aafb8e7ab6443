//! A changeover relay with its supply on a throw contact and its load on the common one: it changes nothing over.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "relay-supply-on-87",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a changeover relay has its supply on 87 where the common contact 30 belongs",
        page: include_str!("../../../docs/checks/relay-supply-on-87.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Relay])
        .filter_map(|(id, part)| judge_relay(context, id, part))
        .collect()
}

fn judge_relay(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let wired = |name: &str| {
        let terminal = context.terminal(part, name)?;
        (!context.landing(terminal).is_empty()).then_some(terminal)
    };
    // With one throw contact only, it does not matter which end the supply is on.
    let common = wired("30")?;
    let throws = [wired("87")?, wired("87a")?];
    let here = Led::from(context, part, common);
    if here.live {
        return Some(Verdict::NoneShown);
    }
    let led = throws.map(|throw| Led::from(context, part, throw));
    let (supply, other) = match [led[0].live, led[1].live] {
        [true, false] => (throws[0], throws[1]),
        [false, true] => (throws[1], throws[0]),
        // Two supplies turned over onto one load, or none at all.
        _ => return Some(Verdict::NoneShown),
    };
    let there = Led::from(context, part, other);
    // A motor that rests on the chassis is braked: that is how it is turned round.
    if there.home {
        return Some(Verdict::NoneShown);
    }
    if !there.users.is_empty() && !here.users.is_empty() {
        return Some(fault(context, id, part, [supply, other], &here, &there).shown());
    }
    let pins: Vec<String> = [here, there]
        .into_iter()
        .flat_map(|led| {
            if led.users.is_empty() {
                led.pins
            } else {
                Vec::new()
            }
        })
        .collect();
    Some(if pins.is_empty() {
        Verdict::NoneShown
    } else {
        Gap::of(pins).part(id).shown()
    })
}

/// What a terminal of a relay leads to over wires, joints and contacts, the relay itself apart.
struct Led {
    users: Vec<PartId>,
    /// Open sides of connector pins: what is plugged in there is not in the record.
    pins: Vec<String>,
    /// It leads to the chassis.
    home: bool,
    /// It leads to a source.
    live: bool,
}

impl Led {
    fn from(context: &Context<'_>, relay: &Part, start: TerminalId) -> Self {
        let vehicle = context.vehicle;
        let mut led = Self {
            users: Vec::new(),
            pins: Vec::new(),
            home: false,
            live: false,
        };
        let mut seen = BTreeSet::from([start]);
        let mut next = vec![start];
        while let Some(at) = next.pop() {
            if at == TerminalId::CHASSIS {
                led.home = true;
                continue;
            }
            let mut sources = context.walks.sources.iter();
            if sources.any(|source| source.plus == at) {
                led.live = true;
                continue;
            }
            let owner = vehicle.terminal(at).part.map(|owner| vehicle.part(owner));
            if owner.is_some_and(|owner| owner.kind == Kind::Connector)
                && context.landing(at).is_empty()
            {
                led.pins.push(vehicle.terminal(at).label.clone());
            }
            for edge in vehicle.graph.edges(at.node()) {
                let passes = match *edge.weight() {
                    Link::Wire(_) => true,
                    Link::Branch(branch) => {
                        let inside = vehicle.branch(branch);
                        match inside.element {
                            Element::Load(_) | Element::Coil { .. } | Element::Converter { .. } => {
                                if !led.users.contains(&inside.part) {
                                    led.users.push(inside.part);
                                }
                                false
                            }
                            Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. } => {
                                !relay.branches.contains(&branch)
                            }
                            _ => false,
                        }
                    }
                };
                if let Ok(end) = u32::try_from(edge.target().index()).map(TerminalId)
                    && passes
                    && seen.insert(end)
                {
                    next.push(end);
                }
            }
        }
        led.users.sort_unstable();
        led
    }
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    [supply, other]: [TerminalId; 2],
    here: &Led,
    there: &Led,
) -> Finding {
    let vehicle = context.vehicle;
    let names = |led: &Led| {
        let names: Vec<&str> = led.users.iter().map(|&user| context.name(user)).collect();
        words::list(&names, 4)
    };
    let name = |terminal: TerminalId| vehicle.terminal(terminal).name.as_str();
    let mut finding = Finding::new(
        part.name.at,
        format!(
            "{} has its supply on {} and {} on the common contact 30: {} on {} is never turned over to, and hangs on {} whenever the two are joined",
            words::called(part),
            name(supply),
            names(here),
            names(there),
            name(other),
            names(here)
        ),
    )
    .label("supply and common changed over")
    .part(id)
    .source("terminal numbers of DIN 72552 and ISO 7588: 30 is the common contact, 87 closes, 87a opens")
    .help(format!(
        "move the supply to 30 of {}, and what is on 30 to {}",
        part.name.value,
        name(supply)
    ));
    for &wire in &context.landing(supply) {
        finding = finding
            .also(
                context.wire_at(wire, "id"),
                format!("brings the supply to {}", name(supply)),
            )
            .wire(wire);
    }
    finding.parts(there.users.iter().copied())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  NEAR: {kind: load, type: led, draw: 2 A}
  FAR: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.87], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.30, to: NEAR, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: FAR, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // The supply on the contact that opens.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  A: {kind: load, type: led, draw: 2 A}
  B: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.87a], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.30, to: A, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: B, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        // As it should be.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  NEAR: {kind: load, type: led, draw: 2 A}
  FAR: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: NEAR, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: FAR, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // Two supplies onto one load: the load is on the common contact by right.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.87a], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: K1.87, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.30, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // A motor braked at rest.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  M1: {kind: load, type: motor, draw: 4 A}
wires:
  - {run: [B1, F1, K1.87], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87a, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.30, to: M1, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // The other throw is capped off: there is nothing to turn over to.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  A: {kind: load, type: led, draw: 2 A}
  ST: {kind: stub, end: capped}
wires:
  - {run: [B1, F1, K1.87], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.30, to: A, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: ST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    // What is plugged in on 87a is not in the record.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  X1: {kind: connector, pins: {4: 30 A}, detach: trailer}
  NEAR: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.87], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.30, to: NEAR, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: X1.4, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "X1.4.b",
    )],
};
