//! A return passes a joint that moves or rusts: a hinge pin, a hitch, painted metal.

use super::is_fed;
use crate::check::prelude::*;
use crate::check::spread::spread;
use crate::model::Link;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::walk::Consumer;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "return-through-joint",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a return passes a hinge pin, a hitch or a painted joint, with no strap across it",
        page: include_str!("../../../docs/checks/return-through-joint.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Joints that carry current only as long as they happen to touch.
const JOINTS: &[&str] = &["hinge-pin", "hitch", "painted-joint"];

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .wires()
        .filter_map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

fn joint(wire: &Wire) -> Option<&str> {
    let words = wire.route.iter().map(String::as_str);
    words.into_iter().find(|word| JOINTS.contains(word))
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    let link = Link::Wire(id);
    let users: Vec<&Consumer> = context
        .walks
        .through_wire(id)
        .filter(|one| !one.feed.contains(&link) && context.vehicle.own_load != Some(one.part))
        .collect();
    if users.is_empty() || is_fed(context, wire) {
        return None;
    }
    let Some(word) = joint(wire) else {
        // Nothing that is written of it says that it is a wire at all and not the metal itself; a battery's own cable is one.
        let bare = users.iter().any(|one| one.back.contains(&link))
            && wire.size.is_none()
            && wire.length.is_none()
            && wire.insulation.is_none()
            && wire.route.is_empty();
        return Some(if bare || wire.fields.is_unknown("route") {
            Gap::of([format!("{}.route", wire.id)]).wire(id).shown()
        } else {
            Verdict::NoneShown
        });
    };
    if strapped(context, wire) {
        return Some(Verdict::NoneShown);
    }
    let mut parts: Vec<_> = users.iter().map(|one| one.part).collect();
    parts.dedup();
    let names: Vec<&str> = parts.iter().map(|&part| context.name(part)).collect();
    let verb = if parts.len() == 1 {
        "returns"
    } else {
        "return"
    };
    let (through, why) = match word {
        "hinge-pin" => (
            "a hinge pin",
            "it carries only while the pin happens to touch, and the arc eats it",
        ),
        "hitch" => (
            "the hitch",
            "it carries only while the coupling happens to touch, and arcs on the road",
        ),
        _ => (
            "a painted joint",
            "what it carries depends on how far the paint has worn",
        ),
    };
    let finding = Finding::new(
        context.wire_at(id, "route"),
        format!(
            "{} {verb} through {through} ({}): {why}",
            words::list(&names, 4),
            wire.id
        ),
    )
    .label("the return passes this joint")
    .wire(id)
    .parts(parts.iter().copied())
    .source("13 CCR 1249(a) on grounding between units (read); hinges: common practice, no source")
    .help("put a strap or a return wire across the joint, of the size of the feed, and record it");
    let finding = parts.iter().take(4).fold(finding, |finding, &part| {
        finding.also(context.vehicle.part(part).name.at, "comes home that way")
    });
    Some(finding.shown())
}

/// Whether the ends of a wire are joined by other wires that pass no such joint.
fn strapped(context: &Context<'_>, wire: &Wire) -> bool {
    let vehicle = context.vehicle;
    let leads = |link, _| match link {
        Link::Wire(other) => joint(vehicle.wire(other)).is_none(),
        Link::Branch(branch) => matches!(
            vehicle.branch(branch).element,
            crate::model::Element::Joint(_)
        ),
    };
    spread(vehicle, [wire.from], |at| at == wire.to, leads).contains(&wire.to)
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud, what: tilt body}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: BODY, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: BODY, to: chassis, resistance: 5 mohm, route: hinge-pin, id: pin}
",
            "pin",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  X1: {kind: connector, pins: {2: 20 A}, detach: trailer}
  TFRAME: {kind: stud, what: trailer frame}
wires:
  - {run: [RUN, X1.2, LAMP], size: 14 AWG, lengths: [2 m, 2 m], insulation: gxl}
  - {from: LAMP, to: TFRAME, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: TFRAME, to: chassis, resistance: 20 mohm, route: hitch, id: ball}
",
            "ball",
        ),
        // Bolted to a painted bracket.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  A: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: A, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: A, to: chassis, resistance: 20 mohm, route: [painted-joint]}
",
            "w2",
        ),
        // The battery's own cable lies on paint; and a switch that can short the supply does not hide the pin.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  BODY: {kind: stud, what: tilt body}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {run: [S1.out, S2, chassis], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: LAMP, to: BODY, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: B1.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx, route: painted-joint, id: strap}
  - {from: BODY, to: chassis, resistance: 5 mohm, route: hinge-pin, id: pin}
",
            "pin",
        ),
    ],
    quiet: &[
        // A cable of its own, past the hinge. By the pin of the other stud nothing comes home.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud, what: tilt body}
  OLD: {kind: stud, what: stud that nothing returns to}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: BODY, size: 14 AWG, length: 1 m}
  - {from: BODY, to: chassis, length: 1 m, insulation: gxl, route: [loom, hinge]}
  - {from: OLD, to: chassis, resistance: 5 mohm, route: hinge-pin}
",
        // The pin carries some, but a strap goes across it.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud, what: tilt body}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: BODY, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: BODY, to: chassis, resistance: 5 mohm, route: hinge-pin}
  - {from: BODY, to: chassis, size: 8 AWG, length: 1 m, insulation: gxl, route: loom}
",
        // A return wire over a plug bridges the hinge.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  A: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud}
  P1: {kind: connector, pins: [1]}
wires:
  - {from: RUN, to: A, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: A, to: BODY, size: 14 AWG, length: 1 m, insulation: gxl, route: [loom]}
  - {from: BODY, to: chassis, resistance: 20 mohm, route: [hinge-pin]}
  - {from: BODY, to: P1.1.b, size: 14 AWG, length: 1 m, insulation: gxl, route: [loom]}
  - {from: P1.1.a, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl, route: [loom]}
",
        // The same with the plug the other way round.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  A: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud}
  P1: {kind: connector, pins: [1]}
wires:
  - {from: RUN, to: A, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: A, to: BODY, size: 14 AWG, length: 1 m, insulation: gxl, route: [loom]}
  - {from: BODY, to: chassis, resistance: 20 mohm, route: [hinge-pin]}
  - {from: BODY, to: P1.1.a, size: 14 AWG, length: 1 m, insulation: gxl, route: [loom]}
  - {from: P1.1.b, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl, route: [loom]}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud, what: tilt body}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: BODY, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: BODY, to: chassis, id: metal}
",
        "metal.route",
    )],
};
