//! Draws although the master switch is open, by a feed or a return of its own.

use std::collections::VecDeque;

use crate::check::flow;
use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "disconnect-bypassed",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "with the master switch open something still draws, by its feed or by its return",
        page: include_str!("../../../docs/checks/disconnect-bypassed.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Less than this is leakage.
const NOTHING: Amps = Amps(1e-3);

/// On which side of its battery a master switch sits.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Plus,
    Minus,
}

/// A switch that opens the cable of a battery.
struct Master {
    part: PartId,
    unit: usize,
    side: Side,
    /// Index into the sources of the walks.
    source: usize,
}

/// Something that draws, or may, with a master open.
struct Bypass {
    part: PartId,
    amps: Amps,
    key: Key,
}

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let masters = masters(context);
    if masters.is_empty() {
        return Vec::new();
    }
    let mut solver = Solver::new(context.vehicle);
    masters
        .iter()
        .map(|master| judge_master(context, &mut solver, master))
        .collect()
}

/// Disconnects that open the cable of a battery: what leads to its `-`, or what its starter is fed through.
fn masters(context: &Context<'_>) -> Vec<Master> {
    let vehicle = context.vehicle;
    let mut masters = Vec::new();
    for (unit, switch) in vehicle.switches.iter().enumerate() {
        let part = vehicle.part(switch.part);
        let Some(branch) = context.passage(part).filter(|_| switch.disconnect) else {
            continue;
        };
        let starters = context.walks.consumers.iter();
        let cranks: Vec<&Consumer> = starters
            .filter(|consumer| context.walks.is_starter(vehicle, consumer.part))
            .filter(|consumer| consumer.feed.contains(&Link::Branch(branch)))
            .collect();
        for (source, battery) in context.walks.sources.iter().enumerate() {
            if vehicle.part(battery.part).kind != Kind::Battery {
                continue;
            }
            let fixed = |link: Link| match link {
                Link::Wire(_) => true,
                Link::Branch(branch) => {
                    matches!(vehicle.branch(branch).element, Element::Joint(_))
                }
            };
            let ends = [vehicle.branch(branch).from, vehicle.branch(branch).to];
            let touches = |post: TerminalId| {
                let reached = reached(context, post, fixed);
                ends.iter().any(|end| reached[end.index()])
            };
            let cranked = cranks
                .iter()
                .any(|consumer| consumer.sources.contains(&source));
            let side = if battery.minus != TerminalId::CHASSIS && touches(battery.minus) {
                Side::Minus
            } else if cranked && touches(battery.plus) {
                Side::Plus
            } else {
                continue;
            };
            masters.push(Master {
                part: switch.part,
                unit,
                side,
                source,
            });
        }
    }
    masters
}

/// What can be got to from a terminal over some of the links; the chassis is reached but not passed.
fn reached(context: &Context<'_>, from: TerminalId, passes: impl Fn(Link) -> bool) -> Vec<bool> {
    let vehicle = context.vehicle;
    let mut seen = vec![false; vehicle.terminals.len()];
    seen[from.index()] = true;
    let mut queue = VecDeque::from([from]);
    while let Some(at) = queue.pop_front() {
        for edge in vehicle.graph.edges(at.node()) {
            let link = *edge.weight();
            if !passes(link) {
                continue;
            }
            let (a, b) = match link {
                Link::Wire(wire) => (vehicle.wire(wire).from, vehicle.wire(wire).to),
                Link::Branch(branch) => (vehicle.branch(branch).from, vehicle.branch(branch).to),
            };
            let next = if a == at { b } else { a };
            if !seen[next.index()] {
                seen[next.index()] = true;
                if next != TerminalId::CHASSIS {
                    queue.push_back(next);
                }
            }
        }
    }
    seen
}

fn judge_master(context: &Context<'_>, solver: &mut Solver<'_>, master: &Master) -> Verdict {
    let vehicle = context.vehicle;
    // A feed of which the record does not say what it hangs on is no proof of a way past a switch in the positive.
    let keys: &[Key] = match master.side {
        Side::Minus => &[Key::Off, Key::Run],
        Side::Plus => &[Key::Off],
    };
    let mut found: Vec<Bypass> = Vec::new();
    let mut missing: Vec<String> = Vec::new();
    for &key in keys {
        for on in [false, true] {
            let mut state = State::parked(vehicle);
            state.key = key;
            state.engine = Engine::Stopped;
            state.settled = key == Key::Off;
            for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
                if on && !unit.disconnect {
                    *position = unit.on;
                }
            }
            state.positions[master.unit] = 0;
            let solution = solver.solve(&state, &Memory::charged(vehicle));
            if let Some(trouble) = &solution.trouble {
                missing.push(format!("{}: {trouble}", context.name(master.part)));
                continue;
            }
            look(context, master, &solution, key, &mut found, &mut missing);
        }
    }
    missing.sort();
    missing.dedup();
    if found.is_empty() {
        return if missing.is_empty() {
            Verdict::NoneShown
        } else {
            Gap::of(missing).part(master.part).shown()
        };
    }
    let shows = shows(context, solver, master, keys);
    finding(context, master, &found, shows).shown()
}

/// The smallest setting in which anything draws past an open master, and the one in which the most is drawn.
fn shows(
    context: &Context<'_>,
    solver: &mut Solver<'_>,
    master: &Master,
    keys: &[Key],
) -> Option<Shows> {
    let vehicle = context.vehicle;
    let bases: Vec<Base> = keys
        .iter()
        .map(|&key| {
            let mut state = State::parked(vehicle);
            state.key = key;
            state.settled = key == Key::Off;
            state.positions[master.unit] = 0;
            let setting = Setting {
                key: Some(key),
                opened: vec![context.name(master.part).to_owned()],
                ..Setting::default()
            };
            Base { state, setting }
        })
        .collect();
    search(
        vehicle,
        &bases,
        |_, unit| !unit.disconnect,
        |state| {
            let solution = solver.solve(state, &Memory::charged(vehicle));
            let mut found = Vec::new();
            if solution.trouble.is_none() {
                look(
                    context,
                    master,
                    &solution,
                    state.key,
                    &mut found,
                    &mut Vec::new(),
                );
            }
            let sum = found.iter().fold(0.0, |sum, one: &Bypass| sum + one.amps.0);
            (!found.is_empty()).then_some(sum)
        },
    )
}

/// Parts in whose loop the battery still stands with the switch open.
fn look(
    context: &Context<'_>,
    master: &Master,
    solution: &Solution,
    key: Key,
    found: &mut Vec<Bypass>,
    missing: &mut Vec<String>,
) {
    let vehicle = context.vehicle;
    let closed = |link: Link| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => conducts(context, solution, branch),
    };
    let source = &context.walks.sources[master.source];
    let fed = reached(context, source.plus, closed);
    let home = reached(context, context.walks.bottom(master.source), closed);
    // Over the chassis as well, where the battery still stands on it.
    let home = if home[TerminalId::CHASSIS.index()] {
        let more = reached(context, TerminalId::CHASSIS, closed);
        home.iter().zip(&more).map(|(a, b)| *a || *b).collect()
    } else {
        home
    };
    for consumer in &context.walks.consumers {
        let id = consumer.part;
        let part = vehicle.part(id);
        let wanted = part.stays_live.is_some()
            || vehicle.own_load == Some(id)
            || !context.is_added(id)
            || part.kind == Kind::Delay;
        if wanted || !consumer.sources.contains(&master.source) {
            continue;
        }
        let branch = vehicle.branch(consumer.branch);
        let back = match branch.element {
            Element::Converter { back, .. } => back,
            _ => branch.to,
        };
        let ends = [branch.from, back];
        let loops = [[0, 1], [1, 0]]
            .iter()
            .any(|&[a, b]| fed[ends[a].index()] && home[ends[b].index()]);
        if !loops {
            continue;
        }
        if master.side == Side::Plus
            && let Some(feed) = loose_feed(context, consumer, solution)
        {
            missing.push(feed);
            continue;
        }
        let amps = match branch.element {
            Element::Converter { .. } => solution
                .inputs
                .iter()
                .find(|(branch, _)| *branch == consumer.branch)
                .map_or(Amps::ZERO, |(_, amps)| amps.abs()),
            _ => solution.branch(consumer.branch).abs(),
        };
        if amps <= NOTHING {
            if let Some(load) = flow::load(context, consumer)
                && load.law.is_none()
                && load.modes.is_empty()
                && !(key == Key::Off && load.parked.is_some())
            {
                missing.push(flow::draw_of(context, consumer));
            }
            continue;
        }
        match found.iter_mut().find(|bypass| bypass.part == id) {
            Some(bypass) if amps > bypass.amps && bypass.key == key => bypass.amps = amps,
            Some(_) => {}
            None => found.push(Bypass {
                part: id,
                amps,
                key,
            }),
        }
    }
}

fn conducts(context: &Context<'_>, solution: &Solution, branch: BranchId) -> bool {
    matches!(
        context.vehicle.branch(branch).element,
        Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
    ) && solution.closed[branch.index()]
}

/// The first live feed on the way of a consumer of which the record does not say what it is fed from.
fn loose_feed(context: &Context<'_>, consumer: &Consumer, solution: &Solution) -> Option<String> {
    consumer.feed.iter().find_map(|link| match *link {
        Link::Branch(branch) if solution.closed[branch.index()] => {
            let part = context.vehicle.part(context.vehicle.branch(branch).part);
            let loose = part.kind == Kind::Feed && part.fields.get("from").is_none();
            loose.then(|| part.missing("from"))
        }
        _ => None,
    })
}

fn finding(
    context: &Context<'_>,
    master: &Master,
    found: &[Bypass],
    shows: Option<Shows>,
) -> Finding {
    let vehicle = context.vehicle;
    let switch = vehicle.part(master.part);
    let battery = context.walks.sources[master.source].part;
    let first = &found[0];
    let names: Vec<String> = found
        .iter()
        .map(|bypass| words::called(vehicle.part(bypass.part)))
        .collect();
    let verb = if found.len() == 1 { "draws" } else { "draw" };
    let sum = shows.as_ref().map_or_else(
        || found.iter().fold(Amps::ZERO, |sum, one| sum + one.amps),
        |shows| Amps(shows.worst.value),
    );
    let [smallest, worst] = shows.map_or_else(Default::default, |shows| {
        [shows.first.setting, shows.worst.setting]
    });
    let (way, mend) = match master.side {
        Side::Minus => (
            "its return gets to the battery past the switch",
            format!(
                "land the return on the chassis, or on the side of {} away from the battery",
                switch.name.value
            ),
        ),
        Side::Plus => (
            "its feed starts on the battery's side of the switch",
            format!(
                "feed it from the side of {} away from the battery",
                switch.name.value
            ),
        ),
    };
    let key = match worst.key {
        Some(Key::Run) => ", key in run",
        _ => "",
    };
    let mut finding = Finding::new(
        vehicle.part(first.part).name.at,
        format!(
            "{} still {verb} {} from {} with {} open{key}",
            words::list(&names, 4),
            words::show(sum),
            context.name(battery),
            words::called(switch),
        ),
    )
    .label(way)
    .part(first.part)
    .value(sum)
    .setting(smallest)
    .worst(worst)
    .source("the network solved with the engine stopped and the switch open")
    .help(format!(
        "{mend}; where it is meant to go on, write `stays-live: WHY` at it"
    ));
    for bypass in &found[1..] {
        finding = finding
            .also(
                vehicle.part(bypass.part).name.at,
                format!("still takes {}", words::show(bypass.amps)),
            )
            .part(bypass.part);
    }
    finding
        .also(switch.name.at, "is open")
        .part(master.part)
        .part(battery)
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // By its return, with the key in run only.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: B1.-, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "LAMP",
        ),
        // By its feed.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, MASTER, KEY, STARTER], size: 2/0 AWG, lengths: [40 cm, 50 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LAMP",
        ),
        // A converter whose return lands on the post, and what it feeds: 5 V x 1 A / 90 % of 12.9 V, and 20 mA of its own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CONV: {kind: converter, output: 5 V, rating: 5 A, efficiency: 90 %, standby: 20 mA}
  CAM: {kind: load, type: electronics, draw: 1 A, rated-voltage: 5 V}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, CONV.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CONV.-, to: B1.-, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CONV.out, to: CAM, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CAM, to: CONV.-, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "CONV",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
",
        // It is meant to go on, and the record says so.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 2 A, form: blade}
  TRACKER: {kind: load, type: electronics, draw: 20 mA, parked: 5 mA, stays-live: recovery after theft}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: TRACKER, to: B1.-, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // A second battery is not the one whose cable the switch opens.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F2: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: B2.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx}
  - {run: [B2, F2, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: B1.-, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "LAMP.draw",
    ),
        // A feed that is always hot, and no word of which side of the switch in the positive it hangs on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  BATT: {kind: feed, hot-in: always, rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, MASTER, KEY, STARTER], size: 2/0 AWG, lengths: [40 cm, 50 cm, 50 cm], insulation: sgx}
  - {from: BATT, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "BATT.from",
        ),
    ],
};
