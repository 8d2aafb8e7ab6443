//! Equipment that loses its return, but not its feed, when a plug is pulled out.

use std::collections::BTreeSet;

use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "return-only-when-attached",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "equipment loses its return, but not its feed, when a plug is pulled out",
        page: include_str!("../../../docs/checks/return-only-when-attached.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .walks
        .consumers
        .iter()
        .filter(|one| context.vehicle.own_load != Some(one.part))
        .filter_map(|consumer| judge_one(context, consumer))
        .collect()
}

fn judge_one(context: &Context<'_>, consumer: &Consumer) -> Option<Verdict> {
    let vehicle = context.vehicle;
    // Plugs on the way home.
    let plugs: Vec<BranchId> = consumer
        .back
        .iter()
        .filter_map(|link| match *link {
            Link::Branch(branch) => Some(branch),
            Link::Wire(_) => None,
        })
        .filter(|&branch| vehicle.part(vehicle.branch(branch).part).kind == Kind::Connector)
        .collect();
    if plugs.is_empty() || consumer.sources.is_empty() {
        return None;
    }
    let mut groups: Vec<&str> = Vec::new();
    let mut unsaid: Vec<PartId> = Vec::new();
    for &branch in &plugs {
        match super::group(context, branch) {
            Some(group) => groups.push(group),
            None => unsaid.push(vehicle.branch(branch).part),
        }
    }
    groups.dedup();
    for group in groups {
        let without = |branch| super::group(context, branch) == Some(group);
        if floats(context, consumer, without) {
            return Some(tell(context, consumer, group, &plugs).shown());
        }
    }
    unsaid.dedup();
    let lacking = unsaid.into_iter().find(|&plug| {
        let without = |branch: BranchId| vehicle.branch(branch).part == plug;
        floats(context, consumer, without)
    });
    Some(match lacking {
        Some(plug) => Gap::of([vehicle.part(plug).missing("detach")])
            .part(consumer.part)
            .shown(),
        None => Verdict::NoneShown,
    })
}

/// Whether it is still fed, and does not come home, without these branches.
fn floats(context: &Context<'_>, consumer: &Consumer, without: impl Fn(BranchId) -> bool) -> bool {
    let conducts = |branch| super::conductor(context, branch) && !without(branch);
    let inside = context.vehicle.branch(consumer.branch);
    let [from, to] = [inside.from, inside.to].map(|end| super::joined(context, end, conducts));
    let fed = |joined: &BTreeSet<TerminalId>| {
        let mut sources = context.walks.sources.iter();
        sources.any(|source| joined.contains(&source.plus))
    };
    let home = |joined: &BTreeSet<TerminalId>| {
        let mut sources = context.walks.sources.iter();
        joined.contains(&TerminalId::CHASSIS) || sources.any(|one| joined.contains(&one.minus))
    };
    // It comes home by the end that is not fed: a switch that reverses a motor beside it can join the other to the chassis too.
    let works = (fed(&from) && home(&to)) || (fed(&to) && home(&from));
    !works && (fed(&from) || fed(&to))
}

fn tell(context: &Context<'_>, consumer: &Consumer, group: &str, plugs: &[BranchId]) -> Finding {
    let vehicle = context.vehicle;
    let part = vehicle.part(consumer.part);
    // What feeds it, and the plug out.
    let uses = context.solved.explored.uses.get(consumer.branch.index());
    let ever = uses.and_then(|uses| uses.ever.clone());
    let mut setting = crate::model::Setting::from(ever.unwrap_or_default());
    setting.add(&format!("with {group} unplugged"));
    let plugs: Vec<PartId> = plugs
        .iter()
        .filter(|&&branch| super::group(context, branch) == Some(group))
        .map(|&branch| vehicle.branch(branch).part)
        .collect();
    let finding = Finding::new(
        part.name.at,
        format!(
            "{} has its feed but no return when {group} is unplugged: its return goes through {}",
            words::called(part),
            plugs.first().map_or("the plug", |&plug| context.name(plug))
        ),
    )
    .label("its return goes through the plug")
    .part(consumer.part)
    .parts(plugs.iter().copied())
    .setting(setting)
    .source("a plow maker's theory of operation (read); common practice, no source")
    .help("return it to the chassis on its own side of the plug; without a return its case stands at battery voltage and finds a way through whatever it is joined to");
    plugs.first().map_or(finding.clone(), |&plug| {
        finding.also(vehicle.part(plug).name.at, "its return passes here")
    })
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  X1: {kind: connector, pins: {1: 40 A}, detach: plow, cover: true}
  MODULE: {kind: load, type: electronics, draw: 1 A}
  PLOW: {kind: stud, what: plow frame}
wires:
  - {from: RUN, to: MODULE, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: MODULE, to: X1.1, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: X1.1, to: PLOW, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: PLOW, to: chassis, size: 8 AWG, length: 1 m, insulation: gxl}
",
        "MODULE",
    ),
        // A lamp beside it comes home on its own, and a winch on the same fuse has a reversing switch: neither is a return of the
        // module's. Of the relay's coil the other end is fed. The blade has a reversing switch too, and that returns by the plug.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  S1: {kind: switch, rating: 30 A, left: rest, positions: {rest: [], in: [[P, A], [B, G]], out: [[P, B], [A, G]]}}
  S2: {kind: switch, rating: 30 A, left: rest, positions: {rest: [], left: [[P, A], [B, G]], right: [[P, B], [A, G]]}}
  WINCH: {kind: load, type: motor, draw: 15 A}
  BLADE: {kind: load, type: motor, draw: 15 A}
  X1: {kind: connector, pins: [1, 2, 3], detach: plow, cover: true}
  MODULE: {kind: load, type: electronics, draw: 1 A}
  LAMP: {kind: load, type: led, draw: 1 A}
  K1: {kind: relay, coil: 85 ohm, contact: 40 A}
wires:
  - {run: [B1, F1, MODULE], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: F1, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: F1, to: K1.85, size: 18 AWG, length: 2 m, insulation: gxl}
  - {run: [MODULE, X1.1, chassis], size: 14 AWG, lengths: [2 m, 1 m], insulation: gxl}
  - {run: [K1.86, X1.2, chassis], size: 18 AWG, lengths: [2 m, 1 m], insulation: gxl}
  - {from: F1, to: S1.P, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: S1.A, to: WINCH.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: WINCH.-, to: S1.B, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: S1.G, to: chassis, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F2, S2.P], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S2.A, to: BLADE.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: BLADE.-, to: S2.B, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [S2.G, X1.3, chassis], size: 10 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "MODULE",
        ),
    ],
    quiet: &[
        // Feed and return through the same plug: unplugged it is dead.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  X1: {kind: connector, pins: {1: 40 A, 2: 40 A}, detach: plow, cover: true}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [RUN, X1.2, LAMP], size: 14 AWG, lengths: [2 m, 2 m], insulation: gxl}
  - {run: [LAMP, X1.1, chassis], size: 14 AWG, lengths: [2 m, 1 m], insulation: gxl}
",
        // It has another way home.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  X1: {kind: connector, pins: {1: 40 A}, detach: plow, cover: true}
  X2: {kind: connector, pins: {1: 40 A}, detach: tail, cover: true}
  MODULE: {kind: load, type: electronics, draw: 1 A}
wires:
  - {from: RUN, to: MODULE, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [MODULE, X1.1, chassis], size: 14 AWG, lengths: [2 m, 1 m], insulation: gxl}
  - {run: [MODULE, X2.1, chassis], size: 14 AWG, lengths: [2 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  X1: {kind: connector, pins: {1: 40 A}}
  MODULE: {kind: load, type: electronics, draw: 1 A}
wires:
  - {from: RUN, to: MODULE, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [MODULE, X1.1, chassis], size: 14 AWG, lengths: [2 m, 1 m], insulation: gxl}
",
        "X1.detach",
    )],
};
