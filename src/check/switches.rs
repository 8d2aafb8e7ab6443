//! Switches on which it depends what some consumers take.

use std::collections::BTreeSet;

use super::context::Context;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::walk::Consumer;

/// Those in the ways of these, and in the ways of the coils and controllers that switch these, by their place in
/// [`crate::model::Vehicle::switches`].
pub(super) fn switches<'c>(
    context: &'c Context<'_>,
    of: impl IntoIterator<Item = &'c Consumer>,
) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let mut passed: BTreeSet<PartId> = BTreeSet::new();
    let mut ways: Vec<&Consumer> = of.into_iter().collect();
    while let Some(consumer) = ways.pop() {
        for link in consumer.feed.iter().chain(&consumer.back) {
            let Link::Branch(branch) = *link else {
                continue;
            };
            let inside = context.vehicle.branch(branch);
            if let Element::Contact { control, .. } = &inside.element {
                found.extend(moved_by(control));
            }
            if passed.insert(inside.part) {
                ways.extend(context.walks.consumers_of(inside.part));
            }
        }
    }
    found
}

fn moved_by(control: &Control) -> Option<usize> {
    match control {
        Control::Switch { unit, .. } => Some(*unit as usize),
        Control::Hot { unit, .. } | Control::Output { unit, .. } => unit.map(|unit| unit as usize),
        _ => None,
    }
}
