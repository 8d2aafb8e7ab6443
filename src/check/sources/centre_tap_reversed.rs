//! With a master switch open, what hangs between two batteries in series gets its voltage the wrong way round.

use super::tap;
use super::tap::Tap;
use crate::check::flow;
use crate::check::prelude::*;
use crate::model::Engine;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::quantity::Volts;
use crate::solve::Memory;
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
    let taps = tap::taps(context);
    let masters = context.vehicle.switches.iter().any(|unit| unit.disconnect);
    if taps.iter().all(|tap| tap.users.is_empty()) || !masters {
        return Vec::new();
    }
    let mut solver = Solver::new(context.vehicle);
    taps.iter()
        .filter(|tap| !tap.users.is_empty())
        .map(|tap| judge_tap(context, &mut solver, tap))
        .collect()
}

/// The worst that was seen.
struct Reversed {
    part: PartId,
    master: PartId,
    volts: Volts,
    key: Key,
    on: bool,
}

fn judge_tap(context: &Context<'_>, solver: &mut Solver<'_>, tap: &Tap<'_>) -> Verdict {
    let vehicle = context.vehicle;
    let mut worst: Option<Reversed> = None;
    let mut missing: Vec<String> = Vec::new();
    for (master, unit) in vehicle.switches.iter().enumerate() {
        if !unit.disconnect {
            continue;
        }
        for key in [Key::Off, Key::Run] {
            for on in [false, true] {
                let mut state = State::parked(vehicle);
                state.key = key;
                state.engine = Engine::Stopped;
                state.settled = key == Key::Off;
                for (position, other) in state.positions.iter_mut().zip(&vehicle.switches) {
                    if on && !other.disconnect {
                        *position = other.on;
                    }
                }
                state.positions[master] = 0;
                let solution = solver.solve(&state, &Memory::charged(vehicle));
                if let Some(trouble) = &solution.trouble {
                    missing.push(format!("{}: {trouble}", context.name(unit.part)));
                    continue;
                }
                for consumer in &tap.users {
                    let branch = vehicle.branch(consumer.branch);
                    let volts = solution.at(branch.to) - solution.at(branch.from);
                    let more = worst.as_ref().is_none_or(|worst| volts > worst.volts);
                    if volts > NOTHING && more {
                        worst = Some(Reversed {
                            part: consumer.part,
                            master: unit.part,
                            volts,
                            key,
                            on,
                        });
                    }
                }
            }
        }
    }
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
    let key = match worst.key {
        Key::Off => "the key off",
        _ => "the key in run",
    };
    let on = if worst.on {
        " and everything switched on"
    } else {
        ""
    };
    Finding::new(
        part.name.at,
        format!(
            "{} gets {} the wrong way round with {} open, {key}{on}",
            words::called(part),
            words::show(worst.volts),
            words::called(master)
        ),
    )
    .label("its + goes below its -")
    .part(worst.part)
    .part(worst.master)
    .part(tap.lower)
    .part(tap.upper)
    .value(worst.volts)
    .setting(Setting {
        key: Some(worst.key),
        opened: vec![master.name.value.clone()],
        ..Setting::default()
    })
    .source("a machine maker's bulletin on centre tapping (read); the voltages are solved")
    .help("feed it from a converter across both batteries, or put the master switch into the positive cable so that both poles of the pair leave the vehicle together")
    .also(master.name.at, "is open")
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
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
    )],
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
