//! Coils that a controller's electronic output drives.

use crate::check::context::Context;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::read::document::Kind;

/// A relay coil and an output on its way.
pub(super) struct Driven {
    pub(super) relay: PartId,
    pub(super) controller: PartId,
    /// The output's branch.
    pub(super) output: BranchId,
}

/// Each relay with each output that feeds or returns one of its coils.
pub(super) fn coils(context: &Context<'_>) -> Vec<Driven> {
    let mut all: Vec<Driven> = Vec::new();
    for (relay, _) in context.parts_of(&[Kind::Relay]) {
        let ways = context
            .walks
            .consumers_of(relay)
            .flat_map(|consumer| consumer.feed.iter().chain(&consumer.back));
        for link in ways {
            let Link::Branch(output) = *link else {
                continue;
            };
            let branch = context.vehicle.branch(output);
            let is_output = context.vehicle.part(branch.part).kind == Kind::Controller
                && matches!(branch.element, Element::Contact { .. });
            let known = all
                .iter()
                .any(|known| known.relay == relay && known.output == output);
            if is_output && !known {
                all.push(Driven {
                    relay,
                    controller: branch.part,
                    output,
                });
            }
        }
    }
    all
}
