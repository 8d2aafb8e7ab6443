//! A shared return stands above the chassis when everything that uses it is on.

use super::point;
use super::point::Point;
use crate::check::flow;
use crate::check::in_row::InRow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Setting;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::solve::LIVE;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "ground-rise",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a return that several parts share rises above the chassis when they are on",
        page: include_str!("../../../docs/checks/ground-rise.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let points = point::points(context);
    points
        .iter()
        .filter(|point| point.parts().len() > 1)
        .map(|point| judge_point(context, point))
        .collect()
}

fn judge_point(context: &Context<'_>, point: &Point<'_>) -> Verdict {
    let gap = |missing: Vec<String>| Gap::of(missing).part(point.id).shown();
    let flow = point.flow(context);
    let (way, end) = point.way_home(context);
    let row = InRow::of(context, way.iter().copied());
    let seen = context.solved.explored.highest.get(point.terminal.index());
    let Some(seen) = seen else {
        return gap(vec![context.not_explored()]);
    };
    let limit = Volts(LIVE);
    // What lies between a battery's post and the chassis, a master switch that is open or the cranking cable, is none of its way.
    let post = context.vehicle.terminal(end);
    let on_battery = post
        .part
        .is_some_and(|owner| context.vehicle.part(owner).kind == Kind::Battery);
    let above = if on_battery {
        post.label.as_str()
    } else {
        "the chassis"
    };
    // Nor has a return risen that a switch has opened: nothing is on then.
    let switched = way.iter().any(|link| match *link {
        Link::Branch(branch) => {
            let element = &context.vehicle.branch(branch).element;
            matches!(element, Element::Contact { .. })
        }
        Link::Wire(_) => false,
    });
    let (volts, first, worst) = if on_battery || switched {
        let volts = point.lost(context, &way);
        (
            volts,
            flow.showing(flow.amps * (limit.0 / volts.0)),
            Setting::clone(&flow.setting),
        )
    } else {
        (
            Volts(seen.value.0.abs()),
            seen.showing(limit).clone(),
            Setting::clone(&seen.setting),
        )
    };
    let share = |end: f64, of: f64| if of > 0.0 { end / of } else { 1.0 };
    let low = share(flow.range.low.0, flow.amps.0) * share(row.low, row.likely);
    let high = share(flow.range.high.0, flow.amps.0) * share(row.high, row.likely);
    let range = Interval::between(Volts(volts.0 * low), Volts(volts.0 * high));
    match weigh(range, Interval::exact(limit)) {
        Weighed::Above => {}
        Weighed::Within => {
            let mut missing = flow.missing;
            missing.extend(row.missing);
            return if missing.is_empty() {
                Verdict::NoneShown
            } else {
                gap(missing)
            };
        }
        Weighed::Depends => {
            let mut missing = flow.wanted();
            missing.extend(row.ranged);
            return gap(missing);
        }
    }
    let users: Vec<(PartId, Amps)> =
        flow::takers(context, &point.users, flow.amps, |_| Amps::ZERO).list;
    let names: Vec<&str> = users.iter().map(|&(part, _)| context.name(part)).collect();
    let name = &point.part.name.value;
    let finding = Finding::new(
        point.part.name.at,
        format!(
            "{} rises {} above {above} when all is on that returns there: {}",
            words::called(point.part),
            words::show(volts),
            words::list(&names, 4)
        ),
    )
    .label(format!("{} above {above}", words::show(volts)))
    .part(point.id)
    .parts(users.iter().map(|&(part, _)| part))
    .measured(
        volts,
        limit,
        "common practice, no source: a return that a meter takes to be live is none",
    )
    .setting(first)
    .worst(worst)
    .help(format!(
        "join {name} to {above} with a shorter or thicker cable, or return the largest of them by itself"
    ))
    .step(
        format!(
            "{} x {:.2} mohm of the way home from {name} = {}",
            words::show(flow.amps),
            row.likely * 1e3,
            words::show(Volts(flow.amps.0 * row.likely))
        ),
        "the network solved in every setting",
    );
    users
        .iter()
        .take(4)
        .fold(finding, |finding, &(part, _)| {
            finding.also(context.vehicle.part(part).name.at, "returns there")
        })
        .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEATER: {kind: load, type: heater, draw: 30 A}
  RADIO: {kind: load, type: electronics, draw: 1 A}
  RACK: {kind: stud, limit: 60 A, resistance: 0.3 mohm}
wires:
  - {from: RUN, to: HEATER, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: HEATER, to: RACK, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: RADIO, to: RACK, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RACK, to: chassis, size: 10 AWG, length: 8 m, insulation: gxl}
",
            "RACK",
        ),
        // To the battery's post.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  S1: {kind: switch, rating: 20 A}
  HEATER: {kind: load, type: heater, draw: 25 A}
  LAMP: {kind: load, type: led, draw: 15 A}
  BAR: {kind: busbar, limit: 60 A, resistance: 0.3 mohm}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {from: RUN, to: HEATER, size: 10 AWG, length: 2 m, insulation: gxl}
  - {run: [RUN, S1, LAMP], size: 12 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: HEATER, to: BAR, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: BAR, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: BAR, to: B1.-, size: 10 AWG, length: 8 m, insulation: gxl}
",
            "BAR",
        ),
    ],
    quiet: &[
        // Short enough. The other stud rises more, but only one part returns there.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEATER: {kind: load, type: heater, draw: 30 A}
  RADIO: {kind: load, type: electronics, draw: 1 A}
  REAR: {kind: load, type: heater, draw: 20 A}
  RACK: {kind: stud, limit: 60 A, resistance: 0.3 mohm}
  SIDE: {kind: stud, limit: 60 A, resistance: 0.3 mohm}
wires:
  - {from: RUN, to: HEATER, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: REAR, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: HEATER, to: RACK, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: RADIO, to: RACK, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RACK, to: chassis, size: 10 AWG, length: 3.5 m, insulation: gxl, id: strap}
  - {from: REAR, to: SIDE, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SIDE, to: chassis, size: 14 AWG, length: 4 m, insulation: gxl}
",
        // Both go on with the master switch open, and the post then stands apart from the chassis: their return has not risen.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 5 A, form: blade}
  TRACKER: {kind: load, type: electronics, draw: 20 mA, parked: 5 mA, stays-live: recovery after theft}
  CLOCK: {kind: load, type: electronics, draw: 20 mA, parked: 5 mA, stays-live: keeps the time}
  BAR: {kind: busbar, limit: 30 A, resistance: 0.3 mohm}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: CLOCK, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: CLOCK, to: BAR, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: TRACKER, to: BAR, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: BAR, to: B1.-, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // The door switches their return: while it is open their splice is live, but nothing is on.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LEFT: {kind: load, type: led, draw: 0.5 A}
  RIGHT: {kind: load, type: led, draw: 0.5 A}
  J1: {kind: splice, limit: 20 A}
  DOOR: {kind: switch, rating: 5 A}
wires:
  - {run: [B1, F1, LEFT], size: 18 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: F1, to: RIGHT, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: LEFT, to: J1, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: RIGHT, to: J1, size: 18 AWG, length: 1 m, insulation: gxl}
  - {run: [J1, DOOR, chassis], size: 18 AWG, lengths: [2 m, 30 cm], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEATER: {kind: load, type: heater, draw: 30 A}
  RADIO: {kind: load, type: electronics, draw: 1 A}
  RACK: {kind: stud, limit: 60 A, resistance: 0.3 mohm}
wires:
  - {from: RUN, to: HEATER, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: HEATER, to: RACK, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: RADIO, to: RACK, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RACK, to: chassis, size: 10 AWG, insulation: gxl, id: strap}
",
            "strap.length",
        ),
        // How good the point is decides it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 150 A, limit: 150 A}
  HEATER: {kind: load, type: heater, draw: 100 A}
  RADIO: {kind: load, type: electronics, draw: 1 A}
  G1: {kind: ground, limit: 200 A}
wires:
  - {from: RUN, to: HEATER, size: 2 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: HEATER, to: G1, size: 2 AWG, length: 1 m, insulation: gxl}
  - {from: RADIO, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "G1.resistance",
        ),
        // 0.3 V to 1 V.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 150 A, limit: 150 A}
  HEATER: {kind: load, type: heater, draw: 100 A}
  RADIO: {kind: load, type: electronics, draw: 1 A}
  G1: {kind: ground, limit: 200 A, resistance: 3..10 mohm}
wires:
  - {from: RUN, to: HEATER, size: 2 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: HEATER, to: G1, size: 2 AWG, length: 1 m, insulation: gxl}
  - {from: RADIO, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "G1.resistance",
        ),
        // What either draws is not stated, and with no current how good the point is does not matter.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEATER: {kind: load, type: heater}
  RADIO: {kind: load, type: electronics}
  G1: {kind: ground, limit: 60 A}
wires:
  - {from: RUN, to: HEATER, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: HEATER, to: G1, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: RADIO, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "HEATER.draw",
        ),
    ],
};
