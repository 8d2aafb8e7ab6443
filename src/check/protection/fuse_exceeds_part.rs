//! A fuse that is larger than the part behind it allows.

use crate::check::prelude::*;
use crate::check::sizing;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Part;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::quantity::Amps;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "fuse-exceeds-part",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "a fuse is larger than the part behind it allows",
        page: include_str!("../../../docs/checks/fuse-exceeds-part.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[
            Kind::Load,
            Kind::Controller,
            Kind::Converter,
            Kind::Delay,
            Kind::Cutoff,
        ])
        .filter_map(|(id, part)| judge_part(context, id, part))
        .collect()
}

fn judge_part(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let Some(allowed) = part.stated::<Amps>("max-fuse") else {
        // The makers of electronics give one; of lamps and motors they rarely do.
        let electronics = part.kind == Kind::Controller
            || part
                .fields
                .text("type")
                .is_some_and(|kind| kind.value == "electronics");
        let fed = supplies(context, part)
            .iter()
            .any(|&at| context.walks.fed(at));
        return (electronics && fed && context.is_added(id))
            .then(|| Gap::of([part.missing("max-fuse")]).part(id).shown());
    };
    let mut missing = Vec::new();
    let mut judged = false;
    for supply in supplies(context, part) {
        for (_, protections) in context.walks.protections_ahead(context.vehicle, supply) {
            // With nothing ahead of it at all it is another check's.
            if protections.is_empty() {
                continue;
            }
            judged = true;
            match smallest(context, &protections, allowed) {
                Smallest::Small => {}
                Smallest::Unknown(lacking) => missing.extend(lacking),
                Smallest::Large(fuse, rating) => {
                    return Some(fault(context, id, part, allowed, fuse, rating));
                }
            }
        }
    }
    if !missing.is_empty() {
        return Some(Gap::of(missing).part(id).shown());
    }
    judged.then_some(Verdict::NoneShown)
}

/// The terminals by which current enters a part.
fn supplies(context: &Context<'_>, part: &Part) -> Vec<TerminalId> {
    let branches = part
        .branches
        .iter()
        .map(|&branch| context.vehicle.branch(branch));
    branches
        .filter(|branch| matches!(branch.element, Element::Load(_) | Element::Converter { .. }))
        .map(|branch| branch.from)
        .collect()
}

enum Smallest {
    /// One of them is small enough.
    Small,
    /// This one is the smallest, and too large.
    Large(PartId, Amps),
    /// It depends on these.
    Unknown(Vec<String>),
}

fn smallest(context: &Context<'_>, protections: &[PartId], allowed: Fact<Amps>) -> Smallest {
    let mut large: Option<(PartId, Amps)> = None;
    let mut missing = Vec::new();
    for &id in protections {
        let fuse = context.vehicle.part(id);
        let Some(rating) = fuse.stated::<Amps>("rating") else {
            missing.push(fuse.missing("rating"));
            continue;
        };
        match weigh(rating.range, allowed.range) {
            Weighed::Within => return Smallest::Small,
            Weighed::Depends => missing.push(fuse.missing("rating")),
            Weighed::Above => {
                if large.is_none_or(|(_, least)| rating.range.low < least) {
                    large = Some((id, rating.range.low));
                }
            }
        }
    }
    match large {
        Some((id, rating)) if missing.is_empty() => Smallest::Large(id, rating),
        _ => Smallest::Unknown(missing),
    }
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    allowed: Fact<Amps>,
    fuse: PartId,
    rating: Amps,
) -> Verdict {
    let before = context.vehicle.part(fuse);
    let most = allowed.range.high;
    let name = &part.name.value;
    let fit = match sizing::next_fuse_down(before, most) {
        Some(made) => format!(
            "fit {} or less in {}",
            words::rated(made),
            before.name.value
        ),
        None => format!("protect {name} with {} or less", words::rated(most)),
    };
    Finding::new(
        before.at("rating"),
        format!(
            "{} is rated {}, and {name} behind it allows {} at most",
            before.name.value,
            words::rated(rating),
            words::rated(most)
        ),
    )
    .label(format!("larger than {name} allows"))
    .part(fuse)
    .part(id)
    .measured(rating, most, format!("`max-fuse` of {name} in the record"))
    .help(format!(
        "{fit}, or give {name} a fuse of its own if others share this one"
    ))
    .also(part.at("max-fuse"), "the largest that it allows")
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 0 mA, max-fuse: 10 A}
wires:
  - {run: [B1, F1, RADIO], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
        "F1",
    )],
    quiet: &[
        // A second, smaller fuse nearer to the part.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 0 mA, max-fuse: 10 A}
wires:
  - {run: [B1, F1, F2, RADIO], size: 12 AWG, lengths: [10 cm, 2 m, 2 m], insulation: 105 C}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 0 mA, max-fuse: 10 A}
wires:
  - {run: [B1, F1, RADIO], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1.rating",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 0 mA}
wires:
  - {run: [B1, F1, RADIO], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "RADIO.max-fuse",
        ),
        // The fuse may be smaller or larger than the 15 A that the radio allows.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10..20 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, max-fuse: 15 A}
wires:
  - {run: [B1, F1, RADIO], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1.rating",
        ),
    ],
};
