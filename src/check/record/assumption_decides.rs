//! A finding that would not be there if a value that is only assumed, or known between two ends, stood elsewhere in its range.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use crate::analyze::analyze;
use crate::check::ALL;
use crate::check::finding::Measure;
use crate::check::prelude::*;
use crate::check::report::Reported;
use crate::check::rule::Outcome;
use crate::model;
use crate::model::AssumedId;
use crate::model::Link;
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
    cases: CASES,
};

/// Values that are tried; each costs two further solutions of the whole vehicle.
const TRIED: usize = 3;
/// Keys that decide whether something switches: they matter also to findings without a figure.
const THRESHOLDS: &[&str] = &[
    "pull-in",
    "drop-out",
    "opens",
    "closes",
    "coil",
    "min-voltage",
];

/// Checks that reckon with every range themselves: what they find holds over all of them, but for what switches.
const WEIGHED: &[&str] = &["standing-draw-high", "standing-time-short", "voltage-drop"];
/// What a threshold reaches: whether something switches comes before how much flows.
const FIRST: f64 = 1e3;
/// Keys of a battery that matter only to what is said of the battery itself.
const OF_A_BATTERY: &[&str] = &[
    "charge",
    "charge-limit",
    "health",
    "capacity",
    "reserve",
    "cold-cranking",
    "age",
];

/// A value that may stand elsewhere.
struct Loose {
    /// `K1.drop-out`.
    name: String,
    /// Part or wire.
    subject: String,
    key: String,
    low: f64,
    likely: f64,
    high: f64,
    unit: &'static str,
    /// As words: `1.2 V to 7.5 V`.
    range: String,
    how: How,
}

/// Where it is set.
#[derive(Clone, Copy)]
enum How {
    Assumed(AssumedId),
    Stated(Span),
}

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
        for end in [value.low, value.high] {
            let vehicle = moved(context.vehicle, value, end);
            for at in not_held(&vehicle, &findings, numbers) {
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

/// Values that are assumed with a range, and ranges that the record states.
fn loose(vehicle: &Vehicle) -> Vec<Loose> {
    let mut all: Vec<Loose> = vehicle
        .assumed
        .iter()
        .enumerate()
        .filter(|(_, taken)| taken.high > taken.low)
        .map(|(at, taken)| Loose {
            name: format!("{}.{}", taken.subject, taken.key),
            subject: taken.subject.clone(),
            key: taken.key.to_owned(),
            low: taken.low,
            likely: taken.amount,
            high: taken.high,
            unit: taken.unit,
            range: format!(
                "{} {}",
                taken.what,
                between(taken.low, taken.high, taken.unit)
            ),
            how: How::Assumed(AssumedId(at as u32)),
        })
        .collect();
    for part in &vehicle.document.parts {
        ranges(&part.fields, &part.name.value, &part.name.value, &mut all);
    }
    for wire in &vehicle.document.wires {
        ranges(&wire.fields, &wire.id, &wire.id, &mut all);
    }
    all
}

fn between(low: f64, high: f64, unit: &'static str) -> String {
    let shown = |amount| {
        let amount = Measure { amount, unit };
        format!("{} {}", round(amount.amount), amount.unit)
    };
    format!("{} to {}", shown(low), shown(high))
}

/// Three digits.
fn round(amount: f64) -> f64 {
    if amount == 0.0 {
        return 0.0;
    }
    let scale = 10_f64.powf(2.0 - amount.abs().log10().floor());
    (amount * scale).round() / scale
}

/// Adds the ranges among some keys.
fn ranges(fields: &Fields, subject: &str, path: &str, all: &mut Vec<Loose>) {
    for field in &fields.list {
        let path = format!("{path}.{}", field.key.value);
        match &field.value {
            Value::Quantity(quantity) if quantity.high > quantity.low => all.push(Loose {
                name: path,
                subject: subject.to_owned(),
                key: field.key.value.clone(),
                low: quantity.low,
                likely: f64::midpoint(quantity.low, quantity.high),
                high: quantity.high,
                unit: "",
                range: format!("{} {}", field.key.value, quantity.text),
                how: How::Stated(quantity.at),
            }),
            Value::Map(inner) => ranges(inner, subject, &path, all),
            _ => {}
        }
    }
}

/// Names of what a finding is about; of one with figures, also of what lies on the ways of its currents.
fn near<'c>(context: &'c Context<'_>, finding: &Finding) -> BTreeSet<&'c str> {
    let vehicle = context.vehicle;
    let mut names: BTreeSet<&str> = BTreeSet::new();
    names.extend(finding.parts.iter().map(|&part| context.name(part)));
    names.extend(
        finding
            .wires
            .iter()
            .map(|&wire| vehicle.wire(wire).id.as_str()),
    );
    if finding.value.is_none() || finding.limit.is_none() {
        return names;
    }
    names.insert("vehicle");
    let walks = &context.walks;
    let of_parts = finding.parts.iter().flat_map(|&part| {
        let branches = vehicle.part(part).branches.iter();
        walks
            .consumers_of(part)
            .chain(branches.flat_map(|&branch| walks.through_branch(branch)))
    });
    let of_wires = finding
        .wires
        .iter()
        .flat_map(|&wire| walks.through_wire(wire));
    for consumer in of_parts.chain(of_wires) {
        names.insert(context.name(consumer.part));
        for link in consumer.feed.iter().chain(&consumer.back) {
            match *link {
                Link::Wire(wire) => {
                    let wire = vehicle.wire(wire);
                    names.insert(&wire.id);
                    for end in [wire.from, wire.to] {
                        names.extend(vehicle.terminal(end).part.map(|part| context.name(part)));
                    }
                }
                Link::Branch(branch) => {
                    names.insert(context.name(vehicle.branch(branch).part));
                }
            }
        }
        for &source in &consumer.sources {
            names.insert(context.name(walks.sources[source].part));
        }
    }
    names
}

/// How far a value reaches towards the limit of a finding: from 1 on it may decide it. What is computed goes with a value at most in
/// proportion, and with the resistance of a joint at most by the voltage that it drops; so where the figure stands farther from its
/// limit than that, the value need not be tried.
fn reach(context: &Context<'_>, value: &Loose, reported: &Reported) -> f64 {
    let finding = &reported.finding;
    let threshold = THRESHOLDS.contains(&value.key.as_str());
    let sure = if threshold { FIRST } else { 0.0 };
    if WEIGHED.contains(&reported.check.name) {
        return sure;
    }
    let (Some(found), Some(limit)) = (finding.value, finding.limit) else {
        return sure;
    };
    let (found_is, limit_is) = (found.amount.abs(), limit.amount.abs());
    if found_is <= 0.0 || limit_is <= 0.0 {
        return 1.0;
    }
    let about = |part: &PartId| context.name(*part) == value.subject;
    if OF_A_BATTERY.contains(&value.key.as_str()) && !finding.parts.iter().any(about) {
        return 0.0;
    }
    let need = (found_is / limit_is).max(limit_is / found_is);
    let apart = (found_is - limit_is).abs();
    let step = (value.high - value.likely).max(value.likely - value.low);
    let system = context.vehicle.system.likely.0;
    if value.key.contains("resistance") {
        let volts = most_amps(context, &value.subject) * step;
        return match found.unit {
            "V" => volts / apart,
            "%" => volts / system * 100.0 / apart,
            _ => (1.0 + 2.0 * volts / system) / need,
        };
    }
    if value.unit == "C" {
        // Copper has 0.4 % more resistance for each kelvin.
        let direct = if found.unit == "C" { step / apart } else { 0.0 };
        return direct.max((1.0 + 0.004 * step) / need);
    }
    let spread = if value.low > 0.0 {
        (value.high / value.likely).max(value.likely / value.low)
    } else {
        f64::INFINITY
    };
    sure.max(spread / need)
}

/// The largest current of a part or wire over all settings, in ampere.
fn most_amps(context: &Context<'_>, subject: &str) -> f64 {
    let explored = &context.solved.explored;
    let vehicle = context.vehicle;
    let mut most = 0.0_f64;
    for (id, part) in context.parts() {
        if part.name.value != subject {
            continue;
        }
        for &branch in &vehicle.part(id).branches {
            let seen = explored.branches.get(branch.index());
            most = most.max(seen.map_or(0.0, |seen| seen.value.0.abs()));
        }
        for &end in &part.terminals {
            for wire in context.landing(end) {
                most = most.max(flow_of(context, wire));
            }
        }
    }
    for (id, wire) in context.wires() {
        if wire.id == subject {
            most = most.max(flow_of(context, id));
        }
    }
    most
}

fn flow_of(context: &Context<'_>, wire: crate::model::WireId) -> f64 {
    let seen = context.solved.explored.wires.get(wire.index());
    seen.map_or(0.0, |seen| seen.value.0.abs())
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

/// Those of the findings that a vehicle does not show.
fn not_held(vehicle: &Vehicle, findings: &[&Reported], numbers: &[usize]) -> Vec<usize> {
    let solved = analyze(vehicle);
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

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2..7.5 V, suppression: resistor}
  PILOT: {kind: load, type: heater, draw: 150 mA}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PILOT.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "K1",
    )],
    quiet: &[
        // It holds at both ends.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2..3 V, suppression: resistor}
  PILOT: {kind: load, type: heater, draw: 150 mA}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PILOT.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // A finding that rests on no such value.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  OLD: {kind: stub, end: capped}
wires:
  - {from: OLD, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    // More values than are tried.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 85..95 ohm, contact: 30 A, pull-in: 7..8 V, drop-out: 1.2..3 V, suppression: resistor}
  K2: {kind: relay, coil: 85..95 ohm, contact: 30 A, pull-in: 7..8 V, drop-out: 1.2..3 V, suppression: resistor}
  PILOT: {kind: load, type: heater, draw: 150 mA}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.30, to: K2.30, size: 12 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87, to: K2.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K2.87, to: LAMP, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: LAMP, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PILOT.+, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "K",
    )],
};
