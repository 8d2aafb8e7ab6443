//! What a short makes of the parts and wires on its way is the short's own fault: it is told once, with the short, and not again
//! for each of them.

use std::collections::BTreeSet;

use super::context::Context;
use super::finding::Measure;
use super::report::Report;
use super::words;
use crate::analyze::Extreme;
use crate::model::{PartId, Setting, WireId};
use crate::phrase;
use crate::quantity::Amps;

/// The check that tells of shorts.
const SHORT: &str = "supply-shorted";
/// Checks that hold a current against what something is made for.
const OF_CURRENT: &[&str] = &[
    "wire-overloaded",
    "insulation-too-cool",
    "fuse-overloaded",
    "feed-overloaded",
    "switch-overloaded",
    "contact-overloaded",
    "output-overloaded",
    "pin-overloaded",
    "return-overloaded",
];
/// This share of the current of a short is the short's.
const NEARLY: f64 = 0.9;

/// A short, and what lies on its way.
struct Way {
    at: usize,
    setting: Setting,
    wires: BTreeSet<WireId>,
    parts: BTreeSet<PartId>,
}

/// Takes out what is told of things on the way of a short and shows only with it; the short names them.
pub(super) fn hold_back(context: &Context<'_>, report: &mut Report) {
    let findings = report.findings.iter().enumerate();
    let ways: Vec<Way> = findings
        .filter(|(_, reported)| reported.check.name == SHORT)
        .filter_map(|(at, reported)| {
            let finding = &reported.finding;
            way(context, at, &finding.setting, finding.value?)
        })
        .collect();
    if ways.is_empty() {
        return;
    }
    let mut held: Vec<BTreeSet<String>> = vec![BTreeSet::new(); ways.len()];
    let mut derived = vec![false; report.findings.len()];
    for (number, reported) in report.findings.iter().enumerate() {
        if !OF_CURRENT.contains(&reported.check.name) {
            continue;
        }
        let finding = &reported.finding;
        let of = ways.iter().position(|way| {
            let on_way = match (finding.wires.first(), finding.parts.first()) {
                (Some(wire), None) => way.wires.contains(wire),
                (Some(wire), Some(part)) => way.wires.contains(wire) || way.parts.contains(part),
                (None, Some(part)) => way.parts.contains(part),
                (None, None) => false,
            };
            on_way && covers(&finding.setting, &way.setting)
        });
        if let Some(of) = of {
            derived[number] = true;
            held[of].insert(reported.check.name.to_owned());
        }
    }
    for (way, held) in ways.iter().zip(held) {
        if held.is_empty() {
            continue;
        }
        let finding = &mut report.findings[way.at].finding;
        let mut names: Vec<String> = Vec::new();
        for &part in &way.parts {
            names.push(context.name(part).to_owned());
            if !finding.parts.contains(&part) {
                finding.parts.push(part);
            }
        }
        for &wire in &way.wires {
            names.push(context.vehicle.wire(wire).id.clone());
            if !finding.wires.contains(&wire) {
                finding.wires.push(wire);
            }
        }
        let held: Vec<String> = held.into_iter().collect();
        finding.help += &format!(
            "; that {} carry too much then is this same fault and not told again ({})",
            words::list(&names, 8),
            phrase::and(&held)
        );
    }
    let mut derived = derived.into_iter();
    report.findings.retain(|_| !derived.next().unwrap_or(false));
}

fn way(context: &Context<'_>, at: usize, setting: &Setting, value: Measure) -> Option<Way> {
    let is_on = |extreme: &Extreme<Amps>| {
        extreme.value.0.abs() >= NEARLY * value.amount && covers(&extreme.setting, setting)
    };
    let explored = &context.solved.explored;
    let wires = context.wires().map(|(id, _)| id).filter(|id| {
        let extreme = explored.wires.get(id.index());
        extreme.is_some_and(is_on)
    });
    let parts = context.parts().filter(|(_, part)| {
        part.branches.iter().any(|branch| {
            let extreme = explored.branches.get(branch.index());
            extreme.is_some_and(is_on)
        })
    });
    let way = Way {
        at,
        setting: setting.clone(),
        wires: wires.collect(),
        parts: parts
            .filter(|(_, part)| part.kind != crate::read::document::Kind::Battery)
            .map(|(id, _)| id)
            .collect(),
    };
    (!way.wires.is_empty() || !way.parts.is_empty()).then_some(way)
}

/// Whether everything that one setting needs is so in another.
fn covers(other: &Setting, needed: &Setting) -> bool {
    let all = |needed: &[String], other: &[String]| needed.iter().all(|one| other.contains(one));
    all(&needed.closed, &other.closed)
        && all(&needed.opened, &other.opened)
        && (needed.key.is_none() || needed.key == other.key)
        && (needed.situation.is_none() || needed.situation == other.situation)
}

#[cfg(test)]
mod tests {
    use crate::analyze::analyze;
    use crate::check::run;
    use crate::model::testing::vehicle;

    const SHORTED: &str = "
vehicle: {system: 12 V, own-load: {off: 15 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 20 A}
wires:
  - {run: [B1, F1, S1], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.out, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
";

    #[test]
    fn a_short_is_told_once_with_what_lies_on_its_way() {
        let vehicle = vehicle(SHORTED);
        let report = run(&vehicle, &analyze(&vehicle));
        let told: Vec<&str> = report.findings.iter().map(|one| one.check.name).collect();
        assert!(told.contains(&"supply-shorted"), "{told:?}");
        for check in super::OF_CURRENT {
            assert!(!told.contains(check), "{told:?}");
        }
        let short = report
            .findings
            .iter()
            .find(|one| one.check.name == super::SHORT)
            .unwrap();
        assert_eq!(short.finding.wires.len(), 3);
        assert!(
            short.finding.help.contains("F1, S1, w1, w2 and w3"),
            "{}",
            short.finding.help
        );
    }

    /// What is too much without the short is told beside it.
    #[test]
    fn what_shows_without_the_short_is_told() {
        let vehicle = vehicle(&format!(
            "{SHORTED}  - {{from: S1.in, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}}\n"
        ).replace("wires:", "  LAMP: {kind: load, type: led, draw: 60 A}\nwires:"));
        let report = run(&vehicle, &analyze(&vehicle));
        let overloaded = |one: &&crate::check::Reported| one.check.name == "wire-overloaded";
        let told = report.findings.iter().filter(overloaded).count();
        assert!(told >= 3, "{told}");
    }
}
