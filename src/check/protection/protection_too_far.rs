//! The first fuse is too far from the battery.

use super::bare::Bare;
use super::bare::Way;
use super::bare::WayEnd;
use super::bare::bare;
use super::bare::say_which;
use crate::check::prelude::*;
use crate::check::rules::Applied;
use crate::check::weigh::Weighed;
use crate::model::BranchId;
use crate::quantity::Meters;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "protection-too-far",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "the first fuse is too far from the battery",
        page: include_str!("../../../docs/checks/protection-too-far.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    bare(context)
        .into_iter()
        .filter_map(|bare| judge_wire(context, &bare))
        .collect()
}

/// Judges what one wire leads to. Ways that meet no protection at all are another check's, and so are those beside them.
fn judge_wire(context: &Context<'_>, bare: &Bare) -> Option<Verdict> {
    let mut ways: Vec<(&Way, BranchId)> = Vec::new();
    for way in &bare.ways {
        match way.end {
            WayEnd::Protection(branch) => ways.push((way, branch)),
            _ if way.weighed(context) == Weighed::Within => {}
            _ => return None,
        }
    }
    // A way in a loom may be longer than one without: what counts is how far it is beyond its own limit.
    let beyond = |way: &Way| way.length.low.0 - way.limit(context).0;
    let (farthest, _) = ways
        .iter()
        .max_by(|a, b| beyond(a.0).total_cmp(&beyond(b.0)))?;
    if farthest.weighed(context) == Weighed::Above {
        return Some(fault(
            context,
            bare,
            farthest,
            &ways,
            farthest.limit(context),
        ));
    }
    let unclear: Vec<&(&Way, BranchId)> = ways
        .iter()
        .filter(|(way, _)| !way.unmeasured.is_empty() || way.weighed(context) != Weighed::Within)
        .collect();
    let Some((_, branch)) = unclear.first() else {
        return Some(Verdict::NoneShown);
    };
    let lacking = unclear.iter().flat_map(|(way, _)| way.lacking(context));
    let gap = Gap::of(lacking).part(context.vehicle.branch(*branch).part);
    Some(gap.wire(bare.first).shown())
}

fn fault(
    context: &Context<'_>,
    bare: &Bare,
    farthest: &Way,
    ways: &[(&Way, BranchId)],
    limit: Meters,
) -> Verdict {
    let vehicle = context.vehicle;
    let mut devices = Vec::new();
    for &(way, branch) in ways {
        let part = vehicle.branch(branch).part;
        if way.weighed(context) != Weighed::Within && !devices.contains(&part) {
            devices.push(part);
        }
    }
    let names: Vec<&str> = devices.iter().map(|&part| context.name(part)).collect();
    let battery = context.name(bare.source.part);
    let rule = context.rules.protection_distance();
    let is = if names.len() == 1 { "is" } else { "are" };
    let mut finding = Finding::new(
        context.wire_at(bare.first, "length"),
        format!(
            "{} {is} {} of wire away from {battery}, {} is the limit: a short ahead of it burns with nothing to stop it",
            words::list(&names, 4),
            words::length(farthest.length.high),
            words::length(limit)
        ),
    )
    .label("unprotected length")
    .wires(farthest.wires.iter().copied())
    .parts(devices.iter().copied())
    .part(bare.source.part)
    .measured(
        farthest.length.high,
        limit,
        format!("{}, by analogy{}", rule.said(), others(&rule)),
    )
    .help(format!(
        "move the fuse to within {} of {battery}, measured along the wire",
        words::length(limit)
    ))
    .step(sum(context, farthest), "lengths of the record");
    finding = say_which(context, finding, limit);
    for &wire in farthest.wires.iter().skip(1).take(3) {
        finding = finding.also(context.wire_at(wire, "length"), "and this length");
    }
    for &device in devices.iter().take(3) {
        finding = finding.also(vehicle.part(device).name.at, "the first protection");
    }
    finding.shown()
}

fn sum(context: &Context<'_>, way: &Way) -> String {
    let terms: Vec<String> = way
        .wires
        .iter()
        .filter_map(|&wire| {
            let length = context.vehicle.wire(wire).length?;
            let id = &context.vehicle.wire(wire).id;
            Some(format!("{id} {:.2} m", length.range.high.0))
        })
        .collect();
    format!("{} = {:.2} m", terms.join(" + "), way.length.high.0)
}

/// What the other published rules would say.
fn others(rule: &Applied<Meters>) -> String {
    let others: Vec<String> = rule
        .others()
        .into_iter()
        .map(|(choice, limit)| format!("`{}` allows {}", choice.name, words::length(limit)))
        .collect();
    format!("; {}", others.join(", "))
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, LAMP], size: 12 AWG, lengths: [1.2 m, 2 m], insulation: gxl}
",
            "F1",
        ),
        // A disconnect is no protection.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  M1: {kind: disconnect, rating: 100 A, left: closed}
  F1: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, M1, F1, LAMP], size: 12 AWG, lengths: [15 cm, 15 cm, 2 m], insulation: gxl}
",
            "F1",
        ),
        // 40 in hold only in a loom: without one it is 7 in, 33 CFR 183.455(b).
        (
            "
rules: {protection-distance: 40-in-sheathed}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [50 cm, 2 m], insulation: 105 C}
",
            "F1",
        ),
        // The longer way lies in a loom, 90 cm of 40 in; the shorter, 50 cm, does not all the way.
        (
            "
rules: {protection-distance: 40-in-sheathed}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  A: {kind: load, type: led, draw: 2 A}
  B: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: BAR, size: 10 AWG, length: 30 cm, insulation: 105 C, route: [loom]}
  - {run: [BAR, F1, A], size: 14 AWG, lengths: [60 cm, 2 m], insulation: 105 C, route: [loom]}
  - {run: [BAR, F2, B], size: 14 AWG, lengths: [20 cm, 2 m], insulation: 105 C}
",
            "F2",
        ),
        // Two fuses on one lead, both too far; the meter beside them is near enough to need none.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SP: {kind: splice}
  METER: {kind: load, type: electronics, draw: 1 mA}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  A: {kind: load, type: led, draw: 2 A}
  B: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, SP, METER], size: 12 AWG, lengths: [10 cm, 5 cm], insulation: gxl}
  - {run: [SP, F1, A], size: 14 AWG, lengths: [60 cm, 2 m], insulation: gxl}
  - {run: [SP, F2, B], size: 14 AWG, lengths: [80 cm, 2 m], insulation: gxl}
",
            "F1",
        ),
    ],
    quiet: &[
        // A lead with nothing in it is told by `no-protection`, and the fuse far out on it with that. What hangs on the vehicle's
        // own wire to a stud begins at the stud.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  SP: {kind: splice}
  F2: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
  HORN: {kind: load, type: motor, draw: 5 A}
  RADIO: {kind: load, type: electronics, draw: 5 A}
  ST: {kind: stud, status: factory}
  F3: {kind: fuse, rating: 10 A, form: blade}
  FAN: {kind: load, type: motor, draw: 3 A}
wires:
  - {from: B1, to: ST, size: 6 AWG, length: 1 m, insulation: gxl, status: factory}
  - {run: [ST, F3, FAN], size: 14 AWG, lengths: [15 cm, 2 m], insulation: gxl}
  - {run: [B1, F1, LAMP], size: 12 AWG, lengths: [7 in, 2 m], insulation: gxl}
  - {run: [B1, SP, HORN], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [SP, F2, RADIO], size: 12 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
        // The rule of 72 in asks for no loom, and 2.5 in and 69.5 in are 72 in.
        "
rules: {protection-distance: 72-in}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  M1: {kind: disconnect, rating: 100 A, left: closed}
  F1: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, M1, F1, LAMP], size: 12 AWG, lengths: [2.5 in, 69.5 in, 2 m], insulation: gxl}
",
        // Taken off the cranking cable right at a fuse: the cable itself needs none.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ST: {kind: stud}
  STARTER: {kind: load, type: starter, draw: 200 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
  KEY: {kind: feed, hot-in: [start], rating: 10 A, limit: 10 A}
  SOL: {kind: relay, coil: 3 ohm, contact: 500 A}
wires:
  - {from: B1, to: ST, size: 2/0 AWG, length: 1.2 m, insulation: sgx}
  - {from: ST, to: SOL.30, size: 2/0 AWG, length: 50 cm, insulation: sgx}
  - {from: SOL.87, to: STARTER, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: KEY, to: SOL.86, size: 12 AWG, length: 1 m, insulation: gxl}
  - {run: [ST, F1, LAMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, LAMP], size: 12 AWG, lengths: [unknown, 2 m], insulation: gxl}
",
            "w1.length",
        ),
        // One of two ways, 15 cm, is short enough; the other is 10 cm to 35 cm.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  A: {kind: load, type: led, draw: 2 A}
  B: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: BAR, size: 10 AWG, length: 5 cm, insulation: 105 C}
  - {run: [BAR, F1, A], size: 14 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {run: [BAR, F2, B], size: 14 AWG, lengths: [5..30 cm, 2 m], insulation: 105 C}
",
            "w4.length",
        ),
    ],
};
