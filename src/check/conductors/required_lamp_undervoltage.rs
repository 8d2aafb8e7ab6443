//! A lamp or horn that the law wants gets too little voltage with the engine running.

use super::undervoltage;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Part;
use crate::model::element::Load;
use crate::model::walk::Consumer;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::table;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "required-lamp-undervoltage",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "a lamp that the law wants gets less than 85 % of its voltage at the socket",
        page: include_str!("../../../docs/checks/required-lamp-undervoltage.md"),
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
            let judged = part.fields.flag("required") && !consumer.sources.is_empty();
            judged.then(|| judge_lamp(context, consumer, part, load, &unstated))?
        })
        .collect()
}

/// The voltage that it is made for: as stated, else between the nominal one of the system and that at which lamps are rated.
fn made_for(context: &Context<'_>, part: &Part, load: &Load) -> Interval<Volts> {
    if part.stated::<Volts>("rated-voltage").is_some() {
        return load.rated.range;
    }
    let system = context.vehicle.system.likely;
    Interval::between(system, table::load::rated_voltage(system).value)
}

fn judge_lamp(
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
    let uses = explored.uses.get(consumer.branch.index())?;
    let Some(lowest) = uses.lowest_running.as_ref() else {
        // It was not seen on, but may be in a setting that was not looked at.
        return if explored.complete {
            None
        } else {
            cannot(vec![context.not_explored()])
        };
    };
    let share = table::load::lamp_least_share();
    let least = made_for(context, part, load).map(|volts| volts * share.value.0);
    match weigh(least, Interval::exact(lowest.value)) {
        Weighed::Above => {
            let name = &part.name.value;
            let finding = Finding::new(
                part.at("required"),
                format!(
                    "{} gets {} with the engine running{}: {} is the least that it may have, {:.0} % of what it is made for",
                    words::called(part),
                    words::show(lowest.value),
                    words::when(&lowest.setting),
                    words::show(least.low),
                    share.value.0 * 100.0
                ),
            )
            .label("wanted by law, and too dim")
            .part(consumer.part)
            .measured(lowest.value, least.low, share.source)
            .setting(lowest.showing(|volts| volts < least.low))
            .worst(lowest.worst())
            .help(undervoltage::help(context, consumer, name));
            Some(undervoltage::point(context, consumer, finding).shown())
        }
        weighed => {
            let mut missing = undervoltage::unmeasured(context, consumer, unstated);
            if weighed == Weighed::Depends {
                missing.push(part.missing("rated-voltage"));
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

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  TAIL: {kind: load, type: filament, draw: 8 A, required: true}
wires:
  - {from: RUN, to: TAIL, size: 18 AWG, length: 20 m, insulation: gxl}
",
            "TAIL",
        ),
        // Alone it gets enough; a work lamp on the same wire is too much, and a step lamp makes it worse.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  SP: {kind: splice}
  S1: {kind: switch, rating: 20 A}
  S2: {kind: switch, rating: 20 A}
  TAIL: {kind: load, type: filament, draw: 2 A, required: true, rated-voltage: 12.8 V}
  WORK: {kind: load, type: led, draw: 8 A}
  STEP: {kind: load, type: led, draw: 3 A}
wires:
  - {from: RUN, to: SP, size: 16 AWG, length: 25 m, insulation: gxl}
  - {from: SP, to: TAIL, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [SP, S1, WORK], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [SP, S2, STEP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "TAIL",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  TAIL: {kind: load, type: filament, draw: 2 A, required: true}
  WORK: {kind: load, type: filament, draw: 8 A}
wires:
  - {from: RUN, to: TAIL, size: 14 AWG, length: 6 m, insulation: gxl}
  - {from: RUN, to: WORK, size: 18 AWG, length: 20 m, insulation: gxl}
"],
    // About 11 V: enough for a lamp made for 12 V, too little for one made for 13.5 V.
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  TAIL: {kind: load, type: led, draw: 2 A, required: true}
wires:
  - {from: RUN, to: TAIL, resistance: 1.3 ohm}
",
            "TAIL.rated-voltage",
        ),
        // The same where it is written that nobody knows.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  TAIL: {kind: load, type: led, draw: 2 A, required: true, rated-voltage: unknown}
wires:
  - {from: RUN, to: TAIL, resistance: 1.3 ohm}
",
            "TAIL.rated-voltage",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  TAIL: {kind: load, type: led, draw: 2 A, required: true, rated-voltage: 12 V}
wires:
  - {from: RUN, to: TAIL, size: 14 AWG}
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
  LAMP: {kind: load, type: led, draw: 2 A, required: true, rated-voltage: 12.8 V}
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
