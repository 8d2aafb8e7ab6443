//! Two fuses side by side, as if they were one larger one.

use crate::check::prelude::*;
use std::collections::BTreeMap;

use petgraph::unionfind::UnionFind;

use crate::model::Element;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::walk::is_protection;
use crate::quantity::Amps;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "fuses-paralleled",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "two fuses stand side by side as if they were one larger one",
        page: include_str!("../../../docs/checks/fuses-paralleled.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// What can stand side by side.
const KINDS: &[Kind] = &[Kind::Fuse, Kind::Breaker, Kind::FusibleLink];

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let joined = joined(context);
    let node = |at: TerminalId| joined.find(at.index());
    let mut sides: BTreeMap<(usize, usize), Vec<PartId>> = BTreeMap::new();
    let mut starts: BTreeMap<usize, usize> = BTreeMap::new();
    let mut ends = Vec::new();
    for (id, part) in context.parts_of(KINDS) {
        let Some(branch) = context.passage(part) else {
            continue;
        };
        let branch = context.vehicle.branch(branch);
        let (a, b) = (node(branch.from), node(branch.to));
        ends.push((id, a, b, branch.to));
        if a != b {
            sides.entry((a.min(b), a.max(b))).or_default().push(id);
        }
        *starts.entry(a).or_default() += 1;
    }
    let mut verdicts = Vec::new();
    for (id, a, b, out) in ends {
        if a == b {
            continue;
        }
        let group = &sides[&(a.min(b), a.max(b))];
        let loose = context.landing(out).is_empty() && !context.joined_inside(id, out);
        if group.len() > 1 {
            if group[0] == id {
                verdicts.push(fault(context, group));
            }
        } else if loose && starts[&a] > 1 {
            // It hangs on the same bar as others, and where it leads to is not in the record.
            let part = context.vehicle.part(id);
            verdicts.push(Gap::of([part.missing("out")]).part(id).shown());
        } else {
            verdicts.push(Verdict::NoneShown);
        }
    }
    verdicts
}

/// Whether two protections stand side by side.
pub(in crate::check) fn side_by_side(context: &Context<'_>, pair: [PartId; 2]) -> bool {
    let joined = joined(context);
    let ends = pair.map(|id| {
        if !KINDS.contains(&context.vehicle.part(id).kind) {
            return None;
        }
        let branch = context.passage(context.vehicle.part(id))?;
        let branch = context.vehicle.branch(branch);
        let (a, b) = (
            joined.find(branch.from.index()),
            joined.find(branch.to.index()),
        );
        Some((a.min(b), a.max(b)))
    });
    ends[0].is_some() && ends[0] == ends[1]
}

/// Terminals joined by wires, plain joints and the chassis, protections apart.
fn joined(context: &Context<'_>) -> UnionFind<usize> {
    let vehicle = context.vehicle;
    let mut joined = UnionFind::new(vehicle.terminals.len());
    let mut join = |a: TerminalId, b: TerminalId| {
        joined.union(a.index(), b.index());
    };
    for wire in &vehicle.wires {
        join(wire.from, wire.to);
    }
    for branch in &vehicle.branches {
        if matches!(branch.element, Element::Joint(_)) && !is_protection(vehicle, branch.part) {
            join(branch.from, branch.to);
        }
    }
    joined
}

fn fault(context: &Context<'_>, group: &[PartId]) -> Verdict {
    let vehicle = context.vehicle;
    let first = vehicle.part(group[0]);
    let names: Vec<&str> = group.iter().map(|&id| context.name(id)).collect();
    let ratings = group
        .iter()
        .map(|&id| vehicle.part(id).stated::<Amps>("rating"));
    let sum: Option<Amps> = ratings
        .map(|rating| rating.map(|one| one.likely))
        .sum::<Option<Amps>>();
    let together = sum.map_or_else(String::new, |sum| {
        format!(
            ": together they let {} through for long, and no fuse is made to share",
            words::rated(sum)
        )
    });
    let mut finding = Finding::new(
        first.name.at,
        format!("{} stand side by side between the same two points{together}", words::list(&names, 4)),
    )
    .label("side by side with another")
    .parts(group.iter().copied())
    .help("put one fuse of the rating that the wire behind them carries, or give each a wire and a load of its own")
    .source("UK code of practice FCS1362:2010 4.6.3, by analogy");
    if let Some(sum) = sum {
        finding = finding.value(sum);
    }
    for &other in &group[1..] {
        finding = finding.also(vehicle.part(other).name.at, "the other one");
    }
    finding.shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // Three, which are told once.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 20 A, form: blade}
  F3: {kind: fuse, rating: 15 A, form: blade}
  SP: {kind: splice}
  LAMP: {kind: load, type: led, draw: 35 A}
wires:
  - {run: [B1, F1, SP], size: 10 AWG, lengths: [10 cm, 20 cm], insulation: gxl}
  - {run: [B1, F2, SP], size: 10 AWG, lengths: [10 cm, 20 cm], insulation: gxl}
  - {run: [B1, F3, SP], size: 10 AWG, lengths: [10 cm, 20 cm], insulation: gxl}
  - {from: SP, to: LAMP, size: 8 AWG, length: 2 m, insulation: gxl}
",
            "F1",
        ),
        // In the returns of one lamp, on two bolts of the frame; what one of them is rated is not known.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F0: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 12 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, form: blade}
  G1: {kind: ground}
wires:
  - {run: [B1, F0, LAMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [LAMP, F1, chassis], size: 14 AWG, lengths: [20 cm, 20 cm], insulation: gxl}
  - {run: [LAMP, F2, G1], size: 14 AWG, lengths: [20 cm, 20 cm], insulation: gxl}
",
            "F2",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 20 A, form: blade}
  LEFT: {kind: load, type: led, draw: 12 A}
  RIGHT: {kind: load, type: led, draw: 12 A}
wires:
  - {run: [B1, F1, LEFT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [B1, F2, RIGHT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
        // A spare fuse by itself on the post leads nowhere, and is beside nothing.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
wires:
  - {from: B1, to: F1, size: 12 AWG, length: 10 cm, insulation: gxl}
",
        // A fuse that a wire bridges stands in parallel to nothing.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F0: {kind: fuse, rating: 20 A, form: blade}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F0, F1, LAMP], size: 12 AWG, lengths: [10 cm, 2 m, 1 m], insulation: 105 C}
  - {from: F1.in, to: F1.out, size: 12 AWG, length: 5 cm, insulation: 105 C}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 20 A, form: blade}
  LEFT: {kind: load, type: led, draw: 12 A}
wires:
  - {run: [B1, F1, LEFT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: B1, to: F2.in, size: 10 AWG, length: 10 cm, insulation: gxl}
",
        "F2.out",
    )],
};
