//! A wire is thinner than a wire that has to stand up for itself should be.

use crate::check::flow;
use crate::check::prelude::*;
use crate::model::Wire;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::quantity::Meters;
use crate::quantity::WireSize;
use crate::table::wire;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "wire-below-minimum",
        level: Level::Note,
        harm: Harm::Nuisance,
        summary: "a wire is thinner than a wire that has to stand up for itself should be",
        page: include_str!("../../../docs/checks/wire-below-minimum.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// 33 CFR 183.425(e): alone.
const ALONE: WireSize = WireSize::Awg(16);
/// 33 CFR 183.425(d): in a sheath.
const SHEATHED: WireSize = WireSize::Awg(18);
/// 33 CFR 183.425(g): electronic circuits below this are exempt.
const SMALL: Amps = Amps(1.0);
/// 33 CFR 183.425(g): so are pigtails shorter than 7 in.
const PIGTAIL: Meters = Meters(0.1778);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .wires()
        .filter_map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    let Some(size) = wire.size else {
        // One that is given by its resistance was measured, not chosen.
        let missing = [format!("{}.size", wire.id)];
        return wire
            .resistance
            .is_none()
            .then(|| Gap::of(missing).wire(id).shown());
    };
    let sheathed = wire.bundle.is_some() || wire.route.iter().any(|word| word == "loom");
    let least = if sheathed { SHEATHED } else { ALONE };
    let (Some(area), Some(needed)) = (wire::area(size), wire::area(least)) else {
        return None;
    };
    if area.value.0 >= needed.value.0 * 0.999 {
        return Some(Verdict::NoneShown);
    }
    let flow = flow::in_wire(context, id);
    // A current that is solved may lie a hair under the draw that it comes from.
    if flow.missing.is_empty() && flow.range.high < SMALL * 0.999 {
        return Some(Verdict::NoneShown);
    }
    if wire
        .length
        .is_some_and(|length| length.range.high < PIGTAIL)
    {
        return Some(Verdict::NoneShown);
    }
    // What may yet excuse it.
    let mut missing = Vec::new();
    if flow.range.low < SMALL {
        missing.extend(flow.wanted());
    }
    if wire.length.is_none_or(|length| length.range.low < PIGTAIL) {
        missing.push(format!("{}.length", wire.id));
    }
    let told = sheathed || !wire.route.is_empty();
    let enough = wire::area(SHEATHED).is_some_and(|sheathed| area.value >= sheathed.value * 0.999);
    if !told && enough {
        missing.push(format!("{}.route", wire.id));
    }
    if !missing.is_empty() {
        return Some(Gap::of(missing).wire(id).shown());
    }
    let least = wire::label(least);
    let how = if sheathed { "in a loom" } else { "on its own" };
    let finding = Finding::new(
        context.wire_at(id, "size"),
        format!(
            "{} is {}; a wire {how} should be {least} or thicker to stand up to handling",
            wire.id,
            wire::label(size)
        ),
    )
    .label("thin for a wire on a vehicle")
    .wire(id)
    .measured(
        area.value,
        needed.value,
        "33 CFR 183.425(d), (e) and (g), by analogy",
    )
    .help(if sheathed {
        format!("run it in {least}")
    } else {
        format!("run it in {least}, or in a loom with others")
    });
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: thin, from: RUN, to: LAMP, size: 20 AWG, length: 2 m, insulation: gxl}
",
            "thin",
        ),
        // Enough in a loom, but it runs alone; in a bundle, thinner still; and just not less than 1 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  STEP: {kind: load, type: led, draw: 1 A}
wires:
  - {id: thin, from: RUN, to: LAMP, size: 18 AWG, length: 2 m, insulation: gxl, route: grommet}
  - {id: home, from: LAMP, to: chassis, size: 20 AWG, length: 2 m, insulation: gxl, bundle: rear}
  - {id: step, from: RUN, to: STEP, size: 20 AWG, length: 2 m, insulation: gxl, route: loom}
",
            "thin",
        ),
        // Just not shorter than 7 in; and what else hangs on it takes more than 1 A, whatever the chime takes.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  SP: {kind: splice}
  LAMP: {kind: load, type: led, draw: 2 A}
  CHIME: {kind: load, type: electronics}
wires:
  - {id: tail, from: RUN, to: SP, size: 20 AWG, length: 7 in, insulation: gxl}
  - {from: SP, to: LAMP, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: SP, to: CHIME, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "tail",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 18 AWG, length: 2 m, insulation: gxl, route: loom}
",
        // A signal of less than an ampere.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 0.2 A}
wires:
  - {from: RUN, to: LAMP, size: 20 AWG, length: 2 m, insulation: gxl}
",
        // The tails of a lamp.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 20 AWG, length: 6 in, insulation: gxl}
  - {from: LAMP, to: chassis, size: 20 AWG, length: 15 cm, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, length: 2 m, insulation: gxl}
",
            "w1.size",
        ),
        // In a loom it is thick enough; alone, or where nobody knows, it is not.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 18 AWG, length: 2 m, insulation: gxl, route: unknown}
",
            "w1.route",
        ),
        // It may be a signal, or a tail.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  LAMP: {kind: load, type: led}
  STEP: {kind: load, type: led, draw: 0.8..1.5 A}
wires:
  - {from: RUN, to: LAMP, size: 20 AWG, insulation: gxl}
  - {from: RUN, to: STEP, size: 20 AWG, length: 15..30 cm, insulation: gxl}
",
            "LAMP.draw",
        ),
    ],
};
