//! What flows at the moment of closing, held against what a contact may close onto: the same for relays and switches.

use crate::check::flow;
use crate::check::prelude::*;
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
use crate::table::load;

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
            if unsure.is_empty() || (own.is_none() && closing.share.0 < closing.share.1) {
                unsure.push(part.missing("make"));
            }
            return Gap::of(unsure).part(id).shown();
        }
        Weighed::Above => {}
    }
    // One of them alone may be too much; all of them are on where the most flows.
    let seen = context.solved.explored.branches.get(branch.index());
    let together = seen.map_or_else(Setting::default, |seen| Setting::clone(&seen.setting));
    let rule = if own.is_some() {
        format!("`make` of {} in the record", part.name.value)
    } else {
        closing.rule.clone()
    };
    // Without a surge there is nothing above.
    let Some((load, amps, from)) = largest else {
        return Verdict::NoneShown;
    };
    let load = context.name(load);
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
    .parts(consumers.iter().map(|consumer| consumer.part))
    .measured(surge.low, make.high, rule)
    .setting(alone.unwrap_or(&together).clone())
    .worst(together)
    .help(closing.help.clone())
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
