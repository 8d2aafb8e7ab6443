//! The current at switch-on opens a fuse that has nothing to clear.

use crate::analyze::protection;
use crate::analyze::protection::Rating;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::sizing;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Seconds;
use crate::read::document::Dimension;
use crate::read::document::Kind;
use crate::read::document::Quantity;
use crate::table::fuse;
use crate::table::load;
use crate::table::opening::Opening;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "fuse-opens-on-inrush",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "the current at switch-on can open the fuse with nothing wrong",
        page: include_str!("../../../docs/checks/fuse-opens-on-inrush.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let mut verdicts = Vec::new();
    for consumer in &context.walks.consumers {
        if flow::load(context, consumer).is_none() || vehicle.own_load == Some(consumer.part) {
            continue;
        }
        for link in &consumer.feed {
            let Link::Branch(branch) = *link else {
                continue;
            };
            let guard = vehicle.branch(branch).part;
            // Of a breaker and a link no soonest time is published.
            if vehicle.part(guard).kind == Kind::Fuse {
                verdicts.extend(judge_pair(context, consumer, guard));
                break;
            }
        }
    }
    verdicts
}

/// Current at switch-on, how long it lasts, and whether it decays while it lasts (it does unless the record says how long).
struct Surge {
    amps: Interval<Amps>,
    likely: Amps,
    lasts: Interval<Seconds>,
    likely_lasts: Seconds,
    source: String,
    stated: bool,
}

/// Square pulse with the heat of an exponential decay that is over after three of its time constants: a sixth of it.
const DECAY: f64 = 1.0 / 6.0;

fn surge(part: &Part, draw: Amps) -> Option<Surge> {
    let kind = part.fields.text("type").map(|kind| kind.value.as_str());
    let typical = kind.and_then(load::inrush);
    let stated = part.fields.quantity("inrush");
    let (amps, likely) = match stated {
        Some(stated) => {
            let unit = if stated.dimension == Dimension::Multiple {
                draw
            } else {
                Amps(1.0)
            };
            let range = Interval::between(unit * stated.low, unit * stated.high);
            (range, range.middle())
        }
        None => {
            let row = typical?.multiple;
            (
                Interval::between(draw * row.low, draw * row.high),
                draw * row.value,
            )
        }
    };
    let whole = stated.and_then(|stated| stated.lasts);
    let (lasts, likely_lasts) = match whole {
        Some(seconds) => (Interval::exact(Seconds(seconds)), Seconds(seconds)),
        None => {
            let row = typical?.lasts;
            (
                Interval::between(row.low * DECAY, row.high * DECAY),
                row.value * DECAY,
            )
        }
    };
    Some(Surge {
        amps,
        likely,
        lasts,
        likely_lasts,
        source: match (stated.is_some() && whole.is_some(), typical) {
            (true, _) | (_, None) => "`inrush` of the record".to_owned(),
            (false, Some(typical)) => typical.multiple.source.to_owned(),
        },
        stated: stated.is_some() && whole.is_some(),
    })
}

fn judge_pair(context: &Context<'_>, consumer: &Consumer, guard: PartId) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let (part, fused) = (vehicle.part(consumer.part), vehicle.part(guard));
    let draw = flow::most(context, consumer);
    let unstated = flow::unstated(context, consumer);
    if draw.0 <= 1e-3 && unstated.is_none() {
        return None;
    }
    let surge = surge(part, draw)?;
    let multiple = |stated: &Quantity| stated.dimension == Dimension::Multiple;
    if let Some(draw) = unstated
        && part.fields.quantity("inrush").is_none_or(multiple)
    {
        let gap = Gap::of([draw]).part(consumer.part).part(guard);
        return Some(gap.shown());
    }
    let opening = match protection::opening(fused, &vehicle.climate, Rating::Least) {
        Ok(opening) => opening,
        Err(missing) => return Some(Gap::of([missing]).part(guard).shown()),
    };
    let passage = context.passage(fused)?;
    let whole = flow::in_branch(context, passage);
    let others = (whole.amps - draw).max(Amps::ZERO);
    // No more flows than a short there would draw.
    let limit = context
        .faults
        .strongest(vehicle.branch(consumer.branch).from);
    let beside = |amps: Amps, others: Amps| {
        let all = amps + others;
        limit.map_or(all, |limit| all.min(limit))
    };
    let through = |amps: Amps| beside(amps, others);
    let holds = |amps: Amps, lasts: Seconds| {
        opening
            .earliest(through(amps))
            .is_none_or(|earliest| earliest.0 >= lasts.0 * (1.0 - 1e-9))
    };
    if !holds(surge.amps.low, surge.lasts.low) {
        // Alone, else with the least beside it that opens the fuse.
        let opens = |others: Amps| {
            let soonest = opening.earliest(beside(surge.amps.low, others));
            soonest.is_some_and(|soonest| soonest.0 < surge.lasts.low.0 * (1.0 - 1e-9))
        };
        let uses = context.solved.explored.uses.get(consumer.branch.index());
        let alone = uses.and_then(|uses| uses.ever.clone());
        let first = alone.filter(|_| opens(Amps::ZERO)).unwrap_or_else(|| {
            let mut smaller = whole.smaller.iter();
            smaller
                .find(|(amps, _)| opens((amps.abs() - draw).max(Amps::ZERO)))
                .map_or_else(|| whole.setting.clone(), |(_, setting)| setting.clone())
        });
        let finding = fault(
            context,
            consumer.part,
            guard,
            &surge,
            through(surge.likely),
            &opening,
        );
        return Some(finding.setting(first).worst(whole.setting).shown());
    }
    // Of what is said not to be known, all that is usual has to hold.
    let unknown = part.fields.is_unknown("inrush");
    if !holds(surge.likely, surge.likely_lasts)
        || unknown && !holds(surge.amps.high, surge.lasts.high)
    {
        return Some(
            Gap::of([part.missing("inrush")])
                .part(consumer.part)
                .part(guard)
                .shown(),
        );
    }
    Some(Verdict::NoneShown)
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    guard: PartId,
    surge: &Surge,
    amps: Amps,
    opening: &Opening,
) -> Finding {
    let (part, fused) = (context.vehicle.part(id), context.vehicle.part(guard));
    let soonest = opening.earliest(amps).unwrap_or(Seconds::ZERO);
    let rating = fused.stated::<Amps>("rating");
    let form = rating.map(|rating| protection::form(fused, rating.likely));
    let larger = form.and_then(|form| {
        fuse::standard_ratings(form).iter().copied().find(|&made| {
            let earliest = Opening::fuse(form, made).earliest(amps);
            rating.is_some_and(|rating| made > rating.likely)
                && earliest.is_some_and(|earliest| earliest >= surge.likely_lasts)
        })
    });
    let help = match larger.or_else(|| sizing::next_fuse_up(fused, amps)) {
        Some(made) => format!(
            "{} rides through it; fit it if every wire behind {} carries it, else start {} softly or feed it by itself",
            words::rated(made),
            fused.name.value,
            part.name.value
        ),
        None => format!("start {} softly, or feed it by itself", part.name.value),
    };
    let pulse = if surge.stated {
        ""
    } else {
        " (as a square pulse of the same heat)"
    };
    Finding::new(
        fused.at("rating"),
        format!(
            "when {} is switched on {} can flow through {} for {}{pulse}, and it may open after {}",
            part.name.value,
            words::show(amps),
            fused.name.value,
            words::show(surge.likely_lasts),
            words::show(soonest)
        ),
    )
    .label("may open with nothing wrong")
    .part(guard)
    .part(id)
    .measured(surge.likely_lasts, soonest, opening.sources().join(", "))
    .help(help)
    .step(
        format!(
            "{} at switch-on and what else flows: {}",
            words::show(surge.likely),
            words::show(amps)
        ),
        surge.source.clone(),
    )
    .step(
        format!(
            "at {} it holds for {}",
            words::show(amps),
            words::show(soonest)
        ),
        opening.sources().join(", "),
    )
    .also(part.at("inrush"), "takes that at switch-on")
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // What else flows through the fuse counts: 48 A of the pump alone and 6 A of the fan.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A, resistance: 2 mohm}
  PUMP: {kind: load, type: motor, draw: 8 A, inrush: 6x for 500 ms}
  FAN: {kind: load, type: led, draw: 6 A}
wires:
  - {run: [RUN, F1, PUMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: F1, to: FAN, size: 10 AWG, length: 2 m, insulation: gxl}
",
            "F1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  PUMP: {kind: load, type: motor, draw: 12 A, inrush: 6x for 500 ms}
wires:
  - {run: [B1, F1, PUMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "F1",
        ),
        // 60 A for 2 s: at six times its rating a blade fuse may open after 20 ms.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  PUMP: {kind: load, type: motor, draw: 5 A, inrush: 60 A for 2 s}
wires:
  - {run: [B1, F1, PUMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  PUMP: {kind: load, type: motor, draw: 12 A, inrush: 2x for 100 ms}
wires:
  - {run: [B1, F1, PUMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 15 A, form: blade}
  LAMP: {kind: load, type: led, draw: 12 A}
wires:
  - {run: [B1, F1, LAMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
    ],
    cannot: &[
        // Six times what?
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  PUMP: {kind: load, type: motor, inrush: 6x for 500 ms}
wires:
  - {run: [RUN, F1, PUMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "PUMP.draw",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  PUMP: {kind: load, type: motor, draw: 9 A}
wires:
  - {run: [B1, F1, PUMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "PUMP.inrush",
        ),
    ],
};
