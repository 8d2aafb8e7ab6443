//! A trailer's battery stays joined to the vehicle's with the key off.

use crate::check::prelude::*;
use crate::check::sources::tied;
use crate::check::sources::tied::Pair;
use crate::check::sources::tied::Tie;
use crate::model::PartId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "trailer-battery-not-isolated",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a trailer's battery stays joined to the vehicle's with the key off",
        page: include_str!("../../../docs/checks/trailer-battery-not-isolated.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts: Vec<Verdict> = tied::pairs(context)
        .iter()
        .filter(|pair| pair.plugged)
        .map(|pair| judge_pair(context, pair))
        .collect();
    for (id, part) in context.parts_of(&[Kind::Connector]) {
        let open: Vec<String> = part
            .branches
            .iter()
            .filter(|&&branch| super::group(context, branch).is_some())
            .filter_map(|&branch| open_and_hot(context, branch))
            .collect();
        if !open.is_empty() {
            verdicts.push(Gap::of(open).part(id).shown());
        }
    }
    verdicts
}

/// The far side of a pin that is live with the key off and to which nothing is recorded: whether a battery hangs there is not known.
fn open_and_hot(context: &Context<'_>, branch: crate::model::BranchId) -> Option<String> {
    let inside = context.vehicle.branch(branch);
    let ends = [(inside.from, inside.to), (inside.to, inside.from)];
    ends.into_iter().find_map(|(near, far)| {
        let hot = context.walks.fed(near)
            && context.solved.explored.terminals[near.index()].parked
            && !context.landing(near).is_empty();
        (hot && context.landing(far).is_empty())
            .then(|| context.vehicle.terminal(far).label.clone())
    })
}

fn judge_pair(context: &Context<'_>, pair: &Pair) -> Verdict {
    let vehicle = context.vehicle;
    // The one that does not start the engine is the trailer's.
    let (own, other): (PartId, PartId) = if vehicle.starter == Some(pair.second) {
        (pair.second, pair.first)
    } else {
        (pair.first, pair.second)
    };
    let over = match &pair.state {
        Tie::Apart => return Verdict::NoneShown,
        Tie::Unknown(missing) => return Gap::of(missing.clone()).part(other).shown(),
        Tie::Joined(over) => over,
    };
    let names: Vec<&str> = over.iter().map(|&part| context.name(part)).collect();
    let finding = Finding::new(
        vehicle.part(other).name.at,
        format!(
            "{} stays joined to {} over {} with the key off: standing hitched, a weak one drains the other",
            words::called(vehicle.part(other)),
            context.name(own),
            words::list(&names, 4)
        ),
    )
    .label("joined with the key off")
    .part(other)
    .part(own)
    .parts(over.iter().copied())
    .source("common practice, no source; the contacts are solved as the vehicle is left")
    .help("put a relay that the key or the engine holds in, a diode or a charger between the charge line and the vehicle's battery");
    over.iter()
        .take(4)
        .fold(finding, |finding, &part| {
            finding.also(vehicle.part(part).name.at, "joins them")
        })
        .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BT: {kind: battery, chemistry: agm, capacity: 40 Ah}
  X1: {kind: connector, pins: {4: 40 A}, detach: trailer, cover: true}
  F1: {kind: fuse, rating: 30 A, form: blade}
  FT: {kind: fuse, rating: 30 A, form: blade}
wires:
  - {run: [B1, F1, X1.4, FT, BT], size: 8 AWG, lengths: [10 cm, 3 m, 3 m, 10 cm], insulation: gxl}
",
        "BT",
    ),
        // The trailer's is the first in the record; it is not the one that starts.
        (
            "
vehicle: {name: test, system: 12 V, engine: {cranking: 200 A, battery: B2}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  P1: {kind: connector, pins: [1], detach: trailer}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 20 A, form: blade}
wires:
  - {run: [B2, F2, P1.1.a], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [B1, F1, P1.1.b], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "B1",
        ),
    ],
    quiet: &[
        // A relay that the key holds in. Of the far side of pin 2 nothing is recorded, but it is dead with the key off; to pin 3
        // nothing leads.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BT: {kind: battery, chemistry: agm, capacity: 40 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 85 ohm, contact: 40 A}
  X1: {kind: connector, pins: [2, 3, 4], detach: trailer, cover: true}
  F1: {kind: fuse, rating: 30 A, form: blade}
  FT: {kind: fuse, rating: 30 A, form: blade}
wires:
  - {run: [B1, F1, K1.30], size: 8 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [K1.87, X1.4, FT, BT], size: 8 AWG, lengths: [3 m, 3 m, 10 cm], insulation: gxl}
  - {from: RUN, to: X1.2, size: 18 AWG, length: 3 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {4: 40 A}, detach: trailer, cover: true}
  F1: {kind: fuse, rating: 30 A, form: blade}
wires:
  - {run: [B1, F1, X1.4], size: 8 AWG, lengths: [10 cm, 3 m], insulation: gxl}
",
        "X1.4.b",
    ),
        // A switch between the two, and no word of how it is left.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  S1: {kind: switch, rating: 20 A}
  P1: {kind: connector, pins: [1], detach: trailer}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 20 A, form: blade}
wires:
  - {run: [B1, F1, S1, P1.1.a], size: 10 AWG, lengths: [10 cm, 2 m, 1 m], insulation: gxl}
  - {run: [B2, F2, P1.1.b], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "S1.left",
        ),
    ],
};
