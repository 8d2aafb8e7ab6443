//! Batteries in series with something on the point between them.

use crate::check::context::Context;
use crate::model::Element;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::walk::Consumer;

/// The point between two batteries in series, and what hangs on it.
pub(super) struct Tap<'c> {
    /// The battery below it.
    pub(super) lower: PartId,
    /// The battery above it.
    pub(super) upper: PartId,
    /// Index of the upper one into the sources of the walks.
    pub(super) upper_source: usize,
    /// The `+` of the lower one.
    pub(super) point: TerminalId,
    /// Consumers between that point and an end of the string.
    pub(super) users: Vec<&'c Consumer>,
}

/// Points between batteries in series, each once.
pub(super) fn taps<'c>(context: &'c Context<'_>) -> Vec<Tap<'c>> {
    let walks = &context.walks;
    let mut taps: Vec<Tap<'c>> = Vec::new();
    for upper in 0..walks.sources.len() {
        let Some(&lower) = walks.stack(upper).get(1) else {
            continue;
        };
        let cell = |source: usize| {
            let branch = context.vehicle.branch(walks.sources[source].branch);
            matches!(branch.element, Element::Cell { .. })
        };
        let point = walks.sources[lower].plus;
        if !cell(upper) || !cell(lower) || taps.iter().any(|tap| tap.point == point) {
            continue;
        }
        taps.push(Tap {
            lower: walks.sources[lower].part,
            upper: walks.sources[upper].part,
            upper_source: upper,
            point,
            users: walks
                .behind_source(lower)
                .filter(|one| context.vehicle.own_load != Some(one.part))
                .collect(),
        });
    }
    taps
}
