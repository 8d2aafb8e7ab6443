//! A solenoid made for intermittent duty whose coil can stay energised.

use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::quantity::Volts;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "intermittent-held-on",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a solenoid made for intermittent duty can stay energised",
        page: include_str!("../../../docs/checks/intermittent-held-on.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

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
    let Element::Coil { ohms, pull_in, .. } = &context.vehicle.branch(branch).element else {
        return None;
    };
    let explored = &context.solved.explored;
    let uses = explored.uses.get(branch.index())?;
    uses.ever.as_ref()?;
    // Less than half of what pulls it in does not heat it.
    let across = |amps: Amps| Volts(amps.0.abs() * ohms.likely.0);
    let heats = |amps: Amps| across(amps) >= pull_in.range.low * 0.5;
    let held = uses
        .lasting
        .as_ref()
        .filter(|lasting| heats(lasting.value))
        .map(|lasting| (lasting, across(lasting.value)));
    let Some((lasting, volts)) = held else {
        return Some(if explored.complete {
            Verdict::NoneShown
        } else {
            Gap::of([context.not_explored()]).part(id).shown()
        });
    };
    match part.fields.text("duty").map(|duty| duty.value.as_str()) {
        Some("intermittent") => {}
        Some(_) => return Some(Verdict::NoneShown),
        None if context.is_added(id) => {
            return Some(Gap::of([part.missing("duty")]).part(id).shown());
        }
        None => return Some(Verdict::NoneShown),
    }
    let key = match lasting.setting.key {
        Some(key) => format!(" with the key in {}", key.text()),
        None => String::new(),
    };
    let name = &part.name.value;
    let finding = Finding::new(
        part.at("duty"),
        format!(
            "{} is made for intermittent duty, and its coil takes {}{key}{} for as long as it is left so",
            words::called(part),
            words::show(lasting.value.abs()),
            words::when(&lasting.setting)
        ),
    )
    .label("may be energised for moments only")
    .part(id)
    .value(lasting.value.abs())
    .setting(lasting.showing(heats))
    .worst(lasting.worst())
    .step(
        format!(
            "{} over {} for long: {:.0} W in the coil",
            words::show(volts),
            words::show(ohms.likely),
            volts.0 * lasting.value.0.abs()
        ),
        "the network solved in every setting with nothing held by hand and the key not in start",
    )
    .source("`duty` of the record")
    .help(format!(
        "fit a solenoid made for continuous duty in place of {name}: the two look alike, measure the coil; or drive it from a button that springs back"
    ));
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // A starter solenoid used as a main switch.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 100 A, form: bolt-down}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 3.5 ohm, contact: 200 A, pull-in: 8 V, drop-out: 2 V, duty: intermittent}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 4 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // It holds itself in after the button was let go.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 100 A, form: bolt-down}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  S1: {kind: switch, momentary: true, rating: 30 A}
  K1: {kind: relay, coil: 3.5 ohm, contact: 200 A, pull-in: 8 V, drop-out: 2 V, duty: intermittent}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: K1.86, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "K1",
        ),
        // With the key off as well.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 5 ohm, contact: 80 A, duty: intermittent}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [F1, S1, K1.86], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        // From a button, and from terminal 50 of the key.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  KEY: {kind: key-switch, rating: 30 A}
  S1: {kind: switch, momentary: true, rating: 30 A}
  K1: {kind: relay, coil: 3.5 ohm, contact: 200 A, pull-in: 8 V, drop-out: 2 V, duty: intermittent}
  K2: {kind: relay, coil: 3.5 ohm, contact: 200 A, pull-in: 8 V, drop-out: 2 V, duty: intermittent}
wires:
  - {run: [B1, F1, KEY.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: KEY.50, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [KEY.15, S1, K2.86], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 15 ohm, contact: 200 A, pull-in: 8 V, drop-out: 2 V, duty: continuous}
wires:
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
        // The vehicle's own relay is its maker's choice.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, status: factory}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 15 ohm, contact: 200 A, pull-in: 8 V, drop-out: 2 V}
wires:
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
        "K1.duty",
    )],
};
