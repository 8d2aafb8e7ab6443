//! A lamp that the law wants goes dark with something that it does not.

use crate::check::flow;
use crate::check::prelude::*;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::model::walk::is_protection;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "required-lamp-shares-fuse",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a required lamp or horn shares its fuse with something that is not",
        page: include_str!("../../../docs/checks/required-lamp-shares-fuse.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Load])
        .filter(|(_, part)| part.fields.flag("required"))
        .map(|(id, part)| judge_lamp(context, id, part))
        .collect()
}

fn judge_lamp(context: &Context<'_>, id: PartId, part: &Part) -> Verdict {
    let vehicle = context.vehicle;
    let mut fed = false;
    for consumer in context.walks.consumers_of(id) {
        fed |= !consumer.sources.is_empty();
        let nearest = consumer.feed.iter().find_map(|link| match *link {
            Link::Branch(branch) if is_protection(vehicle, vehicle.branch(branch).part) => {
                Some(branch)
            }
            _ => None,
        });
        let Some(branch) = nearest else { continue };
        let guard = vehicle.branch(branch).part;
        // What switches it takes it along in any case.
        let switches = |other: PartId| {
            consumer.feed.iter().any(|link| match *link {
                Link::Branch(branch) => vehicle.branch(branch).part == other,
                Link::Wire(_) => false,
            })
        };
        let behind = context.walks.downstream(vehicle, branch);
        let mut others: Vec<PartId> = behind
            .consumers
            .iter()
            .map(|&number| &context.walks.consumers[number])
            .filter(|other| flow::load(context, other).is_some())
            .map(|other| other.part)
            .filter(|&other| {
                // What shares a fuse as the vehicle was made was approved with it.
                let of = vehicle.part(other);
                other != id
                    && !switches(other)
                    && of.status != Status::Factory
                    && !of.fields.flag("required")
                    && of.fields.get("indicates").is_none()
            })
            .collect();
        others.sort_unstable();
        others.dedup();
        if !others.is_empty() {
            return fault(context, id, part, guard, &others);
        }
    }
    if fed {
        Verdict::NoneShown
    } else {
        Gap::of([part.missing("feed")]).part(id).shown()
    }
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    guard: PartId,
    others: &[PartId],
) -> Verdict {
    let names: Vec<&str> = others.iter().map(|&other| context.name(other)).collect();
    let fuse = context.name(guard);
    let mut finding = Finding::new(
        part.name.at,
        format!(
            "{}, which the law wants, stands behind {fuse} together with {}: a fault there leaves it dark",
            words::called(part),
            words::list(&names, 4)
        ),
    )
    .label("goes dark with the others")
    .part(id)
    .part(guard)
    .parts(others.iter().copied())
    .source("common practice, no source")
    .help(if context.is_added(guard) {
        format!("give {} a fuse of its own", part.name.value)
    } else {
        format!(
            "leave {fuse} to the vehicle's own, and feed {} through another",
            words::list(&names, 4)
        )
    });
    for &other in others.iter().take(3) {
        finding = finding.also(
            context.vehicle.part(other).name.at,
            format!("behind {fuse} as well"),
        );
    }
    finding.shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // The switch of the lamp guards nothing.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  TAIL: {kind: load, type: led, draw: 1 A, required: true}
  HEAT: {kind: load, type: heater, draw: 10 A}
wires:
  - {from: B1, to: F1, size: 10 AWG, length: 10 cm, insulation: gxl}
  - {run: [F1, S1, TAIL], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: F1, to: HEAT, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "TAIL",
        ),
        // A heater tapped to the fuse that the maker gave the tail lamp and the clock.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade, status: factory}
  TAIL: {kind: load, type: led, draw: 1 A, required: true, status: factory}
  CLOCK: {kind: load, type: electronics, draw: 100 mA, status: factory}
  SP: {kind: splice}
  HEAT: {kind: load, type: heater, draw: 5 A}
wires:
  - {run: [B1, F1, SP, TAIL], size: 14 AWG, lengths: [10 cm, 1 m, 3 m], insulation: gxl, status: factory}
  - {from: SP, to: CLOCK, size: 18 AWG, length: 1 m, insulation: gxl, status: factory}
  - {from: SP, to: HEAT, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "HEAT",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  TAIL: {kind: load, type: led, draw: 1 A, required: true}
  STOP: {kind: load, type: led, draw: 1 A, required: true}
  HEAT: {kind: load, type: heater, draw: 10 A}
wires:
  - {run: [B1, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [B1, F2, TAIL], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: F2, to: STOP, size: 14 AWG, length: 2 m, insulation: gxl}
",
        // What hangs on one fuse as the vehicle was made is its maker's.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade, status: factory}
  TAIL: {kind: load, type: led, draw: 1 A, required: true, status: factory}
  CLOCK: {kind: load, type: electronics, draw: 100 mA, status: factory}
wires:
  - {run: [B1, F1, TAIL], size: 14 AWG, lengths: [10 cm, 3 m], insulation: gxl, status: factory}
  - {from: F1, to: CLOCK, size: 18 AWG, length: 1 m, insulation: gxl, status: factory}
",
        // The controller that switches the lamp stands in its way whatever fuse it has.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CTRL: {kind: controller, draw: 100 mA, max-fuse: 15 A, outputs: {OUT: {limit: 8 A, hot-in: run}}}
  TAIL: {kind: load, type: led, draw: 1 A, required: true}
wires:
  - {run: [B1, F1, CTRL.+], size: 14 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: CTRL.OUT, to: TAIL, size: 14 AWG, length: 2 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  TAIL: {kind: load, type: led, draw: 1 A, required: true}
wires:
  - {from: TAIL, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "TAIL.feed",
    )],
};
