//! A shared return stands above the chassis when everything that uses it is on.

use super::point;
use super::point::Point;
use crate::check::flow;
use crate::check::in_row::InRow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::PartId;
use crate::quantity::Interval;
use crate::quantity::Volts;
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
    let row = InRow::of(context, point.way_home(context));
    let seen = context.solved.explored.highest.get(point.terminal.index());
    let Some(seen) = seen else {
        return gap(vec![context.not_explored()]);
    };
    let volts = Volts(seen.value.0.abs());
    let share = |end: f64, of: f64| if of > 0.0 { end / of } else { 1.0 };
    let low = share(flow.range.low.0, flow.amps.0) * share(row.low, row.likely);
    let high = share(flow.range.high.0, flow.amps.0) * share(row.high, row.likely);
    let range = Interval::between(Volts(volts.0 * low), Volts(volts.0 * high));
    let limit = Volts(LIVE);
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
    let users: Vec<(PartId, crate::quantity::Amps)> = {
        let takers = flow::takers(context, &point.users, flow.amps, |_| {
            crate::quantity::Amps::ZERO
        });
        takers.list
    };
    let names: Vec<&str> = users.iter().map(|&(part, _)| context.name(part)).collect();
    let name = &point.part.name.value;
    let finding = Finding::new(
        point.part.name.at,
        format!(
            "{} rises {} above the chassis when all is on that returns there: {}",
            words::called(point.part),
            words::show(volts),
            words::list(&names, 4)
        ),
    )
    .label(format!("{} above the chassis", words::show(volts)))
    .part(point.id)
    .parts(users.iter().map(|&(part, _)| part))
    .measured(
        volts,
        limit,
        "common practice, no source: a return that a meter takes to be live is none",
    )
    .setting(seen.showing(limit).clone())
    .worst(seen.setting.clone())
    .help(format!(
        "join {name} to the chassis with a shorter or thicker cable, or return the largest of them by itself"
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
    trips: &[(
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
    )],
    quiet: &[
        // The right size, and short.
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
  - {from: RACK, to: chassis, size: 6 AWG, length: 1 m, insulation: gxl}
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
    ],
};
