//! A wire end that goes nowhere and is live.

use super::Live;
#[cfg(test)]
use super::MANY_SWITCHES;
use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "live-stub",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a wire end that goes nowhere is live",
        page: include_str!("../../../docs/checks/live-stub.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Stub])
        .filter_map(|(id, part)| judge_stub(context, id, part))
        .collect()
}

fn judge_stub(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let &terminal = part.terminals.first()?;
    let wires = context.landing(terminal);
    if wires.is_empty() {
        return None;
    }
    // Through the coil of a relay: that has a check of its own.
    if super::coil_control_stub::through_a_coil(context, terminal) {
        return None;
    }
    let live = super::live(context, terminal);
    if matches!(live, Live::Never) {
        return Some(if context.solved.explored.complete {
            Verdict::NoneShown
        } else {
            Gap::of([context.not_explored()]).part(id).shown()
        });
    }
    let end = part.fields.text("end").map(|end| end.value.as_str());
    let unprotected = context
        .walks
        .protections_ahead(context.vehicle, terminal)
        .iter()
        .any(|(_, protections)| protections.is_empty());
    let name = words::called(part);
    let how = match (end, unprotected) {
        (Some("capped"), false) => "capped and behind a fuse",
        (Some("capped"), true) => "capped, with no fuse ahead of it",
        (Some(_), false) => "open",
        (Some(_), true) => "open, with no fuse ahead of it",
        (None, false) => "the record does not say how it is closed off",
        (None, true) => "with no fuse ahead of it",
    };
    let mut finding = Finding::new(
        part.name.at,
        format!("the wire end {name} is live {} ({how})", live.words()),
    )
    .label("live, and goes nowhere")
    .part(id)
    .wires(wires.iter().copied())
    .setting(live.setting())
    .source("33 CFR 183.445(b), by analogy; unconnected ends sealed is common practice, no source")
    .help(if end == Some("capped") && !unprotected {
        "take the wire off at its source end, or label it and keep it on the drawing"
    } else {
        "take the wire off at its source end first, then take it out; until then insulate the end and pull its fuse"
    });
    if end == Some("capped") && !unprotected {
        finding = finding.level(Level::Note);
    }
    for &wire in &wires {
        finding = finding.also(context.wire_from(wire), "fed from here");
    }
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CUT: {kind: stub, end: bare}
wires:
  - {run: [B1, F1, CUT], size: 14 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "CUT",
        ),
        // Live only when a switch is closed with the key in run.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  CUT: {kind: stub, end: cut}
wires:
  - {run: [RUN, S1, CUT], size: 14 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "CUT",
        ),
        // Ends that were capped, and ends of which nobody wrote how they end, behind a fuse and ahead of any.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CAP1: {kind: stub, end: capped}
  CAP2: {kind: stub, end: capped}
  END1: {kind: stub}
  END2: {kind: stub}
wires:
  - {run: [B1, F1, CAP1], size: 14 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: F1, to: END1, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: B1, to: CAP2, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: B1, to: END2, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "CAP1",
        ),
    ],
    // The second is live through a coil alone.
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V}
  LAMP: {kind: load, type: led, draw: 2 A}
  OLD: {kind: stub, end: bare}
  CUT: {kind: stub, end: bare}
wires:
  - {from: OLD, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, K1.86], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.85, to: CUT, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: F1, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
"],
    cannot: &[(MANY_SWITCHES, "settings")],
};
