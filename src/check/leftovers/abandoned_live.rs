//! Something that was left behind is live.

use super::Left;
use super::Live;
#[cfg(test)]
use super::MANY_SWITCHES;
use crate::check::prelude::*;
use crate::model::Status;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "abandoned-live",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "something that was left behind is live",
        page: include_str!("../../../docs/checks/abandoned-live.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    super::of_status(context, Status::Abandoned)
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
        format!("{} was left behind and is live {}", left.name, live.words()),
    )
    .label("live")
    .wires(left.wires.iter().copied())
    .setting(live.setting())
    .source("the network solved in every setting")
    .help("pull its fuse, take its wires off at the source end first, and then take it out");
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
  SIREN: {kind: load, type: electronics, draw: 1 A, status: abandoned}
wires:
  - {from: RUN, to: SIREN, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "SIREN",
        ),
        // By its second supply at all times, by its third when a switch is left closed.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  RADIO: {kind: load, type: electronics, supplies: {main: {draw: 2 A}, memory: {draw: 5 mA}, lamp: {draw: 0.1 A}}, status: abandoned}
wires:
  - {from: RUN, to: RADIO.main, size: 16 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, RADIO.memory], size: 16 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [F1, S1, RADIO.lamp], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "RADIO",
        ),
        // A wire alone, live as soon as a switch is left closed.
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
  - {id: W5, from: S1.out, to: END, size: 16 AWG, length: 1 m, insulation: gxl, status: abandoned}
",
            "W5",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SIREN: {kind: load, type: electronics, draw: 1 A, status: abandoned}
wires:
  - {from: SIREN, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
"],
    cannot: &[(MANY_SWITCHES, "settings")],
};
