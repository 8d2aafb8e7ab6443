//! A setting of switches that joins a source to its own return with nothing but conductors between.

use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::PartId;
use crate::read::document::Kind;
use crate::solve::Shorted;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "supply-shorted",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "some setting of the switches joins a source straight to the chassis",
        page: include_str!("../../../docs/checks/supply-shorted.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let explored = &context.solved.explored;
    // One way that needs less is told, not those that need the same and more.
    let mut told: Vec<&Shorted> = Vec::new();
    for shorted in &explored.shorted {
        let needs = |one: &Shorted, other: &Shorted| {
            other
                .contacts
                .iter()
                .all(|contact| one.contacts.contains(contact))
        };
        if told.iter().any(|known| needs(shorted, known)) {
            continue;
        }
        told.retain(|known| !needs(known, shorted));
        told.push(shorted);
    }
    let mut verdicts: Vec<Verdict> = told
        .iter()
        .map(|shorted| fault(context, shorted).shown())
        .collect();
    for (id, _) in context.parts_of(&[Kind::Battery, Kind::Charger, Kind::Converter]) {
        let of = |shorted: &&&Shorted| context.vehicle.branch(shorted.source).part == id;
        if told.iter().any(|shorted| of(&shorted)) {
            continue;
        }
        verdicts.push(if explored.complete {
            Verdict::NoneShown
        } else {
            Gap::of([context.not_explored()]).part(id).shown()
        });
    }
    verdicts
}

/// What a person moves to make the short: a switch before a relay, a relay before a feed.
fn mover(context: &Context<'_>, shorted: &Shorted) -> Option<PartId> {
    let part = |&branch: &BranchId| context.vehicle.branch(branch).part;
    let of = |kind: Kind| {
        let mut parts = shorted.contacts.iter().map(part);
        parts.find(|&id| context.vehicle.part(id).kind == kind)
    };
    of(Kind::Switch)
        .or_else(|| of(Kind::Relay))
        .or_else(|| shorted.contacts.first().map(part))
}

fn fault(context: &Context<'_>, shorted: &Shorted) -> Finding {
    let vehicle = context.vehicle;
    let branch = vehicle.branch(shorted.source);
    let source = vehicle.part(branch.part);
    let amps = shorted.seen.value;
    let first = shorted.seen.first().1;
    let post = &vehicle.terminal(branch.to).label;
    let foot = match branch.element {
        Element::Converter { back, .. } => back,
        _ => branch.from,
    };
    let foot = &vehicle.terminal(foot).label;
    let when = words::when(first);
    let mover = mover(context, shorted);
    let (at, message) = match mover {
        Some(id) => (
            vehicle.part(id).name.at,
            format!(
                "{} joins {post} straight to {foot}{when}: {} flows until something opens or burns",
                words::called(vehicle.part(id)),
                words::show(amps)
            ),
        ),
        None => (
            source.name.at,
            format!(
                "{post} is joined straight to {foot} in every setting: {} flows until something opens or burns",
                words::show(amps)
            ),
        ),
    };
    let mut finding = Finding::new(at, message)
        .label("shorts the supply")
        .parts(mover)
        .value(amps)
        .setting(first.clone())
        .worst(shorted.seen.setting.clone())
        .source("the network solved in every setting: a way from the source to its own return over conductors alone")
        .help(match mover {
            Some(id) => format!(
                "follow the wires on {}: one of them lands on the wrong terminal, or a load that belongs between is missing from the record",
                context.name(id)
            ),
            None => "one of the wires between lands on the wrong terminal, or a load that belongs between is missing from the record".to_owned(),
        });
    for &contact in &shorted.contacts {
        let id = vehicle.branch(contact).part;
        finding = finding
            .also(vehicle.part(id).name.at, "closed on the way")
            .part(id);
    }
    finding.also(source.name.at, "is shorted").part(branch.part)
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // The off position was meant to lead nowhere.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 20 A, positions: {off: [], low: [[B, L]], high: [[B, H]]}}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1.B], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.L, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: S1.H, to: chassis, size: 14 AWG, length: 50 cm, insulation: gxl}
",
            "S1",
        ),
        // A relay does it when the key pulls it in.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: K1.87, to: chassis, size: 14 AWG, length: 50 cm, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // The output of a converter, which gives 5 A at most.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CONV: {kind: converter, output: 5 V, rating: 5 A, efficiency: 90 %, standby: 20 mA}
  S1: {kind: switch, rating: 10 A}
  CAM: {kind: load, type: electronics, draw: 1 A, rated-voltage: 5 V}
wires:
  - {run: [B1, F1, CONV.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CONV.out, to: CAM, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [CONV.out, S1, chassis], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "S1",
        ),
    ],
    quiet: &[
        // A motor turned round by two relays: each throws between the supply and the chassis, never both at once.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  SU: {kind: switch, momentary: true, rating: 5 A}
  SD: {kind: switch, momentary: true, rating: 5 A}
  KU: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  KD: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  M1: {kind: load, type: motor, draw: 6 A}
wires:
  - {run: [B1, F1, KU.87], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: KD.87, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: KU.87a, to: chassis, size: 14 AWG, length: 30 cm, insulation: gxl}
  - {from: KD.87a, to: chassis, size: 14 AWG, length: 30 cm, insulation: gxl}
  - {from: KU.30, to: M1.+, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: M1.-, to: KD.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, SU, KU.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [F1, SD, KD.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        // Batteries in series: the + of one is the - of the next.
        "
vehicle: {name: a, system: 24 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  LO: {kind: battery, chemistry: agm, capacity: 80 Ah, voltage: 12 V}
  UP: {kind: battery, chemistry: agm, capacity: 80 Ah, voltage: 12 V}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 20 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: LO.+, to: UP.-, size: 1/0 AWG, length: 30 cm, insulation: sgx}
  - {run: [UP, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
    ],
    // Five plugs and masters: not every setting of them is looked at.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  D1: {kind: disconnect, rating: 100 A}
  D2: {kind: disconnect, rating: 100 A}
  D3: {kind: disconnect, rating: 100 A}
  D4: {kind: disconnect, rating: 100 A}
  D5: {kind: disconnect, rating: 100 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, D1, D2, D3, D4, D5, LAMP], size: 14 AWG, lengths: [1 m, 1 m, 1 m, 1 m, 1 m, 1 m], insulation: gxl}
",
        "settings",
    )],
};
