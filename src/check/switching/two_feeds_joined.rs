//! A load that two protections feed at once: whichever is pulled, it stays live.

use crate::check::prelude::*;
use crate::check::protection::fuses_paralleled;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Key;
use crate::model::PartId;
use crate::model::walk::is_protection;
use crate::read::document::Kind;
use crate::solve::Joined;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "two-feeds-joined",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "two supplies feed a load at once, so that pulling one fuse does not make it dead",
        page: include_str!("../../../docs/checks/two-feeds-joined.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let explored = &context.solved.explored;
    let mut told: Vec<[PartId; 2]> = Vec::new();
    let mut verdicts = Vec::new();
    for consumer in &context.walks.consumers {
        let branch = vehicle.branch(consumer.branch);
        let is_load = matches!(branch.element, Element::Load(_));
        if !is_load || vehicle.own_load == Some(consumer.part) || consumer.sources.is_empty() {
            continue;
        }
        let joined = of(&explored.joined, consumer.branch).filter(|joined| {
            // Fuses side by side have a check of their own.
            has_added(context, consumer.part, joined)
                && !fuses_paralleled::side_by_side(context, joined.protections)
        });
        let Some(joined) = joined else {
            verdicts.push(if explored.complete {
                Verdict::NoneShown
            } else {
                Gap::of([context.not_explored()])
                    .part(consumer.part)
                    .shown()
            });
            continue;
        };
        let unsure: Vec<String> = joined
            .protections
            .iter()
            .map(|&id| vehicle.part(id))
            .filter(|part| part.kind == Kind::Feed && part.fields.list("hot-in").is_empty())
            .map(|feed| feed.missing("hot-in"))
            .collect();
        if !unsure.is_empty() {
            verdicts.push(Gap::of(unsure).part(consumer.part).shown());
            continue;
        }
        // One pair is told once, with all the loads that it feeds.
        let mut pair = joined.protections;
        pair.sort_unstable();
        if told.contains(&pair) {
            continue;
        }
        told.push(pair);
        verdicts.push(fault(context, joined, pair).shown());
    }
    verdicts
}

/// Of several pairs that feed a load the one that needs least.
fn of(all: &[Joined], user: BranchId) -> Option<&Joined> {
    all.iter()
        .filter(|joined| joined.user == user)
        .min_by_key(|joined| {
            let setting = &joined.setting;
            setting.closed.len() + setting.opened.len() + usize::from(setting.key.is_some())
        })
}

/// The vehicle's own circuits among themselves are not meant.
fn has_added(context: &Context<'_>, user: PartId, joined: &Joined) -> bool {
    context.is_added(user) || joined.protections.iter().any(|&id| context.is_added(id))
}

fn fault(context: &Context<'_>, joined: &Joined, pair: [PartId; 2]) -> Finding {
    let vehicle = context.vehicle;
    let mut loads: Vec<PartId> = context
        .solved
        .explored
        .joined
        .iter()
        .filter(|other| {
            let mut own = other.protections;
            own.sort_unstable();
            own == pair
        })
        .map(|other| vehicle.branch(other.user).part)
        .collect();
    loads.sort_unstable();
    loads.dedup();
    let user = vehicle.branch(joined.user).part;
    let names: Vec<String> = loads
        .iter()
        .map(|&load| words::called(vehicle.part(load)))
        .collect();
    let [one, other] = joined.protections;
    let is = if names.len() == 1 { "is" } else { "are" };
    debug_assert!(is_protection(vehicle, one) && is_protection(vehicle, other));
    let key = match joined.setting.key {
        Some(Key::Off) | None => String::new(),
        Some(key) => format!(" with the key in {}", key.text()),
    };
    let finding = Finding::new(
        vehicle.part(user).name.at,
        format!(
            "{} {is} fed through {} and through {} at once{key}{}: pulling either does not make it dead",
            words::list(&names, 4),
            context.name(one),
            context.name(other),
            words::when(&joined.setting)
        ),
    )
    .label("stays live whichever is pulled")
    .part(user)
    .parts(loads)
    .parts([one, other])
    .setting(joined.setting.clone())
    .source("the network solved in every setting: two ways from a source over conductors, neither of them through the other's protection")
    .help(format!(
        "take one of the two supplies off; where both are needed, let a relay turn the load over from one to the other, or put a diode into each, and mark both {} and {} beside the load",
        context.name(one),
        context.name(other)
    ));
    [one, other].into_iter().fold(finding, |finding, id| {
        finding.also(vehicle.part(id).name.at, "feeds it")
    })
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // Added to two circuits of the vehicle.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade, status: factory}
  S1: {kind: switch, rating: 10 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A, status: factory}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LAMP",
        ),
        // Two relays on two fuses, both in whenever the key is in run; two switches on two more need more than that.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  F3: {kind: fuse, rating: 10 A, form: blade}
  S3: {kind: switch, rating: 10 A}
  F4: {kind: fuse, rating: 10 A, form: blade}
  S4: {kind: switch, rating: 10 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B1, F2, K2.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: K2.87, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K2.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F3, S3, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [B1, F4, S4, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LAMP",
        ),
        // Three: of two pairs that need as much the first is told.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  F3: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A, left: closed}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B1, F2, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [B1, F3, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [F3, S2, K1.86], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "LAMP",
        ),
    ],
    quiet: &[
        // The relay turns it over.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.87, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, K1.87a], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.30, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // Two batteries behind an isolator, and a fuse of the load's own.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A}
  FA: {kind: fuse, rating: 60 A, form: bolt-down}
  FB: {kind: fuse, rating: 60 A, form: bolt-down}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.8 V}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, FA, ISO.a], size: 6 AWG, lengths: [10 cm, 1 m], insulation: sgx}
  - {run: [ISO.b, FB, B2], size: 6 AWG, lengths: [2 m, 10 cm], insulation: sgx}
  - {run: [B2, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        // Fuses side by side, and the vehicle's own horn on two of its circuits.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
  F3: {kind: fuse, rating: 10 A, form: blade, status: factory}
  F4: {kind: fuse, rating: 10 A, form: blade, status: factory}
  HORN: {kind: load, type: motor, draw: 2 A, status: factory}
  S3: {kind: switch, rating: 10 A, status: factory}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B1, F2, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B1, F3, HORN], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B1, F4, S3, HORN], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: TAP, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "TAP.hot-in",
        ),
        // Five masters: not every setting of them is looked at.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  D1: {kind: disconnect, rating: 20 A}
  D2: {kind: disconnect, rating: 20 A}
  D3: {kind: disconnect, rating: 20 A}
  D4: {kind: disconnect, rating: 20 A}
  D5: {kind: disconnect, rating: 20 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, D1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "settings",
        ),
    ],
};
