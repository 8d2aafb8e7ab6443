//! A feed that stays on after the key is used as if it did not.

use crate::check::flow;
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
    let mut drawn = Amps::ZERO;
    let mut names: Vec<&str> = Vec::new();
    for user in &users {
        drawn += flow::most(context, user);
        let name = context.name(user.part);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    // What flows just after the key is turned off; where nothing does by itself, the most that they take.
    let vehicle = context.vehicle;
    let setting = Setting {
        key: Some(Key::Off),
        also: Some("just after the key is turned off".to_owned()),
        ..Setting::default()
    };
    let base = Base {
        state: State::just_off(vehicle),
        setting: setting.clone(),
    };
    let mut solver = Solver::new(vehicle);
    let shows = search(
        vehicle,
        &[base],
        |_, unit| !unit.momentary,
        |state| {
            let solution = solver.solve(state, &Memory::charged(vehicle));
            let takes = users
                .iter()
                .map(|user| solution.branch(user.branch).0.abs());
            let taken: f64 = takes.sum();
            (taken > 1e-4).then_some(taken)
        },
    );
    let [first, worst] = match shows {
        Some(shows) => {
            drawn = Amps(shows.worst.value);
            [shows.first.setting, shows.worst.setting]
        }
        None => [setting.clone(), setting],
    };
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
    .setting(first)
    .worst(worst)
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
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], stays-on: 30 min, rating: 10 A, limit: 10 A}
  PUMP: {kind: load, type: motor, draw: 4 A}
wires:
  - {from: ACC, to: PUMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "ACC",
    )],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], rating: 10 A, limit: 10 A}
  PUMP: {kind: load, type: motor, draw: 4 A}
wires:
  - {from: ACC, to: PUMP, size: 14 AWG, length: 2 m, insulation: gxl}
"],
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
