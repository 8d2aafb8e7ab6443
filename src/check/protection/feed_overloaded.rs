//! More is drawn from a feed of the vehicle than it may give.

use crate::check::flow;
use crate::check::flow::Flow;
use crate::check::flow::Takers;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Fact;
use crate::model::Part;
use crate::model::PartId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::read::document::Kind;
use crate::table::fuse;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "feed-overloaded",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "more is drawn from a feed of the vehicle than it may give",
        page: include_str!("../../../docs/checks/feed-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Feed])
        .filter_map(|(id, part)| {
            let branch = context.passage(part)?;
            context.walks.through_branch(branch).next()?;
            Some(judge_feed(context, id, part, branch))
        })
        .collect()
}

/// What a feed is held against.
struct Limit {
    amps: Interval<Amps>,
    key: &'static str,
    words: String,
    source: String,
}

fn judge_feed(context: &Context<'_>, id: PartId, part: &Part, branch: BranchId) -> Verdict {
    let limit = part.stated::<Amps>("limit");
    let rating = part.stated::<Amps>("rating");
    let most = flow::in_branch(context, branch);
    let lasting = flow::lasting_in_branch(context, branch);
    let all: Vec<&Consumer> = context.walks.through_branch(branch).collect();
    let last = flow::lasting_of(context, all.iter().copied());
    let takers = |flow: &Flow, of: &[&Consumer]| {
        flow::takers(context, of, flow.amps, |solution| solution.branch(branch))
    };
    let limits = [
        limit.map(|limit| (own_limit(part, limit), &most, all)),
        rating.map(|rating| (factory_fuse(part, rating), &lasting, last)),
    ];
    let mut unclear = Vec::new();
    for (limit, flow, by) in limits.iter().flatten() {
        match weigh(flow.range, limit.amps) {
            Weighed::Above => return fault(context, id, flow, limit, &takers(flow, by)),
            Weighed::Depends => {
                unclear.extend(flow.wanted());
                if flow.wanted().is_empty() {
                    unclear.push(part.missing(limit.key));
                }
            }
            Weighed::Within => unclear.extend(flow.missing.iter().cloned()),
        }
    }
    if limit.is_none() {
        unclear.push(part.missing("limit"));
    }
    if unclear.is_empty() {
        Verdict::NoneShown
    } else {
        Gap::of(unclear).part(id).shown()
    }
}

fn own_limit(part: &Part, limit: Fact<Amps>) -> Limit {
    Limit {
        amps: limit.range,
        key: "limit",
        words: format!("may give {}", words::rated(limit.likely)),
        source: format!("`limit` of {} in the record", part.name.value),
    }
}

fn factory_fuse(part: &Part, rating: Fact<Amps>) -> Limit {
    let share = fuse::continuous_share();
    Limit {
        amps: rating.range * share.value.0,
        key: "rating",
        words: format!(
            "has a factory fuse of {}, which carries {} for long",
            words::rated(rating.likely),
            words::show(rating.likely * share.value.0)
        ),
        source: format!("{}, of `rating` of {}", share.source, part.name.value),
    }
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    flow: &Flow,
    limit: &Limit,
    takers: &Takers,
) -> Verdict {
    let part = context.vehicle.part(id);
    let finding = Finding::new(
        part.at(limit.key),
        format!(
            "{} can be drawn from {}, which {}{}",
            words::show(flow.amps),
            part.name.value,
            limit.words,
            takers.told(context, 5)
        ),
    )
    .label("more than this can be drawn")
    .part(id)
    .parts(takers.parts())
    .measured(flow.amps, limit.amps.high, limit.source.clone())
    .setting(flow.showing(limit.amps.high))
    .worst(flow.setting.clone())
    .help(format!(
        "let {} drive a relay only, and feed what it switches from the battery through a fuse of its own",
        part.name.value
    ));
    takers.point(context, finding).shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 6 A}
wires:
  - {from: RUN, to: LAMP, size: 12 AWG, length: 2 m, insulation: 105 C}
",
            "RUN",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 9 A}
wires:
  - {from: RUN, to: LAMP, size: 12 AWG, length: 2 m, insulation: 105 C}
",
            "RUN",
        ),
        // The factory fuse carries 80 % of 60 A for long, and the pump that runs now and then is no part of that.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 80 A}
  HEAT: {kind: load, type: electronics, draw: 50 A}
  PUMP: {kind: load, type: motor, draw: 5 A, duty: 5 %}
wires:
  - {from: RUN, to: HEAT, size: 4 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: PUMP, size: 12 AWG, length: 2 m, insulation: 105 C}
",
            "HEAT",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 6 A}
wires:
  - {from: RUN, to: LAMP, size: 12 AWG, length: 2 m, insulation: 105 C}
"],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A}
  LAMP: {kind: load, type: led, draw: 6 A}
wires:
  - {from: RUN, to: LAMP, size: 12 AWG, length: 2 m, insulation: 105 C}
",
            "RUN.limit",
        ),
        // 6 A lie between the two ends of what it may give.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 5..10 A}
  LAMP: {kind: load, type: led, draw: 6 A}
wires:
  - {from: RUN, to: LAMP, size: 12 AWG, length: 2 m, insulation: 105 C}
",
            "RUN.limit",
        ),
        // 5 A lie between the two ends of the draw.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 5 A}
  LAMP: {kind: load, type: led, draw: 4..6 A}
wires:
  - {from: RUN, to: LAMP, size: 12 AWG, length: 2 m, insulation: 105 C}
",
            "LAMP.draw",
        ),
    ],
};
