//! `accept:`: findings that are known and wanted.

use super::context::Context;
use super::finding::Finding;
use super::report::Accepted;
use super::rule::Meta;
use crate::model::PartId;
use crate::model::WireId;
use crate::read::document::Accept;

/// The entry that accepts a finding, the first of several.
pub(super) fn find(context: &Context<'_>, check: &Meta, finding: &Finding) -> Option<Accepted> {
    context
        .vehicle
        .document
        .accept
        .iter()
        .find(|entry| {
            entry.check.value == check.name
                && is_about(context, entry, &finding.parts, &finding.wires)
        })
        .map(|entry| Accepted {
            because: entry.because.value.clone(),
            at: entry.at,
        })
}

/// Whether an entry is about any of these.
pub(super) fn is_about(
    context: &Context<'_>,
    entry: &Accept,
    parts: &[PartId],
    wires: &[WireId],
) -> bool {
    let Some(subject) = &entry.subject else {
        return true;
    };
    parts
        .iter()
        .any(|&part| context.name(part) == subject.value)
        || wires
            .iter()
            .any(|&wire| context.vehicle.wire(wire).id == subject.value)
}

/// The part or wire that an entry names.
pub(super) fn subjects(context: &Context<'_>, entry: &Accept) -> (Vec<PartId>, Vec<WireId>) {
    let Some(subject) = &entry.subject else {
        return (Vec::new(), Vec::new());
    };
    let parts = context
        .vehicle
        .part_ids()
        .filter(|&part| context.name(part) == subject.value)
        .collect();
    let wires = context
        .wires()
        .filter(|(_, wire)| wire.id == subject.value)
        .map(|(id, _)| id)
        .collect();
    (parts, wires)
}

/// The check whose name is most like this one; nothing where none is.
pub(super) fn nearest(name: &str) -> Option<&'static str> {
    super::ALL
        .iter()
        .map(|check| (strsim::jaro_winkler(check.meta.name, name), check.meta.name))
        .filter(|&(likeness, _)| likeness > 0.85)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}
