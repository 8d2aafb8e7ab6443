//! Something that nobody knows is live.

use super::Left;
use super::Live;
#[cfg(test)]
use super::MANY_SWITCHES;
use crate::check::prelude::*;
use crate::model::Status;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "unknown-live",
        level: Level::Warning,
        harm: Harm::Fire,
        summary: "something that nobody knows is live",
        page: include_str!("../../../docs/checks/unknown-live.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    super::of_status(context, Status::Unknown)
        .iter()
        .map(|left| judge_one(context, left))
        .collect()
}

fn judge_one(context: &Context<'_>, left: &Left) -> Verdict {
    let live = left.live(context);
    if matches!(live, Live::Never) {
        return if context.solved.explored.complete {
            Verdict::NoneShown
        } else {
            left.not_explored(context)
        };
    }
    let mut finding = Finding::new(
        left.at,
        format!("{} is not known to anybody and is live {}", left.name, live.words()),
    )
    .label("live")
    .wires(left.wires.iter().copied())
    .setting(live.setting())
    .source("the network solved in every setting")
    .help("find out what it feeds before anything else is changed; pull its fuse and see what stops working");
    if let Some(part) = left.part {
        finding = finding.part(part);
    }
    finding.shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  BOX: {kind: load, type: electronics, draw: 1 A, status: unknown}
wires:
  - {from: RUN, to: BOX, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "BOX",
        ),
        // A wire alone.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  LAMP: {kind: load, type: led, draw: 2 A}
  END: {kind: stub, end: capped}
wires:
  - {run: [B1, F1, S1, LAMP], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {id: W5, from: F1.out, to: END, size: 16 AWG, length: 1 m, insulation: gxl, status: unknown}
",
            "W5",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BOX: {kind: load, type: electronics, draw: 1 A, status: unknown}
wires:
  - {from: BOX, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
"],
    cannot: &[(MANY_SWITCHES, "settings")],
};
