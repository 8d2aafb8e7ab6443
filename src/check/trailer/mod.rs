//! What is plugged in and pulled out: trailers, plows and other attachments.

pub(super) mod live_when_detached;
pub(super) mod return_only_when_attached;
pub(super) mod trailer_battery_not_isolated;

use std::collections::BTreeSet;

use super::context::Context;
use super::spread::spread;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::TerminalId;

/// The group that a branch is unplugged with.
fn group<'a>(context: &Context<'a>, branch: BranchId) -> Option<&'a str> {
    match &context.vehicle.branch(branch).element {
        Element::Contact {
            control: Control::Attached(group),
            ..
        } => Some(group),
        _ => None,
    }
}

/// Terminals that wires and such branches join to this one. The chassis and the `+` of sources are reached but not passed.
fn joined(
    context: &Context<'_>,
    from: TerminalId,
    conducts: impl Fn(BranchId) -> bool,
) -> BTreeSet<TerminalId> {
    let vehicle = context.vehicle;
    let post = |at: TerminalId| {
        let mut sources = context.walks.sources.iter();
        at == TerminalId::CHASSIS || sources.any(|source| source.plus == at)
    };
    spread(vehicle, [from], post, |link, _| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => conducts(branch),
    })
}

/// Whether a branch is a conductor in some position.
fn conductor(context: &Context<'_>, branch: BranchId) -> bool {
    matches!(
        context.vehicle.branch(branch).element,
        Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
    )
}
