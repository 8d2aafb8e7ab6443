//! With a master switch open, what hangs between two batteries in series gets its voltage the wrong way round.

use super::tap;
use super::tap::Tap;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::quantity::Volts;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "centre-tap-reversed",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "with the master switch open, equipment between two batteries gets reversed voltage",
        page: include_str!("../../../docs/checks/centre-tap-reversed.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Less is the drop of a wire.
const NOTHING: Volts = Volts(1.0);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    if !context.vehicle.switches.iter().any(|unit| unit.disconnect) {
        return Vec::new();
    }
    let mut solver = Solver::new(context.vehicle);
    tap::taps(context)
        .iter()
        .filter(|tap| !tap.users.is_empty())
        .map(|tap| judge_tap(context, &mut solver, tap))
        .collect()
}

/// What was seen with one master open.
struct Reversed {
    part: PartId,
    master: PartId,
    shows: Shows,
}

/// The user of a tap that stands most the wrong way round, and by how much.
fn reversed(context: &Context<'_>, tap: &Tap<'_>, solution: &Solution) -> Option<(PartId, Volts)> {
    let users = tap.users.iter().map(|consumer| {
        let branch = context.vehicle.branch(consumer.branch);
        (
            consumer.part,
            solution.at(branch.to) - solution.at(branch.from),
        )
    });
    users
        .filter(|(_, volts)| *volts > NOTHING)
        .max_by(|a, b| a.1.0.total_cmp(&b.1.0))
}

fn judge_tap(context: &Context<'_>, solver: &mut Solver<'_>, tap: &Tap<'_>) -> Verdict {
    let vehicle = context.vehicle;
    let mut worst: Option<Reversed> = None;
    let mut missing: Vec<String> = Vec::new();
    for (master, unit) in vehicle.switches.iter().enumerate() {
        if !unit.disconnect {
            continue;
        }
        let bases = [Key::Off, Key::Run].map(|key| {
            let mut state = State::parked(vehicle);
            state.key = key;
            state.positions[master] = 0;
            let setting = Setting {
                key: Some(key),
                opened: vec![context.name(unit.part).to_owned()],
                ..Setting::default()
            };
            Base { state, setting }
        });
        let shows = search(
            vehicle,
            &bases,
            |_, other| !other.disconnect,
            |state| {
                let solution = solver.solve(state, &Memory::charged(vehicle));
                if let Some(trouble) = &solution.trouble {
                    missing.push(format!("{}: {trouble}", context.name(unit.part)));
                    return None;
                }
                reversed(context, tap, &solution).map(|(_, volts)| volts.0)
            },
        );
        let Some(shows) = shows else { continue };
        let more = worst
            .as_ref()
            .is_none_or(|worst| shows.worst.value > worst.shows.worst.value);
        let solution = solver.solve(&shows.worst.state, &Memory::charged(vehicle));
        if let Some((part, _)) = reversed(context, tap, &solution).filter(|_| more) {
            worst = Some(Reversed {
                part,
                master: unit.part,
                shows,
            });
        }
    }
    missing.sort();
    missing.dedup();
    let Some(worst) = worst else {
        // A load of the whole string is what pulls the chassis up: one of which the draw is not stated pulls nothing here.
        let unknown = context.walks.consumers.iter().filter(|one| {
            flow::load(context, one).is_some_and(|load| load.law.is_none() && load.modes.is_empty())
        });
        missing.extend(unknown.map(|one| flow::draw_of(context, one)));
        return if missing.is_empty() {
            Verdict::NoneShown
        } else {
            Gap::of(missing).part(tap.lower).shown()
        };
    };
    let (part, master) = (vehicle.part(worst.part), vehicle.part(worst.master));
    let Shows { first, worst: most } = &worst.shows;
    let key = match most.setting.key {
        Some(Key::Run) => "the key in run",
        _ => "the key off",
    };
    let mut others = most.setting.clone();
    others.opened.remove(0);
    let on = words::when(&others);
    Finding::new(
        part.name.at,
        format!(
            "{} gets {} the wrong way round with {} open, {key}{on}",
            words::called(part),
            words::show(Volts(most.value)),
            words::called(master)
        ),
    )
    .label("its + goes below its -")
    .part(worst.part)
    .part(worst.master)
    .part(tap.lower)
    .part(tap.upper)
    .value(Volts(most.value))
    .setting(first.setting.clone())
    .worst(most.setting.clone())
    .source("a machine maker's bulletin on centre tapping (read); the voltages are solved")
    .help("feed it from a converter across both batteries, or put the master switch into the positive cable so that both poles of the pair leave the vehicle together")
    .also(master.name.at, "is open")
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  S2: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 1 A, rated-voltage: 12 V}
  HEATER: {kind: load, type: heater, draw: 8 A}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 40 cm], insulation: sgx}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BUP, F2, S2, HEATER], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "RADIO",
        ),
        // The heater comes on with the key. It pulls the chassis up; the lamp on the body's bar pulls that up less.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BODY: {kind: disconnect, rating: 100 A, left: closed}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A, battery: BUP}
  S2: {kind: switch, rating: 10 A, left: open}
  SEAT: {kind: load, type: heater, draw: 1 A, rated-voltage: 12 V}
  LAMP: {kind: load, type: heater, draw: 500 mA}
  HEATER: {kind: load, type: heater, draw: 8 A}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 40 cm], insulation: sgx}
  - {run: [BLO, F1, SEAT], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: SEAT, to: BAR, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: BAR, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [BAR, BODY, chassis], size: 6 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [RUN, S2, HEATER], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: S2.out, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "SEAT",
        ),
    ],
    quiet: &[
        // The switch is in the positive.
        "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  S2: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 1 A, rated-voltage: 12 V}
  HEATER: {kind: load, type: heater, draw: 8 A}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: BLO.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BUP, MASTER, F2, S2, HEATER], size: 14 AWG, lengths: [10 cm, 10 cm, 1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  S2: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 1 A, rated-voltage: 12 V}
  HEATER: {kind: load, type: heater}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 40 cm], insulation: sgx}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BUP, F2, S2, HEATER], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        "HEATER.draw",
    )],
};
