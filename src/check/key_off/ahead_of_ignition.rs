//! Draws with the key off as the vehicle is left, and nothing says that it should.

use super::NOTHING;
use super::USERS;
use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Amps;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "ahead-of-ignition",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "draws with the key off as the vehicle is left, and no `stays-live` says that it should",
        page: include_str!("../../../docs/checks/ahead-of-ignition.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(USERS)
        .filter(|&(id, part)| context.is_added(id) && part.stays_live.is_none())
        .map(|(id, part)| judge_part(context, id, part))
        .collect()
}

fn judge_part(context: &Context<'_>, id: PartId, part: &Part) -> Verdict {
    let missing = super::missing_draw(context, id);
    let draw = context.key_off(id).filter(|draw| draw.only_if.is_none());
    let Some(draw) = draw else {
        return if missing.is_empty() {
            Verdict::NoneShown
        } else {
            Gap::of(missing).part(id).shown()
        };
    };
    if draw.range.high <= NOTHING {
        return Verdict::NoneShown;
    }
    // At its least it may take nothing.
    if draw.range.low <= NOTHING {
        let missing = if missing.is_empty() {
            super::ranged_draw(context, id)
        } else {
            missing
        };
        return Gap::of(missing).part(id).shown();
    }
    let unsure = super::unsure_feeds(context, id);
    if !unsure.is_empty() {
        return Gap::of(unsure).part(id).shown();
    }
    let current = super::amps(draw);
    let at = part.at("draw");
    let mut finding = Finding::new(
        at,
        format!(
            "{} draws {current} with the key off{}",
            words::called(part),
            super::behind(context, draw)
        ),
    )
    .label(format!("takes {current} from the battery while parked"))
    .part(id)
    .value(draw.current)
    .help(format!(
        "feed it from something that is dead with the key off, or write `stays-live: WHY` at {} if it is meant to stay on",
        part.name.value
    ))
    .source("the network solved with the key off, everything as it is left");
    if let Some(hours) = hours(context, draw.current) {
        finding = finding.step(
            hours,
            "capacity over current, the sum that everybody in the trade does",
        );
    }
    for &fuse in &draw.protected_by {
        finding = finding.also(
            context.vehicle.part(fuse).name.at,
            "its current runs through this",
        );
    }
    finding.shown()
}

/// `75 Ah / 0.4 A = 188 h = 7.8 days`: what it would do to the battery on its own.
fn hours(context: &Context<'_>, current: Amps) -> Option<String> {
    let starter = context.vehicle.starter?;
    let battery = context
        .vehicle
        .batteries
        .iter()
        .find(|battery| battery.part == starter)?;
    let capacity = battery.capacity?.likely;
    let time = capacity / current;
    Some(format!(
        "alone: {:.0} Ah / {:.3} A = {:.0} h = {:.1} days",
        capacity.0,
        current.0,
        time.hours(),
        time.days()
    ))
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 30 mA}
wires:
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "RADIO",
        ),
        // Live through a contact that is closed while the coil is dead.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        // What its memory takes is stated, what its main supply takes asleep is not: the memory alone is too much.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, supplies: {memory: {draw: 50 mA, parked: 5 mA}, main: {draw: 3 A}}}
wires:
  - {run: [B1, F1, RADIO.memory], size: 16 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: F1, to: RADIO.main, size: 16 AWG, length: 2 m, insulation: gxl}
",
            "RADIO",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 30 mA}
wires:
  - {from: RUN, to: RADIO, size: 16 AWG, length: 2 m, insulation: gxl}
",
        // Live, but asleep it takes nothing. The clock is the vehicle's own, the tracker is wanted, and the lamp draws only where
        // its switch is left on.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 0 mA}
  CLOCK: {kind: load, type: electronics, draw: 5 mA, parked: 5 mA, status: factory}
  TRACKER: {kind: load, type: electronics, draw: 0.2 A, parked: 6 mA, stays-live: reports its place}
  S1: {kind: switch, rating: 5 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: F1, to: CLOCK, size: 16 AWG, length: 2 m, insulation: gxl}
  - {from: F1, to: TRACKER, size: 16 AWG, length: 2 m, insulation: gxl}
  - {run: [F1, S1, LAMP], size: 16 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A}
wires:
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "RADIO.parked",
        ),
        // It may as well take nothing.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, supplies: {memory: {draw: 50 mA, parked: 0..30 mA}, main: {draw: 3 A, parked: 0..1 A}}}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
wires:
  - {run: [B1, F1, RADIO.memory], size: 16 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: RUN, to: RADIO.main, size: 16 AWG, length: 2 m, insulation: gxl}
",
            "RADIO.memory.parked",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  DC: {kind: converter, output: 5 V, rating: 3 A, standby: 0..4 mA}
wires:
  - {run: [B1, F1, DC], size: 16 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "DC.standby",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  HOLD: {kind: delay, keeps-on: 5 min, draw: 0..3 mA, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [B1, F1, HOLD, LAMP], size: 16 AWG, lengths: [10 cm, 2 m, 1 m], insulation: gxl}
",
            "HOLD.draw",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  MAT: {kind: load, type: heater, draw: 1 A, duty: 0..10 %}
wires:
  - {run: [B1, F1, MAT], size: 16 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "MAT.duty",
        ),
    ],
};
