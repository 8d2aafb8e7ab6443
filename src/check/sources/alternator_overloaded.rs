//! The lasting load at idle is more than the alternator gives there when it is hot.

use super::average;
use super::output;
use crate::analyze::Balance;
use crate::analyze::budget;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Engine;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Situation;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "alternator-overloaded",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "the lasting load at idle is more than the alternator gives there when hot",
        page: include_str!("../../../docs/checks/alternator-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// The alternators of a vehicle together at one engine speed.
struct Output<'p> {
    parts: &'p [PartId],
    amps: Interval<Amps>,
}

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let idling: Vec<&(Situation, Solution)> = context
        .solved
        .situations
        .iter()
        .filter(|(situation, _)| {
            situation.engine == Engine::Idle && situation.key != Key::Start && !situation.shore
        })
        .collect();
    let alternators = context.parts_of(&[Kind::Alternator]);
    let parts: Vec<PartId> = alternators.map(|(id, _)| id).collect();
    if parts.is_empty() && context.vehicle.starter.is_none() {
        return Vec::new();
    }
    // One fault is enough: the situation that asks the most.
    let mut worst: Option<(&Situation, &Solution, Balance)> = None;
    for (situation, solution) in idling {
        let balance = Balance::of(context.vehicle, situation, solution);
        if worst
            .as_ref()
            .is_none_or(|(_, _, most)| balance.continuous > most.continuous)
        {
            worst = Some((situation, solution, balance));
        }
    }
    let Some((situation, solution, balance)) = worst else {
        return Vec::new();
    };
    vec![judge_worst(context, &parts, situation, solution, &balance)]
}

fn judge_worst(
    context: &Context<'_>,
    parts: &[PartId],
    situation: &Situation,
    solution: &Solution,
    balance: &Balance,
) -> Verdict {
    let needed = Interval::between(balance.continuous_low, balance.continuous_high);
    let mut missing = unknown_loads(context, situation, solution);
    if context.vehicle.own_run.is_none() {
        missing.push("vehicle.own-load.run".to_owned());
    }
    let cannot = |missing: Vec<String>| {
        let gap = Gap::of(missing);
        parts.iter().copied().fold(gap, Gap::part).shown()
    };
    let Some(amps) = budget::limit(context.vehicle, Engine::Idle) else {
        return cannot(output::missing(context));
    };
    let output = &Output { parts, amps };
    match weigh(needed, amps) {
        Weighed::Above => {
            let shows = shows(context, output);
            // A setting that no situation describes may ask for more.
            let more = |shows: &Shows| shows.worst.value > balance.continuous.0 * 1.02;
            match &shows {
                Some(shows) if more(shows) => {
                    let situation = idling(context);
                    let mut solver = Solver::new(context.vehicle);
                    let charged = Memory::charged(context.vehicle);
                    let solution = solver.solve(&shows.worst.state, &charged);
                    let balance = Balance::of(context.vehicle, &situation, &solution);
                    let first = shows.first.setting.clone();
                    fault(context, output, &situation, &solution, &balance)
                        .setting(first)
                        .worst(shows.worst.setting.clone())
                        .shown()
                }
                _ => {
                    let said = Setting {
                        situation: Some(situation.name.clone()),
                        ..Setting::default()
                    };
                    let first = shows.map_or_else(|| said.clone(), |shows| shows.first.setting);
                    fault(context, output, situation, solution, balance)
                        .setting(first)
                        .worst(said)
                        .shown()
                }
            }
        }
        Weighed::Within if missing.is_empty() => Verdict::NoneShown,
        Weighed::Within => cannot(missing),
        Weighed::Depends => {
            missing.extend(output::open(context, Engine::Idle));
            missing.extend(ranged_loads(context, situation, solution));
            cannot(missing)
        }
    }
}

/// A setting at idle as a situation of its own, by what a balance asks of one.
fn idling(context: &Context<'_>) -> Situation {
    let parked = &context.solved.situations[0].0;
    Situation {
        name: "at idle".to_owned(),
        key: Key::Run,
        engine: Engine::Idle,
        ..parked.clone()
    }
}

/// The smallest setting at idle in which more is taken all the time than the alternators give, and the one with the most.
fn shows(context: &Context<'_>, output: &Output<'_>) -> Option<Shows> {
    let vehicle = context.vehicle;
    context.solved.situations.first()?;
    let base = Base {
        state: State {
            key: Key::Run,
            engine: Engine::Idle,
            ..State::parked(vehicle)
        },
        setting: Setting {
            key: Some(Key::Run),
            also: Some("with the engine at idle".to_owned()),
            ..Setting::default()
        },
    };
    let mut solver = Solver::new(vehicle);
    search(
        vehicle,
        &[base],
        |_, unit| !unit.disconnect,
        |state| {
            let solution = solver.solve(state, &Memory::charged(vehicle));
            let balance = Balance::of(vehicle, &idling(context), &solution);
            let needed = Interval::between(balance.continuous_low, balance.continuous_high);
            (weigh(needed, output.amps) == Weighed::Above).then_some(balance.continuous.0)
        },
    )
}

/// Whether a consumer runs all the time in a situation.
fn lasts(context: &Context<'_>, situation: &Situation, consumer: &Consumer) -> bool {
    let Some(load) = flow::load(context, consumer) else {
        return true;
    };
    let mut duties = situation.duty.iter();
    let stated = duties.find(|(part, _)| *part == consumer.part);
    stated.map_or(load.duty.likely, |(_, duty)| duty.likely).0 >= 1.0 - 1e-9
}

/// Draws of what runs all the time and is live in this state, that are not stated.
fn unknown_loads(context: &Context<'_>, situation: &Situation, solution: &Solution) -> Vec<String> {
    let consumers = context.walks.consumers.iter();
    consumers
        .filter(|one| lasts(context, situation, one))
        .filter(|one| solution.live[context.vehicle.branch(one.branch).from.index()])
        .filter_map(|one| flow::unstated(context, one))
        .collect()
}

/// Draws of what runs all the time and takes something, that are known as a range only.
fn ranged_loads(context: &Context<'_>, situation: &Situation, solution: &Solution) -> Vec<String> {
    let lasting = lasting(context, situation, solution);
    let consumers = context.walks.consumers.iter();
    consumers
        .filter(|one| lasting.iter().any(|(part, _)| *part == one.part))
        .filter(|one| flow::is_ranged(context, one))
        .map(|one| average::draw_of(context, one))
        .collect()
}

fn fault(
    context: &Context<'_>,
    output: &Output<'_>,
    situation: &Situation,
    solution: &Solution,
    balance: &Balance,
) -> Finding {
    let lasting = lasting(context, situation, solution);
    let named: Vec<String> = lasting
        .iter()
        .map(|(part, amps)| format!("{} {}", context.name(*part), words::show(*amps)))
        .collect();
    let names: Vec<&str> = output
        .parts
        .iter()
        .map(|&part| context.name(part))
        .collect();
    let gives = words::range(output.amps);
    let (who, label) = match names.as_slice() {
        [name] => (
            format!("{name} gives {gives}"),
            format!("gives {gives} at a hot idle"),
        ),
        names => (
            format!("{} together give {gives}", words::list(names, 4)),
            format!("all together give {gives} at a hot idle"),
        ),
    };
    // The most that it may give is the least that the battery makes up.
    let deficit = Interval::between(
        balance.continuous - output.amps.high,
        balance.continuous - output.amps.low,
    );
    let likely = balance
        .alternator_limit
        .filter(|_| !output.amps.is_exact())
        .map_or_else(String::new, |limit| {
            format!(", likely {}", words::show(balance.continuous - limit))
        });
    let at = output.parts.first().map_or_else(Default::default, |&part| {
        let part = context.vehicle.part(part);
        if part.fields.get("at-idle").is_some() {
            part.at("at-idle")
        } else {
            part.at("rated")
        }
    });
    let mut finding = Finding::new(
        at,
        format!(
            "{} are taken all the time at idle, and {who} there when hot: the battery makes up {}{likely}",
            words::show(balance.continuous),
            words::range(deficit)
        ),
    )
    .label(label)
    .parts(output.parts.iter().copied())
    .measured(
        balance.continuous,
        output.amps.high,
        "NFPA 1901 13.3, minimum continuous load at idle (from memory); output as stated in the record",
    )
    .help(format!(
        "raise the idle, switch off {} or so while it idles, or fit an alternator that gives more at idle",
        words::range(deficit)
    ))
    .step(
        format!("{} = {}", named.join(" + "), words::show(balance.continuous)),
        format!("the network solved in `{}`, loads with a duty of 100 %", situation.name),
    );
    for (part, amps) in lasting.iter().take(4) {
        finding = finding.part(*part).also(
            context.vehicle.part(*part).name.at,
            format!("takes {}", words::show(*amps)),
        );
    }
    finding
}

/// What takes current all the time in a situation, the largest first.
fn lasting(
    context: &Context<'_>,
    situation: &Situation,
    solution: &Solution,
) -> Vec<(PartId, Amps)> {
    let mut list: Vec<(PartId, Amps)> = Vec::new();
    for consumer in &context.walks.consumers {
        let amps = solution.branch(consumer.branch).abs();
        if !lasts(context, situation, consumer) || amps.0 <= 1e-3 {
            continue;
        }
        match list.iter_mut().find(|(part, _)| *part == consumer.part) {
            Some((_, sum)) => *sum += amps,
            None => list.push((consumer.part, amps)),
        }
    }
    list.sort_by(|a, b| b.1.0.total_cmp(&a.1.0).then(a.0.cmp(&b.0)));
    list
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  LAMP: {kind: load, type: led, draw: 28 A}
wires:
  - {from: RUN, to: LAMP, size: 8 AWG, length: 2 m, insulation: 105 C}
situations:
  waiting: {key: run, engine: idle}
",
            "ALT",
        ),
        // Two supplies of one part are named as one: 28 A, and 20 A of the vehicle's own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  BOX: {kind: load, type: electronics, supplies: {memory: {draw: 8 A}, main: {draw: 20 A}}}
wires:
  - {from: RUN, to: BOX.memory, size: 8 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: BOX.main, size: 8 AWG, length: 2 m, insulation: 105 C}
",
            "BOX",
        ),
        // The heater is looked at on low in `all on`, and takes more on high; the pump runs now and then.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 100 A}
  RUN: {kind: feed, hot-in: [run], rating: 150 A, limit: 150 A}
  S1: {kind: switch, rating: 100 A, positions: {off: [], low: [[B, L]], high: [[B, H]]}, left: off}
  S2: {kind: switch, rating: 50 A, left: open}
  LOW: {kind: load, type: heater, draw: 45 A}
  HIGH: {kind: load, type: heater, draw: 70 A}
  PUMP: {kind: load, type: motor, draw: 30 A, parked: 0 mA, duty: 5 %}
wires:
  - {from: RUN, to: S1.B, size: 2 AWG, length: 1 m, insulation: 105 C}
  - {from: S1.L, to: LOW, size: 2 AWG, length: 1 m, insulation: 105 C}
  - {from: S1.H, to: HIGH, size: 2 AWG, length: 1 m, insulation: 105 C}
  - {run: [RUN, S2, PUMP], size: 6 AWG, lengths: [1 m, 1 m], insulation: 105 C}
",
            "HIGH",
        ),
        // What runs now and then elsewhere runs all the time here. Two alternators give together.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  AUX: {kind: alternator, rated: 40 A, at-idle: 5 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  SPINNER: {kind: load, type: motor, draw: 28 A, duty: 20 %}
wires:
  - {from: RUN, to: SPINNER, size: 8 AWG, length: 2 m, insulation: 105 C}
situations:
  salting the yard: {key: run, engine: idle, duty: {SPINNER: 100 %}}
",
            "SPINNER",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  LAMP: {kind: load, type: led, draw: 28 A}
wires:
  - {from: RUN, to: LAMP, size: 8 AWG, length: 2 m, insulation: 105 C}
",
        // What runs now and then is no lasting load, whatever it takes.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  PUMP: {kind: load, type: motor, draw: 28 A, duty: 5 %}
  HORN: {kind: load, type: electronics, duty: 1 %}
wires:
  - {from: RUN, to: PUMP, size: 8 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: HORN, size: 8 AWG, length: 2 m, insulation: 105 C}
",
        // It runs all the time on the road, where the alternator gives more.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  SPINNER: {kind: load, type: motor, draw: 28 A, duty: 20 %}
wires:
  - {from: RUN, to: SPINNER, size: 8 AWG, length: 2 m, insulation: 105 C}
situations:
  salting the road: {key: run, engine: cruise, duty: {SPINNER: 100 %}}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
",
            "an alternator",
        ),
        // 35 to 60 % of the nameplate: the load lies between. What runs now and then is no fact that is lacking.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 100 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  LAMP: {kind: load, type: led, draw: 28 A}
  PUMP: {kind: load, type: motor, draw: 20..30 A, duty: 5 %}
wires:
  - {from: RUN, to: LAMP, size: 8 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: PUMP, size: 8 AWG, length: 2 m, insulation: 105 C}
",
            "ALT.at-idle",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  BOX: {kind: load, type: electronics}
wires:
  - {from: RUN, to: BOX, size: 8 AWG, length: 2 m, insulation: 105 C}
",
            "BOX.draw",
        ),
        // 38 A to 48 A with the vehicle's own, and it gives 40 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  LAMP: {kind: load, type: led, draw: 18..28 A}
wires:
  - {from: RUN, to: LAMP, size: 8 AWG, length: 2 m, insulation: 105 C}
",
            "LAMP.draw",
        ),
        // What the vehicle takes itself lies on both sides of the 40 A.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20..60 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
",
            "vehicle.own-load.run",
        ),
    ],
};
