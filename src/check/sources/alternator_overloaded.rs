//! The lasting load at idle is more than the alternator gives there when it is hot.

use crate::analyze::Balance;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Basis;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Situation;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;
use crate::solve::alternator_output;

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
struct Output {
    parts: Vec<PartId>,
    amps: Interval<Amps>,
    /// Facts that would close the range, or without which there is none.
    missing: Vec<String>,
    known: bool,
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
    let output = output(context);
    if output.parts.is_empty() && context.vehicle.starter.is_none() {
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
    vec![judge_worst(context, &output, situation, solution, &balance)]
}

fn judge_worst(
    context: &Context<'_>,
    output: &Output,
    situation: &Situation,
    solution: &Solution,
    balance: &Balance,
) -> Verdict {
    let needed = Interval::between(balance.continuous_low, balance.continuous_high);
    let mut missing = unknown_loads(context, solution);
    if context.vehicle.own_run.is_none() {
        missing.push("vehicle.own-load.run".to_owned());
    }
    let cannot = |missing: Vec<String>| {
        let gap = Gap::of(missing);
        output.parts.iter().copied().fold(gap, Gap::part).shown()
    };
    if !output.known {
        return cannot(output.missing.clone());
    }
    match weigh(needed, output.amps) {
        Weighed::Above => {
            let shows = shows(context, output);
            // A setting that no situation describes may ask for more.
            let more = |shows: &Shows| shows.worst.value > balance.continuous.0 * 1.02;
            match &shows {
                Some(shows) if more(shows) => {
                    let situation = idling(context, &shows.worst.state);
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
            missing.extend(output.missing.iter().cloned());
            if needed.low < needed.high {
                missing.extend(ranged_loads(context, solution));
            }
            cannot(missing)
        }
    }
}

/// A setting at idle as a situation of its own.
fn idling(context: &Context<'_>, state: &State) -> Situation {
    let parked = &context.solved.situations[0].0;
    Situation {
        name: "at idle".to_owned(),
        key: Key::Run,
        engine: Engine::Idle,
        positions: state.positions.clone(),
        at: None,
        ..parked.clone()
    }
}

/// The smallest setting at idle in which more is taken all the time than the alternators give, and the one with the most.
fn shows(context: &Context<'_>, output: &Output) -> Option<Shows> {
    let vehicle = context.vehicle;
    context.solved.situations.first()?;
    let base = Base {
        state: State {
            key: Key::Run,
            engine: Engine::Idle,
            settled: false,
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
            let balance = Balance::of(vehicle, &idling(context, state), &solution);
            (balance.continuous_low > output.amps.high).then_some(balance.continuous.0)
        },
    )
}

fn output(context: &Context<'_>) -> Output {
    let mut sum = Output {
        parts: Vec::new(),
        amps: Interval::exact(Amps::ZERO),
        missing: Vec::new(),
        known: true,
    };
    for (id, part) in context.parts_of(&[Kind::Alternator]) {
        sum.parts.push(id);
        for &branch in &part.branches {
            let Element::Alternator { output, .. } = &context.vehicle.branch(branch).element else {
                continue;
            };
            if output.is_empty() {
                sum.known = false;
                sum.missing.push(part.missing("rated"));
                continue;
            }
            let at = |end: fn(&Interval<Amps>) -> Amps| {
                let mut points = output.clone();
                for (_, amps) in &mut points {
                    amps.likely = end(&amps.range);
                }
                Amps(alternator_output(&points, Engine::Idle))
            };
            let range = Interval::between(at(|range| range.low), at(|range| range.high));
            sum.amps = sum.amps + range;
            let assumed = output.iter().any(|(speed, amps)| {
                *speed == Engine::Idle && !matches!(amps.basis, Basis::Stated(..))
            });
            if assumed || !range.is_exact() {
                sum.missing.push(part.missing("at-idle"));
            }
        }
    }
    if sum.parts.is_empty() {
        sum.known = false;
        sum.missing.push("an alternator".to_owned());
    }
    sum
}

/// Loads that are live in this state and state no draw.
fn unknown_loads(context: &Context<'_>, solution: &Solution) -> Vec<String> {
    context
        .walks
        .consumers
        .iter()
        .filter(|consumer| {
            let branch = context.vehicle.branch(consumer.branch);
            flow::load(context, consumer)
                .is_some_and(|load| load.law.is_none() && load.modes.is_empty())
                && context.vehicle.own_load != Some(consumer.part)
                && solution.live[branch.from.index()]
        })
        .map(|consumer| flow::draw_of(context, consumer))
        .collect()
}

fn ranged_loads(context: &Context<'_>, solution: &Solution) -> Vec<String> {
    context
        .walks
        .consumers
        .iter()
        .filter(|consumer| {
            solution.branch(consumer.branch).0 > 1e-3 && flow::is_ranged(context, consumer)
        })
        .map(|consumer| flow::draw_of(context, consumer))
        .collect()
}

fn fault(
    context: &Context<'_>,
    output: &Output,
    situation: &Situation,
    solution: &Solution,
    balance: &Balance,
) -> Finding {
    let lasting = lasting(context, situation, solution);
    let named: Vec<String> = lasting
        .iter()
        .map(|(part, amps)| format!("{} {}", context.name(*part), words::show(*amps)))
        .collect();
    let name = output
        .parts
        .first()
        .map_or("the alternator", |&part| context.name(part));
    let gives = words::range(output.amps);
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
            "{} are taken all the time at idle, and {name} gives {gives} there when hot: the battery makes up {}{likely}",
            words::show(balance.continuous),
            words::range(deficit)
        ),
    )
    .label(format!("gives {gives} at a hot idle"))
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
        let continuous = match flow::load(context, consumer) {
            Some(load) => {
                let stated = situation
                    .duty
                    .iter()
                    .find(|(part, _)| *part == consumer.part);
                stated.map_or(load.duty.likely, |(_, duty)| duty.likely).0 >= 1.0 - 1e-9
            }
            None => true,
        };
        let amps = solution.branch(consumer.branch).abs();
        if !continuous || amps.0 <= 1e-3 {
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
        // What runs now and then is no lasting load.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  PUMP: {kind: load, type: motor, draw: 28 A, duty: 5 %}
wires:
  - {from: RUN, to: PUMP, size: 8 AWG, length: 2 m, insulation: 105 C}
",
    ],
    cannot: &[
        // 35 to 60 % of the nameplate: the load lies between.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 100 A}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  LAMP: {kind: load, type: led, draw: 28 A}
wires:
  - {from: RUN, to: LAMP, size: 8 AWG, length: 2 m, insulation: 105 C}
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
    ],
};
