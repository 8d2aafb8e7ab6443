//! A pilot lamp that is lit although its switch is open: it hangs on the line side.

use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Key;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::quantity::Amps;
use crate::solve::LIVE;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "lamp-on-line-side",
        level: Level::Note,
        harm: Harm::Nuisance,
        summary: "a pilot lamp is lit from the line side of its switch",
        page: include_str!("../../../docs/checks/lamp-on-line-side.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// A pilot lamp and the switch that it stands for.
struct Pilot<'a> {
    id: PartId,
    part: &'a Part,
    lamp: BranchId,
    switch: PartId,
    unit: usize,
    /// The position in which none of the switch's contacts is closed.
    open: u8,
    contacts: Vec<BranchId>,
}

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let pilots: Vec<Pilot<'_>> = context
        .parts()
        .filter_map(|(id, part)| pilot(context, id, part))
        .collect();
    if pilots.is_empty() {
        return Vec::new();
    }
    let mut solver = Solver::new(context.vehicle);
    pilots
        .iter()
        .map(|pilot| judge_pilot(context, &mut solver, pilot))
        .collect()
}

fn pilot<'a>(context: &Context<'a>, id: PartId, part: &'a Part) -> Option<Pilot<'a>> {
    let vehicle = context.vehicle;
    let name = &part.fields.text("indicates")?.value;
    let mut units = vehicle
        .switches
        .iter()
        .enumerate()
        .filter(|(_, unit)| context.name(unit.part) == name);
    let (unit, switch) = units.next()?;
    if units.next().is_some() {
        // Which of a controller's outputs it stands for is not said.
        return None;
    }
    let lamp = part
        .branches
        .iter()
        .copied()
        .find(|&branch| matches!(vehicle.branch(branch).element, Element::Load(_)))?;
    let own = |branch: BranchId| match &vehicle.branch(branch).element {
        Element::Contact {
            control: Control::Switch { closed_in, .. },
            ..
        } => Some(closed_in.clone()),
        // A feed or a controller's output that the driver switches.
        Element::Contact {
            control: Control::Hot { unit: Some(_), .. } | Control::Output { unit: Some(_), .. },
            ..
        } => Some(vec![1]),
        _ => None,
    };
    let branches = &vehicle.part(switch.part).branches;
    let contacts: Vec<(BranchId, Vec<u8>)> = branches
        .iter()
        .filter_map(|&branch| Some((branch, own(branch)?)))
        .collect();
    let open = (0..switch.positions.len() as u8).find(|position| {
        contacts
            .iter()
            .all(|(_, closed)| !closed.contains(position))
    })?;
    Some(Pilot {
        id,
        part,
        lamp,
        switch: switch.part,
        unit,
        open,
        contacts: contacts.into_iter().map(|(branch, _)| branch).collect(),
    })
}

fn judge_pilot(context: &Context<'_>, solver: &mut Solver<'_>, pilot: &Pilot<'_>) -> Verdict {
    let vehicle = context.vehicle;
    for key in [Key::Off, Key::Accessory, Key::Run] {
        for on in [false, true] {
            let mut state = State {
                key,
                ..State::parked(vehicle)
            };
            for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
                if on && !unit.disconnect {
                    *position = unit.on;
                }
            }
            state.positions[pilot.unit] = pilot.open;
            let solution = solver.solve(&state, &Memory::charged(vehicle));
            if !lit(context, pilot, &solution) {
                continue;
            }
            let unsure = super::unsure_feeds(context, pilot.id);
            if !unsure.is_empty() {
                return Gap::of(unsure).part(pilot.id).shown();
            }
            return match shows(context, solver, pilot) {
                Some(shows) => fault(context, pilot, &shows).shown(),
                None => Verdict::NoneShown,
            };
        }
    }
    Verdict::NoneShown
}

/// The smallest setting in which it is lit while its switch is open, and the one in which it takes most.
fn shows(context: &Context<'_>, solver: &mut Solver<'_>, pilot: &Pilot<'_>) -> Option<Shows> {
    let vehicle = context.vehicle;
    let bases = [Key::Off, Key::Accessory, Key::Run].map(|key| {
        let mut state = State {
            key,
            ..State::parked(vehicle)
        };
        state.positions[pilot.unit] = pilot.open;
        let setting = Setting {
            key: (key != Key::Off).then_some(key),
            opened: vec![vehicle.switches[pilot.unit].label.clone()],
            ..Setting::default()
        };
        Base { state, setting }
    });
    search(
        vehicle,
        &bases,
        |at, unit| at != pilot.unit && !unit.disconnect,
        |state| {
            let solution = solver.solve(state, &Memory::charged(vehicle));
            lit(context, pilot, &solution).then(|| solution.branch(pilot.lamp).0.abs())
        },
    )
}

/// Lit, while the switch really separates: where both its sides are live all the same, the circuit is on by another way.
fn lit(context: &Context<'_>, pilot: &Pilot<'_>, solution: &Solution) -> bool {
    let across = |branch: BranchId| {
        let branch = context.vehicle.branch(branch);
        (solution.at(branch.from) - solution.at(branch.to)).abs().0
    };
    across(pilot.lamp) > LIVE && pilot.contacts.iter().any(|&contact| across(contact) > LIVE)
}

fn fault(context: &Context<'_>, pilot: &Pilot<'_>, shows: &Shows) -> Finding {
    let vehicle = context.vehicle;
    let switch = vehicle.part(pilot.switch);
    let name = &vehicle.switches[pilot.unit].label;
    let first = &shows.first.setting;
    let key_words = match first.key {
        None => "with the key off".to_owned(),
        Some(key) => format!("with the key in {}", key.text()),
    };
    let amps = Amps(shows.worst.value);
    let draws = if amps.0 <= 0.0 {
        String::new()
    } else if shows.worst.setting == *first {
        format!(" and takes {}", words::show(amps))
    } else {
        format!(" and takes up to {}", words::show(amps))
    };
    let mut others = first.clone();
    others.opened.remove(0);
    let others = words::when(&others);
    Finding::new(
        pilot.part.at("indicates"),
        format!(
            "{} is lit{draws} {key_words} while {name} is open{others}: it hangs on the line side of {name}",
            words::called(pilot.part)
        ),
    )
    .label("says on when it is off")
    .part(pilot.id)
    .part(pilot.switch)
    .value(amps)
    .setting(first.clone())
    .worst(shows.worst.setting.clone())
    .also(switch.name.at, "is open")
    .source("the network solved with this switch open")
    .help(format!(
        "move the wire of {} to the load side of {name}; ten such lamps take as much as a relay",
        pilot.part.name.value
    ))
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  PILOT: {kind: load, type: led, draw: 20 mA, indicates: S1}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: F1, to: PILOT, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "PILOT",
        ),
        // Only with the key in run, and while another switch does not put the panel's lamps out.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  DARK: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  PILOT: {kind: load, type: led, draw: 20 mA, indicates: S1}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [RUN, DARK, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: RUN, to: K1.30, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: PILOT, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "PILOT",
        ),
        // The pilot lamp of a feed that the driver switches, on another feed behind the switch of the panel.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  AUX: {kind: feed, hot-in: [run], driver-switched: true, rating: 10 A, limit: 10 A}
  PANEL: {kind: switch, rating: 10 A}
  PILOT: {kind: load, type: led, draw: 20 mA, indicates: AUX}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: AUX, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [RUN, PANEL, PILOT], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "PILOT",
        ),
        // The same of a controller's output.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  BOX: {kind: controller, type: electronics, draw: 0.2 A, outputs: {OUT: {limit: 5 A, driver-switched: true, hot-in: [always]}, AUX: {limit: 5 A, hot-in: [run]}}}
  PILOT: {kind: load, type: led, draw: 20 mA, indicates: BOX}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, BOX.+], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: BOX.OUT, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: PILOT, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "PILOT",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  PILOT: {kind: load, type: led, draw: 20 mA, indicates: S1}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: S1, to: PILOT, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // Another switch may turn the same lamp on: then the pilot is lit by right.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  PILOT: {kind: load, type: led, draw: 20 mA, indicates: S1}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [F1, S2, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: S1, to: PILOT, size: 18 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  PILOT: {kind: load, type: led, draw: 20 mA, indicates: S1}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [TAP, S1, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: TAP, to: PILOT, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "TAP.hot-in",
    )],
};
