//! A fuse or breaker in the return of what it should protect.

use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "fuse-in-return",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "a fuse or breaker in the return of what it should protect",
        page: include_str!("../../../docs/checks/fuse-in-return.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

const SOURCE: &str = "a UK code of practice for mobile equipment, FCS1362: do not fuse the negative on vehicles with chassis return (read)";

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Fuse, Kind::Breaker, Kind::FusibleLink])
        .filter_map(|(id, part)| judge_fuse(context, id, part, context.passage(part)?))
        .collect()
}

fn judge_fuse(context: &Context<'_>, id: PartId, part: &Part, branch: BranchId) -> Option<Verdict> {
    let inside = context.vehicle.branch(branch);
    let ends = [inside.from, inside.to];
    let wired = ends.iter().any(|&end| !context.landing(end).is_empty());
    if !wired {
        return None;
    }
    // Reached neither by a source nor by anything that uses current: which side it is on cannot be told.
    if !ends
        .iter()
        .any(|&end| context.walks.fed(end) || context.walks.comes_home(end))
    {
        return Some(
            Gap::of([format!("{}.wires", part.name.value)])
                .part(id)
                .shown(),
        );
    }
    let here = Link::Branch(branch);
    let consumers: Vec<_> = context.walks.through_branch(branch).collect();
    let feeds = consumers.iter().any(|one| one.feed.contains(&here));
    let behind: Vec<PartId> = consumers
        .iter()
        .filter(|one| one.back.contains(&here))
        .map(|one| one.part)
        .collect();
    if feeds {
        return Some(Verdict::NoneShown);
    }
    let name = &part.name.value;
    let Some(&first) = behind.first() else {
        return Some(match grounded_by(context, here) {
            Some(source) => in_ground_cable(context, id, part, source),
            None => Verdict::NoneShown,
        });
    };
    let mut names: Vec<&str> = behind.iter().map(|&part| context.name(part)).collect();
    names.dedup();
    let finding = Finding::new(
        part.name.at,
        format!(
            "{name} sits in the return of {}: when it opens, the case of {} floats up to battery voltage and finds another way home",
            words::list(&names, 4),
            context.name(first)
        ),
    )
    .label("in the way home, not in the feed")
    .part(id)
    .parts(behind)
    .source(SOURCE)
    .help(format!("move {name} into the feed, close to the battery, and join the return straight through"));
    Some(finding.shown())
}

/// The source that a conductor joins to the chassis.
fn grounded_by(context: &Context<'_>, conductor: Link) -> Option<PartId> {
    let mut sources = context.walks.sources.iter().enumerate();
    let found = sources.find(|&(number, _)| context.walks.way_home(number).contains(&conductor));
    found.map(|(_, source)| source.part)
}

fn in_ground_cable(context: &Context<'_>, id: PartId, part: &Part, source: PartId) -> Verdict {
    let (name, source_name) = (&part.name.value, context.name(source));
    Finding::new(
        part.name.at,
        format!(
            "{name} sits between the - of {source_name} and the chassis, in the return of everything that {source_name} feeds: when it opens, their current finds another way home"
        ),
    )
    .label("in the way home, not in the feed")
    .part(id)
    .part(source)
    .source(SOURCE)
    .help(format!(
        "move {name} into the cable from the + of {source_name}, and join its - to the chassis straight through"
    ))
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 2 A, parked: 0 mA}
  F2: {kind: fuse, rating: 10 A, form: blade}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [RADIO, F2, chassis], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "F2",
        ),
        // In the ground cable of the second battery it is in the return of everything that this battery feeds.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F9: {kind: fuse, rating: 100 A, form: bolt-down}
  RADIO: {kind: load, type: electronics, draw: 2 A, parked: 0 mA}
wires:
  - {run: [B2, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B2.-, F9, chassis], size: 4 AWG, lengths: [20 cm, 50 cm], insulation: gxl}
",
            "B2",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 2 A, parked: 0 mA}
wires:
  - {run: [B1, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
"],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CUT: {kind: stub, end: bare}
wires:
  - {from: F1, to: CUT, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "F1.wires",
    )],
};
