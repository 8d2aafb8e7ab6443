//! The insulation of a wire is not made for the heat around it and in it.

use crate::check::carries::carries;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::Zone;
use crate::quantity::Celsius;
use crate::quantity::Interval;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "insulation-too-cool",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "the insulation of a wire is not made for the heat around it and in it",
        page: include_str!("../../../docs/checks/insulation-too-cool.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// The coolest class that wire for vehicles has; one that even this stands needs no statement.
const LOWEST: Celsius = Celsius(60.0);

/// Temperature around the wire for which the ampacity table is made, outside and inside an engine space.
const fn table_ambient(zone: Zone) -> Celsius {
    match zone {
        Zone::EngineBay => Celsius(50.0),
        Zone::Cabin | Zone::Exterior => Celsius(30.0),
    }
}

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .wires()
        .filter(|(_, wire)| !wire.is_resistor())
        .map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Verdict {
    let around = wire.ambient.range;
    let class = wire
        .insulation
        .map_or(Interval::exact(LOWEST), |class| class.range);
    let cannot = |missing: Vec<String>| Gap::of(missing).wire(id).shown();
    let insulation = || vec![format!("{}.insulation", wire.id)];
    // Hotter around it than its class: whatever it carries.
    if weigh(around, class) == Weighed::Above {
        return match wire.insulation {
            // The heat around it is there in every setting.
            Some(_) => fault(context, id, wire, Celsius(0.0), class).shown(),
            None => cannot(insulation()),
        };
    }
    let cold = || {
        if weigh(around, class) == Weighed::Within {
            Verdict::NoneShown
        } else {
            cannot(lacking(wire))
        }
    };
    // What a starter takes does not last long enough to heat its cable.
    if context.walks.is_cranking(id) {
        return cold();
    }
    let flow = flow::lasting_in_wire(context, id);
    if !flow.missing.is_empty() {
        return cannot(flow.missing);
    }
    if flow.amps.0 <= 1e-3 {
        return cold();
    }
    let carries = match carries(context, id) {
        Ok(carries) => carries,
        Err(missing) => return cannot(missing.clone()),
    };
    // By its own class and place: what makes the wire as hot as its class allows in the surroundings of the table.
    let rise = |amps: f64| {
        let share = amps / carries.amps.low.0;
        let full = (class.low.0 - table_ambient(wire.zone).0).max(0.0);
        Celsius(full * share * share)
    };
    let inside = Interval {
        low: around.low + rise(flow.range.low.0),
        high: around.high + rise(flow.range.high.0),
    };
    match weigh(inside, class) {
        Weighed::Within => Verdict::NoneShown,
        Weighed::Above if wire.insulation.is_some() => {
            let smaller = |amps: f64| around.low + rise(amps) > class.high;
            let first = flow.smaller.iter();
            let mut first = first.filter(|(amps, _)| smaller(amps.0.abs()));
            let first = first.next().map_or(&flow.setting, |(_, setting)| setting);
            fault(context, id, wire, rise(flow.amps.0), class)
                .setting(first.clone())
                .worst(flow.setting.clone())
                .shown()
        }
        Weighed::Above => cannot(insulation()),
        Weighed::Depends => {
            let mut missing = flow.wanted();
            missing.extend(lacking(wire));
            cannot(missing)
        }
    }
}

/// What would close the range between a wire's heat and its class.
fn lacking(wire: &Wire) -> Vec<String> {
    let mut missing = Vec::new();
    if wire.insulation.is_none_or(|class| !class.range.is_exact()) {
        missing.push(format!("{}.insulation", wire.id));
    }
    if !wire.ambient.range.is_exact() {
        let zone = match wire.zone {
            Zone::EngineBay => "engine-bay",
            Zone::Cabin => "cabin",
            Zone::Exterior => "exterior",
        };
        missing.push(format!("vehicle.climate.{zone}"));
    }
    missing
}

fn fault(
    context: &Context<'_>,
    id: WireId,
    wire: &Wire,
    rise: Celsius,
    class: Interval<Celsius>,
) -> Finding {
    let around = wire.ambient.likely;
    let inside = around + rise;
    let own = if rise.0 >= 0.5 {
        format!(" and its own current adds {}", words::show(rise))
    } else {
        String::new()
    };
    let at = if wire.fields.get("insulation").is_some() {
        context.wire_at(id, "insulation")
    } else {
        context.wire_from(id)
    };
    Finding::new(
        at,
        format!(
            "the insulation of {} is made for {}; it is {} around it{own}",
            wire.id,
            words::show(class.high),
            words::show(around)
        ),
    )
    .label(format!("reaches {}", words::show(inside)))
    .wire(id)
    .measured(
        inside,
        class.high,
        "temperature class of the insulation; rise by the square of current over ampacity, 33 CFR 183.425, Table 5",
    )
    .help(format!(
        "run {} in cross-linked wire (gxl, sxl or txl), or away from the heat",
        wire.id
    ))
    .also(context.wire_at(id, "zone"), "where it runs")
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: hot, from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: 60 C, zone: engine-bay}
vehicle: {name: hot, system: 12 V, climate: {engine-bay: 80 C}}
",
            "hot",
        ),
        // At its ampacity it is as hot as its class allows at 30 C around it, and it is 45 C here.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  LAMP: {kind: load, type: led, draw: 34 A}
wires:
  - {id: hot, from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: 105 C, zone: exterior}
vehicle: {name: warm, system: 12 V, climate: {exterior: 45 C}}
",
            "hot",
        ),
        // The work lamps alone are too much for it; with the step lamps it is the worst.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  SP: {kind: splice}
  S1: {kind: switch, rating: 40 A}
  S2: {kind: switch, rating: 20 A}
  WORK: {kind: load, type: led, draw: 34 A}
  STEP: {kind: load, type: led, draw: 6 A}
wires:
  - {id: hot, from: RUN, to: SP, size: 14 AWG, length: 1 m, insulation: 105 C, zone: exterior}
  - {run: [SP, S1, WORK], size: 8 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [SP, S2, STEP], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
vehicle: {name: warm, system: 12 V, climate: {exterior: 45 C}}
",
            "hot",
        ),
        // It cranks for seconds, but lies in the heat for hours.
        (
            "
vehicle: {name: hot, system: 12 V, climate: {engine-bay: 95 C}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  KEY: {kind: feed, hot-in: [start], rating: 400 A, limit: 400 A}
  STARTER: {kind: load, type: starter, draw: 250 A, duty: 1 %}
wires:
  - {id: main, from: KEY, to: STARTER, size: 2 AWG, length: 1 m, insulation: sgt, zone: engine-bay}
",
            "main",
        ),
    ],
    quiet: &[
        // A resistor has no insulation to be judged, a spare wire is cool enough for any, and cranking soon ends.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 20 A}
  FAN: {kind: load, type: motor, draw: 8 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  SPARE: {kind: stub, end: capped}
  KEY: {kind: feed, hot-in: [start], rating: 400 A, limit: 400 A}
  STARTER: {kind: load, type: starter, draw: 250 A}
wires:
  - {from: KEY, to: STARTER, size: 4 AWG, length: 1 m, insulation: sgt, zone: engine-bay}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl, zone: engine-bay}
  - {from: RUN, to: S1, size: 12 AWG, length: 2 m, insulation: gxl}
  - {from: S1, to: FAN, resistance: 0.8 ohm}
  - {from: RUN, to: SPARE, length: 2 m}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, zone: engine-bay}
vehicle: {name: hot, system: 12 V, climate: {engine-bay: 80 C}}
",
            "w1.insulation",
        ),
        // Its own current makes it too hot for the poorest insulation, in a place where any would do.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  WORK: {kind: load, type: led, draw: 18 A}
wires:
  - {from: RUN, to: WORK, size: 14 AWG, length: 2 m, zone: exterior}
vehicle: {name: warm, system: 12 V, climate: {exterior: 45 C}}
",
            "w1.insulation",
        ),
        // Makers rate this type for 80 C or for 85 C.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  SPARE: {kind: stub, end: capped}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gpt, zone: engine-bay}
  - {from: RUN, to: SPARE, size: 14 AWG, length: 2 m, insulation: gpt, zone: engine-bay}
vehicle: {name: hot, system: 12 V, climate: {engine-bay: 82 C}}
",
            "w1.insulation",
        ),
        // It depends on the day.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  SPARE: {kind: stub, end: capped}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: 80 C, zone: engine-bay}
  - {from: RUN, to: SPARE, size: 14 AWG, length: 2 m, insulation: 80 C, zone: engine-bay}
vehicle: {name: hot, system: 12 V, climate: {engine-bay: 70..90 C}}
",
            "vehicle.climate.engine-bay",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "LAMP.draw",
        ),
    ],
};
