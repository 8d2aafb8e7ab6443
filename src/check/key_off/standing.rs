//! What the checks on standing and starting share.

use std::collections::BTreeSet;

use crate::analyze::park;
use crate::analyze::park::Bank;
use crate::analyze::park::Parked;
use crate::analyze::sample::Uncertain;
use crate::check::context::Context;
use crate::check::spread::spread;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::quantity::Interval;
use crate::quantity::Seconds;
use crate::quantity::show;
use crate::solve::Solution;

/// Every battery at the temperature that the record states for the parked vehicle.
pub(in crate::check) fn parked(context: &Context<'_>) -> Parked {
    park::park(context.vehicle, &context.solved.key_off)
}

/// What is not stated and can only make the draw larger.
pub(in crate::check) fn unknown_draws(context: &Context<'_>) -> Vec<String> {
    context.solved.key_off.missing.clone()
}

/// Facts of a battery's sums that are only known as a range: what to find out where the range decides.
pub(in crate::check) fn ranged(context: &Context<'_>, bank: &Bank) -> Vec<String> {
    let Some(known) = &bank.battery else {
        return Vec::new();
    };
    let wide = |one: Uncertain| one.low < one.high;
    let mut missing = Vec::new();
    let open = |&part: &PartId, key: &str| {
        let part = context.vehicle.part(part);
        let stated = part.fields.quantity(key);
        let exact = stated.is_some_and(|stated| stated.low >= stated.high);
        (!exact).then(|| part.missing(key))
    };
    let one = std::slice::from_ref(&bank.part);
    for (input, key) in [
        (known.health, "health"),
        (known.charge, "charge"),
        (known.capacity, "capacity"),
    ] {
        if wide(input) {
            missing.extend(
                one.iter()
                    .chain(&bank.with)
                    .filter_map(|part| open(part, key)),
            );
        }
    }
    if known.cold_cranking.is_some_and(wide) {
        let crank = one.iter().chain(&bank.cranks_with);
        missing.extend(crank.filter_map(|part| open(part, "cold-cranking")));
    }
    if known
        .runs_on
        .iter()
        .any(|one| wide(one.until) || wide(one.draw))
    {
        missing.extend(timed(context));
    }
    if known.cranking.is_some_and(wide) {
        missing.push("vehicle.engine.cranking".to_owned());
    }
    if wide(known.draw) {
        missing.extend(ranged_draws(context));
    }
    missing
}

/// What makes the draws of the parked vehicle ranges.
pub(super) fn ranged_draws(context: &Context<'_>) -> Vec<String> {
    let draws = context.solved.key_off.by_part.iter();
    draws
        .filter(|draw| draw.only_if.is_none() && !draw.range.is_exact())
        .flat_map(|draw| super::ranged_draw(context, draw.part))
        .collect()
}

/// What goes on for a while after the key goes off, where how long or how much is a range.
fn timed(context: &Context<'_>) -> Vec<String> {
    let each = context.vehicle.branches.iter();
    let open = each.filter_map(|branch| {
        let key = match &branch.element {
            Element::Load(load) => {
                let (draw, lasts) = load.settles?;
                (!draw.range.is_exact() || !lasts.range.is_exact()).then_some("settles")?
            }
            Element::Contact {
                control:
                    Control::Delay {
                        keeps_on: Some(lasts),
                        ..
                    },
                ..
            } if !lasts.range.is_exact() => "keeps-on",
            Element::Contact {
                control:
                    Control::Hot {
                        stays_on: Some(lasts),
                        ..
                    },
                ..
            } if !lasts.range.is_exact() => "stays-on",
            _ => return None,
        };
        Some(context.vehicle.part(branch.part).missing(key))
    });
    open.collect()
}

/// `5.2 to 9.1 days`, as the report gives them.
pub(in crate::check) fn days(days: Interval<Seconds>) -> String {
    let digits = |days: f64| show::digits(days, 2);
    let (low, high) = (digits(days.low.days()), digits(days.high.days()));
    if low == high && low == "1" {
        "1 day".to_owned()
    } else if low == high {
        format!("{low} days")
    } else {
        format!("{low} to {high} days")
    }
}

/// The vehicle as it is left.
pub(in crate::check) fn left<'a>(context: &Context<'a>) -> &'a Solution {
    context.solved.left()
}

/// Terminals that hang on the battery that starts the engine, by what is closed while the vehicle stands.
pub(in crate::check) fn reached_from_starter(context: &Context<'_>) -> BTreeSet<TerminalId> {
    reached_without(context, |_| false)
}

/// The same by ways that pass none of these.
pub(super) fn reached_without(
    context: &Context<'_>,
    barred: impl Fn(BranchId) -> bool,
) -> BTreeSet<TerminalId> {
    let vehicle = context.vehicle;
    let closed = &left(context).closed;
    let sources = context.walks.sources.iter();
    let starts = sources
        .filter(|source| vehicle.starter == Some(source.part))
        .map(|source| source.plus);
    let leads = |link, _| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => match vehicle.branch(branch).element {
            Element::Joint(_) | Element::Diode { .. } => true,
            Element::Contact { .. } => closed[branch.index()] && !barred(branch),
            _ => false,
        },
    };
    spread(vehicle, starts, |_| false, leads)
}
