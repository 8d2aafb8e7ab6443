//! More current comes home by a point than it is made for.

use super::point;
use super::point::Point;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Fact;
use crate::model::Link;
use crate::quantity::Amps;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "return-overloaded",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "more current comes home by a ground point, stud, bus bar or splice than it carries",
        page: include_str!("../../../docs/checks/return-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let points = point::points(context);
    points
        .iter()
        .filter_map(|point| judge_point(context, point))
        .collect()
}

fn judge_point(context: &Context<'_>, point: &Point<'_>) -> Option<Verdict> {
    let part = point.part;
    let flow = point.flow(context);
    if flow.amps.0 <= 1e-3 && flow.missing.is_empty() {
        return None;
    }
    let limit: Option<Fact<Amps>> = part.stated("limit");
    let Some(limit) = limit else {
        return Some(Gap::of([part.missing("limit")]).part(point.id).shown());
    };
    match weigh(flow.range, limit.range) {
        Weighed::Above => {}
        Weighed::Within if flow.missing.is_empty() => return Some(Verdict::NoneShown),
        Weighed::Within => return Some(Gap::of(flow.missing).part(point.id).shown()),
        Weighed::Depends => {
            let mut missing = flow.wanted();
            if missing.is_empty() {
                missing.push(part.missing("limit"));
            }
            return Some(Gap::of(missing).part(point.id).shown());
        }
    }
    let takers = flow::takers(context, &point.takers(context), flow.amps, |solution| {
        let amps = point.home.iter().map(|&link| match link {
            Link::Wire(wire) => solution.wire(wire).abs(),
            Link::Branch(branch) => solution.branch(branch).abs(),
        });
        amps.sum()
    });
    let most = limit.range.high;
    let name = &part.name.value;
    let finding = Finding::new(
        part.at("limit"),
        format!(
            "{} can come home by {}, which is made for {}{}",
            words::show(flow.amps),
            words::called(part),
            words::rated(most),
            takers.told(context, 4)
        ),
    )
    .label("more than this comes home here")
    .part(point.id)
    .parts(takers.parts())
    .measured(
        flow.amps,
        most,
        format!("`{name}.limit` of the record, against the network solved in every setting"),
    )
    .setting(flow.showing(most))
    .worst(flow.setting)
    .help(format!(
        "give the largest of them a return of its own, or put a larger point in place of {name}"
    ));
    Some(takers.point(context, finding).shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  PUMP: {kind: load, type: motor, draw: 40 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  G1: {kind: ground, limit: 30 A}
wires:
  - {from: RUN, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: PUMP, to: G1, size: 6 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "G1",
        ),
        // A bar: what leaves it for the chassis.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  A: {kind: load, type: heater, draw: 20 A}
  B: {kind: load, type: heater, draw: 20 A}
  BAR: {kind: busbar, limit: 30 A}
wires:
  - {from: RUN, to: A, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: B, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: A, to: BAR, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: B, to: BAR, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: BAR, to: chassis, size: 6 AWG, length: 1 m, insulation: gxl}
",
            "BAR",
        ),
        // The starter's 200 A are its maker's business; the heater's 36 A come home by the same point for long.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  KEY: {kind: switch, momentary: true, rating: 300 A}
  STARTER: {kind: load, type: starter, draw: 200 A, duty: 1 %}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEAT: {kind: load, type: heater, draw: 40 A}
  G1: {kind: ground, limit: 30 A}
wires:
  - {run: [B1, KEY, STARTER], size: 2/0 AWG, lengths: [50 cm, 50 cm], insulation: sgx}
  - {from: STARTER, to: G1, size: 2/0 AWG, length: 50 cm, insulation: sgx}
  - {from: RUN, to: HEAT, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: HEAT, to: G1, size: 6 AWG, length: 1 m, insulation: gxl}
",
            "HEAT",
        ),
        // For a short time only, but for longer than a starter turns.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HOIST: {kind: load, type: motor, draw: 40 A, duty: 10 %}
  G1: {kind: ground, limit: 30 A}
wires:
  - {from: RUN, to: HOIST, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: HOIST, to: G1, size: 6 AWG, length: 1 m, insulation: gxl}
",
            "HOIST",
        ),
    ],
    quiet: &[
        // A stud that is shared, and large enough for all.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  PUMP: {kind: load, type: motor, draw: 40 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  G1: {kind: ground, limit: 60 A}
wires:
  - {from: RUN, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: PUMP, to: G1, size: 6 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // Never both at once: the two hang on two throws of one switch.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  S1: {kind: switch, rating: 30 A, positions: {off: [], a: [[B, L]], b: [[B, H]]}, left: off}
  A: {kind: load, type: heater, draw: 20 A}
  B: {kind: load, type: heater, draw: 20 A}
  BAR: {kind: busbar, limit: 30 A}
wires:
  - {from: RUN, to: S1.B, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: S1.L, to: A, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: S1.H, to: B, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: A, to: BAR, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: B, to: BAR, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: BAR, to: chassis, size: 6 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  PUMP: {kind: load, type: motor, draw: 40 A}
  G1: {kind: ground}
wires:
  - {from: RUN, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: PUMP, to: G1, size: 6 AWG, length: 1 m, insulation: gxl}
",
            "G1.limit",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  PUMP: {kind: load, type: motor}
  G1: {kind: ground, limit: 30 A}
wires:
  - {from: RUN, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: PUMP, to: G1, size: 6 AWG, length: 1 m, insulation: gxl}
",
            "PUMP.draw",
        ),
        // The pump's 40 A lie between the two ends of what it is made for.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  PUMP: {kind: load, type: motor, draw: 40 A}
  G1: {kind: ground, limit: 30..50 A}
wires:
  - {from: RUN, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: PUMP, to: G1, size: 6 AWG, length: 1 m, insulation: gxl}
",
            "G1.limit",
        ),
        // 30 A lie between the two ends of the draw.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  PUMP: {kind: load, type: motor, draw: 25..40 A}
  G1: {kind: ground, limit: 30 A}
wires:
  - {from: RUN, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: PUMP, to: G1, size: 6 AWG, length: 1 m, insulation: gxl}
",
            "PUMP.draw",
        ),
    ],
};
