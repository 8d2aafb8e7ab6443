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

#[cfg(test)]
mod tests {
    use crate::check::tester::{audit, document};

    /// Two findings of one check and one of another; one of the three is accepted.
    #[test]
    fn an_entry_accepts_its_own_check_on_its_own_part_alone() {
        let audited = audit(&document(
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics, draw: 1 A, parked: 70 mA}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 80 mA}
wires:
  - {run: [B1, F1, CLOCK], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
accept:
  - {check: ahead-of-ignition, part: CLOCK, because: it keeps time}
",
        ));
        let list =
            audited.report.findings.iter().filter(|one| {
                ["ahead-of-ignition", "standing-draw-high"].contains(&one.check.name)
            });
        let mut seen: Vec<(&str, &str, bool)> = list
            .map(|one| {
                let part = audited.vehicle.part(one.finding.parts[0]);
                let name = part.name.value.as_str();
                (one.check.name, name, one.accepted.is_some())
            })
            .collect();
        seen.sort_unstable();
        assert_eq!(
            seen,
            [
                ("ahead-of-ignition", "CLOCK", true),
                ("ahead-of-ignition", "RADIO", false),
                ("standing-draw-high", "RADIO", false),
            ]
        );
    }

    #[test]
    fn a_check_is_found_by_a_name_that_is_nearly_its_own() {
        assert_eq!(
            super::nearest("fuse-exceed-wire"),
            Some("fuse-exceeds-wire")
        );
        assert_eq!(super::nearest("standing-draw"), Some("standing-draw-high"));
        assert_eq!(super::nearest("zzzz"), None);
    }
}
