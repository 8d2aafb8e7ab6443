//! A consumer is fed, or comes home, through another consumer.

use std::collections::BTreeSet;

use crate::analyze::Adrift;
use crate::check::flow;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "sneak-path",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "a part is fed, or comes home, through another one",
        page: include_str!("../../../docs/checks/sneak-path.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let adrift = &context.solved.explored.adrift;
    // What is in series for good has no other way: neither feed nor return of its own is open.
    let known = |one: &&Adrift| context.walks.fed(one.at) || context.walks.comes_home(one.at);
    let mut open: Vec<&Adrift> = adrift.iter().filter(known).collect();
    open.sort_by_key(|one| one.seen.first().1.changes());
    let mut told: BTreeSet<PartId> = BTreeSet::new();
    let mut verdicts = Vec::new();
    while let Some(&first) = open.first() {
        let joined = joined(context, first.at, true);
        let (own, rest): (Vec<&Adrift>, Vec<&Adrift>) = open.into_iter().partition(|one| {
            let more = one.seen.first().1;
            joined.contains(&one.at) && more.includes(first.seen.first().1)
        });
        open = rest;
        told.extend(
            own.iter()
                .map(|one| context.vehicle.branch(one.branch).part),
        );
        verdicts.push(tell(context, &own).shown());
    }
    let bridges = bridges(context);
    for consumer in &context.walks.consumers {
        let own = context.vehicle.own_load == Some(consumer.part);
        if own || consumer.sources.is_empty() || told.contains(&consumer.part) {
            continue;
        }
        let mut missing = Vec::new();
        if !context.solved.explored.complete {
            missing.push(context.not_explored());
        }
        if unknown(context, consumer) && hangs_on_a_bridge(context, consumer, &bridges) {
            missing.push(flow::draw_of(context, consumer));
        }
        verdicts.push(if missing.is_empty() {
            Verdict::NoneShown
        } else {
            Gap::of(missing).part(consumer.part).shown()
        });
    }
    verdicts
}

fn unknown(context: &Context<'_>, consumer: &Consumer) -> bool {
    flow::load(context, consumer).is_some_and(|load| load.law.is_none() && load.modes.is_empty())
}

/// Terminals that conductors join to this one; through contacts, whatever their position, only where `moving`. The chassis and the
/// posts of sources are reached but not passed.
fn joined(context: &Context<'_>, from: TerminalId, moving: bool) -> BTreeSet<TerminalId> {
    let vehicle = context.vehicle;
    let mut seen = BTreeSet::from([from]);
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        if at == TerminalId::CHASSIS || is_post(context, at) {
            continue;
        }
        for edge in vehicle.graph.edges(at.node()) {
            let (a, b) = match *edge.weight() {
                Link::Wire(wire) => (vehicle.wire(wire).from, vehicle.wire(wire).to),
                Link::Branch(branch) => {
                    let branch = vehicle.branch(branch);
                    let passes = match branch.element {
                        Element::Joint(_) => true,
                        Element::Contact { .. } | Element::Diode { .. } => moving,
                        _ => false,
                    };
                    if !passes {
                        continue;
                    }
                    (branch.from, branch.to)
                }
            };
            let next = if a == at { b } else { a };
            if seen.insert(next) {
                open.push(next);
            }
        }
    }
    seen
}

fn is_post(context: &Context<'_>, at: TerminalId) -> bool {
    let mut sources = context.walks.sources.iter();
    sources.any(|source| source.plus == at || source.minus == at)
}

/// Consumers between two points of which neither is joined to the chassis or to a `-` for good, with what each end is joined to:
/// only these can bring current from one circuit into another.
fn bridges<'c>(context: &'c Context<'_>) -> Vec<(&'c Consumer, BTreeSet<TerminalId>)> {
    let minus = |at: &TerminalId| {
        let mut sources = context.walks.sources.iter();
        *at == TerminalId::CHASSIS || sources.any(|source| source.minus == *at)
    };
    context
        .walks
        .consumers
        .iter()
        .filter(|one| context.vehicle.own_load != Some(one.part))
        .filter_map(|consumer| {
            let branch = context.vehicle.branch(consumer.branch);
            let mut all = BTreeSet::new();
            for end in [branch.from, branch.to] {
                let joined = joined(context, end, false);
                if joined.iter().any(minus) {
                    return None;
                }
                all.extend(joined);
            }
            Some((consumer, all))
        })
        .collect()
}

/// Whether a consumer is such a bridge, or shares a point with another that is one.
fn hangs_on_a_bridge(
    context: &Context<'_>,
    consumer: &Consumer,
    bridges: &[(&Consumer, BTreeSet<TerminalId>)],
) -> bool {
    let branch = context.vehicle.branch(consumer.branch);
    bridges.iter().any(|(bridge, joined)| {
        if bridge.branch == consumer.branch {
            // Alone between its points it bridges nothing.
            return context.walks.consumers.iter().any(|other| {
                let ends = context.vehicle.branch(other.branch);
                other.branch != consumer.branch
                    && [ends.from, ends.to].iter().any(|end| joined.contains(end))
            });
        }
        [branch.from, branch.to].iter().any(|end| {
            joined.contains(end) && *end != TerminalId::CHASSIS && !is_post(context, *end)
        })
    })
}

/// What runs through whom.
fn tell(context: &Context<'_>, own: &[&Adrift]) -> Finding {
    let vehicle = context.vehicle;
    let fed = own.iter().any(|one| context.walks.fed(one.at));
    // Those that take current from the open point, and those that bring it there.
    let takes =
        |one: &&&Adrift| (one.seen.value.0 > 0.0) == (vehicle.branch(one.branch).from == one.at);
    let (takers, givers): (Vec<&Adrift>, Vec<&Adrift>) =
        own.iter().copied().partition(|one| takes(&one));
    let (victims, through) = if fed {
        (takers, givers)
    } else {
        (givers, takers)
    };
    let list = |list: &[&Adrift]| {
        let mut parts: Vec<PartId> = list
            .iter()
            .map(|one| vehicle.branch(one.branch).part)
            .collect();
        parts.dedup();
        parts
    };
    let (victims_parts, through_parts) = (list(&victims), list(&through));
    let all = victims.iter().chain(&through);
    let worst = all.max_by(|a, b| a.seen.value.0.abs().total_cmp(&b.seen.value.0.abs()));
    let (amps, setting, at) = worst.map_or_else(
        || (Amps::ZERO, Setting::default(), TerminalId::CHASSIS),
        |one| {
            (
                one.seen.value.abs(),
                Setting::clone(&one.seen.setting),
                one.at,
            )
        },
    );
    // Each was seen at all only where it does harm.
    let first = own
        .iter()
        .map(|one| one.seen.first().1)
        .min_by_key(|first| first.changes())
        .cloned()
        .unwrap_or_default();
    let called = |parts: &[PartId]| {
        let names: Vec<String> = parts
            .iter()
            .map(|&part| words::called(vehicle.part(part)))
            .collect();
        words::list(&names, 3)
    };
    let key = setting.key.map_or(String::new(), |key| {
        format!(" with the key in {}", key.text())
    });
    let (victim, other) = (called(&victims_parts), called(&through_parts));
    let point = &vehicle.terminal(at).label;
    let (message, help, label) = if fed {
        (
            format!(
                "{} runs through {other} into {victim}{key}{}",
                words::show(amps),
                words::when(&setting)
            ),
            format!(
                "feed {victim} and {other} apart: take the wire that joins them at {point} off, or put a diode or a relay between"
            ),
            "fed through another part",
        )
    } else {
        (
            format!(
                "{victim} comes home through {other}, {}, because its own return is open{key}{}",
                words::show(amps),
                words::when(&setting)
            ),
            format!("give {victim} a return of its own that nothing opens, past {point}"),
            "comes home through another part",
        )
    };
    let named = victims_parts.first().or(through_parts.first());
    let at = named.map_or_else(Default::default, |&part| vehicle.part(part).name.at);
    let finding = Finding::new(at, message)
        .label(label)
        .parts(victims_parts.iter().chain(&through_parts).copied())
        .value(amps)
        .setting(first)
        .worst(setting)
        .source("the network solved in every setting")
        .help(help);
    through_parts
        .iter()
        .take(3)
        .fold(finding, |finding, &part| {
            finding.also(vehicle.part(part).name.at, "through this one")
        })
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // A change-over lamp between two switched circuits: one of them on, and the other one glows. And apart from these, a charge
        // lamp that feeds what the key has turned off.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  PANEL: {kind: feed, hot-in: [accessory, run], rating: 10 A, limit: 10 A}
  IGN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  CHARGE: {kind: load, type: filament, draw: 0.2 A}
  PUMP: {kind: load, type: motor, draw: 3 A}
  RADIO: {kind: feed, hot-in: [accessory, run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  S3: {kind: switch, rating: 10 A, left: closed}
  LEFT: {kind: load, type: filament, draw: 2 A}
  RIGHT: {kind: load, type: filament, draw: 2 A}
  PILOT: {kind: load, type: filament, draw: 0.2 A}
wires:
  - {from: PANEL, to: CHARGE, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CHARGE.-, to: IGN, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: IGN, to: PUMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [RADIO, S1, LEFT], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {run: [RADIO, S2, S3, RIGHT], size: 14 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl}
  - {from: S1.out, to: PILOT, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: S2.out, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "RIGHT",
        ),
        // The return of two lamps goes through a switch; off, each is the way home of nothing, but a relay's coil holds.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 20 A}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: filament, draw: 2 A}
  HORN: {kind: load, type: motor, draw: 4 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [LAMP, S1, chassis], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: LAMP.-, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        // Each pilot on its own circuit.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  LEFT: {kind: load, type: filament, draw: 2 A}
  PILOT: {kind: load, type: filament, draw: 0.2 A}
wires:
  - {run: [RUN, S1, LEFT], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: S1.out, to: PILOT, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // Two in series for good: that is how they are meant, whatever the second of another pair draws.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  DROP: {kind: load, type: heater, draw: 2 ohm}
  FAN: {kind: load, type: heater, draw: 4 ohm}
  S2: {kind: switch, rating: 10 A}
  BALLAST: {kind: load, type: heater, draw: 2 ohm}
  BLOWER: {kind: load, type: heater}
wires:
  - {run: [RUN, S1, DROP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: DROP.-, to: FAN, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: FAN, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S2, BALLAST], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: BALLAST.-, to: BLOWER, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // Less than 10 mA, and no relay: a glow that nobody sees.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: filament, draw: 2 A}
  LOCATOR: {kind: load, type: led, draw: 3 mA}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: RUN, to: LOCATOR, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: LOCATOR.-, to: S1.out, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // What the horn draws is not stated, nor what the bell: but the one hangs on no bridge, and the other is alone.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  AUX: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: filament, draw: 2 A}
  LOCATOR: {kind: load, type: led, draw: 3 mA}
  HORN: {kind: load, type: motor}
  MARKER: {kind: load, type: led, draw: 1 A}
  BELL: {kind: load, type: motor}
  BODY: {kind: stud}
  DASH: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  G1: {kind: ground, resistance: 0.3 mohm}
wires:
  - {from: B1.-, to: chassis, size: 2/0 AWG, length: 40 cm, insulation: sgx}
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: RUN, to: LOCATOR, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: LOCATOR.-, to: S1.out, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: AUX, to: HORN, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: AUX, to: MARKER, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: HORN, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: DASH, to: BELL, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: BELL, to: BODY, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  LEFT: {kind: load, type: filament, draw: 2 A}
  RIGHT: {kind: load, type: filament, draw: 2 A}
  PILOT: {kind: load, type: filament}
wires:
  - {run: [RUN, S1, LEFT], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {run: [RUN, S2, RIGHT], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: S1.out, to: PILOT, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: S2.out, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "PILOT.draw",
        ),
        // The two stand in a row, and what the first takes is not stated.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  A: {kind: load, type: filament}
  B: {kind: load, type: filament, draw: 2 A}
  ST: {kind: stud}
wires:
  - {from: RUN, to: A, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: A, to: ST, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: ST, to: B, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "A.draw",
        ),
        // The pilot between two circuits is known, but not what it could feed.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  LEFT: {kind: load, type: filament}
  RIGHT: {kind: load, type: filament}
  PILOT: {kind: load, type: filament, draw: 0.2 A}
wires:
  - {run: [RUN, S1, LEFT], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {run: [RUN, S2, RIGHT], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: S1.out, to: PILOT, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: S2.out, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "LEFT.draw",
        ),
    ],
};
