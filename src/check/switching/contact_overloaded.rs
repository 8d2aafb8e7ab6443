//! More current can flow through a relay's contact than it carries or may close onto.

use super::rated;
use super::rated::Rated;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Dimension;
use crate::quantity::Interval;
use crate::read::document::Kind;
use crate::table::load;
use crate::table::relay;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "contact-overloaded",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "more current can flow through a relay's contact than it carries or may close onto",
        page: include_str!("../../../docs/checks/contact-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Relay]) {
        for &branch in &part.branches {
            let inside = context.vehicle.branch(branch);
            if !matches!(inside.element, Element::Contact { .. }) {
                continue;
            }
            let name = &part.name.value;
            let rated = Rated {
                part: id,
                branch,
                name: format!("{} of {name}", inside.name),
                rating: part.stated("contact"),
                fact: part.missing("contact"),
                at: part.at("contact"),
                help: format!(
                    "fit a relay that is made for it in place of {name}, or share the load out over two"
                ),
            };
            match rated::judge(context, &rated) {
                Some(Verdict::NoneShown) => verdicts.push(closing(context, id, part, branch)),
                other => verdicts.extend(other),
            }
        }
    }
    verdicts
}

/// Holds what flows at the moment of closing against what the contact may close onto.
fn closing(context: &Context<'_>, id: PartId, part: &Part, branch: BranchId) -> Verdict {
    let own: Option<Fact<Amps>> = part.stated("make");
    let contact: Option<Fact<Amps>> = part.stated("contact");
    let multiple = relay::make_multiple();
    let Some(make) = own.map(|own| own.range).or_else(|| {
        contact.map(|contact| Interval {
            low: contact.range.low * multiple.value,
            high: contact.range.high * multiple.value,
        })
    }) else {
        return Verdict::NoneShown;
    };
    let consumers: Vec<&Consumer> = context.walks.through_branch(branch).collect();
    let mut surge = Interval::exact(Amps::ZERO);
    let mut unsure = Vec::new();
    let mut largest: Option<(PartId, Amps, String)> = None;
    let mut alone: Option<&Setting> = None;
    for consumer in &consumers {
        let Some(one) = inrush(context, consumer) else {
            continue;
        };
        surge = surge + one.amps;
        let uses = context.solved.explored.uses.get(consumer.branch.index());
        if one.amps.low > make.high
            && let Some(ever) = uses.and_then(|uses| uses.ever.as_ref())
            && alone.is_none_or(|known| ever.changes() < known.changes())
        {
            alone = Some(ever);
        }
        if !one.amps.is_exact() {
            unsure.push(format!("{}.inrush", context.name(consumer.part)));
        }
        if largest
            .as_ref()
            .is_none_or(|(_, most, _)| one.amps.low > *most)
        {
            largest = Some((consumer.part, one.amps.low, one.source));
        }
    }
    match weigh(surge, make) {
        Weighed::Within => return Verdict::NoneShown,
        Weighed::Depends => {
            if unsure.is_empty() {
                unsure.push(part.missing("make"));
            }
            return Gap::of(unsure).part(id).shown();
        }
        Weighed::Above => {}
    }
    // One of them alone may be too much; all of them are on where the most flows.
    let seen = context.solved.explored.branches.get(branch.index());
    let together = seen.map_or_else(Setting::default, |seen| seen.setting.clone());
    let name = &part.name.value;
    let rule = if own.is_some() {
        format!("`make` of {name} in the record")
    } else {
        format!(
            "{} times its contact rating: {}",
            multiple.value, multiple.source
        )
    };
    let (load, from) = largest.map_or_else(
        || (String::new(), String::new()),
        |(load, amps, source)| {
            (
                format!(", {} of it {}", words::show(amps), context.name(load)),
                source,
            )
        },
    );
    Finding::new(
        part.at(if own.is_some() { "make" } else { "contact" }),
        format!(
            "{} of {name} closes onto {}{load}, and may close onto {}",
            context.vehicle.branch(branch).name,
            words::show(surge.low),
            words::show(make.high)
        ),
    )
    .label("can weld when it closes")
    .part(id)
    .parts(consumers.iter().map(|consumer| consumer.part))
    .measured(surge.low, make.high, rule)
    .setting(alone.unwrap_or(&together).clone())
    .worst(together)
    .help(format!(
        "fit a relay in place of {name} that is made to switch motors or lamps of this size"
    ))
    .step("inrush of what it switches, all starting together", from)
    .shown()
}

struct Inrush {
    amps: Interval<Amps>,
    source: String,
}

/// What a load takes as it is switched on: as stated; of motors and filament lamps else by their type.
fn inrush(context: &Context<'_>, consumer: &Consumer) -> Option<Inrush> {
    let part = context.vehicle.part(consumer.part);
    let draw = flow::most(context, consumer);
    if draw.0 <= 1e-3 {
        return None;
    }
    let supply = &context.vehicle.branch(consumer.branch).name;
    let supplies = part.fields.map("supplies").and_then(|all| all.map(supply));
    let stated = supplies
        .and_then(|fields| fields.quantity("inrush"))
        .or_else(|| part.fields.quantity("inrush"));
    if let Some(stated) = stated {
        let amps = match stated.dimension {
            Dimension::Multiple => Interval::between(draw * stated.low, draw * stated.high),
            _ => Interval::between(Amps(stated.low), Amps(stated.high)),
        };
        return Some(Inrush {
            amps: Interval {
                low: amps.low.max(draw),
                high: amps.high.max(draw),
            },
            source: format!("`inrush` of {} in the record", part.name.value),
        });
    }
    let kind = part.fields.text("type").map(|kind| kind.value.as_str());
    match kind {
        Some(kind @ ("motor" | "filament" | "starter")) => {
            let row = load::inrush(kind)?.multiple;
            Some(Inrush {
                amps: Interval::between(draw * row.low, draw * row.high),
                source: row.source.to_owned(),
            })
        }
        _ => Some(Inrush {
            amps: Interval::exact(draw),
            source: "the network solved in every setting".to_owned(),
        }),
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: blade-maxi}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  WORK: {kind: load, type: led, draw: 40 A}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: WORK, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // 150 A at the start, and three times 30 A is 90 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  PUMP: {kind: load, type: motor, draw: 25 A, inrush: 6x for 200 ms}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, make: 180 A}
  PUMP: {kind: load, type: motor, draw: 25 A, inrush: 6x for 200 ms}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
"],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm}
  WORK: {kind: load, type: led, draw: 25 A}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: WORK, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "K1.contact",
        ),
        // A motor takes 3 to 10 times its draw: between 60 A and 200 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 40 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  PUMP: {kind: load, type: motor, draw: 20 A}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: PUMP, size: 6 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "PUMP.inrush",
        ),
    ],
};
