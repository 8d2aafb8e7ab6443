//! What flows at the moment of closing, held against what a contact may close onto: the same for relays and switches.

use crate::check::flow;
use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::search;
use crate::check::switches::switches;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Fact;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Dimension;
use crate::quantity::Interval;
use crate::read::document::Value;
use crate::solve::Memory;
use crate::solve::Solver;
use crate::solve::State;
use crate::table::load;

/// Below this nothing flows.
const NOTHING: Amps = Amps(1e-3);

/// Of the sum of what they take, those that are on at once take at least this share: each takes less where it shares the way.
const AT_ONCE: f64 = 0.97;

/// No more switches than this are moved to find what is on at once: of more, all are taken to be.
const MOVERS: usize = 16;

/// A contact that closes onto what it switches.
pub(super) struct Closing {
    pub(super) part: PartId,
    pub(super) branch: BranchId,
    /// As sentences call it: `S1`, `87 of K1`.
    pub(super) name: String,
    /// The key of what it carries for long, and what that is.
    pub(super) rating: (&'static str, Option<Fact<Amps>>),
    /// The least and the most that it may close onto over that, where `make` is not stated.
    pub(super) share: (f64, f64),
    /// Where that is from.
    pub(super) rule: String,
    /// What to do where it is too little.
    pub(super) help: String,
}

/// Holds what flows at the moment of closing against what the contact may close onto.
pub(super) fn judge(context: &Context<'_>, closing: &Closing) -> Verdict {
    let (id, branch) = (closing.part, closing.branch);
    let part = context.vehicle.part(id);
    let own: Option<Fact<Amps>> = part.stated("make");
    let (key, rating) = closing.rating;
    let Some(make) = own.map(|own| own.range).or_else(|| {
        rating.map(|rating| Interval {
            low: rating.range.low * closing.share.0,
            high: rating.range.high * closing.share.1,
        })
    }) else {
        return Verdict::NoneShown;
    };
    let each = context.walks.through_branch(branch);
    let mut starting: Vec<Starting<'_>> = each
        .filter_map(|consumer| inrush(context, consumer))
        .collect();
    let explored = &context.solved.explored;
    let seen = explored.branches.get(branch.index());
    let mut together = seen.map_or_else(Setting::default, |seen| Setting::clone(&seen.setting));
    let mut step = "inrush of what it switches, all starting together";
    // Where less flows than all of them take, a switch or relay turns over between some.
    let running: Amps = starting.iter().map(|one| one.draw).sum();
    let turned_over = seen.is_some_and(|seen| seen.value.abs() < running * AT_ONCE);
    if turned_over && weigh(sum(&starting), make) != Weighed::Within {
        let surely = at_once(context, &starting, |amps| amps.low);
        let above = surely
            .as_ref()
            .is_some_and(|(all, _)| weigh(sum(all), make) == Weighed::Above);
        let worst = if above {
            surely
        } else {
            at_once(context, &starting, |amps| amps.high)
        };
        if let Some((all, setting)) = worst {
            (starting, together) = (all, setting);
            step = "inrush of those that can be on together, all starting at once";
        }
    }
    let surge = sum(&starting);
    let mut unsure = Vec::new();
    let mut largest: Option<&Starting<'_>> = None;
    // One of them alone may be too much.
    let mut alone: Option<&Setting> = None;
    for one in &starting {
        let uses = explored.uses.get(one.consumer.branch.index());
        if one.amps.low > make.high
            && let Some(ever) = uses.and_then(|uses| uses.ever.as_ref())
            && alone.is_none_or(|known| ever.changes() < known.changes())
        {
            alone = Some(ever);
        }
        if !one.amps.is_exact() {
            unsure.push(format!("{}.inrush", context.name(one.consumer.part)));
        }
        if largest.is_none_or(|most| one.amps.low > most.amps.low) {
            largest = Some(one);
        }
    }
    match weigh(surge, make) {
        Weighed::Within => return Verdict::NoneShown,
        Weighed::Depends => {
            if unsure.is_empty() || (own.is_none() && closing.share.0 < closing.share.1) {
                unsure.push(part.missing("make"));
            }
            return Gap::of(unsure).part(id).shown();
        }
        Weighed::Above => {}
    }
    let rule = if own.is_some() {
        format!("`make` of {} in the record", part.name.value)
    } else {
        closing.rule.clone()
    };
    // Without a surge there is nothing above.
    let Some(largest) = largest else {
        return Verdict::NoneShown;
    };
    let (load, amps) = (context.name(largest.consumer.part), largest.amps.low);
    let load = if amps.0 >= 0.995 * surge.low.0 {
        format!(" of {load}")
    } else {
        format!(", {} of it {load}", words::show(amps))
    };
    Finding::new(
        part.at(if own.is_some() { "make" } else { key }),
        format!(
            "{} closes onto {}{load}, and may close onto {}",
            closing.name,
            words::show(surge.low),
            words::show(make.high)
        ),
    )
    .label("can weld when it closes")
    .part(id)
    .parts(starting.iter().map(|one| one.consumer.part))
    .measured(surge.low, make.high, rule)
    .setting(alone.unwrap_or(&together).clone())
    .worst(together)
    .help(closing.help.clone())
    .step(step, largest.source.clone())
    .shown()
}

/// Something that is switched on, and what it takes then.
#[derive(Clone)]
struct Starting<'c> {
    consumer: &'c Consumer,
    /// Once it runs.
    draw: Amps,
    amps: Interval<Amps>,
    source: String,
}

fn sum(all: &[Starting<'_>]) -> Interval<Amps> {
    let each = all.iter().map(|one| one.amps);
    each.fold(Interval::exact(Amps::ZERO), |sum, one| sum + one)
}

/// Those of them that are on at once where that makes the largest surge, and the setting; nothing where none of them ever is, or
/// where it would take too long to look.
fn at_once<'c>(
    context: &Context<'_>,
    starting: &[Starting<'c>],
    size: fn(Interval<Amps>) -> Amps,
) -> Option<(Vec<Starting<'c>>, Setting)> {
    let vehicle = context.vehicle;
    let movers = switches(context, starting.iter().map(|one| one.consumer));
    if movers.len() > MOVERS || vehicle.is_large() {
        return None;
    }
    let mut solver = Solver::new(vehicle);
    let charged = Memory::charged(vehicle);
    let mut on = |state: &State| -> Vec<Starting<'c>> {
        let solution = solver.solve(state, &charged);
        let draws = |one: &&Starting<'c>| solution.branch(one.consumer.branch).abs() > NOTHING;
        let all = starting.iter().filter(draws).cloned();
        all.collect()
    };
    let shows = search(
        vehicle,
        &Base::all(vehicle),
        |unit, _| movers.contains(&unit),
        |state| {
            let all = on(state);
            let surge: Amps = all.iter().map(|one| size(one.amps)).sum();
            (!all.is_empty()).then_some(surge.0)
        },
    );
    let worst = shows?.worst;
    Some((on(&worst.state), worst.setting))
}

/// What a load takes as it is switched on: as stated; of motors and filament lamps else by their type.
fn inrush<'c>(context: &Context<'_>, consumer: &'c Consumer) -> Option<Starting<'c>> {
    let part = context.vehicle.part(consumer.part);
    let draw = flow::most(context, consumer);
    if draw <= NOTHING {
        return None;
    }
    let of = |amps, source| {
        Some(Starting {
            consumer,
            draw,
            amps,
            source,
        })
    };
    if let Some(Value::Quantity(stated)) = context.vehicle.of_supply(consumer.branch, "inrush") {
        let amps = match stated.dimension {
            Dimension::Multiple => Interval::between(draw * stated.low, draw * stated.high),
            _ => Interval::between(Amps(stated.low), Amps(stated.high)),
        };
        let amps = Interval {
            low: amps.low.max(draw),
            high: amps.high.max(draw),
        };
        return of(
            amps,
            format!("`inrush` of {} in the record", part.name.value),
        );
    }
    let kind = part.fields.text("type").map(|kind| kind.value.as_str());
    match kind {
        Some(kind @ ("motor" | "filament" | "starter")) => {
            let row = load::inrush(kind)?.multiple;
            let amps = Interval::between(draw * row.low, draw * row.high);
            of(amps, row.source.to_owned())
        }
        _ => of(
            Interval::exact(draw),
            "the network solved in every setting".to_owned(),
        ),
    }
}
