//! Which findings a value can reach.

use std::collections::BTreeSet;

use super::loose::Loose;
use crate::check::prelude::*;
use crate::check::report::Reported;
use crate::model::Link;
use crate::model::PartId;
use crate::model::WireId;

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

/// Names of what a finding is about; of one with figures, also of what lies on the ways of its currents.
pub(super) fn near<'c>(context: &'c Context<'_>, finding: &Finding) -> BTreeSet<&'c str> {
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
pub(super) fn reach(context: &Context<'_>, value: &Loose, reported: &Reported) -> f64 {
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

fn flow_of(context: &Context<'_>, wire: WireId) -> f64 {
    let seen = context.solved.explored.wires.get(wire.index());
    seen.map_or(0.0, |seen| seen.value.0.abs())
}
