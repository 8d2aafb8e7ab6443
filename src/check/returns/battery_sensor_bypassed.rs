//! A return that lands on a battery post with a current sensor on it.

use crate::check::prelude::*;
use crate::check::spread::spread;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::WireId;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "battery-sensor-bypassed",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "a return lands on the battery's negative post past the current sensor that sits there",
        page: include_str!("../../../docs/checks/battery-sensor-bypassed.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for battery in &context.vehicle.batteries {
        let part = context.vehicle.part(battery.part);
        let Some(post) = context.terminal(part, "-") else {
            continue;
        };
        verdicts.push(judge_battery(context, battery.part, part, post));
    }
    verdicts
}

fn judge_battery(context: &Context<'_>, id: PartId, part: &Part, post: TerminalId) -> Verdict {
    if part.fields.get("sensor").is_some() && !part.fields.flag("sensor") {
        return Verdict::NoneShown;
    }
    let landed = returns_on(context, post);
    let Some((&(first, _), rest)) = landed.split_first() else {
        return Verdict::NoneShown;
    };
    if part.fields.get("sensor").is_none() {
        let gap = Gap::of([part.missing("sensor")]).part(id);
        return landed
            .iter()
            .fold(gap, |gap, &(wire, _)| gap.wire(wire))
            .shown();
    }
    let users: Vec<&str> = landed.iter().map(|&(_, user)| context.name(user)).collect();
    let verb = if users.len() == 1 {
        "returns"
    } else {
        "return"
    };
    let name = &part.name.value;
    let finding = Finding::new(
        end_at(context, first, post),
        format!(
            "{} {verb} to the negative post of {}, past the current sensor on it: the vehicle does not see what is drawn there",
            words::list(&users, 4),
            words::called(part)
        ),
    )
    .label("past the sensor")
    .wire(first)
    .wires(rest.iter().map(|&(wire, _)| wire))
    .parts(landed.iter().map(|&(_, user)| user))
    .part(id)
    .source("vehicle makers' bulletins on battery sensors (read)")
    .help(format!(
        "land the return on the chassis, near where the cable of {name} lands, so that its current runs through the sensor"
    ));
    rest.iter()
        .fold(finding, |finding, &(wire, _)| {
            finding.also(end_at(context, wire, post), "and this one")
        })
        .also(part.at("sensor"), "the sensor")
        .shown()
}

/// Added wires on a post that bring the current of a consumer home, each with the first consumer that it serves: not the cable
/// to the chassis, which carries everybody's.
fn returns_on(context: &Context<'_>, post: TerminalId) -> Vec<(WireId, PartId)> {
    let vehicle = context.vehicle;
    let landing = context.landing(post);
    landing
        .into_iter()
        .filter(|&wire| vehicle.wire(wire).status != Status::Factory)
        .filter(|&wire| !to_chassis(context, wire, post))
        .filter_map(|wire| {
            let user = context.walks.consumers.iter().find(|consumer| {
                consumer.back.contains(&Link::Wire(wire))
                    && vehicle.own_load != Some(consumer.part)
                    && context.is_added(consumer.part)
            })?;
            Some((wire, user.part))
        })
        .collect()
}

/// Whether a wire leads from a post to the chassis over wires, joints and contacts: the battery's own cable.
fn to_chassis(context: &Context<'_>, wire: WireId, post: TerminalId) -> bool {
    let vehicle = context.vehicle;
    let ends = vehicle.wire(wire);
    let start = if ends.from == post {
        ends.to
    } else {
        ends.from
    };
    let leads = |link, _| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => matches!(
            vehicle.branch(branch).element,
            Element::Joint(_) | Element::Contact { .. }
        ),
    };
    let stops = |at| at == post || at == TerminalId::CHASSIS;
    spread(vehicle, [start], stops, leads).contains(&TerminalId::CHASSIS)
}

/// Where the record names the end of a wire that lands on a post.
fn end_at(context: &Context<'_>, wire: WireId, post: TerminalId) -> crate::source::Span {
    if context.vehicle.wire(wire).to == post {
        context.wire_to(wire)
    } else {
        context.wire_from(wire)
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, sensor: true}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: B1.-, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: B1.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx}
",
            "LAMP",
        ),
        // Two returns on the post, one of them written from the post.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, sensor: true}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  A: {kind: load, type: led, draw: 2 A}
  B: {kind: load, type: led, draw: 3 A}
wires:
  - {from: RUN, to: A, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: B, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: A, to: B1.-, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: B1.-, to: B.-, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "B",
        ),
    ],
    quiet: &[
        // On the chassis.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, sensor: true}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: B1.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx}
",
        // No sensor there.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, sensor: false}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: B1.-, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: B1.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx}
",
        // The battery's cable over a stud that returns share: beyond the sensor.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, sensor: true}
  G: {kind: stud, limit: 200 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: G, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1.-, G, chassis], size: 2/0 AWG, lengths: [40 cm, 20 cm], insulation: sgx}
",
        // The battery's cable over a master switch, with a return beyond the sensor on this side of it.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, sensor: true}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: MASTER.in, size: 14 AWG, length: 2 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: B1.-, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: B1.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx}
",
        "B1.sensor",
    )],
};
