//! A finding that would not be there if a value that is only assumed, or known between two ends, stood elsewhere in its range.

#[cfg(test)]
mod cases;
mod loose;
mod reach;

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use loose::How;
use loose::Loose;
use loose::loose;
use loose::round;
use reach::near;
use reach::reach;

use crate::analyze::analyze_up_to;
use crate::check::ALL;
use crate::check::prelude::*;
use crate::check::report::Reported;
use crate::check::rule::Outcome;
use crate::model;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::read::document::Document;
use crate::read::document::Fields;
use crate::read::document::Value;
use crate::source::Span;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "assumption-decides",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a finding that hangs on a value which is only assumed, or known between two ends",
        page: include_str!("../../../docs/checks/assumption-decides.md"),
    },
    judge: Judge::Outcome(judge),
    #[cfg(test)]
    cases: cases::CASES,
};

/// Values that are tried; each costs two further solutions of the whole vehicle.
const TRIED: usize = 3;
fn judge(context: &Context<'_>, outcome: &Outcome<'_>) -> Vec<Verdict> {
    let findings: Vec<&Reported> = outcome
        .findings
        .iter()
        .filter(|one| one.accepted.is_none() && one.check.name != CHECK.meta.name)
        .filter(|one| judge_of(one.check.name).is_some())
        .collect();
    if findings.is_empty() {
        return Vec::new();
    }
    let loose = loose(context.vehicle);
    let mut hangs: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut pull: BTreeMap<usize, f64> = BTreeMap::new();
    for (number, reported) in findings.iter().enumerate() {
        let near = near(context, &reported.finding);
        for (fact, value) in loose.iter().enumerate() {
            if !near.contains(value.subject.as_str()) {
                continue;
            }
            let reach = reach(context, value, reported);
            if reach >= 1.0 {
                hangs.entry(fact).or_default().push(number);
                let most = pull.entry(fact).or_default();
                *most = most.max(reach);
            }
        }
    }
    // Those that may decide most come first.
    let mut order: Vec<usize> = hangs.keys().copied().collect();
    order.sort_by(|a, b| {
        let count = hangs[b].len().cmp(&hangs[a].len());
        count.then(pull[b].total_cmp(&pull[a])).then(a.cmp(b))
    });
    let mut verdicts = Vec::new();
    let mut decided: BTreeSet<usize> = BTreeSet::new();
    let mut open: BTreeSet<usize> = BTreeSet::new();
    for (turn, fact) in order.iter().enumerate() {
        let value = &loose[*fact];
        let numbers = &hangs[fact];
        if turn >= TRIED {
            open.extend(numbers);
            let mut gap = Gap::of([value.name.clone()]);
            gap.parts.extend(
                numbers
                    .iter()
                    .flat_map(|&at| findings[at].finding.parts.first()),
            );
            gap.parts.dedup();
            verdicts.push(gap.shown());
            continue;
        }
        let mut lost: Vec<(usize, f64)> = Vec::new();
        let settings = context.solved.explored.limit;
        for end in [value.low, value.high] {
            let vehicle = moved(context.vehicle, value, end);
            for at in not_held(&vehicle, settings, &findings, numbers) {
                if !lost.iter().any(|&(known, _)| known == at) {
                    lost.push((at, end));
                }
            }
        }
        if let Some(&(_, end)) = lost.first() {
            decided.extend(lost.iter().map(|&(at, _)| at));
            let told: Vec<&Reported> = lost.iter().map(|&(at, _)| findings[at]).collect();
            verdicts.push(tell(context, value, end, &told).shown());
        }
    }
    let firm = (0..findings.len()).filter(|at| !decided.contains(at) && !open.contains(at));
    verdicts.extend(firm.map(|_| Verdict::NoneShown));
    verdicts
}

/// How a check that looks at the vehicle judges; nothing of one that looks at the outcome.
fn judge_of(name: &str) -> Option<fn(&Context<'_>) -> Vec<Verdict>> {
    let check = ALL.iter().find(|check| check.meta.name == name)?;
    match check.judge {
        Judge::Vehicle(judge) => Some(judge),
        Judge::Outcome(_) => None,
    }
}

/// The vehicle with one value at an end of its range.
fn moved(vehicle: &Vehicle, value: &Loose, end: f64) -> Vehicle {
    match value.how {
        How::Assumed(id) => model::build_with(vehicle.document.clone(), Some((id, end))),
        How::Stated(at) => {
            let mut document: Document = (*vehicle.document).clone();
            for part in &mut document.parts {
                set(&mut part.fields, at, end);
            }
            for wire in &mut document.wires {
                set(&mut wire.fields, at, end);
            }
            model::build(Arc::new(document))
        }
    }
}

/// Sets the quantity that stands at a place.
fn set(fields: &mut Fields, at: Span, end: f64) {
    for field in &mut fields.list {
        match &mut field.value {
            Value::Quantity(quantity) if quantity.at == at => {
                quantity.low = end;
                quantity.high = end;
            }
            Value::Map(inner) => set(inner, at, end),
            _ => {}
        }
    }
}

/// Those of the findings that a vehicle does not show, looked at in as many settings as the audit itself.
fn not_held(
    vehicle: &Vehicle,
    settings: usize,
    findings: &[&Reported],
    numbers: &[usize],
) -> Vec<usize> {
    let solved = analyze_up_to(vehicle, settings);
    let context = Context::new(vehicle, &solved);
    let mut known: BTreeMap<&str, Vec<Verdict>> = BTreeMap::new();
    let mut lost = Vec::new();
    for &at in numbers {
        let reported = findings[at];
        let name = reported.check.name;
        let verdicts = known
            .entry(name)
            .or_insert_with(|| judge_of(name).map_or_else(Vec::new, |judge| judge(&context)));
        let held = verdicts.iter().any(|verdict| match verdict {
            Verdict::Fault(fault) => {
                fault.at == reported.finding.at && same(&fault.parts, &reported.finding.parts)
            }
            _ => false,
        });
        if !held {
            lost.push(at);
        }
    }
    lost
}

/// Whether two findings are about the same part: the one at fault; whom else they name may differ.
fn same(a: &[PartId], b: &[PartId]) -> bool {
    a.first() == b.first()
}

fn tell(context: &Context<'_>, value: &Loose, end: f64, told: &[&Reported]) -> Finding {
    let vehicle = context.vehicle;
    let names: Vec<String> = told
        .iter()
        .map(|reported| {
            let part = reported.finding.parts.first();
            let wire = reported.finding.wires.first();
            let subject = part
                .map(|&part| context.name(part))
                .or(wire.map(|&wire| vehicle.wire(wire).id.as_str()));
            match subject {
                Some(subject) => format!("`{}` on {subject}", reported.check.name),
                None => format!("`{}`", reported.check.name),
            }
        })
        .collect();
    let verb = if names.len() == 1 { "hangs" } else { "hang" };
    let known = match value.how {
        How::Assumed(_) => "is only assumed",
        How::Stated(_) => "is known as a range only",
    };
    let owner = context
        .parts()
        .find(|(_, part)| part.name.value == value.subject);
    let wire = context.wires().find(|(_, wire)| wire.id == value.subject);
    let at = match (value.how, owner, wire) {
        (How::Stated(at), ..) => at,
        (_, Some((_, part)), _) => part.name.at,
        (_, None, Some((wire, _))) => context.wire_at(wire, "id"),
        // Of the vehicle as a whole: where the finding stands.
        _ => told
            .first()
            .map_or_else(Span::default, |one| one.finding.at),
    };
    let finding = Finding::new(
        at,
        format!(
            "{} {verb} on {}, which {known} ({}): at {} it is not shown",
            words::list(&names, 4),
            value.name,
            value.range,
            if value.unit.is_empty() {
                if (end - value.low).abs() < (end - value.high).abs() {
                    "the low end".to_owned()
                } else {
                    "the high end".to_owned()
                }
            } else {
                format!("{} {}", round(end), value.unit)
            }
        ),
    )
    .label("decides a finding")
    .hang_on(value.name.clone(), told.len())
    .source("the vehicle solved again with this value at each end of its range")
    .help(format!(
        "measure {}, or look it up, and state it",
        value.name
    ));
    let finding = match owner {
        Some((part, _)) => finding.part(part),
        None => finding,
    };
    let finding = match wire {
        Some((wire, _)) => finding.wire(wire),
        None => finding,
    };
    told.iter().take(4).fold(finding, |finding, reported| {
        finding
            .also(reported.finding.at, reported.check.name)
            .parts(reported.finding.parts.first().copied())
    })
}
