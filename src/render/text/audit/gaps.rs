//! What could not be judged, by the fact that would settle it.

use std::collections::BTreeMap;

use super::Told;
use crate::check::Gap;
use crate::check::Meta;
use crate::check::Report;
use crate::render::text::Page;
use crate::render::words;

/// A fact that is not stated, and the judgements that wait for it.
pub(in crate::render) struct Fact<'a> {
    pub(in crate::render) name: &'a str,
    pub(in crate::render) settles: Vec<(&'static Meta, &'a Gap)>,
}

/// By missing fact, the one that settles most first.
pub(in crate::render) fn by_fact(report: &Report) -> Vec<Fact<'_>> {
    let mut facts: BTreeMap<&str, Vec<(&'static Meta, &Gap)>> = BTreeMap::new();
    for (check, gap) in &report.gaps {
        for name in &gap.missing {
            facts.entry(name).or_default().push((check, gap));
        }
    }
    let mut facts: Vec<Fact<'_>> = facts
        .into_iter()
        .map(|(name, settles)| Fact { name, settles })
        .collect();
    // Stable: those that settle as much stay in the order of their names.
    facts.sort_by_key(|fact| std::cmp::Reverse(fact.settles.len()));
    facts
}

pub(super) fn write(told: &Told<'_>, page: &mut Page) {
    let facts = by_fact(told.report);
    if facts.is_empty() {
        return;
    }
    page.heading("Not checked, because a fact is not stated");
    for fact in facts {
        let waiting = by_check(told, &fact);
        page.item(2, 4, &format!("{}: {}", fact.name, waiting.join("; ")));
    }
}

/// `voltage-drop of WORK and BEACON`.
pub(in crate::render) fn by_check(told: &Told<'_>, fact: &Fact<'_>) -> Vec<String> {
    let mut checks: Vec<(&str, Vec<String>)> = Vec::new();
    for (check, gap) in &fact.settles {
        let subjects = words::subjects(told.vehicle, &gap.parts, &gap.wires);
        // What is judged of the vehicle as a whole, or waits for a part that is not there, names none.
        let subject = subjects.into_iter().next();
        match checks.iter_mut().find(|(name, _)| *name == check.name) {
            Some((_, subjects)) => {
                if let Some(subject) = subject.filter(|one| !subjects.contains(one)) {
                    subjects.push(subject);
                }
            }
            None => checks.push((check.name, subject.into_iter().collect())),
        }
    }
    checks
        .into_iter()
        .map(|(check, subjects)| match subjects.as_slice() {
            [] => check.to_owned(),
            subjects => format!("{check} of {}", words::list(subjects)),
        })
        .collect()
}
