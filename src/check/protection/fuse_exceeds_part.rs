//! A fuse that is larger than the part behind it allows.

use crate::check::prelude::*;
use crate::check::sizing;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Element;
use crate::model::Part;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::read::document::Stated;

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
        .parts_of(&[Kind::Load, Kind::Controller])
        .filter_map(|(id, part)| judge_part(context, id, part))
        .collect()
}

fn judge_part(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    // The makers of electronics give one; of lamps and motors they rarely do.
    let electronics = part.kind == Kind::Controller
        || part
            .fields
            .text("type")
            .is_some_and(|kind| kind.value == "electronics");
    let mut missing = Vec::new();
    let mut judged = false;
    for supply in supplies(context, part) {
        let Some(allowed) = supply.allowed else {
            if electronics && context.walks.fed(supply.at) && context.is_added(id) {
                missing.push(format!("{}.max-fuse", supply.name));
            }
            continue;
        };
        for (_, protections) in context.walks.protections_ahead(context.vehicle, supply.at) {
            // With nothing ahead of it at all it is another check's.
            if protections.is_empty() {
                continue;
            }
            judged = true;
            match smallest(context, &protections, allowed) {
                Smallest::Small => {}
                Smallest::Unknown(lacking) => missing.extend(lacking),
                Smallest::Large(fuse, rating) => {
                    return Some(fault(context, id, &supply.name, allowed, fuse, rating));
                }
            }
        }
    }
    if !missing.is_empty() {
        return Some(Gap::of(missing).part(id).shown());
    }
    judged.then_some(Verdict::NoneShown)
}

/// A terminal by which current enters a part.
struct Supply {
    /// Of the part, and of the supply where it has several: `RADIO.memory`.
    name: String,
    at: TerminalId,
    /// The largest fuse that it may have: its own, else that of the part.
    allowed: Option<Stated<Amps>>,
}

fn supplies(context: &Context<'_>, part: &Part) -> Vec<Supply> {
    let several = part.fields.map("supplies");
    let branches = part.branches.iter();
    branches
        .map(|&branch| context.vehicle.branch(branch))
        .filter(|branch| matches!(branch.element, Element::Load(_)))
        .map(|branch| {
            let own = several.and_then(|all| all.map(&branch.name));
            let own = own.and_then(|fields| fields.stated("max-fuse"));
            Supply {
                name: if branch.name.is_empty() {
                    part.name.value.clone()
                } else {
                    format!("{}.{}", part.name.value, branch.name)
                },
                at: branch.from,
                allowed: own.or_else(|| part.fields.stated("max-fuse")),
            }
        })
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

fn smallest(context: &Context<'_>, protections: &[PartId], allowed: Stated<Amps>) -> Smallest {
    let mut large: Option<(PartId, Amps)> = None;
    let mut missing = Vec::new();
    for &id in protections {
        let fuse = context.vehicle.part(id);
        let Some(rating) = fuse.stated::<Amps>("rating") else {
            missing.push(fuse.missing("rating"));
            continue;
        };
        match weigh(rating.range, allowed.value) {
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
    name: &str,
    allowed: Stated<Amps>,
    fuse: PartId,
    rating: Amps,
) -> Verdict {
    let before = context.vehicle.part(fuse);
    let most = allowed.value.high;
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
    .also(allowed.at, "the largest that it allows")
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 0 mA, max-fuse: 10 A}
wires:
  - {run: [B1, F1, RADIO], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1",
        ),
        // Of three in a row the smallest is told, and of two like ones the nearest to the radio.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 25 A, form: blade}
  F3: {kind: fuse, rating: 20 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 0 mA, max-fuse: 10 A}
wires:
  - {run: [B1, F1, F2, F3, RADIO], size: 12 AWG, lengths: [10 cm, 2 m, 1 m, 1 m], insulation: 105 C}
",
            "F3",
        ),
        // Each supply states its own: 15 A are enough for the one and too much for the other.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  F2: {kind: fuse, rating: 15 A, form: blade}
  RADIO:
    kind: load
    type: electronics
    supplies: {main: {draw: 9 A, parked: 0 mA, max-fuse: 15 A}, memory: {draw: 5 mA, parked: 5 mA, max-fuse: 5 A}}
wires:
  - {run: [B1, F1, RADIO.main], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {run: [B1, F2, RADIO.memory], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F2",
        ),
    ],
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
        // Nobody asks it of a lamp, nor of the vehicle's own radio; 5 A of the memory stand beside 15 A of the part.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F0: {kind: fuse, rating: 20 A, form: blade, status: factory}
  F1: {kind: fuse, rating: 15 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  OWN: {kind: load, type: electronics, draw: 5 A, parked: 0 mA, status: factory}
  LAMP: {kind: load, type: led, draw: 2 A}
  RADIO:
    kind: load
    type: electronics
    max-fuse: 15 A
    supplies: {main: {draw: 9 A, parked: 0 mA}, memory: {draw: 5 mA, parked: 5 mA, max-fuse: 5 A}}
wires:
  - {run: [B1, F0, OWN], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C, status: factory}
  - {run: [B1, F1, RADIO.main], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {run: [B1, F2, RADIO.memory], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {from: F1, to: LAMP, size: 14 AWG, length: 2 m, insulation: 105 C}
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
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CTRL: {kind: controller, draw: 100 mA, outputs: {OUT: {limit: 8 A, hot-in: run}}}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, CTRL.+], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {from: CTRL.OUT, to: LAMP, size: 14 AWG, length: 2 m, insulation: 105 C}
",
            "CTRL.max-fuse",
        ),
        // What the memory may have is stated, and what the main supply may have is not.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  RADIO:
    kind: load
    type: electronics
    supplies: {main: {draw: 9 A, parked: 0 mA}, memory: {draw: 5 mA, parked: 5 mA, max-fuse: 5 A}}
wires:
  - {run: [B1, F1, RADIO.main], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {run: [B1, F2, RADIO.memory], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "RADIO.main.max-fuse",
        ),
        // 20 A are too much, and the second fuse may be small enough.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, form: blade}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 0 mA, max-fuse: 10 A}
wires:
  - {run: [B1, F1, F2, RADIO], size: 12 AWG, lengths: [10 cm, 2 m, 2 m], insulation: 105 C}
",
            "F2.rating",
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
