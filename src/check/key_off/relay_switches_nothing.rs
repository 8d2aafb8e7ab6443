//! A coil that can be energised while its contacts lead nowhere.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use super::NOTHING;
use crate::analyze::Extreme;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::quantity::Amps;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "relay-switches-nothing",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a coil that can be energised while its contacts lead nowhere",
        page: include_str!("../../../docs/checks/relay-switches-nothing.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Relay])
        .filter(|&(_, part)| coil_is_wired(context, part))
        .map(|(id, part)| judge_relay(context, id, part))
        .collect()
}

fn coil_is_wired(context: &Context<'_>, part: &Part) -> bool {
    ["85", "86", "set", "reset"]
        .iter()
        .filter_map(|name| context.terminal(part, name))
        .any(|terminal| !context.landing(terminal).is_empty())
}

fn judge_relay(context: &Context<'_>, id: PartId, part: &Part) -> Verdict {
    let Some(extreme) = energised(context, part) else {
        return if context.solved.explored.complete {
            Verdict::NoneShown
        } else {
            Gap::of([context.not_explored()]).part(id).shown()
        };
    };
    match switches(context, part) {
        Switches::Something => return Verdict::NoneShown,
        Switches::Perhaps(pins) => return Gap::of(pins).part(id).shown(),
        Switches::Nothing => {}
    }
    let (current, setting) = (extreme.value.abs(), &extreme.setting);
    let name = &part.name.value;
    let wired: Vec<&str> = ["30", "87", "87a"]
        .into_iter()
        .filter(|name| {
            context
                .terminal(part, name)
                .is_some_and(|terminal| !context.landing(terminal).is_empty())
        })
        .collect();
    let contacts = match wired.as_slice() {
        [] => "no wire is on its contacts".to_owned(),
        [one] => format!("of its contacts only {one} has a wire"),
        _ => "its contacts lead to nothing that uses current".to_owned(),
    };
    Finding::new(
        part.name.at,
        format!(
            "the coil of {} takes {}{}, and {contacts}",
            words::called(part),
            words::show(current),
            words::when(setting)
        ),
    )
    .label("pulls in and switches nothing")
    .part(id)
    .value(current)
    .setting(extreme.showing(NOTHING).clone())
    .worst(setting.clone())
    .help(format!(
        "take {name} out with its coil wires, or record what it switches"
    ))
    .source("the network solved in every setting")
    .shown()
}

/// The most that one of its coils takes in any setting.
fn energised<'c>(context: &'c Context<'_>, part: &Part) -> Option<&'c Extreme<Amps>> {
    part.branches
        .iter()
        .filter(|&&branch| matches!(context.vehicle.branch(branch).element, Element::Coil { .. }))
        .filter_map(|branch| context.solved.explored.branches.get(branch.index()))
        .filter(|extreme| extreme.value.abs() > NOTHING)
        .max_by(|a, b| a.value.0.abs().total_cmp(&b.value.0.abs()))
}

enum Switches {
    Something,
    /// It leads to pins whose other side is not in the record.
    Perhaps(Vec<String>),
    Nothing,
}

/// Whether the current of anything can run through one of its contacts, or two batteries are tied by one.
fn switches(context: &Context<'_>, part: &Part) -> Switches {
    let mut pins = Vec::new();
    for &branch in &part.branches {
        let contact = context.vehicle.branch(branch);
        if !matches!(contact.element, Element::Contact { .. }) {
            continue;
        }
        let used = context.walks.through_branch(branch).next().is_some();
        if used || context.walks.ties_sources(contact.from, contact.to) {
            return Switches::Something;
        }
        // A controller's sense line is a user without a branch; what is plugged into an open pin is not in the record.
        let [a, b] = [contact.from, contact.to].map(|end| Ends::from(context, part, end));
        if a.wired && b.wired {
            if a.sensed || b.sensed {
                return Switches::Something;
            }
            pins.extend(a.pins);
            pins.extend(b.pins);
        }
    }
    if pins.is_empty() {
        Switches::Nothing
    } else {
        Switches::Perhaps(pins)
    }
}

/// What a contact's terminal leads to, apart from the relay itself.
struct Ends {
    /// A wire is on it.
    wired: bool,
    /// It leads to a controller.
    sensed: bool,
    /// Open sides of connector pins.
    pins: Vec<String>,
}

impl Ends {
    fn from(context: &Context<'_>, relay: &Part, start: TerminalId) -> Self {
        let vehicle = context.vehicle;
        let mut found = Self {
            wired: !context.landing(start).is_empty(),
            sensed: false,
            pins: Vec::new(),
        };
        // On the side of the supply this would lead all over the vehicle.
        if context
            .walks
            .fed_apart_from(vehicle, start, &relay.branches)
        {
            return found;
        }
        let mut seen = BTreeSet::from([start]);
        let mut next = vec![start];
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
                Some(Kind::Controller) => found.sensed = true,
                _ => {}
            }
            for edge in vehicle.graph.edges(at.node()) {
                let passes = match *edge.weight() {
                    Link::Wire(_) => true,
                    Link::Branch(branch) => {
                        !relay.branches.contains(&branch)
                            && matches!(
                                vehicle.branch(branch).element,
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
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // Wired on both sides, but what it fed was cut off; of two more nothing, and a pin alone, is on the contacts.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  CUT: {kind: stub, end: capped}
  C1: {kind: controller, type: electronics, draw: 0.5 A}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  K3: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  X1: {kind: connector, pins: {4: 30 A}, detach: trailer}
wires:
  - {from: F1, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K2.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K3.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K3.87, to: X1.4, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: CUT, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 30 cm, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // It switches the return.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP.-, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // It tells a controller something.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  C1: {kind: controller, type: electronics, draw: 0.5 A, senses: [ON]}
wires:
  - {run: [B1, F1, K1.30], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: C1.ON, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
",
    ],
    // What is plugged in there is not in the record.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  X1: {kind: connector, pins: {4: 30 A}, detach: trailer}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: X1.4, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "X1.4.b",
    )],
};
