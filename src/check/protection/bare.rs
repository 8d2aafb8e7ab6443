//! The conductors of a battery that run ahead of the first protection, gathered by the wire that leaves.

use crate::check::context::Context;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Link;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::WireId;
use crate::model::walk::End;
use crate::model::walk::Reach;
use crate::model::walk::Source;
use crate::quantity::Interval;
use crate::quantity::Meters;
use crate::read::document::Kind;

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
    /// It ends at an open contact, inside a part.
    inside: bool,
    /// Where it ends.
    pub(super) end: WayEnd,
}

impl Way {
    /// Lengths without which its own is not known closely enough: of what states none, else of what states a range.
    pub(super) fn lacking(&self, context: &Context<'_>) -> Vec<String> {
        lacking(context, &self.wires, &self.unmeasured)
    }
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
        for reach in context.walks.unprotected(context.vehicle, number) {
            let Some(end) = end(context, &reach) else {
                continue;
            };
            let way = way(context, &reach, end);
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
    for bare in &mut found {
        // An open contact of a relay or switch that leads on elsewhere is no end of its own.
        if bare.ways.iter().any(|way| !way.inside) {
            bare.ways.retain(|way| !way.inside);
        }
    }
    found
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
        inside: matches!(end, WayEnd::Open(_)) && matches!(reach.way.last(), Some(Link::Branch(_))),
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
        way.sheathed &= wire.route.iter().any(|word| word == "loom");
    }
    way
}
