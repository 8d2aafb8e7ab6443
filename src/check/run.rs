//! Runs every check and puts its verdicts in order.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use rayon::prelude::*;

use super::accept;
use super::carries::carries;
use super::context::Context;
use super::derived;
use super::finding::Finding;
use super::finding::Gap;
use super::report::Report;
use super::report::Reported;
use super::rule::Check;
use super::rule::Judge;
use super::rule::Meta;
use super::rule::Outcome;
use super::rule::Verdict;
use crate::analyze::Solved;
use crate::model::Vehicle;
use crate::source::Span;

/// Runs these checks over a vehicle. Checks about the record's own `accept:` come last, with what the others came to.
pub(super) fn run(checks: &'static [&'static Check], vehicle: &Vehicle, solved: &Solved) -> Report {
    let context = Context::new(vehicle, solved);
    let mut report = Report {
        findings: Vec::new(),
        gaps: Vec::new(),
        checked: 0,
        ampacities: vehicle
            .wire_ids()
            .map(|wire| {
                carries(&context, wire)
                    .as_ref()
                    .ok()
                    .filter(|of| of.missing.is_empty())
            })
            .map(|of| of.map(|of| of.amps.low))
            .collect(),
    };
    let judge = |check: &&'static Check| match check.judge {
        Judge::Vehicle(judge) => judge(&context),
        Judge::Outcome(_) => Vec::new(),
    };
    let judged: Vec<Vec<Verdict>> = if vehicle.is_large() {
        checks.par_iter().with_max_len(1).map(judge).collect()
    } else {
        checks.iter().map(judge).collect()
    };
    for (check, verdicts) in checks.iter().zip(judged) {
        add(&mut report, &context, &check.meta, verdicts);
    }
    derived::hold_back(&context, &mut report);
    for check in checks {
        if let Judge::Outcome(judge) = check.judge {
            let outcome = Outcome {
                findings: &report.findings,
                gaps: &report.gaps,
            };
            let verdicts = judge(&context, &outcome);
            add(&mut report, &context, &check.meta, verdicts);
        }
    }
    report.findings.sort_by_key(|reported| {
        (
            reported.check.harm,
            Reverse(reported.level),
            reported.finding.at,
            reported.check.name,
        )
    });
    report
}

fn add(report: &mut Report, context: &Context<'_>, meta: &'static Meta, verdicts: Vec<Verdict>) {
    // The same words about the same place, from two subjects, are one finding.
    let mut known: BTreeMap<(Span, String), usize> = BTreeMap::new();
    for verdict in verdicts {
        match verdict {
            Verdict::NoneShown => report.checked += 1,
            Verdict::CannotJudge(gap) => add_gap(&mut report.gaps, meta, gap),
            Verdict::Fault(finding) => {
                report.checked += 1;
                let key = (finding.at, finding.message.clone());
                if let Some(&at) = known.get(&key) {
                    merge(&mut report.findings[at].finding, *finding);
                    continue;
                }
                known.insert(key, report.findings.len());
                report.findings.push(Reported {
                    check: meta,
                    level: finding.level.unwrap_or(meta.level),
                    accepted: accept::find(context, meta, &finding),
                    finding: *finding,
                });
            }
        }
    }
}

fn merge(into: &mut Finding, other: Finding) {
    for part in other.parts {
        if !into.parts.contains(&part) {
            into.parts.push(part);
        }
    }
    for wire in other.wires {
        if !into.wires.contains(&wire) {
            into.wires.push(wire);
        }
    }
    for place in other.also {
        if !into.also.contains(&place) {
            into.also.push(place);
        }
    }
}

fn add_gap(gaps: &mut Vec<(&'static Meta, Gap)>, meta: &'static Meta, mut gap: Gap) {
    gap.missing.sort();
    gap.missing.dedup();
    gaps.push((meta, gap));
}
