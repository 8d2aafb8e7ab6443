//! The current at switch-on opens a fuse that has nothing to clear.

use super::beside::beside;
use crate::analyze::protection;
use crate::analyze::protection::Rating;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::sizing;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Seconds;
use crate::read::document::Dimension;
use crate::read::document::Kind;
use crate::read::document::Quantity;
use crate::read::document::Value;
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
        if flow::load(context, consumer).is_none() {
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

/// Of the sum of what they take, those that are on at once take at least this share: each takes less where it shares the way.
const AT_ONCE: f64 = 0.97;

/// Square pulse with the heat of an exponential decay that is over after three of its time constants: a sixth of it.
const DECAY: f64 = 1.0 / 6.0;

/// What would have to be stated of it: `PUMP.inrush`, `FAN.high.inrush`.
fn missing(context: &Context<'_>, consumer: &Consumer) -> String {
    let supply = &context.vehicle.branch(consumer.branch).name;
    let part = context.vehicle.part(consumer.part);
    if supply.is_empty() {
        part.missing("inrush")
    } else {
        part.missing(&format!("{supply}.inrush"))
    }
}

fn surge(part: &Part, stated: Option<&Quantity>, draw: Amps) -> Option<Surge> {
    let kind = part.fields.text("type").map(|kind| kind.value.as_str());
    let typical = kind.and_then(load::inrush);
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
        source: match (whole.is_some(), typical) {
            (true, _) | (_, None) => "`inrush` of the record".to_owned(),
            (false, Some(typical)) => typical.multiple.source.to_owned(),
        },
        stated: whole.is_some(),
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
    let value = vehicle.of_supply(consumer.branch, "inrush");
    let stated = match value {
        Some(Value::Quantity(stated)) => Some(stated),
        _ => None,
    };
    let surge = surge(part, stated, draw)?;
    let multiple = |stated: &Quantity| stated.dimension == Dimension::Multiple;
    if let Some(draw) = unstated
        && stated.is_none_or(multiple)
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
    // No more flows than a short there would draw.
    let limit = context
        .faults
        .strongest(vehicle.branch(consumer.branch).from);
    let with = |amps: Amps, others: Amps| {
        let all = amps + others;
        limit.map_or(all, |limit| all.min(limit))
    };
    let holds = |amps: Amps, lasts: Seconds, others: Amps| {
        opening
            .earliest(with(amps, others))
            .is_none_or(|earliest| earliest.0 >= lasts.0 * (1.0 - 1e-9))
    };
    let opens = |others: Amps| !holds(surge.amps.low, surge.lasts.low, others);
    // Of what is said not to be known, all that is usual has to hold.
    let unknown = matches!(value, Some(Value::Unknown(_)));
    let stands = |others: Amps| {
        holds(surge.likely, surge.likely_lasts, others)
            && (!unknown || holds(surge.amps.high, surge.lasts.high, others))
    };
    let mut others = (whole.amps - draw).max(Amps::ZERO);
    let mut worst = Setting::clone(&whole.setting);
    // Where less flows than all of them take, a switch or relay turns over between some.
    let each = context.walks.through_branch(passage);
    let all: Amps = each.map(|one| flow::most(context, one)).sum();
    if !stands(others)
        && whole.amps < all * AT_ONCE
        && let Some(shows) = beside(context, consumer, passage, |_| true)
    {
        (others, worst) = (Amps(shows.worst.value), shows.worst.setting);
    }
    if opens(others) {
        // Alone, else with the least beside it that opens the fuse.
        let uses = context.solved.explored.uses.get(consumer.branch.index());
        let alone = uses.and_then(|uses| uses.ever.clone());
        let first = match alone.filter(|_| opens(Amps::ZERO)) {
            Some(alone) => Some(Setting::from(alone)),
            None => beside(context, consumer, passage, opens).map(|shows| shows.first.setting),
        };
        let finding = fault(
            context,
            consumer.part,
            guard,
            &surge,
            with(surge.likely, others),
            &opening,
        );
        let at = value.map_or(part.name.at, Value::at);
        return Some(
            finding
                .also(at, "takes that at switch-on")
                .setting(first.unwrap_or_else(|| worst.clone()))
                .worst(worst)
                .shown(),
        );
    }
    if !stands(others) {
        return Some(
            Gap::of([missing(context, consumer)])
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
            earliest.is_some_and(|earliest| earliest >= surge.likely_lasts)
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
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // The pump alone opens it with its 48 A; most flows where the fan takes its 6 A beside it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A, resistance: 2 mohm}
  S1: {kind: switch, rating: 20 A}
  S2: {kind: switch, rating: 20 A}
  PUMP: {kind: load, type: motor, draw: 8 A, inrush: 6x for 500 ms}
  FAN: {kind: load, type: led, draw: 6 A}
wires:
  - {run: [RUN, F1, S1, PUMP], size: 10 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [F1, S2, FAN], size: 10 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "F1",
        ),
        // 90 ms of 48 A the fuse stands, and not of 62 A: only with the fan, and with the fan alone it stands as well.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A, resistance: 2 mohm}
  S1: {kind: switch, rating: 20 A}
  S2: {kind: switch, rating: 20 A}
  PUMP: {kind: load, type: motor, draw: 8 A, inrush: 6x for 90 ms}
  FAN: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, F1, S1, PUMP], size: 10 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [F1, S2, FAN], size: 10 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "F1",
        ),
        // Beside the pump flow the 6 A of the fan and never the 16 A of the heater, which the switch puts in its place.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 25 A, positions: {off: [], heat: [[B, H]], pump: [[B, P]]}, left: off}
  S2: {kind: switch, rating: 20 A}
  PUMP: {kind: load, type: motor, draw: 8 A, inrush: 6x for 90 ms}
  HEAT: {kind: load, type: heater, draw: 16 A, inrush: 1x for 1 s}
  FAN: {kind: load, type: led, draw: 6 A}
wires:
  - {run: [B1, F1, S1.B], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.P, to: PUMP, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: S1.H, to: HEAT, size: 10 AWG, length: 2 m, insulation: gxl}
  - {run: [F1, S2, FAN], size: 10 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "PUMP",
        ),
        // How long it lasts is not stated: the heat of a motor's usual 200 ms is that of 33 ms at the peak.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  WINCH: {kind: load, type: motor, draw: 8 A, duty: 5 %, inrush: 110 A}
wires:
  - {run: [B1, F1, WINCH], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "F1",
        ),
        // Of two speeds the high one states its own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 15 A, form: blade}
  FAN: {kind: load, type: motor, supplies: {low: {draw: 4 A}, high: {draw: 8 A, inrush: 8x for 500 ms}}}
wires:
  - {run: [B1, F1, FAN.high], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "FAN",
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
        // A relay puts the pump in the place of the heater: 48 A for 90 ms is all that flows.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  S1: {kind: switch, rating: 5 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 5 A}
  PUMP: {kind: load, type: motor, draw: 8 A, inrush: 6x for 90 ms}
  HEAT: {kind: load, type: heater, draw: 16 A, inrush: 1x for 1 s}
wires:
  - {run: [B1, F1, K1.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: PUMP, size: 10 AWG, length: 2 m, insulation: gxl}
  - {from: K1.87a, to: HEAT, size: 10 AWG, length: 2 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        // Left out, what a motor takes is what most take: the most of 40 A for 83 ms would be too much. Unknown, it is up to
        // 20 A, which the fuse stands as well.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  PUMP: {kind: load, type: motor, draw: 4 A}
  FAN: {kind: load, type: motor, draw: 2 A, inrush: unknown}
wires:
  - {run: [B1, F1, PUMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [B1, F2, FAN], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
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
        // Some take 40 A for 83 ms, and it is said not to be known.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  FAN: {kind: load, type: motor, supplies: {low: {draw: 1 A}, high: {draw: 4 A, inrush: unknown}}}
wires:
  - {run: [B1, F1, FAN.high], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: F1, to: FAN.low, size: 12 AWG, length: 2 m, insulation: gxl}
",
            "FAN.high.inrush",
        ),
    ],
};
