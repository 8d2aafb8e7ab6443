//! Equipment on the point between two batteries in series.

use super::tap;
use super::tap::Tap;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Element;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::solve::Solution;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "centre-tap-load",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "equipment hangs on the point between two batteries in series, so that one starves",
        page: include_str!("../../../docs/checks/centre-tap-load.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    tap::taps(context)
        .iter()
        .map(|tap| judge_tap(context, tap))
        .collect()
}

/// What hangs on a tap takes.
struct Taken {
    /// Each at its most, whether or not they are ever on together.
    likely: Amps,
    parts: Vec<PartId>,
    missing: Vec<String>,
    /// Draws with the key off.
    parked: bool,
}

fn taken(context: &Context<'_>, tap: &Tap<'_>) -> Taken {
    let mut taken = Taken {
        likely: Amps::ZERO,
        parts: Vec::new(),
        missing: Vec::new(),
        parked: false,
    };
    for consumer in &tap.users {
        let amps = flow::most(context, consumer);
        let load = flow::load(context, consumer);
        if load.is_some_and(|load| load.law.is_none() && load.modes.is_empty()) {
            taken.missing.push(flow::draw_of(context, consumer));
        }
        if amps.0 > 1e-3 {
            taken.likely += amps;
            if !taken.parts.contains(&consumer.part) {
                taken.parts.push(consumer.part);
            }
            taken.parked |= context
                .key_off(consumer.part)
                .is_some_and(|draw| draw.range.high.0 > 1e-3);
        }
    }
    taken
}

/// A converter that is fed by the whole string and holds up the tap.
fn equaliser(
    context: &Context<'_>,
    tap: &Tap<'_>,
) -> Option<(PartId, Option<Interval<Amps>>, bool)> {
    let vehicle = context.vehicle;
    let sources = context.walks.sources.iter().enumerate();
    sources
        .filter_map(|(at, source)| {
            let branch = vehicle.branch(source.branch);
            let Element::Converter { limit, .. } = &branch.element else {
                return None;
            };
            let holds = context.walks.way_up(vehicle, at, tap.point).is_some();
            let fed = context
                .walks
                .way_up(vehicle, tap.upper_source, branch.from)
                .is_some();
            let solution: &Solution = &context.solved.parked_in;
            let parked = solution.live[branch.from.index()];
            (holds && fed).then_some((source.part, limit.map(|limit| limit.range), parked))
        })
        .next()
}

fn judge_tap(context: &Context<'_>, tap: &Tap<'_>) -> Verdict {
    let taken = taken(context, tap);
    let gap = |missing: Vec<String>| Gap::of(missing).part(tap.lower).shown();
    if taken.parts.is_empty() {
        return if taken.missing.is_empty() {
            Verdict::NoneShown
        } else {
            gap(taken.missing)
        };
    }
    let shows = tap::shows(context, tap);
    let range = shows
        .as_ref()
        .map_or(Interval::exact(taken.likely), |shows| {
            tap::together(context, tap, &shows.worst.state)
        });
    let equaliser = equaliser(context, tap);
    let mut why = "and nothing evens that out";
    if let Some((part, limit, parked)) = equaliser {
        let Some(limit) = limit else {
            return gap(vec![format!("{}.rating", context.name(part))]);
        };
        if taken.parked && !parked {
            why = "and what evens that out is off with the key";
        } else {
            match weigh(range, limit) {
                Weighed::Within if taken.missing.is_empty() => return Verdict::NoneShown,
                Weighed::Within => return gap(taken.missing),
                Weighed::Above => why = "which is more than the equaliser gives",
                Weighed::Depends => {
                    let mut missing = taken.missing;
                    if !limit.is_exact() {
                        missing.push(format!("{}.rating", context.name(part)));
                    }
                    let ranged = tap.users.iter().filter(|one| flow::is_ranged(context, one));
                    missing.extend(ranged.map(|one| flow::draw_of(context, one)));
                    return gap(missing);
                }
            }
        }
    }
    let vehicle = context.vehicle;
    let most = shows
        .as_ref()
        .map_or(taken.likely, |shows| Amps(shows.worst.value));
    let [smallest, worst] = shows.map_or_else(Default::default, |shows| {
        [shows.first.setting, shows.worst.setting]
    });
    let names: Vec<String> = taken
        .parts
        .iter()
        .map(|&part| words::called(vehicle.part(part)))
        .collect();
    let (hangs, takes) = match names.len() {
        1 => ("hangs", "takes"),
        _ => ("hang", "take"),
    };
    let first = vehicle.part(taken.parts[0]);
    let finding = Finding::new(
        first.name.at,
        format!(
            "{} {hangs} on the point between {} and {} and {takes} up to {} from one of them, {why}",
            words::list(&names, 4),
            context.name(tap.lower),
            context.name(tap.upper),
            words::show(most)
        ),
    )
    .label("on the middle of the pair")
    .parts(taken.parts.iter().copied())
    .part(tap.lower)
    .part(tap.upper)
    .value(most)
    .setting(smallest)
    .worst(worst)
    .source("a machine maker's bulletin on centre tapping (read)")
    .help("feed it from a converter across both batteries, or fit an equaliser (a converter whose output holds up the middle) that gives at least as much");
    let finding = match equaliser {
        Some((part, ..)) => finding
            .part(part)
            .also(vehicle.part(part).name.at, "the equaliser"),
        None => finding,
    };
    finding
        .also(
            vehicle.part(tap.lower).name.at,
            "discharged and charged unlike the other",
        )
        .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO, F1, S1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "RADIO",
        ),
        // Tapped at the other end of the same cable.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: BUP.-, to: F1, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {run: [F1, S1, RADIO], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "RADIO",
        ),
        // The equaliser is too small while the radio transmits.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 2 A, modes: {receive: 1 A, transmit: 5 A, beacon: 2 A}, rated-voltage: 12 V}
  EQ: {kind: converter, output: 13 V, rating: 3 A, efficiency: 90 %, standby: 5 mA}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO, F1, S1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: BUP, to: EQ.in, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "RADIO",
        ),
        // It takes 20 mA with the key off, and the equaliser is fed with the key in run.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  EQ: {kind: converter, output: 13 V, rating: 20 A, efficiency: 90 %, standby: 5 mA}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 20 mA, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: RUN, to: EQ.in, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "RADIO",
        ),
        // The radio comes on with the key, the fan with the engine; the converter feeds a lamp and evens nothing out.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  ENG: {kind: feed, hot-in: [engine], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 350 ohm, contact: 30 A}
  K2: {kind: relay, coil: 350 ohm, contact: 30 A}
  RADIO: {kind: load, type: electronics, draw: 3 A, rated-voltage: 12 V}
  FAN: {kind: load, type: electronics, draw: 4 A, rated-voltage: 12 V}
  CONV: {kind: converter, output: 12 V, rating: 20 A, efficiency: 90 %, standby: 5 mA}
  LAMP: {kind: load, type: led, draw: 2 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: K2.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K2.87, to: FAN, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: ENG, to: K2.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: CONV.in, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CONV.out, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "FAN",
        ),
        // Two side by side on top of one that is larger make one point, and the charger of the upper ones is no battery.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  CHG: {kind: charger, output: 10 A, voltage: 14 V, hot-in: [shore]}
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah, bank: upper}
  BUP2: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah, bank: upper}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 200 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: BLO.+, to: BUP2.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: BUP.+, to: BUP2.+, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: CHG, to: BUP.+, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CHG.-, to: BLO.+, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "RADIO",
        ),
    ],
    quiet: &[
        // Nothing on the middle.
        "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        // An equaliser that gives more than what hangs there takes.
        "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V, parked: 0 mA}
  EQ: {kind: converter, output: 13 V, rating: 10 A, efficiency: 90 %, standby: 5 mA}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO, F1, S1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: BUP, to: EQ.in, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 14 AWG, length: 10 cm, insulation: gxl}
",
        // An equaliser whose output is written as 12 V gives nothing while the battery stands above that, and is not off for all that.
        "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  EQ: {kind: converter, output: 12 V, rating: 20 A, efficiency: 90 %, standby: 5 mA}
  F0: {kind: fuse, rating: 30 A, form: blade}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 20 mA, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F0, EQ.in], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        // One of the two or the other: never both, and each is within what the equaliser gives.
        "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  EQ: {kind: converter, output: 13 V, rating: 10 A, efficiency: 90 %, standby: 5 mA}
  F0: {kind: fuse, rating: 30 A, form: blade}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 20 A, positions: {off: [], day: [[B, D]], night: [[B, N]]}, left: off}
  DAY: {kind: load, type: electronics, draw: 8 A, rated-voltage: 12 V}
  NIGHT: {kind: load, type: electronics, draw: 6 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F0, EQ.in], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [BLO, F1, S1.B], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.D, to: DAY, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: S1.N, to: NIGHT, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO, F1, S1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "RADIO.draw",
        ),
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V, parked: 0 mA}
  EQ: {kind: converter, output: 13 V, efficiency: 90 %, standby: 5 mA}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO, F1, S1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: BUP, to: EQ.in, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "EQ.rating",
        ),
        // The radio is within what the equaliser gives; what the box takes is not stated.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  EQ: {kind: converter, output: 13 V, rating: 20 A, efficiency: 90 %, standby: 5 mA}
  F0: {kind: fuse, rating: 30 A, form: blade}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V}
  BOX: {kind: load, type: electronics, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F0, EQ.in], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: BOX, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "BOX.draw",
        ),
        // The equaliser's 10 A lie between the two ends of the draw.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  EQ: {kind: converter, output: 13 V, rating: 10 A, efficiency: 90 %, standby: 5 mA}
  F0: {kind: fuse, rating: 30 A, form: blade}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 8..12 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F0, EQ.in], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "RADIO.draw",
        ),
        // The radio's 8 A lie between the two ends of what it gives.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  EQ: {kind: converter, output: 13 V, rating: 5..10 A, efficiency: 90 %, standby: 5 mA}
  F0: {kind: fuse, rating: 30 A, form: blade}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 8 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F0, EQ.in], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: EQ.out, to: BLO.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [BLO, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "EQ.rating",
        ),
    ],
};
