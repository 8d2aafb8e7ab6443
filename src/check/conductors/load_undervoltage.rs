//! A load that gets less than it works from, in some setting in which it is on.

use super::undervoltage;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Basis;
use crate::model::Link;
use crate::model::Part;
use crate::model::element::Load;
use crate::model::walk::Consumer;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "load-undervoltage",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a load gets less voltage than it works from while it is on",
        page: include_str!("../../../docs/checks/load-undervoltage.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let consumers = context.walks.consumers.iter();
    let unstated = undervoltage::unstated(context);
    consumers
        .filter_map(|consumer| {
            let part = context.vehicle.part(consumer.part);
            let load = flow::load(context, consumer)?;
            let starter = context.walks.is_starter(context.vehicle, consumer.part);
            let judged = matches!(part.kind, Kind::Load | Kind::Controller)
                && context.vehicle.own_load != Some(consumer.part)
                && context.is_added(consumer.part)
                && !starter
                && consumer.comes_home
                && !consumer.sources.is_empty();
            judged.then(|| judge_load(context, consumer, part, load, &unstated))?
        })
        .collect()
}

fn judge_load(
    context: &Context<'_>,
    consumer: &Consumer,
    part: &Part,
    load: &Load,
    unstated: &[(&Consumer, String)],
) -> Option<Verdict> {
    let cannot = |missing: Vec<String>| Some(Gap::of(missing).part(consumer.part).shown());
    if load.law.is_none() && load.modes.is_empty() {
        return cannot(vec![flow::draw_of(context, consumer)]);
    }
    let explored = &context.solved.explored;
    // One that is on in no setting is told as such.
    let Some(lowest) = explored.uses.get(consumer.branch.index())?.lowest.as_ref() else {
        // It was not seen on, but may be in a setting that was not looked at.
        return if explored.complete {
            None
        } else {
            cannot(vec![context.not_explored()])
        };
    };
    let stated = matches!(load.min_voltage.basis, Basis::Stated(..));
    let least = least(load);
    // What a resistor is meant to take away is too little only for what states how little it works from.
    let throttled =
        consumer.feed.iter().chain(&consumer.back).any(
            |link| matches!(*link, Link::Wire(wire) if context.vehicle.wire(wire).is_resistor()),
        );
    match weigh(least, Interval::exact(lowest.value)) {
        Weighed::Above if throttled && !stated => {
            cannot(vec![min_voltage_of(context, consumer, part)])
        }
        Weighed::Above => {
            let name = &part.name.value;
            let at = if stated {
                part.at("min-voltage")
            } else {
                part.name.at
            };
            let works = if stated {
                words::show(least.low)
            } else {
                format!("{} even by the most modest figure", words::show(least.low))
            };
            let source = if stated {
                "`min-voltage` of the record".to_owned()
            } else {
                crate::table::load::min_voltage(context.vehicle.system.likely)
                    .source
                    .to_owned()
            };
            let finding = Finding::new(
                at,
                format!(
                    "{} gets {} while it is on{}, and works from {works}",
                    words::called(part),
                    words::show(lowest.value),
                    words::when(&lowest.setting)
                ),
            )
            .label("too little to work")
            .part(consumer.part)
            .measured(lowest.value, least.low, source)
            .setting(lowest.showing(|volts| volts < least.low))
            .worst(lowest.worst())
            .help(undervoltage::help(context, consumer, name));
            Some(undervoltage::point(context, consumer, finding).shown())
        }
        weighed => {
            let mut missing = undervoltage::unmeasured(context, consumer, unstated);
            if weighed == Weighed::Depends {
                missing.push(min_voltage_of(context, consumer, part));
            }
            if !explored.complete {
                missing.push(context.not_explored());
            }
            if missing.is_empty() {
                Some(Verdict::NoneShown)
            } else {
                cannot(missing)
            }
        }
    }
}

/// What it works from: as stated, else the published range, at its own voltage.
fn least(load: &Load) -> Interval<Volts> {
    let fact = load.min_voltage;
    if matches!(fact.basis, Basis::Stated(..)) {
        return fact.range;
    }
    let share = crate::table::load::minimum_share();
    Interval::between(
        fact.likely * (share.low.0 / share.value.0),
        fact.likely * (share.high.0 / share.value.0),
    )
}

fn min_voltage_of(context: &Context<'_>, consumer: &Consumer, part: &Part) -> String {
    let supply = &context.vehicle.branch(consumer.branch).name;
    if supply.is_empty() {
        part.missing("min-voltage")
    } else {
        format!("{}.{supply}.min-voltage", part.name.value)
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // A pump on the same thin wire pulls the controller down when it starts; a lamp besides pulls it down further.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  S1: {kind: switch, rating: 40 A}
  S2: {kind: switch, rating: 40 A}
  SP: {kind: splice}
  C1: {kind: controller, type: electronics, draw: 0.5 A, min-voltage: 10.5 V}
  PUMP: {kind: load, type: motor, draw: 25 A}
  LAMP: {kind: load, type: led, draw: 4 A}
wires:
  - {from: RUN, to: SP, size: 16 AWG, length: 8 m, insulation: gxl}
  - {from: SP, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [SP, S1, PUMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [SP, S2, LAMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "C1",
        ),
        // Behind a resistor it gets less than it says that it turns with.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 20 A}
  FAN: {kind: load, type: motor, draw: 12 A, min-voltage: 8 V}
wires:
  - {from: RUN, to: S1, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: S1, to: FAN, resistance: 0.8 ohm}
",
            "FAN",
        ),
        // A cable that is rotten inside: too little for any heater, whatever this one says.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  HEAT: {kind: load, type: heater, draw: 10 A}
wires:
  - {from: RUN, to: HEAT, size: 14 AWG, resistance: 3 ohm}
",
            "HEAT",
        ),
        // While cranking.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, internal-resistance: 12 mohm}
  IGN: {kind: feed, hot-in: [run, start], rating: 10 A, limit: 10 A}
  KEY: {kind: feed, hot-in: [start], rating: 400 A, limit: 400 A}
  STARTER: {kind: load, type: starter, draw: 250 A, duty: 1 %}
  RADIO: {kind: load, type: electronics, draw: 1 A, min-voltage: 10.5 V}
wires:
  - {from: KEY, to: STARTER, size: 2/0 AWG, length: 1 m, insulation: sgx}
  - {from: IGN, to: RADIO, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "RADIO",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 1 A, min-voltage: 10.5 V}
wires:
  - {from: RUN, to: RADIO, size: 16 AWG, length: 1 m, insulation: gxl}
",
        // While cranking neither the starter nor what the factory fitted is asked.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, internal-resistance: 12 mohm}
  IGN: {kind: feed, hot-in: [run, start], rating: 10 A, limit: 10 A}
  KEY: {kind: feed, hot-in: [start], rating: 400 A, limit: 400 A}
  STARTER: {kind: load, type: starter, draw: 250 A, duty: 1 %, min-voltage: 11.5 V}
  CLUSTER: {kind: load, type: electronics, draw: 1 A, min-voltage: 11 V, status: factory}
  RADIO: {kind: load, type: electronics, draw: 1 A, min-voltage: 7 V}
wires:
  - {from: KEY, to: STARTER, size: 2/0 AWG, length: 1 m, insulation: sgx}
  - {from: IGN, to: CLUSTER, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: IGN, to: RADIO, size: 16 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[
        // Its resistor is meant to leave it less; how little it turns with the record does not say.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 20 A}
  FAN: {kind: load, type: motor, draw: 12 A}
wires:
  - {from: RUN, to: S1, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: S1, to: FAN, resistance: 0.8 ohm}
",
            "FAN.min-voltage",
        ),
        // So little that nothing is known to turn with it; but it is meant.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 20 A}
  FAN: {kind: load, type: motor, draw: 12 A}
wires:
  - {from: RUN, to: S1, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: S1, to: FAN, resistance: 3 ohm}
",
            "FAN.min-voltage",
        ),
        // 7 V or so, over a cable in which that much was measured: some electronics work from there, others do not.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 2 A}
wires:
  - {from: RUN, to: RADIO, size: 16 AWG, resistance: 2.4 ohm}
",
            "RADIO.min-voltage",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 2 A, min-voltage: 10.5 V}
wires:
  - {from: RUN, to: RADIO, size: 16 AWG}
",
            "w1.length",
        ),
        // What takes a share of the same wire is not stated.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  SP: {kind: splice}
  S1: {kind: switch, rating: 40 A}
  LAMP: {kind: load, type: led, draw: 2 A, min-voltage: 10.5 V}
  PUMP: {kind: load, type: motor, status: factory}
wires:
  - {from: RUN, to: SP, size: 16 AWG, length: 10 m, insulation: gxl}
  - {from: SP, to: LAMP, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [SP, S1, PUMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "PUMP.draw",
        ),
    ],
};
