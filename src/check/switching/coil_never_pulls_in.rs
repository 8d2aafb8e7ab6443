//! A relay coil that gets voltage, and in no setting enough to pull in.

use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "coil-never-pulls-in",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a relay coil gets voltage, and in no setting enough to pull in",
        page: include_str!("../../../docs/checks/coil-never-pulls-in.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Less than this over a coil is what leaks: it was not switched on.
const NOTHING: Volts = Volts(0.5);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Relay]) {
        for &branch in &part.branches {
            verdicts.extend(judge_coil(context, id, part, branch));
        }
    }
    verdicts
}

fn judge_coil(context: &Context<'_>, id: PartId, part: &Part, branch: BranchId) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let inside = vehicle.branch(branch);
    let Element::Coil { ohms, pull_in, .. } = &inside.element else {
        return None;
    };
    let explored = &context.solved.explored;
    let most = explored.branches.get(branch.index())?;
    let volts = Volts(most.value.0.abs() * ohms.likely.0);
    if volts <= NOTHING {
        return None;
    }
    let verdict = match weigh(pull_in.range, Interval::exact(volts)) {
        Weighed::Within => Verdict::NoneShown,
        Weighed::Depends => Gap::of([part.missing("pull-in")]).part(id).shown(),
        Weighed::Above if !explored.complete => Gap::of([context.not_explored()]).part(id).shown(),
        Weighed::Above => {
            let name = &part.name.value;
            let at = if part.fields.get("pull-in").is_some() {
                part.at("pull-in")
            } else {
                part.name.at
            };
            Finding::new(
                at,
                format!(
                    "the coil of {} gets {} at most{}, and needs {} to pull in",
                    words::called(part),
                    words::show(volts),
                    words::when(&most.setting),
                    words::range(pull_in.range)
                ),
            )
            .label("never pulls in")
            .part(id)
            .measured(
                volts,
                pull_in.range.low,
                if part.fields.get("pull-in").is_some() {
                    "`pull-in` of the record".to_owned()
                } else {
                    crate::table::relay::pull_in().source.to_owned()
                },
            )
            .setting(most.first().1.clone())
            .worst(most.setting.clone())
            .step(
                format!(
                    "{} x {} = {}",
                    words::show(most.value.abs()),
                    words::show(ohms.likely),
                    words::show(volts)
                ),
                "the network solved in every setting",
            )
            .help(format!(
                "look what stands in series with the coil of {name}: a lamp, another coil, a thin long wire; or fit a relay for this voltage"
            ))
            .shown()
        }
    };
    Some(verdict)
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // Two coils in series share the voltage.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: K2.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "K2",
        ),
        // A coil for 24 V in a 12 V vehicle.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 350 ohm, contact: 20 A, pull-in: 16 V, drop-out: 2.4 V}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // 20 ohm behind 100 ohm get a sixth of 12.8 V; what pulls it in is taken from published sheets.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 20 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, resistance: 100 ohm}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
"],
    // It gets about 8 V behind a resistor, and what it needs is not stated.
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, drop-out: 1.2 V}
wires:
  - {from: RUN, to: K1.86, resistance: 50 ohm}
",
            "K1.pull-in",
        ),
        // Five masters: not every setting of them is looked at.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  D1: {kind: disconnect, rating: 20 A}
  D2: {kind: disconnect, rating: 20 A}
  D3: {kind: disconnect, rating: 20 A}
  D4: {kind: disconnect, rating: 20 A}
  D5: {kind: disconnect, rating: 20 A}
  K1: {kind: relay, coil: 350 ohm, contact: 20 A, pull-in: 16 V, drop-out: 2.4 V}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "settings",
        ),
    ],
};
