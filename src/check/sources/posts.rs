//! Which positive posts a source gets to, from one to the next.

use crate::check::context::Context;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::read::document::Kind;

/// The plug, if any, on the way that a source has to a terminal; nothing where it does not get there.
pub(super) fn plug(context: &Context<'_>, from: usize, to: TerminalId) -> Option<Option<PartId>> {
    let vehicle = context.vehicle;
    let way = context.walks.way_up(vehicle, from, to)?;
    let plugs = way.iter().find_map(|link| match *link {
        Link::Branch(branch) => match &vehicle.branch(branch).element {
            Element::Contact {
                control: Control::Attached(_),
                ..
            } => Some(vehicle.branch(branch).part),
            _ => None,
        },
        Link::Wire(_) => None,
    });
    Some(plugs)
}

/// Batteries and alternators whose `+` a source gets to, by their index, each with the plug on the way to it. One that lands on
/// the post of another gets on to what hangs there too, where `goes_on` says so of the plug so far.
pub(super) fn posts(
    context: &Context<'_>,
    at: usize,
    goes_on: impl Fn(Option<PartId>) -> bool,
) -> Vec<(usize, Option<PartId>)> {
    let sources = &context.walks.sources;
    let mut posts: Vec<(usize, Option<PartId>)> = vec![(at, None)];
    let mut next = 0;
    while let Some(&(from, before)) = posts.get(next) {
        next += 1;
        if from != at && !goes_on(before) {
            continue;
        }
        for (to, other) in sources.iter().enumerate() {
            let kind = context.vehicle.part(other.part).kind;
            let known = posts.iter().any(|&(known, _)| known == to);
            if !known
                && matches!(kind, Kind::Battery | Kind::Alternator)
                && let Some(plugs) = plug(context, from, other.plus)
            {
                posts.push((to, before.or(plugs)));
            }
        }
    }
    posts.remove(0);
    posts.sort_unstable();
    posts
}
