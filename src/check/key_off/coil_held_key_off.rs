//! A relay that is held in with the key off: its coil draws all the time.

use super::NOTHING;
use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "coil-held-key-off",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a relay coil is held in with the key off as the vehicle is left",
        page: include_str!("../../../docs/checks/coil-held-key-off.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Relay])
        .filter(|&(id, part)| context.is_added(id) && part.stays_live.is_none())
        .map(|(id, part)| judge_relay(context, id, part))
        .collect()
}

fn judge_relay(context: &Context<'_>, id: PartId, part: &Part) -> Verdict {
    let draw = context.key_off(id).filter(|draw| draw.only_if.is_none());
    let Some(draw) = draw.filter(|draw| draw.range.high > NOTHING) else {
        return Verdict::NoneShown;
    };
    let unsure = super::unsure_feeds(context, id);
    if !unsure.is_empty() {
        return Gap::of(unsure).part(id).shown();
    }
    let current = super::amps(draw);
    let name = &part.name.value;
    let mut finding = Finding::new(
        part.at("coil"),
        format!(
            "the coil of {} takes {current} with the key off{}",
            words::called(part),
            super::behind(context, draw)
        ),
    )
    .label("energised while parked")
    .part(id)
    .value(draw.current)
    .help(format!(
        "feed the coil of {name} from something that is dead with the key off, or use a relay that needs no holding current; write `stays-live: WHY` if it has to hold"
    ))
    .source("the network solved with the key off, everything as it is left");
    for &fuse in &draw.protected_by {
        finding = finding.also(
            context.vehicle.part(fuse).name.at,
            "the coil's current runs through this",
        );
    }
    finding.shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.86], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "K1",
    )],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // One is the vehicle's own, one is meant to hold, and one holds only where its switch is left on.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  OWN: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, status: factory}
  STOP: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, stays-live: an emergency stop lets it go}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, OWN.86], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: STOP.86, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, S1, K1.86], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: RUN, to: STOP.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: STOP.87, to: OWN.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: OWN.87, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    // Nobody knows when the feed is live.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A, stays-live: wanted}
wires:
  - {from: TAP, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: TAP, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "TAP.hot-in",
    )],
};
