//! A circuit of the vehicle's own runs through an added part.

use std::collections::BTreeSet;

use crate::check::prelude::*;
use crate::check::spread::spread;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::model::walk::Source;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "carries-factory-circuit",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a circuit of the vehicle's own runs through an added part, whose removal would break it",
        page: include_str!("../../../docs/checks/carries-factory-circuit.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let mut verdicts = Vec::new();
    let mut carried: Vec<(PartId, Vec<PartId>)> = Vec::new();
    for consumer in &context.walks.consumers {
        let status = vehicle.part(consumer.part).status;
        let own = matches!(status, Status::Factory | Status::Unknown);
        let whole = consumer.comes_home && !consumer.sources.is_empty();
        if !own || !whole || vehicle.own_load == Some(consumer.part) {
            continue;
        }
        let through: Vec<PartId> = added_on_the_way(context, consumer)
            .into_iter()
            .filter(|&part| !stands_without(context, consumer, part))
            .collect();
        if through.is_empty() {
            verdicts.push(Verdict::NoneShown);
            continue;
        }
        if status == Status::Unknown {
            let missing = vehicle.part(consumer.part).missing("status");
            verdicts.push(Gap::of([missing]).part(consumer.part).shown());
            continue;
        }
        for part in through {
            match carried.iter_mut().find(|(known, _)| *known == part) {
                Some((_, list)) if list.contains(&consumer.part) => {}
                Some((_, list)) => list.push(consumer.part),
                None => carried.push((part, vec![consumer.part])),
            }
        }
    }
    carried.sort_by_key(|&(part, _)| part);
    let told = carried.iter();
    verdicts.extend(told.map(|(part, list)| tell(context, *part, list).shown()));
    verdicts
}

/// Added parts with an inside of their own through which a consumer's current runs; a splice or a stud stays where it is.
fn added_on_the_way(context: &Context<'_>, consumer: &Consumer) -> Vec<PartId> {
    let vehicle = context.vehicle;
    let mut parts: Vec<PartId> = consumer
        .feed
        .iter()
        .chain(&consumer.back)
        .filter_map(|link| match *link {
            Link::Branch(branch) => Some(vehicle.branch(branch).part),
            Link::Wire(_) => None,
        })
        .filter(|&part| part != consumer.part)
        .filter(|&part| {
            let part = vehicle.part(part);
            matches!(part.status, Status::Added | Status::Abandoned)
                && !matches!(part.kind, Kind::Ground | Kind::Feed)
        })
        .collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// Whether a consumer is still fed at one end and comes home from the other when a part is taken out.
fn stands_without(context: &Context<'_>, consumer: &Consumer, part: PartId) -> bool {
    let inside = context.vehicle.branch(consumer.branch);
    let ends = match inside.element {
        Element::Converter { back, .. } => [inside.from, back],
        _ => [inside.from, inside.to],
    };
    // What a converter gives does not feed it.
    let sources = context.walks.sources.iter();
    let sources: Vec<&Source> = sources
        .filter(|source| source.branch != consumer.branch)
        .collect();
    let fed = |joined: &BTreeSet<TerminalId>| sources.iter().any(|one| joined.contains(&one.plus));
    let home = |joined: &BTreeSet<TerminalId>| {
        joined.contains(&TerminalId::CHASSIS)
            || sources.iter().any(|one| joined.contains(&one.minus))
    };
    let [one, other] = ends.map(|end| joined(context, end, part, &sources));
    // A motor that turns both ways has supply and chassis at either end, and needs both ends.
    (fed(&one) && home(&other)) || (fed(&other) && home(&one))
}

/// Terminals that conductors join to this one, in whatever position, without those of a part.
fn joined(
    context: &Context<'_>,
    from: TerminalId,
    without: PartId,
    sources: &[&Source],
) -> BTreeSet<TerminalId> {
    let vehicle = context.vehicle;
    let leads = |link, _| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => {
            let branch = vehicle.branch(branch);
            branch.part != without
                && matches!(
                    branch.element,
                    Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
                )
        }
    };
    // Every circuit meets there.
    let stops = |at| at == TerminalId::CHASSIS || sources.iter().any(|source| source.plus == at);
    spread(vehicle, [from], stops, leads)
}

fn tell(context: &Context<'_>, id: PartId, own: &[PartId]) -> Finding {
    let vehicle = context.vehicle;
    let part = vehicle.part(id);
    let names: Vec<String> = own
        .iter()
        .map(|&own| words::called(vehicle.part(own)))
        .collect();
    let verb = if own.len() == 1 { "runs" } else { "run" };
    let finding = Finding::new(
        part.name.at,
        format!(
            "{} of the vehicle's own {verb} through {}: taken out, it breaks that circuit",
            words::list(&names, 4),
            words::called(part)
        ),
    )
    .label("the vehicle's own circuit passes here")
    .part(id)
    .parts(own.iter().copied())
    .source("a plow maker's theory of operation (read); 49 USC 30122(b), as quoted in an NHTSA letter of interpretation (read)")
    .help(format!(
        "before {} comes out, restore the factory's connection and test it; better, give the vehicle's own circuit its own way now",
        part.name.value
    ));
    let finding = own.iter().take(4).fold(finding, |finding, &own| {
        finding.also(vehicle.part(own).name.at, "hangs on it")
    });
    // Through a resting contact it goes on working when the added part fails or is switched off.
    let resting = part.branches.iter().any(|&branch| {
        matches!(
            vehicle.branch(branch).element,
            Element::Contact {
                control: Control::Relay { when_in: false, .. },
                ..
            }
        ) && context
            .walks
            .through_branch(branch)
            .any(|one| own.contains(&one.part))
    });
    if resting {
        finding.level(Level::Note)
    } else {
        finding
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  HORN: {kind: load, type: motor, draw: 4 A, status: factory}
  USB: {kind: converter, output: 5 V, rating: 4 A, efficiency: 85 %, standby: 10 mA, status: factory}
  DASH: {kind: load, type: electronics, supplies: {main: {draw: 2 A}, lamps: {draw: 1 A}}, status: factory}
wires:
  - {run: [RUN, F1, HORN], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: F1, to: DASH.main, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: DASH.lamps, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: USB, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "F1",
        ),
        // A change-over relay: the lamps pass its resting contact.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  HEAD: {kind: load, type: filament, draw: 8 A, status: factory}
  PLOWL: {kind: load, type: filament, draw: 8 A}
wires:
  - {from: RUN, to: K1.30, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: HEAD, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: PLOWL, size: 12 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // The bed tilts both ways: its added half, and what feeds and grounds both, cannot come out. The wiper's park switch
        // joins supply and chassis too, and is no way for it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  RUN2: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  X1: {kind: connector, pins: [1]}
  UP: {kind: switch, rating: 20 A, status: factory, positions: {rest: [[M, G]], up: [[M, P]]}}
  DOWN: {kind: switch, rating: 20 A, positions: {rest: [[M, G]], down: [[M, P]]}}
  TILT: {kind: load, type: motor, draw: 8 A, status: factory}
  PARK: {kind: switch, rating: 20 A, status: factory, positions: {rest: [[M, G]], wipe: [[M, P]]}}
  WIPER: {kind: load, type: motor, draw: 3 A, status: factory}
wires:
  - {run: [RUN, F1, UP.P], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: F1, to: DOWN.P, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: UP.M, to: TILT.+, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: TILT.-, to: DOWN.M, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: DOWN.G, to: UP.G, size: 12 AWG, length: 1 m, insulation: gxl}
  - {run: [UP.G, X1.1, chassis], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: RUN2, to: PARK.P, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: PARK.M, to: WIPER, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: PARK.G, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}
",
            "DOWN",
        ),
    ],
    quiet: &[
        // A second button beside the vehicle's own on the horn relay's coil, and one past the relay. What nothing feeds any more is
        // broken already.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, status: factory}
  S1: {kind: switch, rating: 10 A, status: factory}
  S2: {kind: switch, rating: 10 A}
  S3: {kind: switch, rating: 10 A}
  HORN: {kind: load, type: motor, draw: 4 A, status: factory}
  X1: {kind: connector, pins: [1]}
  FAN: {kind: load, type: motor, draw: 4 A, status: factory}
wires:
  - {run: [FAN, X1.1, chassis], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S3, HORN], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: RUN, to: K1.85, size: 18 AWG, length: 1 m, insulation: gxl}
  - {run: [K1.86, S1, chassis], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [K1.86, S2, chassis], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        // Tapped off it, not in it.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  SP: {kind: splice}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 1 A}
  HORN: {kind: load, type: motor, draw: 4 A, status: factory}
wires:
  - {from: RUN, to: SP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SP, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [SP, F1, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  HORN: {kind: load, type: motor, draw: 4 A, status: unknown}
wires:
  - {run: [RUN, F1, HORN], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        "HORN.status",
    )],
};
