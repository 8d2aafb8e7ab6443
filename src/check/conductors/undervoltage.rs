//! What the checks on too little voltage share.

use crate::check::context::Context;
use crate::check::finding::Finding;
use crate::check::flow;
use crate::check::words;
use crate::model::Link;
use crate::model::WireId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Volts;

fn ways(consumer: &Consumer) -> impl Iterator<Item = WireId> + '_ {
    let links = consumer.feed.iter().chain(&consumer.back);
    links.filter_map(|link| match *link {
        Link::Wire(wire) => Some(wire),
        Link::Branch(_) => None,
    })
}

/// Loads that state no draw, each with the name of that fact: looked up once for all loads.
pub(super) fn unstated<'c>(context: &'c Context<'_>) -> Vec<(&'c Consumer, String)> {
    let consumers = context.walks.consumers.iter();
    consumers
        .filter_map(|consumer| Some((consumer, flow::unstated(context, consumer)?)))
        .collect()
}

/// What is lacking on the way: lengths and sizes, and draws of others whose current can run over a part of it. All of them count
/// as losing nothing.
pub(super) fn unmeasured(
    context: &Context<'_>,
    consumer: &Consumer,
    unstated: &[(&Consumer, String)],
) -> Vec<String> {
    // What is taken for granted loses nothing, whoever shares it.
    let loses = |link: &Link| match *link {
        Link::Wire(wire) => !context.vehicle.wire(wire).assumed,
        Link::Branch(_) => true,
    };
    let shares = |other: &Consumer| {
        let mut links = other.feed.iter().chain(&other.back);
        links.any(|link| {
            (consumer.feed.contains(link) || consumer.back.contains(link)) && loses(link)
        })
    };
    let others = unstated.iter().filter(|(other, _)| shares(other));
    ways(consumer)
        .flat_map(|wire| context.vehicle.wire(wire).missing.iter().cloned())
        .chain(others.map(|(_, draw)| draw.clone()))
        .collect()
}

/// The wire on its way that can lose most, and what that is at its largest current.
fn worst(context: &Context<'_>, consumer: &Consumer) -> Option<(WireId, Volts, Amps)> {
    ways(consumer)
        .filter_map(|id| {
            let wire = context.vehicle.wire(id);
            let ohms = wire.ohms_at(wire.resistance?.likely, wire.ambient.likely);
            let most = context.solved.explored.wires.get(id.index())?.value.abs();
            Some((id, Volts(most.0 * ohms.0), most))
        })
        .max_by(|a, b| a.1.0.total_cmp(&b.1.0))
}

/// What to do.
pub(super) fn help(context: &Context<'_>, consumer: &Consumer, name: &str) -> String {
    match worst(context, consumer) {
        Some((wire, lost, _)) if lost.0 >= 0.5 => format!(
            "fit a larger wire in place of {}, which alone can lose {}, or feed {name} over wires of its own",
            context.vehicle.wire(wire).id,
            words::show(lost)
        ),
        _ => format!(
            "what pulls the supply down is not the wiring of {name}: look at the battery, and at what else is on in this setting"
        ),
    }
}

/// Points at the wire that can lose most.
pub(super) fn point(context: &Context<'_>, consumer: &Consumer, finding: Finding) -> Finding {
    match worst(context, consumer) {
        Some((wire, lost, amps)) if lost.0 >= 0.5 => finding
            .also(
                context.wire_at(wire, "size"),
                format!("loses up to {} at {}", words::show(lost), words::show(amps)),
            )
            .wire(wire),
        _ => finding,
    }
}
