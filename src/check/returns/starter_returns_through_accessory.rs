//! The starter's current comes home through a piece of equipment, because the engine's own strap is poor or missing.

use super::in_pass;
use super::is_fed;
use super::passes;
use crate::check::carries::carries;
use crate::check::flow;
use crate::check::in_row::InRow;
use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::model::Key;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "starter-returns-through-accessory",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "the starter's current comes home through equipment or its thin return",
        page: include_str!("../../../docs/checks/starter-returns-through-accessory.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// From this share of the starter's current on, a way is a main one.
const SHARE: f64 = 0.1;
/// A cable made for cranking carries, for seconds, this much of what it carries for long.
const FOR_SECONDS: f64 = 2.5;

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let starters: Vec<&Consumer> = context
        .walks
        .consumers
        .iter()
        .filter(|one| context.walks.is_starter(context.vehicle, one.part))
        .filter(|one| !one.sources.is_empty())
        .collect();
    // What is not said to be none may be one.
    let unknown = context
        .parts_of(&[Kind::Load])
        .filter(|(_, part)| part.fields.is_unknown("type"));
    let mut verdicts: Vec<Verdict> = unknown
        .map(|(id, part)| Gap::of([part.missing("type")]).part(id).shown())
        .collect();
    if starters.is_empty() {
        return verdicts;
    }
    let mut solver = Solver::new(context.vehicle);
    verdicts.extend(
        starters
            .iter()
            .map(|starter| judge_starter(context, &mut solver, starter)),
    );
    verdicts
}

fn judge_starter(context: &Context<'_>, solver: &mut Solver<'_>, starter: &Consumer) -> Verdict {
    let gap = |missing: Vec<String>| Gap::of(missing).part(starter.part).shown();
    if flow::load(context, starter).is_some_and(|load| load.law.is_none()) {
        return gap(vec![flow::draw_of(context, starter)]);
    }
    let turns = turns(context, solver, starter);
    if turns.is_empty() {
        return Verdict::NoneShown;
    }
    let through = turns.iter().find_map(|(solution, cranks)| {
        let passed = passed(context, solution, starter.part, *cranks);
        passed.first().map(|&(part, amps)| (part, amps, *cranks))
    });
    if let Some((part, amps, cranks)) = through {
        let own = context.vehicle.part(part);
        return tell(
            context,
            starter,
            (amps, cranks),
            &format!("the return of {}", words::called(own)),
            cranking(context, solver, starter, |solution, cranks| {
                let passed = passed(context, solution, starter.part, cranks);
                let own = passed.into_iter().find(|(other, _)| *other == part);
                own.map(|(_, amps)| amps)
            }),
        )
        .part(part)
        .also(own.name.at, "the starter's current passes here")
        .shown();
    }
    let mut missing = InRow::of(context, starter.back.iter().copied()).missing;
    for (id, wire) in context.wires() {
        let link = Link::Wire(id);
        if is_fed(context, wire) {
            continue;
        }
        // What of the starter's current goes that way, where that is a main one.
        let main = |solution: &Solution, cranks: Amps| {
            let own = context.walks.through_wire(id);
            let own = own
                .filter(|one| one.part != starter.part && one.back.contains(&link))
                .fold(Amps::ZERO, |sum, one| {
                    sum + solution.branch(one.branch).abs()
                });
            let amps = solution.wire(id).abs() - own;
            (amps.0 >= SHARE * cranks.0).then_some(amps)
        };
        let largest = turns
            .iter()
            .filter_map(|(solution, cranks)| Some((main(solution, *cranks)?, *cranks)))
            .max_by(|a, b| a.0.0.total_cmp(&b.0.0));
        let Some((amps, cranks)) = largest else {
            continue;
        };
        let on_its_way = starter.back.contains(&link);
        match carries(context, id) {
            Ok(carries) => {
                let most = carries.amps.high * if on_its_way { FOR_SECONDS } else { 1.0 };
                if amps > most {
                    let shows = cranking(context, solver, starter, |solution, cranks| {
                        main(solution, cranks).filter(|amps| *amps > most)
                    });
                    let told = (amps, cranks);
                    return wire_told(context, starter, id, told, carries.amps.high, shows).shown();
                }
            }
            Err(lacking) => missing.extend(lacking.iter().cloned()),
        }
    }
    if missing.is_empty() {
        Verdict::NoneShown
    } else {
        gap(missing)
    }
}

/// The states in which the starter turns, and what it takes: with the switches as they are left, on, and in each further position.
fn turns(
    context: &Context<'_>,
    solver: &mut Solver<'_>,
    starter: &Consumer,
) -> Vec<(Solution, Amps)> {
    let vehicle = context.vehicle;
    let mut found = Vec::new();
    for pass in passes(vehicle) {
        let mut state = at_start(vehicle).state;
        for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
            if !unit.disconnect {
                *position = in_pass(unit, pass);
            }
        }
        let solution = solver.solve(&state, &Memory::charged(vehicle));
        let amps = solution.branch(starter.branch).abs();
        if solution.trouble.is_none() && amps.0 > 1.0 {
            found.push((solution, amps));
        }
    }
    found
}

/// The key in start and everything else as it is left; but whoever starts the engine has closed what opens its cable.
fn at_start(vehicle: &Vehicle) -> Base {
    let mut state = State::parked(vehicle);
    state.key = Key::Start;
    let mut setting = Setting {
        key: Some(Key::Start),
        ..Setting::default()
    };
    for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
        if unit.disconnect && unit.left != unit.on {
            *position = unit.on;
            setting.switch(unit, unit.on);
        }
    }
    Base { state, setting }
}

/// The smallest setting in which so much of the starter's current goes that way, and the one in which the most does.
fn cranking(
    context: &Context<'_>,
    solver: &mut Solver<'_>,
    starter: &Consumer,
    amps: impl Fn(&Solution, Amps) -> Option<Amps>,
) -> Option<Shows> {
    let vehicle = context.vehicle;
    search(
        vehicle,
        &[at_start(vehicle)],
        |_, unit| !unit.disconnect,
        |state| {
            let solution = solver.solve(state, &Memory::charged(vehicle));
            let cranks = solution.branch(starter.branch).abs();
            let turns = solution.trouble.is_none() && cranks.0 > 1.0;
            amps(&solution, cranks).filter(|_| turns).map(|amps| amps.0)
        },
    )
}

/// Equipment through whose return terminal a main share of the starter's current passes, the largest share first.
fn passed(
    context: &Context<'_>,
    solution: &Solution,
    starter: PartId,
    cranks: Amps,
) -> Vec<(PartId, Amps)> {
    let uses = |part: &Part| {
        use crate::read::document::Kind;
        matches!(
            part.kind,
            Kind::Load | Kind::Controller | Kind::Converter | Kind::Charger | Kind::Relay
        )
    };
    let mut found: Vec<(PartId, Amps)> = Vec::new();
    for (id, part) in context
        .parts()
        .filter(|&(id, part)| id != starter && uses(part))
    {
        for &terminal in &part.terminals {
            let landing = context.landing(terminal);
            if landing.len() < 2 || context.walks.fed(terminal) {
                continue;
            }
            let into = |wire: WireId| {
                let amps = solution.wire(wire).0;
                if context.vehicle.wire(wire).to == terminal {
                    amps
                } else {
                    -amps
                }
            };
            let all: f64 = landing.iter().map(|&wire| into(wire).abs()).sum();
            let own: f64 = landing.iter().map(|&wire| into(wire)).sum();
            let through = (all - own.abs()) / 2.0;
            if through >= SHARE * cranks.0 {
                found.push((id, Amps(through)));
            }
        }
    }
    found.sort_by(|a, b| b.1.0.total_cmp(&a.1.0).then(a.0.cmp(&b.0)));
    found
}

fn wire_told(
    context: &Context<'_>,
    starter: &Consumer,
    wire: WireId,
    amps: (Amps, Amps),
    carries: Amps,
    shows: Option<Shows>,
) -> Finding {
    let own = context.vehicle.wire(wire);
    let through = format!("{}, which carries {}", own.id, words::show(carries));
    tell(context, starter, amps, &through, shows)
        .wire(wire)
        .also(context.wire_at(wire, "size"), "a way home of the starter")
}

fn tell(
    context: &Context<'_>,
    starter: &Consumer,
    (amps, cranks): (Amps, Amps),
    through: &str,
    shows: Option<Shows>,
) -> Finding {
    let part = context.vehicle.part(starter.part);
    let most = shows.as_ref().map_or(amps, |shows| Amps(shows.worst.value));
    let [first, worst] = shows.map_or_else(Default::default, |shows| {
        [shows.first.setting, shows.worst.setting]
    });
    Finding::new(
        part.name.at,
        format!(
            "while cranking {} of the {} of {} come home through {through}",
            words::show(most),
            words::show(cranks),
            words::called(part)
        ),
    )
    .label("comes home another way")
    .part(starter.part)
    .measured(
        most,
        Amps(SHARE * cranks.0),
        "common practice, no source: a way that takes more than a tenth is a main way",
    )
    .setting(first)
    .worst(worst)
    .help("make the engine's own strap to the battery or the chassis good, of the size of the positive cable, and return the equipment at one point only")
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // A rusty strap, under a master switch that is left open: the case of the heater on the engine and its return on the chassis,
        // by a switch, are the better way.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  MASTER: {kind: disconnect, rating: 300 A, left: open}
  START: {kind: feed, hot-in: [start], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 3 ohm, contact: 300 A, duty: intermittent}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  ENGINE: {kind: stud, resistance: 0.1 mohm, limit: 500 A}
  RUN: {kind: feed, hot-in: [run, start], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 20 A}
  HEATER: {kind: load, type: electronics, draw: 2 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [B1, MASTER, K1.30], size: 2/0 AWG, lengths: [50 cm, 50 cm], insulation: sgx}
  - {from: K1.87, to: STARTER, size: 2/0 AWG, length: 50 cm, insulation: sgx}
  - {from: START, to: K1.86, size: 14 AWG, length: 50 cm, insulation: gxl}
  - {from: STARTER, to: ENGINE, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: ENGINE, to: chassis, size: 2/0 AWG, insulation: sgx, resistance: 20 mohm, id: strap}
  - {from: RUN, to: HEATER, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: ENGINE, to: HEATER.-, size: 10 AWG, length: 50 cm, insulation: gxl}
  - {from: LAMP, to: HEATER.-, size: 14 AWG, length: 50 cm, insulation: gxl}
  - {run: [HEATER.-, S1, chassis], size: 10 AWG, lengths: [30 cm, 20 cm], insulation: gxl}
",
            "HEATER",
        ),
        // No strap at all: a thin return of something else is the only way.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  KEY: {kind: switch, rating: 300 A, positions: {off: [], run: [[B, R]], start: [[B, R], [B, S]]}}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  ENGINE: {kind: stud, resistance: 0.1 mohm, limit: 500 A}
  GLOW: {kind: load, type: electronics, draw: 2 A}
wires:
  - {from: B1, to: KEY.B, size: 2/0 AWG, length: 50 cm, insulation: sgx}
  - {from: KEY.S, to: STARTER, size: 2/0 AWG, length: 50 cm, insulation: sgx}
  - {from: STARTER, to: ENGINE, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: KEY.R, to: GLOW, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: GLOW, to: ENGINE, size: 14 AWG, length: 50 cm, insulation: gxl}
  - {from: ENGINE, to: chassis, size: 12 AWG, length: 50 cm, insulation: gxl, id: thin}
",
            "thin",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  ENGINE: {kind: stud, resistance: 0.1 mohm, limit: 500 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  HEATER: {kind: load, type: electronics, draw: 2 A}
wires:
  - {run: [B1, KEY, STARTER], size: 2/0 AWG, lengths: [1 m, 50 cm], insulation: sgx}
  - {from: STARTER, to: ENGINE, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: ENGINE, to: chassis, size: 2/0 AWG, insulation: sgx, length: 40 cm, id: strap}
  - {from: RUN, to: HEATER, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: HEATER.-, to: ENGINE, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: HEATER.-, to: chassis, size: 10 AWG, length: 1 m, insulation: gxl}
",
        // The stud of a relay is a place to feed from. Less than a tenth goes by the thin bond, and what the glow plugs take by their own return is none of the starter.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  ENGINE: {kind: stud, resistance: 0.1 mohm, limit: 500 A}
  START: {kind: feed, hot-in: [run, start], rating: 40 A, limit: 40 A}
  HEATER: {kind: load, type: electronics, draw: 2 A}
  GLOW: {kind: load, type: electronics, draw: 25 A}
  HEAD: {kind: stud, resistance: 0.1 mohm, limit: 60 A}
  K2: {kind: relay, coil: 90 ohm, contact: 40 A}
wires:
  - {from: B1, to: K2.30, size: 2/0 AWG, length: 50 cm, insulation: sgx}
  - {run: [K2.30, KEY, STARTER], size: 2/0 AWG, lengths: [50 cm, 50 cm], insulation: sgx}
  - {from: STARTER, to: ENGINE, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: ENGINE, to: chassis, size: 2/0 AWG, insulation: sgx, resistance: 0.5 mohm}
  - {from: START, to: HEATER, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: HEATER.-, to: ENGINE, size: 22 AWG, length: 12 cm, insulation: gpt, id: bond}
  - {from: HEATER.-, to: chassis, size: 10 AWG, length: 50 cm, insulation: gxl}
  - {from: START, to: GLOW, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: GLOW.-, to: HEAD, size: 10 AWG, length: 50 cm, insulation: gxl}
  - {from: HEAD, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl, id: own}
",
        // No position of the key turns the starter.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  START: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 3 ohm, contact: 300 A, duty: intermittent}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  ENGINE: {kind: stud, resistance: 0.1 mohm, limit: 500 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  GLOW: {kind: load, type: electronics, draw: 2 A}
wires:
  - {run: [B1, K1.30], size: 2/0 AWG, lengths: [1 m], insulation: sgx}
  - {from: K1.87, to: STARTER, size: 2/0 AWG, length: 50 cm, insulation: sgx}
  - {from: START, to: K1.86, size: 14 AWG, length: 50 cm, insulation: gxl}
  - {from: STARTER, to: ENGINE, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: RUN, to: GLOW, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: GLOW.-, to: ENGINE, size: 14 AWG, length: 50 cm, insulation: gxl}
  - {from: ENGINE, to: chassis, size: 2/0 AWG, length: 50 cm, insulation: sgx, id: thin}
  - {from: GLOW.-, to: chassis, size: 14 AWG, length: 50 cm, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, duty: 1 %}
wires:
  - {run: [B1, KEY, STARTER], size: 2/0 AWG, lengths: [1 m, 50 cm], insulation: sgx}
  - {from: STARTER, to: chassis, size: 2/0 AWG, length: 20 cm, insulation: sgx}
",
            "STARTER.draw",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
wires:
  - {run: [B1, KEY, STARTER], size: 2/0 AWG, lengths: [1 m, 50 cm], insulation: sgx}
  - {from: STARTER, to: chassis, size: 2/0 AWG, insulation: sgx, id: strap}
",
            "strap.length",
        ),
        // Its return may be too thin for it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  G1: {kind: ground}
wires:
  - {run: [B1, KEY, STARTER], size: 2/0 AWG, lengths: [50 cm, 50 cm], insulation: sgx}
  - {from: STARTER, to: G1, length: 50 cm}
",
            "w3.size",
        ),
    ],
};
