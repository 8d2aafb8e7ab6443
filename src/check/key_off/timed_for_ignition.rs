//! A feed that stays on after the key is used as if it did not.

use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::search;
use crate::model::Element;
use crate::model::Key;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::read::document::Value;
use crate::solve::LIVE;
use crate::solve::Memory;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "timed-for-ignition",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a feed that stays on after the key is used as if it did not",
        page: include_str!("../../../docs/checks/timed-for-ignition.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Feed])
        .filter_map(|(id, part)| judge_feed(context, id, part))
        .collect()
}

fn judge_feed(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let branch = context.passage(part)?;
    let users: Vec<&Consumer> = context
        .walks
        .through_branch(branch)
        .filter(|one| {
            let user = context.vehicle.part(one.part);
            user.stays_live.is_none() && context.is_added(one.part)
        })
        .collect();
    if users.is_empty() {
        return None;
    }
    match part.fields.get("stays-on") {
        None => return Some(Verdict::NoneShown),
        Some(Value::Unknown(_)) => {
            return Some(Gap::of([part.missing("stays-on")]).part(id).shown());
        }
        Some(_) => {}
    }
    let time = part.stated::<Seconds>("stays-on")?;
    // What is live just after the key is turned off.
    let vehicle = context.vehicle;
    let base = Base {
        state: State::just_off(vehicle),
        setting: Setting {
            key: Some(Key::Off),
            also: Some("just after the key is turned off".to_owned()),
            ..Setting::default()
        },
    };
    let mut on = vec![false; users.len()];
    let mut solver = Solver::new(vehicle);
    let shows = search(
        vehicle,
        &[base],
        |_, unit| !unit.momentary,
        |state| {
            let solution = solver.solve(state, &Memory::charged(vehicle));
            let mut taken = None;
            for (user, on) in users.iter().zip(&mut on) {
                let branch = vehicle.branch(user.branch);
                let to = match &branch.element {
                    Element::Converter { back, .. } => *back,
                    _ => branch.to,
                };
                if (solution.at(branch.from) - solution.at(to)).abs().0 > LIVE {
                    *on = true;
                    *taken.get_or_insert(0.0) += solution.branch(user.branch).0.abs();
                }
            }
            taken
        },
    );
    // What draws only while a button is held, or behind what goes dead with the key, does not stay on.
    let Some(shows) = shows else {
        return Some(Verdict::NoneShown);
    };
    let drawn = Amps(shows.worst.value);
    let users: Vec<&Consumer> = users
        .into_iter()
        .zip(on)
        .filter_map(|(user, on)| on.then_some(user))
        .collect();
    let mut names: Vec<&str> = Vec::new();
    for user in &users {
        let name = context.name(user.part);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let name = &part.name.value;
    let held = users.iter().any(|one| {
        matches!(
            context.vehicle.branch(one.branch).element,
            Element::Coil { .. }
        )
    });
    let and = if held {
        ", with whatever the relay switches"
    } else {
        ""
    };
    let mut finding = Finding::new(
        part.at("stays-on"),
        format!(
            "{} {} on for {} after the key{and}, because {name} does",
            words::list(&names, 4),
            if names.len() == 1 { "stays" } else { "stay" },
            words::show(time.likely)
        ),
    )
    .label("stays live after the key")
    .part(id)
    .parts(users.iter().map(|one| one.part))
    .value(drawn)
    .setting(shows.first.setting)
    .worst(shows.worst.setting)
    .source("the record itself; feeds that stay on after the key: common practice, no source")
    .step(
        format!(
            "up to {} for {} take {:.1} Ah each time",
            words::show(drawn),
            words::show(time.likely),
            (drawn * time.likely).0
        ),
        "current times time",
    )
    .help("use a feed that goes dead with the key, or write `stays-live: WHY` at what may stay on");
    for user in users.iter().take(3) {
        finding = finding.also(context.vehicle.part(user.part).name.at, "stays on with it");
    }
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], stays-on: 30 min, rating: 10 A, limit: 10 A}
  PUMP: {kind: load, type: motor, draw: 4 A}
wires:
  - {from: ACC, to: PUMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "ACC",
        ),
        // Only where its switch is left on. The lamp is the vehicle's own, the radio may run on, nobody holds the button, and a relay
        // takes the fan off with the key.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], stays-on: 30 min, rating: 15 A, limit: 15 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A, momentary: true}
  PUMP: {kind: load, type: motor, draw: 4 A}
  WASH: {kind: load, type: motor, draw: 3 A}
  LAMP: {kind: load, type: led, draw: 0.5 A, status: factory}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 0 mA, stays-live: shuts down by itself}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  FAN: {kind: load, type: motor, draw: 2 A}
  DC: {kind: converter, output: 5 V, rating: 3 A, standby: 10 mA}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: ACC, to: K1.30, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: FAN, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: ACC, to: DC, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [ACC, S1, PUMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {run: [ACC, S2, WASH], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: ACC, to: LAMP, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: ACC, to: RADIO, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "PUMP",
        ),
    ],
    quiet: &[
        // It draws while the button is held.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], stays-on: 30 min, rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, momentary: true}
  WASH: {kind: load, type: motor, draw: 3 A}
wires:
  - {run: [ACC, S1, WASH], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], rating: 10 A, limit: 10 A}
  PUMP: {kind: load, type: motor, draw: 4 A}
wires:
  - {from: ACC, to: PUMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], stays-on: unknown, rating: 10 A, limit: 10 A}
  PUMP: {kind: load, type: motor, draw: 4 A}
wires:
  - {from: ACC, to: PUMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "ACC.stays-on",
    )],
};
