//! A current held against the rating of what it flows through: the same for switches, contacts, outputs and pins.

use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Fact;
use crate::model::PartId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::source::Span;

/// One way through a part, with what it is made for.
pub(super) struct Rated {
    pub(super) part: PartId,
    pub(super) branch: BranchId,
    /// As sentences call it: `S1`, `87 of K1`.
    pub(super) name: String,
    pub(super) rating: Option<Fact<Amps>>,
    /// The fact that states it: `S1.rating`.
    pub(super) fact: String,
    pub(super) at: Span,
    /// What to do where it is too little.
    pub(super) help: String,
}

/// Holds the largest current over all settings against the rating. What only the starter takes, for seconds, does not count.
pub(super) fn judge(context: &Context<'_>, rated: &Rated) -> Option<Verdict> {
    let consumers: Vec<&Consumer> = context.walks.through_branch(rated.branch).collect();
    let cranks = consumers
        .iter()
        .any(|one| context.walks.is_starter(context.vehicle, one.part));
    let flow = if cranks {
        flow::lasting_in_branch(context, rated.branch)
    } else {
        flow::in_branch(context, rated.branch)
    };
    if flow.amps.0 <= 1e-3 && flow.missing.is_empty() {
        return None;
    }
    let Some(rating) = rated.rating else {
        return Some(Gap::of([rated.fact.clone()]).part(rated.part).shown());
    };
    match weigh(flow.range, rating.range) {
        Weighed::Above => {}
        Weighed::Within if flow.missing.is_empty() => return Some(Verdict::NoneShown),
        Weighed::Within => return Some(Gap::of(flow.missing).part(rated.part).shown()),
        Weighed::Depends => {
            let mut missing = flow.wanted();
            if missing.is_empty() {
                missing.push(rated.fact.clone());
            }
            return Some(Gap::of(missing).part(rated.part).shown());
        }
    }
    let takers = flow::takers(context, &consumers, flow.amps, |solution| {
        solution.branch(rated.branch)
    });
    let limit = rating.range.high;
    let finding = Finding::new(
        rated.at,
        format!(
            "{} can flow through {}, which is made for {}: {}",
            words::show(flow.amps),
            rated.name,
            words::rated(limit),
            takers.words(context, 4)
        ),
    )
    .label("more than this can flow")
    .part(rated.part)
    .measured(
        flow.amps,
        limit,
        format!(
            "`{}` of the record, against the network solved in every setting",
            rated.fact
        ),
    )
    .setting(flow.showing(limit))
    .worst(flow.setting)
    .help(rated.help.clone());
    Some(takers.point(context, finding).shown())
}
