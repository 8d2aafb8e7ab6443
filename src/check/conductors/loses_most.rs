//! Where voltage is lost on the way to a load and home, and what would mend it.

use crate::check::prelude::*;
use crate::model::Basis;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::WireId;
use crate::model::walk::Consumer;
use crate::quantity::Volts;
use crate::solve::Solution;
use crate::table::wire;

/// Wires on the way there and home.
fn on_the_way(consumer: &Consumer) -> impl Iterator<Item = WireId> + '_ {
    let links = consumer.feed.iter().chain(&consumer.back);
    links.filter_map(|link| match *link {
        Link::Wire(wire) => Some(wire),
        Link::Branch(_) => None,
    })
}

/// The part on the way in which most is lost.
pub(super) struct Most {
    pub(super) part: PartId,
    pub(super) volts: Volts,
    /// Its resistance is only assumed.
    assumed: bool,
}

impl Most {
    /// What to do about it.
    pub(super) fn help(&self, context: &Context<'_>) -> String {
        let name = context.name(self.part);
        let most = format!(
            "the most of it, {}, is lost in {name}, more than in any wire",
            words::show(self.volts)
        );
        if self.assumed {
            format!(
                "{most}, by a resistance that is only assumed: measure what is lost across it at this current and write its resistance; where it is so, go round it or fit a better one"
            )
        } else {
            format!("{most}: clean or renew it, or fit one that loses less")
        }
    }
}

/// The part on the way in which most is lost.
pub(super) fn part(
    context: &Context<'_>,
    consumer: &Consumer,
    solution: &Solution,
) -> Option<Most> {
    let links = consumer.feed.iter().chain(&consumer.back);
    let parts = links.filter_map(|link| {
        let Link::Branch(id) = *link else {
            return None;
        };
        let branch = context.vehicle.branch(id);
        let (Element::Joint(ohms) | Element::Contact { ohms, .. }) = &branch.element else {
            return None;
        };
        Some(Most {
            part: branch.part,
            volts: Volts(solution.branch(id).0.abs() * ohms.likely.0),
            assumed: matches!(ohms.basis, Basis::Assumed(..)),
        })
    });
    parts.max_by(|a, b| a.volts.0.total_cmp(&b.volts.0))
}

/// What each wire on the way loses, most first. What a resistor loses is meant.
pub(super) fn wires(
    context: &Context<'_>,
    consumer: &Consumer,
    solution: &Solution,
) -> Vec<(WireId, Volts)> {
    let mut drops: Vec<(WireId, Volts)> = on_the_way(consumer)
        .map(|id| (id, context.vehicle.wire(id)))
        .filter(|(_, wire)| !wire.assumed && !wire.is_resistor())
        .map(|(id, wire)| (id, (solution.at(wire.from) - solution.at(wire.to)).abs()))
        .collect();
    drops.sort_by(|a, b| b.1.0.total_cmp(&a.1.0));
    drops
}

/// What would mend it: a bad joint where a wire's measured resistance is to blame, else the size in which the wires on the way
/// would have to be at the same currents. `excess` is what has to go.
pub(super) fn help(context: &Context<'_>, drops: &[(WireId, Volts)], excess: Volts) -> String {
    let stated = |id: WireId| {
        let ohms = context.vehicle.wire(id).resistance;
        ohms.is_some_and(|ohms| matches!(ohms.basis, Basis::Stated(..)))
    };
    if let Some(&(id, _)) = drops
        .iter()
        .find(|&&(id, drop)| stated(id) && drop >= excess)
    {
        return format!(
            "{} has the resistance that the record gives it: clean or renew its ends, or run it anew",
            context.vehicle.wire(id).id
        );
    }
    for &size in wire::sizes() {
        let (Some(area), Some(r20)) = (wire::area(size), wire::r20(size)) else {
            continue;
        };
        let mut changes: Vec<(&str, Volts)> = Vec::new();
        for &(id, drop) in drops.iter().filter(|&&(id, _)| !stated(id)) {
            let old = context.vehicle.wire(id);
            let known = old
                .size
                .and_then(|old| Some((wire::area(old)?, wire::r20(old)?)));
            let Some((old_area, old_r20)) = known else {
                continue;
            };
            if old_area.value < area.value {
                changes.push((&old.id, drop * (1.0 - r20.value / old_r20.value)));
            }
        }
        let mut saved: Volts = changes.iter().map(|(_, saved)| *saved).sum();
        if saved < excess || changes.is_empty() {
            continue;
        }
        // Wires that may stay as they are: those that lose the least.
        while let Some(&(_, least)) = changes.last()
            && saved - least >= excess
        {
            saved = saved - least;
            changes.pop();
        }
        let names: Vec<&str> = changes.iter().map(|(name, _)| *name).collect();
        return format!(
            "run {} in {} or thicker",
            words::list(&names, 6),
            wire::label(size)
        );
    }
    "thicker wire alone does not mend it: look at the switches, joints and grounds on the way"
        .to_owned()
}
