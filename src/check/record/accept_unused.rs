//! An `accept:` entry that no finding matches.

use crate::check::accept;
use crate::check::prelude::*;
use crate::check::rule::Outcome;
use crate::read::document::Accept;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "accept-unused",
        level: Level::Warning,
        harm: Harm::Record,
        summary: "an `accept:` entry that no finding matches",
        page: include_str!("../../../docs/checks/accept-unused.md"),
    },
    judge: Judge::Outcome(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>, outcome: &Outcome<'_>) -> Vec<Verdict> {
    let entries = context.vehicle.document.accept.iter();
    entries
        .map(|entry| judge_entry(context, outcome, entry))
        .collect()
}

fn judge_entry(context: &Context<'_>, outcome: &Outcome<'_>, entry: &Accept) -> Verdict {
    let check = &entry.check.value;
    let matched = outcome.findings.iter().any(|reported| {
        reported.check.name == check
            && accept::is_about(
                context,
                entry,
                &reported.finding.parts,
                &reported.finding.wires,
            )
    });
    if matched {
        return Verdict::NoneShown;
    }
    let gap = outcome.gaps.iter().find(|(meta, gap)| {
        meta.name == check && accept::is_about(context, entry, &gap.parts, &gap.wires)
    });
    if let Some((_, gap)) = gap {
        return gap.clone().shown();
    }
    let (parts, wires) = accept::subjects(context, entry);
    let known = crate::check::ALL
        .iter()
        .any(|other| other.meta.name == check);
    let (at, message, help) = if known {
        let about = match &entry.subject {
            Some(subject) => format!(" on {}", subject.value),
            None => String::new(),
        };
        (
            entry.check.at,
            format!("`{check}`{about} is accepted, and the check finds nothing to accept there"),
            "take the entry out, so that it does not hide the next fault".to_owned(),
        )
    } else {
        (
            entry.check.at,
            format!("there is no check named `{check}` to accept"),
            match accept::nearest(check) {
                Some(name) => format!("write `check: {name}`, if that is what is meant"),
                None => "`keyoff explain` lists the checks by name".to_owned(),
            },
        )
    };
    Finding::new(at, message)
        .label("matches nothing")
        .parts(parts)
        .wires(wires)
        .help(help)
        .source("the record itself")
        .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
accept:
  - {check: ahead-of-ignition, part: LAMP, because: it used to be}
",
            "LAMP",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
accept:
  - {check: ahead-of-ignitoin, part: LAMP, because: misspelt}
",
            "LAMP",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 2 m], insulation: gxl}
accept:
  - {check: ahead-of-ignition, part: LAMP, because: the door lamp}
"],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A}
wires:
  - {run: [B1, F1, RADIO], size: 14 AWG, lengths: [10 cm, 2 m], insulation: gxl}
accept:
  - {check: ahead-of-ignition, part: RADIO, because: keeps its presets}
",
        "RADIO.parked",
    )],
};
