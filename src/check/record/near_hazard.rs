//! A part near something that can hurt whoever works on it.

use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::source::Spanned;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "near-hazard",
        level: Level::Warning,
        harm: Harm::Record,
        summary: "a part near something that can hurt whoever works on it",
        page: include_str!("../../../docs/checks/near-hazard.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts().filter(|&(id, _)| context.is_added(id)) {
        if part.near.is_empty() {
            // Nobody has looked at where it sits.
            let unseen = part.status == Status::Unknown || part.fields.is_unknown("near");
            verdicts.push(if unseen {
                Gap::of([part.missing("near")]).part(id).shown()
            } else {
                Verdict::NoneShown
            });
            continue;
        }
        verdicts.extend(part.near.iter().map(|word| warn(id, part, word)));
    }
    verdicts
}

fn warn(id: PartId, part: &Part, word: &Spanned<String>) -> Verdict {
    let (what, advice, source) = about(&word.value);
    Finding::new(word.at, format!("{} sits near {what}", words::called(part)))
        .label("read this before work")
        .part(id)
        .source(source)
        .help(advice)
        .shown()
}

/// What a hazard is, what to heed, and who says so.
fn about(word: &str) -> (&'static str, &'static str, &'static str) {
    match word {
        "airbag" => (
            "a part of the airbag system",
            "follow the vehicle maker's steps: key out, negative cable off, then wait as long as the maker says (90 s to 10 min are published); use no memory saver, no test lamp and no ohmmeter on these circuits",
            "restraint-system service precautions of several vehicle makers (read)",
        ),
        "seat-belt" => (
            "a seat-belt fastener or tensioner",
            "land no ground ring under a seat-belt or seat bolt, and treat a tensioner as part of the airbag system",
            "restraint-system service precautions (read); bolts: common practice, no source",
        ),
        "high-voltage" => (
            "high-voltage cables",
            "never probe, move or tie anything to orange cables; the colour is not reliable on every vehicle; leave the work to trained people where they have to be touched",
            "fire-service training on high-voltage cables (read)",
        ),
        "fuel" => (
            "fuel",
            "no relay, switch or open splice where vapour can gather; no wire tied to a fuel line; disconnect the battery before work",
            "33 CFR 183.410, ignition protection, by analogy (read)",
        ),
        "exhaust" => (
            "the exhaust",
            "keep wires 100 mm or more away or put a heat shield between, and look again after a hot run",
            "a body-builder guide on SAE J1292 (read)",
        ),
        _ => (
            "a hazard that the record names",
            "follow the vehicle maker's instructions for work there",
            "the record itself",
        ),
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 2 A, parked: 0 mA, near: airbag}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "RADIO",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  PUMP: {kind: load, type: motor, draw: 5 A, near: [fuel, exhaust, high-voltage, seat-belt]}
wires:
  - {from: RUN, to: PUMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "PUMP",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 2 A, parked: 0 mA}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
"],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 2 A, parked: 0 mA, status: unknown}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "RADIO.near",
    )],
};
