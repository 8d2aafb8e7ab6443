//! A motor's return current lifts the return of a controller.

use crate::check::flow;
use crate::check::in_row::InRow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "return-shared-with-controller",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a motor's return current lifts the return of a controller",
        page: include_str!("../../../docs/checks/return-shared-with-controller.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Motors that take less are no trouble.
const MOTOR: Amps = Amps(10.0);
/// What a controller's return may be lifted.
const LIMIT: Volts = Volts(0.1);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Controller])
        .filter_map(|(id, part)| judge_controller(context, id, part))
        .collect()
}

/// What a motor does to the return of a controller.
struct Lift<'c> {
    motor: &'c Consumer,
    amps: Amps,
    shared: Vec<Link>,
    volts: Interval<Volts>,
    likely: Volts,
    first: Setting,
    worst: Setting,
}

fn judge_controller(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let own: Vec<Link> = context
        .walks
        .consumers_of(id)
        .flat_map(|consumer| consumer.back.iter().copied())
        .collect();
    if own.is_empty() {
        return None;
    }
    let mut missing: Vec<String> = Vec::new();
    let mut lifts: Vec<Lift<'_>> = Vec::new();
    for motor in &context.walks.consumers {
        // What it switches itself comes home through it by design.
        let through = part.branches.iter().any(|&branch| {
            motor.back.contains(&Link::Branch(branch)) || motor.feed.contains(&Link::Branch(branch))
        });
        let shared: Vec<Link> = own
            .iter()
            .copied()
            .filter(|link| motor.back.contains(link))
            .collect();
        if motor.part == id || through || shared.is_empty() {
            continue;
        }
        match lift(context, motor, shared) {
            Ok(None) => {}
            Ok(Some(lift)) => match weigh(lift.volts, Interval::exact(LIMIT)) {
                Weighed::Within => {}
                Weighed::Above => lifts.push(lift),
                Weighed::Depends => {
                    missing.extend(InRow::of(context, lift.shared).ranged);
                    missing.push(flow::draw_of(context, motor));
                }
            },
            Err(lacking) => missing.extend(lacking),
        }
    }
    let worst = lifts
        .into_iter()
        .max_by(|a, b| a.likely.0.total_cmp(&b.likely.0));
    let Some(lift) = worst else {
        return Some(if missing.is_empty() {
            Verdict::NoneShown
        } else {
            Gap::of(missing).part(id).shown()
        });
    };
    Some(finding(context, id, part, &lift).shown())
}

/// How far a motor lifts what it shares; nothing for what is no large motor.
fn lift<'c>(
    context: &Context<'_>,
    motor: &'c Consumer,
    shared: Vec<Link>,
) -> Result<Option<Lift<'c>>, Vec<String>> {
    let Some(load) = flow::load(context, motor) else {
        return Ok(None);
    };
    let part = context.vehicle.part(motor.part);
    let kind = part.fields.text("type").map(|kind| kind.value.as_str());
    if !matches!(kind, Some("motor") | None) || part.kind != Kind::Load {
        return Ok(None);
    }
    let modes = load.modes.iter().map(|mode| mode.1.spread());
    let spreads = load.law.iter().map(|law| law.spread()).chain(modes);
    let spread = spreads.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    let Some((low, high)) = spread else {
        return Err(vec![flow::draw_of(context, motor)]);
    };
    let amps = flow::most(context, motor);
    if amps.0 * high <= MOTOR.0 {
        return Ok(None);
    }
    if kind.is_none() {
        return Err(vec![part.missing("type")]);
    }
    let row = InRow::of(context, shared.iter().copied());
    if !row.missing.is_empty() {
        return Err(row.missing);
    }
    let seen = context.solved.explored.branches.get(motor.branch.index());
    let lifts = |amps: Amps| Volts(amps.0.abs() * low * row.low) > LIMIT;
    let first = seen.map(|seen| {
        let mut smaller = seen.smaller.iter();
        let found = smaller.find(|(amps, _)| lifts(*amps));
        Setting::clone(found.map_or(&seen.setting, |(_, setting)| setting))
    });
    Ok(Some(Lift {
        first: first.unwrap_or_default(),
        worst: seen
            .map(|seen| Setting::clone(&seen.setting))
            .unwrap_or_default(),
        motor,
        amps,
        shared,
        volts: Interval::between(
            Volts(amps.0 * low * row.low),
            Volts(amps.0 * high * row.high),
        ),
        likely: Volts(amps.0 * row.likely),
    }))
}

fn finding(context: &Context<'_>, id: PartId, part: &Part, lift: &Lift<'_>) -> Finding {
    let motor = context.vehicle.part(lift.motor.part);
    let shared: Vec<String> = lift
        .shared
        .iter()
        .map(|link| match *link {
            Link::Wire(wire) => context.vehicle.wire(wire).id.clone(),
            Link::Branch(branch) => context.name(context.vehicle.branch(branch).part).to_owned(),
        })
        .collect();
    let wires = lift.shared.iter().filter_map(|link| match *link {
        Link::Wire(wire) => Some(wire),
        Link::Branch(_) => None,
    });
    Finding::new(
        part.name.at,
        format!(
            "the return of {} is lifted {} by {} ({}), which comes home by the same {}",
            words::called(part),
            words::show(lift.likely),
            words::called(motor),
            words::show(lift.amps),
            words::list(&shared, 4)
        ),
    )
    .label("its return moves with the motor")
    .part(id)
    .part(lift.motor.part)
    .wires(wires)
    .measured(lift.likely, LIMIT, "common practice, no source")
    .setting(lift.first.clone())
    .worst(lift.worst.clone())
    .help(format!(
        "give {} a return of its own to the chassis or the battery, apart from that of {}; at starting the motor lifts it more",
        part.name.value, motor.name.value
    ))
    .also(motor.name.at, "comes home by the same way")
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  C1: {kind: controller, type: electronics, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, hot-in: [run]}}}
  SPREAD: {kind: load, type: motor, draw: 30 A}
  G: {kind: stud, limit: 60 A, resistance: 0.3 mohm}
wires:
  - {from: RUN, to: C1.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: SPREAD, size: 8 AWG, length: 4 m, insulation: gxl}
  - {from: C1.-, to: G, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SPREAD, to: G, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: G, to: chassis, size: 10 AWG, length: 2 m, insulation: gxl}
",
        "C1",
    ),
        // A motor of two speeds lifts it by the faster: 50 A over 3 m of 8 AWG, some 6 mohm, are 0.3 V.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 80 A, limit: 80 A}
  BOX: {kind: controller, draw: 0.5 A}
  FAN: {kind: load, type: motor, draw: 20 A, modes: {high: 50 A}}
  ST: {kind: stud}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: FAN, size: 4 AWG, length: 2 m, insulation: gxl}
  - {from: BOX.-, to: ST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: FAN, to: ST, size: 4 AWG, length: 1 m, insulation: gxl}
  - {from: ST, to: chassis, size: 8 AWG, length: 3 m, insulation: gxl}
",
            "BOX",
        ),
        // What they share is the ground point itself, 5 mohm of it: 50 A are 0.25 V. The coil is no motor.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 80 A, limit: 80 A}
  BOX: {kind: controller, draw: 0.5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 60 A}
  PUMP: {kind: load, type: motor, draw: 50 A}
  G1: {kind: ground, resistance: 5 mohm}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.30, size: 4 AWG, length: 2 m, insulation: gxl}
  - {from: K1.87, to: PUMP, size: 4 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.85, to: G1, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: BOX.-, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: PUMP, to: G1, size: 4 AWG, length: 1 m, insulation: gxl}
",
            "BOX",
        ),
        // At low speed it does not yet, and the other motor lifts it less.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 100 A, limit: 100 A}
  BOX: {kind: controller, draw: 0.5 A}
  FAN: {kind: load, type: motor, draw: 20..40 A, modes: {high: 40..80 A}}
  AUX: {kind: load, type: motor, draw: 50 A}
  S1: {kind: switch, rating: 100 A}
  ST: {kind: stud, limit: 200 A, resistance: 0.3 mohm}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: FAN, size: 4 AWG, length: 2 m, insulation: gxl}
  - {run: [RUN, S1, AUX], size: 4 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: BOX.-, to: ST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: FAN, to: ST, size: 4 AWG, length: 1 m, insulation: gxl}
  - {from: AUX, to: ST, size: 4 AWG, length: 1 m, insulation: gxl}
  - {from: ST, to: chassis, size: 8 AWG, length: 2 m, insulation: gxl}
",
            "FAN",
        ),
    ],
    quiet: &[
        // The same stud, but short and thick.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  C1: {kind: controller, type: electronics, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, hot-in: [run]}}}
  SPREAD: {kind: load, type: motor, draw: 30 A}
  G: {kind: stud, limit: 60 A, resistance: 0.3 mohm}
wires:
  - {from: RUN, to: C1.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: SPREAD, size: 8 AWG, length: 4 m, insulation: gxl}
  - {from: C1.-, to: G, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SPREAD, to: G, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: G, to: chassis, size: 4 AWG, length: 40 cm, insulation: gxl}
",
        // Nothing shared.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  C1: {kind: controller, type: electronics, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, hot-in: [run]}}}
  SPREAD: {kind: load, type: motor, draw: 30 A}
wires:
  - {from: RUN, to: C1.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: SPREAD, size: 8 AWG, length: 4 m, insulation: gxl}
  - {from: C1.-, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SPREAD, to: chassis, size: 8 AWG, length: 1 m, insulation: gxl}
",
        // 5 A are no large motor, and a heater is none.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  BOX: {kind: controller, draw: 0.5 A}
  FAN: {kind: load, type: motor, draw: 5 A}
  HEAT: {kind: load, type: heater, draw: 40 A}
  ST: {kind: stud}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: FAN, size: 4 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: HEAT, size: 4 AWG, length: 2 m, insulation: gxl}
  - {from: HEAT, to: ST, size: 4 AWG, length: 1 m, insulation: gxl}
  - {from: BOX.-, to: ST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: FAN, to: ST, size: 4 AWG, length: 1 m, insulation: gxl}
  - {from: ST, to: chassis, size: 8 AWG, length: 1.5 m, insulation: gxl}
",
        // What it switches itself, in the return or in the feed.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  BOX: {kind: controller, draw: 0.5 A, outputs: {OUT1: {limit: 40 A, side: low, hot-in: [run]}, OUT2: {limit: 40 A, hot-in: [run]}}}
  FAN: {kind: load, type: motor, draw: 30 A}
  PUMP: {kind: load, type: motor, draw: 30 A}
  ST: {kind: stud}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: FAN, size: 8 AWG, length: 2 m, insulation: gxl}
  - {from: FAN, to: BOX.OUT1, size: 8 AWG, length: 2 m, insulation: gxl}
  - {from: BOX.OUT2, to: PUMP, size: 8 AWG, length: 2 m, insulation: gxl}
  - {from: PUMP, to: ST, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: BOX.-, to: ST, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: ST, to: chassis, size: 8 AWG, length: 3 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  C1: {kind: controller, type: electronics, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, hot-in: [run]}}}
  SPREAD: {kind: load, type: motor, draw: 30 A}
  G: {kind: stud, limit: 60 A, resistance: 0.3 mohm}
wires:
  - {from: RUN, to: C1.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: SPREAD, size: 8 AWG, length: 4 m, insulation: gxl}
  - {from: C1.-, to: G, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SPREAD, to: G, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: G, to: chassis, size: 10 AWG, insulation: gxl, id: strap}
",
            "strap.length",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  C1: {kind: controller, type: electronics, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, hot-in: [run]}}}
  SPREAD: {kind: load, type: motor}
  G: {kind: stud, limit: 60 A, resistance: 0.3 mohm}
wires:
  - {from: RUN, to: C1.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: SPREAD, size: 8 AWG, length: 4 m, insulation: gxl}
  - {from: C1.-, to: G, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SPREAD, to: G, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: G, to: chassis, size: 10 AWG, length: 2 m, insulation: gxl}
",
            "SPREAD.draw",
        ),
        // 1 A to 13 A, 7 A most likely, over 6 m of 8 AWG, some 13 mohm: 0.01 V to 0.17 V, and 0.1 V is the limit.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 80 A, limit: 80 A}
  BOX: {kind: controller, draw: 0.5 A}
  PUMP: {kind: load, type: motor, draw: 1..13 A}
  ST: {kind: stud}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: PUMP, size: 4 AWG, length: 2 m, insulation: gxl}
  - {from: BOX.-, to: ST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: PUMP, to: ST, size: 4 AWG, length: 1 m, insulation: gxl}
  - {from: ST, to: chassis, size: 8 AWG, length: 6 m, insulation: gxl}
",
            "PUMP.draw",
        ),
        // 25 A, and no word of whether it is a motor.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  BOX: {kind: controller, draw: 0.5 A}
  FAN: {kind: load, draw: 25 A}
  ST: {kind: stud}
wires:
  - {from: RUN, to: BOX.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: FAN, size: 4 AWG, length: 2 m, insulation: gxl}
  - {from: BOX.-, to: ST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: FAN, to: ST, size: 4 AWG, length: 1 m, insulation: gxl}
  - {from: ST, to: chassis, size: 8 AWG, length: 1.5 m, insulation: gxl}
",
            "FAN.type",
        ),
    ],
};
