//! A load on the resting contact of a relay that the key holds in: it is live exactly when the vehicle is parked.

use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::search;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "normally-closed-feeds-load",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "a load on the resting contact of a relay is live exactly when parked",
        page: include_str!("../../../docs/checks/normally-closed-feeds-load.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Below this nothing flows.
const NOTHING: Amps = Amps(1e-4);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let relays = context
        .parts_of(&[Kind::Relay])
        .filter(|&(id, part)| context.is_added(id) && part.stays_live.is_none());
    relays
        .filter_map(|(id, part)| judge_relay(context, id, part))
        .collect()
}

fn judge_relay(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let contact = part.branches.iter().copied().find(|&branch| {
        matches!(
            vehicle.branch(branch).element,
            Element::Contact {
                control: Control::Relay { when_in: false, .. },
                ..
            }
        )
    })?;
    let behind: Vec<&Consumer> = context
        .walks
        .through_branch(contact)
        .filter(|consumer| {
            consumer.part != id
                && matches!(vehicle.branch(consumer.branch).element, Element::Load(_))
                && vehicle.part(consumer.part).stays_live.is_none()
        })
        .collect();
    if behind.is_empty() {
        return None;
    }
    let mut unsure: Vec<String> = behind
        .iter()
        .flat_map(|consumer| unsure_feeds(context, consumer.part))
        .chain(unsure_feeds(context, id))
        .collect();
    unsure.sort();
    unsure.dedup();
    if !unsure.is_empty() {
        return Some(Gap::of(unsure).part(id).shown());
    }
    let parked = context.solved.left();
    // Closed it is as live at one end as at the other.
    let fed = parked.closed[contact.index()] && parked.live[vehicle.branch(contact).from.index()];
    if !fed {
        return Some(Verdict::NoneShown);
    }
    let drawing: Vec<(&Consumer, Amps)> = behind
        .iter()
        .map(|&consumer| (consumer, parked.branch(consumer.branch).abs()))
        .filter(|(_, amps)| *amps > NOTHING)
        .collect();
    let Some((opens, off)) = opens_in_run(context, contact, &drawing) else {
        return Some(Verdict::NoneShown);
    };
    if drawing.is_empty() {
        let missing: Vec<String> = behind
            .iter()
            .flat_map(|consumer| context.lacking_key_off(context.name(consumer.part)))
            .cloned()
            .collect();
        return Some(if missing.is_empty() {
            Verdict::NoneShown
        } else {
            Gap::of(missing).part(id).shown()
        });
    }
    Some(tell(context, id, part, &off, opens))
}

fn tell(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    off: &[(&Consumer, Amps)],
    opens: Setting,
) -> Verdict {
    let sum = off.iter().fold(Amps(0.0), |sum, &(_, amps)| sum + amps);
    let names: Vec<&str> = off
        .iter()
        .map(|&(consumer, _)| context.name(consumer.part))
        .collect();
    let name = &part.name.value;
    let mut finding = Finding::new(
        part.name.at,
        format!(
            "{} feeds {} through its resting contact 87a: {} with the key off, nothing in run{}",
            words::called(part),
            words::list(&names, 4),
            words::show(sum),
            words::when(&opens)
        ),
    )
    .label("closed exactly when the vehicle is parked")
    .part(id)
    .value(sum)
    .setting(opens)
    .help(format!(
        "move the load's wire from 87a to 87 of {name}, or write `stays-live: WHY` at the load if it is meant to work while parked"
    ))
    .source("the network solved with the key off as it is left, and in run in every setting of the switches");
    for &(consumer, amps) in off {
        finding = finding.part(consumer.part).also(
            context.vehicle.part(consumer.part).name.at,
            format!("draws {} while parked", words::show(amps)),
        );
    }
    finding.shown()
}

/// The smallest setting of the switches in which a contact is open with the key in run, and what then has no other supply.
fn opens_in_run<'c>(
    context: &Context<'_>,
    contact: BranchId,
    drawing: &[(&'c Consumer, Amps)],
) -> Option<(Setting, Vec<(&'c Consumer, Amps)>)> {
    let vehicle = context.vehicle;
    let run = Base {
        state: State {
            key: Key::Run,
            engine: Engine::Idle,
            ..State::parked(vehicle)
        },
        setting: Setting {
            key: Some(Key::Run),
            ..Setting::default()
        },
    };
    let mut solver = Solver::new(vehicle);
    let charged = Memory::charged(vehicle);
    let off = |solution: &Solution| -> Vec<(&'c Consumer, Amps)> {
        let is_off =
            |(consumer, _): &(&Consumer, Amps)| solution.branch(consumer.branch).abs() <= NOTHING;
        drawing.iter().copied().filter(is_off).collect()
    };
    // What a master switch opens is dead for another reason.
    let shows = search(
        vehicle,
        &[run],
        |_, unit| !unit.disconnect,
        |state| {
            let solution = solver.solve(state, &charged);
            let open = solution.trouble.is_none() && !solution.closed[contact.index()];
            let shows = open && (drawing.is_empty() || !off(&solution).is_empty());
            shows.then_some(1.0)
        },
    );
    let first = shows?.first;
    let off = off(&solver.solve(&first.state, &charged));
    Some((first.setting, off))
}

/// Feeds on its way of which the record does not say when they are live.
pub(super) fn unsure_feeds(context: &Context<'_>, part: PartId) -> Vec<String> {
    context
        .walks
        .consumers_of(part)
        .flat_map(|consumer| &consumer.feed)
        .filter_map(|link| match *link {
            Link::Branch(branch) => Some(context.vehicle.part(context.vehicle.branch(branch).part)),
            Link::Wire(_) => None,
        })
        .filter(|part| part.kind == Kind::Feed && part.fields.list("hot-in").is_empty())
        .map(|feed| feed.missing("hot-in"))
        .collect()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  ENG: {kind: feed, hot-in: [engine], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: ENG, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "LAMP",
        ),
        // The usual slip: the dash switch pulls the relay in, and 87 and 87a are changed over.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
    ],
    quiet: &[
        // Fed by the key: dead when parked. What the factory wired so is meant, and a coil is
        // no load.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  LAMP: {kind: load, type: led, draw: 2 A}
  F2: {kind: fuse, rating: 10 A, form: blade, status: factory}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, status: factory}
  DOME: {kind: load, type: led, draw: 2 A, status: factory}
  K3: {kind: relay, coil: 90 ohm, contact: 30 A}
  K4: {kind: relay, coil: 90 ohm, contact: 30 A}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F2, K2.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: K2.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K2.87a, to: DOME, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F2, K3.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: K3.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K3.87a, to: K4.86, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // Nothing that is switched with the key on pulls it in.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  START: {kind: feed, hot-in: [start], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  COOL: {kind: load, type: electronics, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: START, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: COOL, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // Turned over to another supply in run, by a longer way.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
  SP1: {kind: splice}
  SP2: {kind: splice}
  SP3: {kind: splice}
wires:
  - {run: [RUN, SP1, SP2, SP3, K1.87], size: 14 AWG, lengths: [1 m, 1 m, 1 m, 1 m], insulation: gxl}
  - {run: [B1, F1, K1.87a], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.30, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  TAP: {kind: feed, rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: TAP, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "TAP.hot-in",
    ),
        // What it takes is not stated, with the key off or on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  BOX: {kind: load, type: electronics}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87a, to: BOX, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "BOX.draw",
        ),
    ],
};
