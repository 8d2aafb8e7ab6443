//! A return lands under a bolt that holds something on which life depends.

use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "return-on-safety-fastener",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a return lands under a bolt of a seat belt, a seat, the brakes, the steering or the fuel system",
        page: include_str!("../../../docs/checks/return-on-safety-fastener.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Ground, Kind::Stud])
        .filter_map(|(id, part)| judge_bolt(context, id, part))
        .collect()
}

fn judge_bolt(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let &terminal = part.terminals.first()?;
    let landing = context.landing(terminal);
    if landing.is_empty() {
        return None;
    }
    let Some(holds) = part.fields.text("holds") else {
        // It lies beside one: whether it is one has to be looked at.
        let beside = |word: &str| matches!(word, "seat-belt" | "airbag" | "fuel");
        let near = part.near.iter().any(|near| beside(&near.value));
        return (near || part.fields.is_unknown("holds"))
            .then(|| Gap::of([part.missing("holds")]).part(id).shown());
    };
    let holds = holds.value.as_str();
    if holds == "nothing" {
        return Some(Verdict::NoneShown);
    }
    let what = match holds {
        "seat-belt" => "a seat belt",
        "seat" => "a seat",
        "brake" => "a part of the brakes",
        "steering" => "a part of the steering",
        "suspension" => "a part of the suspension",
        _ => "a part of the fuel system",
    };
    let finding = Finding::new(
        part.at("holds"),
        format!(
            "{} lands under a bolt that holds {what}",
            words::called(part)
        ),
    )
    .label("not a place for a ring terminal")
    .part(id)
    .wires(landing)
    .source("common practice, no source")
    .help(
        "move the return to a ground point of its own; have the bolt tightened again as the vehicle's maker says",
    );
    Some(finding.shown())
}

/// A lamp that comes home by a bolt that holds this.
#[cfg(test)]
macro_rules! bolt {
    ($holds:literal) => {
        concat!(
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  A: {kind: load, type: led, draw: 2 A}
  G1: {kind: ground, holds: ",
            $holds,
            "}
wires:
  - {from: RUN, to: A, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: A, to: G1, size: 14 AWG, length: 2 m, insulation: gxl}
"
        )
    };
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 1 A}
  G1: {kind: ground, limit: 30 A, holds: seat-belt}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RADIO, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "G1",
        ),
        // A seat has to stay on.
        (bolt!("seat"), "G1"),
        // A brake line bracket.
        (bolt!("brake"), "G1"),
        // A steering column bracket.
        (bolt!("steering"), "G1"),
        // A spring hanger.
        (bolt!("suspension"), "G1"),
        // A fuel pump bracket.
        (bolt!("fuel"), "G1"),
    ],
    quiet: &[
        // The factory's own point beside it.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 1 A}
  G1: {kind: ground, limit: 30 A, near: seat-belt, holds: nothing}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RADIO, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 1 A}
  G1: {kind: ground, limit: 30 A, near: seat-belt}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RADIO, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "G1.holds",
    )],
};
