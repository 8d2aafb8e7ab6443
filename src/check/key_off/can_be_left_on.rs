//! Draws with the key off if a named switch is left so.

use super::NOTHING;
use super::USERS;
use crate::analyze::Draw;
use crate::check::flow;
use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "can-be-left-on",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "draws with the key off if a named switch is left so",
        page: include_str!("../../../docs/checks/can-be-left-on.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let subjects = context.parts().filter(|&(id, part)| {
        (USERS.contains(&part.kind) || part.kind == Kind::Relay)
            && context.is_added(id)
            && part.stays_live.is_none()
    });
    subjects
        .filter_map(|(id, part)| judge_part(context, id, part))
        .collect()
}

fn judge_part(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let switched = context
        .key_off(id)
        .and_then(|draw| Some((draw, switched(draw)?)));
    let Some((draw, setting)) = switched else {
        // A draw that is not known at all may be one: what lacks is a fact of the part, whatever the switches do.
        let mut missing = super::missing_draw(context, id);
        let drawing = context.key_off(id).is_some();
        if missing.is_empty() {
            missing = unknown_if_left(context, id);
            if !missing.is_empty() {
                return Some(Gap::of(missing).part(id).shown());
            }
        }
        return Some(if missing.is_empty() || drawing {
            if context.solved.explored.complete || drawing {
                Verdict::NoneShown
            } else {
                Gap::of([context.not_explored()]).part(id).shown()
            }
        } else {
            Gap::of(missing).part(id).shown()
        });
    };
    if draw.range.high <= NOTHING {
        return Some(Verdict::NoneShown);
    }
    // A coil that the same switch holds in is told with the load that it switches.
    if part.kind == Kind::Relay && drives_a_load(context, id, setting) {
        return None;
    }
    if draw.range.low <= NOTHING {
        return Some(Gap::of(super::ranged_draw(context, id)).part(id).shown());
    }
    let unsure = super::unsure_feeds(context, id);
    if !unsure.is_empty() {
        return Some(Gap::of(unsure).part(id).shown());
    }
    let current = super::amps(draw);
    let name = &part.name.value;
    // What is forgotten is told; that something else that is left on as well makes it worse stands beside it.
    let (share, worst) = worst(context, part, setting);
    let most = draw.current * share;
    let at_worst = if share > 1.02 {
        format!(", up to {}", words::show(most))
    } else {
        String::new()
    };
    let mut finding = Finding::new(
        part.at("draw"),
        format!(
            "{} draws {current} with the key off{}{at_worst}",
            words::called(part),
            words::left(setting)
        ),
    )
    .label(format!("{current} for as long as it is forgotten"))
    .part(id)
    .value(most)
    .setting(setting.clone())
    .worst(worst)
    .help(format!(
        "feed the switch from something that is dead with the key off, or write `stays-live: WHY` at {name} if it has to work without the key"
    ))
    .source("every setting of the switches, solved with the key off");
    for unit in &context.vehicle.switches {
        if setting.moves(unit) {
            let at = context.vehicle.part(unit.part).name.at;
            finding = finding.part(unit.part).also(at, "if this is left so");
        }
    }
    Some(finding.shown())
}

/// Draws that are not stated, of a part that is dead as left and live with the key off where switches are left otherwise.
fn unknown_if_left(context: &Context<'_>, id: PartId) -> Vec<String> {
    let unknown = context.walks.consumers_of(id).filter_map(|consumer| {
        // What it takes when parked is known where that is stated.
        flow::load(context, consumer).filter(|load| load.parked.is_none())?;
        let branch = context.vehicle.branch(consumer.branch);
        let live = [branch.from, branch.to].iter().any(|end| {
            let seen = context.solved.explored.terminals.get(end.index());
            // With the key off it is seen only where a person can leave it so: nothing that springs back is held.
            seen.is_some_and(|seen| !seen.parked && seen.key_off.is_some())
        });
        flow::unstated(context, consumer).filter(|_| live)
    });
    unknown.collect()
}

/// The setting in which a part draws most with the key off, and how many times what it draws in the smallest.
fn worst(context: &Context<'_>, part: &Part, smallest: &Setting) -> (f64, Setting) {
    // What runs through its contacts is drawn by others.
    let takes = |branch: &&BranchId| {
        let element = &context.vehicle.branch(**branch).element;
        matches!(element, Element::Load(_) | Element::Coil { .. })
    };
    let seen = part
        .branches
        .iter()
        .filter(takes)
        .filter_map(|branch| context.solved.explored.key_off.get(branch.index()))
        .filter(|seen| seen.first().1 == smallest)
        .max_by(|a, b| a.value.0.abs().total_cmp(&b.value.0.abs()));
    match seen {
        Some(seen) if seen.value.0.abs() > 1.02 * seen.first().0.0.abs() => (
            seen.value.0.abs() / seen.first().0.0.abs(),
            Setting::clone(&seen.setting),
        ),
        _ => (1.0, smallest.clone()),
    }
}

/// The setting, where it is one of switches: what has to be used first to stay on is another check's.
fn switched(draw: &Draw) -> Option<&Setting> {
    draw.only_if
        .as_ref()
        .filter(|setting| !setting.closed.is_empty() || !setting.opened.is_empty())
}

fn drives_a_load(context: &Context<'_>, relay: PartId, setting: &Setting) -> bool {
    let draws = &context.solved.key_off.by_part;
    draws.iter().any(|other| {
        context.vehicle.part(other.part).kind != Kind::Relay
            && context.is_added(other.part)
            && switched(other).is_some_and(|other| {
                // One of the two may do more in some mode: the switches are what counts.
                other.closed == setting.closed && other.opened == setting.opened
            })
            && context
                .walks
                .consumers_of(other.part)
                .flat_map(|consumer| consumer.feed.iter().chain(&consumer.back))
                .any(|link| match *link {
                    crate::model::Link::Branch(branch) => {
                        context.vehicle.branch(branch).part == relay
                    }
                    crate::model::Link::Wire(_) => false,
                })
    })
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // What a converter passes on is drawn by what it feeds, and it takes its standby with nothing on it too.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 20 A}
  CV: {kind: converter, output: 5 V, rating: 10 A, efficiency: 90 %, standby: 12 mA}
  S2: {kind: switch, rating: 20 A}
  LAMP: {kind: load, type: led, draw: 1 A, rated-voltage: 5 V}
wires:
  - {run: [B1, F1, S1, CV], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [CV.out, S2, LAMP, chassis], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: CV.-, to: chassis, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "CV",
        ),
        // The coil that the same switch holds in is told with its load.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 9 A}
wires:
  - {run: [B1, F1, S1, K1.86], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [B1, F2, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LAMP",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [F1, S1, K1.86], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        // A relay that holds in another one, and feeds a lamp that has a switch of its own: its coil is not told with a load. The
        // clock is the vehicle's own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  PUMP: {kind: load, type: motor, draw: 4 A}
  CLOCK: {kind: load, type: electronics, draw: 5 mA, parked: 5 mA, status: factory}
  S2: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  PILOT: {kind: load, type: led, draw: 20 mA}
wires:
  - {from: S1, to: PILOT, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [K1.87, S2, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [B1, F1, S1, K1.86], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: F1, to: K1.30, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: K2.86, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, K2.30], size: 14 AWG, lengths: [1 m], insulation: gxl}
  - {from: K2.87, to: PUMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: S1, to: CLOCK, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // The relay is added, and the lamp behind it the vehicle's own: the coil is told, since the lamp is not.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 9 A, status: factory}
wires:
  - {run: [B1, F1, S1, K1.86], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: F1, to: K1.30, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // A switch that is left closed holds a relay, and whoever opens it lights the lamp.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: closed}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, stays-live: watches the door}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1, K1.86], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: F1, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        // A heater on a switch of several positions, which is named all the same.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, positions: {off: [], low: [[A, L]], high: [[A, H]]}}
  HEAT: {kind: load, type: heater, draw: 4 A}
wires:
  - {run: [B1, F1, S1.A], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.L, to: HEAT, resistance: 3 ohm}
  - {from: S1.H, to: HEAT, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "S1",
        ),
        // A mirror heater behind a resistor, and a second switch that takes the resistor out: half of it is drawn where only the
        // first is forgotten.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  S1: {kind: switch, rating: 15 A}
  HIGH: {kind: switch, rating: 15 A}
  MIRROR: {kind: load, type: heater, draw: 1 A}
wires:
  - {run: [B1, F1, S1], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {id: R1, from: S1, to: MIRROR, resistance: 13 ohm}
  - {run: [S1, HIGH, MIRROR], size: 12 AWG, lengths: [20 cm, 1 m], insulation: gxl}
",
            "MIRROR",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, left: open}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        // A button springs back, also that of a bell of which nobody knows what it takes.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, momentary: true}
  LAMP: {kind: load, type: led, draw: 2 A}
  S2: {kind: switch, rating: 10 A, momentary: true}
  BELL: {kind: load}
wires:
  - {run: [F1, S2, BELL], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[
        // Nobody knows what it takes when it is on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led}
wires:
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LAMP.draw",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 2 A}
wires:
  - {run: [B1, F1, S1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "RADIO.parked",
        ),
    ],
};
