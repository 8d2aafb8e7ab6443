//! The conductors of a battery that run ahead of the first protection, gathered by the wire that leaves.

use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Link;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::walk::End;
use crate::model::walk::Reach;
use crate::model::walk::Source;
use crate::quantity::Interval;
use crate::quantity::Meters;
use crate::read::document::Kind;
use crate::table::rules;

/// Everything that one wire leads to without a protection between.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Bare {
    /// The battery.
    pub(super) source: Source,
    /// The first wire that is judged: cranking cables and the vehicle's own wires are not.
    pub(super) first: WireId,
    /// Every way, with its judged wires.
    pub(super) ways: Vec<Way>,
}

/// One unprotected way.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Way {
    /// Its judged wires, nearest to the battery first.
    pub(super) wires: Vec<WireId>,
    /// Length of those that state one.
    pub(super) length: Interval<Meters>,
    /// Judged wires that state no length.
    pub(super) unmeasured: Vec<WireId>,
    /// All of it lies in a loom.
    pub(super) sheathed: bool,
    /// Where it ends.
    pub(super) end: WayEnd,
}

impl Way {
    /// How long it may be.
    pub(super) fn limit(&self, context: &Context<'_>) -> Meters {
        limit(context, self.sheathed)
    }

    /// How it stands to that.
    pub(super) fn weighed(&self, context: &Context<'_>) -> Weighed {
        weigh(self.length, Interval::exact(self.limit(context)))
    }

    /// Lengths without which its own is not known closely enough: of what states none, else of what states a range.
    pub(super) fn lacking(&self, context: &Context<'_>) -> Vec<String> {
        lacking(context, &self.wires, &self.unmeasured)
    }
}

/// The rule that holds only for conductors in a sheath all the way.
const SHEATHED: &str = "40-in-sheathed";
/// What holds where they are not.
const BARE: &str = "7-in";

/// How far from a source the first protection may be, along conductors that lie in a sheath all the way or not.
pub(super) fn limit(context: &Context<'_>, sheathed: bool) -> Meters {
    let rule = context.rules.protection_distance();
    if rule.name == SHEATHED && !sheathed {
        return rules::choice("protection-distance", BARE)
            .map_or(rule.value, |choice| Meters(choice.value));
    }
    rule.value
}

/// Says that another limit holds than that of the rule that was chosen, and why.
pub(super) fn say_which(context: &Context<'_>, finding: Finding, limit: Meters) -> Finding {
    let rule = context.rules.protection_distance();
    if limit >= rule.value {
        return finding;
    }
    finding.step(
        format!(
            "not all of it lies in a loom: {} holds in place of {}",
            words::length(limit),
            words::length(rule.value)
        ),
        rule.said(),
    )
}

/// Whether a wire lies in a sheath.
pub(super) fn is_sheathed(wire: &Wire) -> bool {
    wire.route.iter().any(|word| word == "loom")
}

/// Lengths that are not stated among some wires, else those that are known as a range only.
pub(super) fn lacking(
    context: &Context<'_>,
    wires: &[WireId],
    unmeasured: &[WireId],
) -> Vec<String> {
    let wire = |id: &WireId| context.vehicle.wire(*id);
    let named = |id: &WireId| format!("{}.length", wire(id).id);
    if !unmeasured.is_empty() {
        return unmeasured.iter().map(named).collect();
    }
    let ranged = |id: &&WireId| {
        wire(id)
            .length
            .is_some_and(|length| !length.range.is_exact())
    };
    wires.iter().filter(ranged).map(named).collect()
}

/// Where an unprotected way ends, as far as it matters.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum WayEnd {
    /// At the first protection.
    Protection(BranchId),
    /// At something that uses current: an index into the walks' consumers.
    Consumer(usize),
    /// At another battery.
    Battery(Source),
    /// At a terminal from which nothing leads on.
    Open(TerminalId),
}

/// The unprotected conductors of every battery, in document order.
pub(super) fn bare(context: &Context<'_>) -> Vec<Bare> {
    let mut found: Vec<Bare> = Vec::new();
    for (number, &source) in context.walks.sources.iter().enumerate() {
        let branch = context.vehicle.branch(source.branch);
        // An alternator, a charger and a converter give no more than they are made for.
        if !matches!(branch.element, Element::Cell { .. }) {
            continue;
        }
        let first_of_source = found.len();
        let reaches = context.walks.unprotected(context.vehicle, number);
        for reach in &reaches {
            if leads_on(reach, &reaches) {
                continue;
            }
            let Some(end) = end(context, reach) else {
                continue;
            };
            let way = way(context, reach, end);
            let Some(&first) = way.wires.first() else {
                continue;
            };
            match found[first_of_source..]
                .iter_mut()
                .find(|bare| bare.first == first)
            {
                Some(bare) => bare.ways.push(way),
                None => found.push(Bare {
                    source,
                    first,
                    ways: vec![way],
                }),
            }
        }
    }
    found
}

/// Whether a way ends at an open contact of a relay or switch that leads on elsewhere, over a wire: that is no end of its own.
fn leads_on(reach: &Reach, all: &[Reach]) -> bool {
    if !matches!(reach.end, End::Open(_)) {
        return false;
    }
    let inside = reach.way.iter().rev();
    let inside = inside.take_while(|link| matches!(link, Link::Branch(_)));
    let up_to = &reach.way[..reach.way.len() - inside.count()];
    let goes_on = |on: &[Link]| on.iter().any(|link| matches!(link, Link::Wire(_)));
    all.iter()
        .any(|other| other.way.strip_prefix(up_to).is_some_and(goes_on))
}

/// Where a way ends; nothing where what it ends at needs no protection ahead of it.
fn end(context: &Context<'_>, reach: &Reach) -> Option<WayEnd> {
    let vehicle = context.vehicle;
    match reach.end {
        End::Protection(branch) => Some(WayEnd::Protection(branch)),
        End::Consumer(number) => {
            let part = vehicle.part(context.walks.consumers[number].part);
            let starter = part.fields.text("type");
            let cranking = starter.is_some_and(|kind| kind.value == "starter");
            (!cranking).then_some(WayEnd::Consumer(number))
        }
        // Alternators and chargers are joined to the battery as their makers have it.
        End::Source(number) => {
            let other = context.walks.sources[number];
            let cell = matches!(vehicle.branch(other.branch).element, Element::Cell { .. });
            cell.then_some(WayEnd::Battery(other))
        }
        // A link between batteries in series, or a short, which is another fault.
        End::Home(_) => None,
        End::Open(terminal) => {
            let owner = vehicle.terminal(terminal).part;
            let stub = owner.is_some_and(|part| vehicle.part(part).kind == Kind::Stub);
            // A live stub is told as one.
            (!stub).then_some(WayEnd::Open(terminal))
        }
    }
}

fn way(context: &Context<'_>, reach: &Reach, end: WayEnd) -> Way {
    let mut way = Way {
        wires: Vec::new(),
        length: Interval::exact(Meters::ZERO),
        unmeasured: Vec::new(),
        sheathed: true,
        end,
    };
    for link in &reach.way {
        let Link::Wire(id) = *link else {
            continue;
        };
        let wire = context.vehicle.wire(id);
        if wire.assumed || wire.status == Status::Factory || context.walks.is_cranking(id) {
            continue;
        }
        way.wires.push(id);
        match wire.length {
            Some(length) => way.length = way.length + length.range,
            None => way.unmeasured.push(id),
        }
        way.sheathed &= is_sheathed(wire);
    }
    way
}
