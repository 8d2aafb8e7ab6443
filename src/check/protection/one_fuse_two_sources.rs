//! A cable between two batteries that is protected at one end only.

use super::bare;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Status;
use crate::model::WireId;
use crate::model::walk::is_protection;
use crate::quantity::Interval;
use crate::quantity::Meters;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "one-fuse-two-sources",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a cable between two batteries is protected at one end only",
        page: include_str!("../../../docs/checks/one-fuse-two-sources.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let sources = &context.walks.sources;
    let cells: Vec<usize> = (0..sources.len())
        .filter(|&one| {
            matches!(
                context.vehicle.branch(sources[one].branch).element,
                Element::Cell { .. }
            )
        })
        .collect();
    let mut verdicts = Vec::new();
    for (number, &a) in cells.iter().enumerate() {
        for &b in &cells[number + 1..] {
            // Batteries in series are joined by a link that needs none.
            let series = context.walks.stack(a).contains(&b) || context.walks.stack(b).contains(&a);
            if !series {
                verdicts.extend(judge_pair(context, a, b));
            }
        }
    }
    verdicts
}

/// The stretch from one battery to the first protection.
struct Stretch {
    length: Interval<Meters>,
    wires: Vec<WireId>,
    unmeasured: Vec<WireId>,
    /// All of it lies in a loom.
    sheathed: bool,
}

impl Stretch {
    fn weighed(&self, context: &Context<'_>) -> Weighed {
        weigh(
            self.length,
            Interval::exact(bare::limit(context, self.sheathed)),
        )
    }
}

fn judge_pair(context: &Context<'_>, a: usize, b: usize) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let sources = &context.walks.sources;
    let (way, from, to) = match context.walks.way_up(vehicle, a, sources[b].plus) {
        Some(way) => (way, b, a),
        // A diode between them may let current through the other way only.
        None => (context.walks.way_up(vehicle, b, sources[a].plus)?, a, b),
    };
    let protections: Vec<PartId> = way
        .iter()
        .filter_map(|link| match *link {
            Link::Branch(branch) => Some(vehicle.branch(branch).part),
            Link::Wire(_) => None,
        })
        .filter(|&part| is_protection(vehicle, part))
        .collect();
    // With none at all it is another check's.
    let first = *protections.first()?;
    let near = stretch(context, way.iter());
    let far = stretch(context, way.iter().rev());
    let ends = [
        (from, &near, first),
        (to, &far, *protections.last().unwrap_or(&first)),
    ];
    for (source, bare, guard) in ends {
        if bare.weighed(context) == Weighed::Above {
            let other = if source == from { to } else { from };
            return Some(fault(
                context,
                source,
                other,
                bare,
                guard,
                protections.len(),
            ));
        }
    }
    let missing: Vec<String> = ends
        .iter()
        .filter(|(_, bare, _)| {
            !bare.unmeasured.is_empty() || bare.weighed(context) == Weighed::Depends
        })
        .flat_map(|(_, bare, _)| bare::lacking(context, &bare.wires, &bare.unmeasured))
        .collect();
    if missing.is_empty() {
        return Some(Verdict::NoneShown);
    }
    let gap = Gap::of(missing).part(sources[a].part).part(sources[b].part);
    Some(gap.shown())
}

fn stretch<'l>(context: &Context<'_>, way: impl Iterator<Item = &'l Link>) -> Stretch {
    let vehicle = context.vehicle;
    let mut stretch = Stretch {
        length: Interval::exact(Meters::ZERO),
        wires: Vec::new(),
        unmeasured: Vec::new(),
        sheathed: true,
    };
    for link in way {
        match *link {
            Link::Wire(id) => {
                let wire = vehicle.wire(id);
                if wire.assumed || wire.status == Status::Factory || context.walks.is_cranking(id) {
                    continue;
                }
                stretch.wires.push(id);
                stretch.sheathed &= bare::is_sheathed(wire);
                match wire.length {
                    Some(length) => stretch.length = stretch.length + length.range,
                    None => stretch.unmeasured.push(id),
                }
            }
            Link::Branch(branch) => {
                if is_protection(vehicle, vehicle.branch(branch).part) {
                    break;
                }
            }
        }
    }
    stretch
}

fn fault(
    context: &Context<'_>,
    source: usize,
    other: usize,
    bare: &Stretch,
    guard: PartId,
    count: usize,
) -> Verdict {
    let sources = &context.walks.sources;
    let [near, far] = [source, other].map(|one| context.name(sources[one].part));
    let rule = context.rules.protection_distance();
    let limit = bare::limit(context, bare.sheathed);
    let protected = if count == 1 {
        format!("{} alone protects it", context.name(guard))
    } else {
        format!("the first protection from there is {}", context.name(guard))
    };
    let mut finding = Finding::new(
        context.wire_at(bare.wires[0], "length"),
        format!(
            "the cable between {near} and {far} is fed from both ends, and {protected}: a short is fed from {near} over {} of wire with nothing to stop it",
            words::length(bare.length.low)
        ),
    )
    .label("fed from this end too")
    .wires(bare.wires.iter().copied())
    .part(guard)
    .part(sources[source].part)
    .part(sources[other].part)
    .measured(
        bare.length.low,
        limit,
        format!("33 CFR 183.455(a) and {}, by analogy", rule.said()),
    )
    .help(format!(
        "put a second fuse within {} of {near}",
        words::length(limit)
    ));
    finding = bare::say_which(context, finding, limit);
    finding = finding.also(context.vehicle.part(guard).name.at, "the protection");
    finding.shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  B2: {kind: battery, chemistry: agm, capacity: 100 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 80 A, form: bolt-down}
  ISO: {kind: isolator, style: relay, rating: 150 A}
wires:
  - {run: [B1, F1, ISO.a], size: 4 AWG, lengths: [10 cm, 50 cm], insulation: sgx}
  - {id: bare, from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
",
            "bare",
        ),
        // Two fuses, both near the first battery: the way from the second is bare.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: bolt-down}
  F2: {kind: fuse, rating: 60 A, form: bolt-down}
wires:
  - {run: [B1, F1, F2, B2], size: 6 AWG, lengths: [10 cm, 1 m, 2 m], insulation: gxl}
",
            "F2",
        ),
        // 40 in hold only in a loom: at the second battery it is 7 in.
        (
            "
rules: {protection-distance: 40-in-sheathed}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: bolt-down}
wires:
  - {from: B1, to: F1, size: 6 AWG, length: 90 cm, insulation: gxl, route: loom}
  - {from: F1, to: B2, size: 6 AWG, length: 50 cm, insulation: gxl, route: grommet}
",
            "w2",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  B2: {kind: battery, chemistry: agm, capacity: 100 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 80 A, form: bolt-down}
  F2: {kind: fuse, rating: 80 A, form: bolt-down}
  ISO: {kind: isolator, style: relay, rating: 150 A}
wires:
  - {run: [B1, F1, ISO.a], size: 4 AWG, lengths: [10 cm, 50 cm], insulation: sgx}
  - {run: [ISO.b, F2, B2], size: 4 AWG, lengths: [3 m, 7 in], insulation: sgx}
",
        // The vehicle's own wire to its own battery is its maker's.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: bolt-down}
wires:
  - {from: B1, to: F1, size: 6 AWG, length: 10 cm, insulation: gxl}
  - {from: F1, to: B2, size: 6 AWG, length: 2 m, insulation: gxl, status: factory}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  B2: {kind: battery, chemistry: agm, capacity: 100 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 80 A, form: bolt-down}
  ISO: {kind: isolator, style: relay, rating: 150 A}
wires:
  - {run: [B1, F1, ISO.a], size: 4 AWG, lengths: [10 cm, 5 cm], insulation: sgx}
  - {id: bare, from: ISO.b, to: B2, size: 4 AWG, insulation: sgx}
",
            "bare.length",
        ),
        // 7 in lie between the two ends of its length.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: bolt-down}
wires:
  - {run: [B1, F1, B2], size: 6 AWG, lengths: [10 cm, 10..30 cm], insulation: gxl}
",
            "w2.length",
        ),
    ],
};
