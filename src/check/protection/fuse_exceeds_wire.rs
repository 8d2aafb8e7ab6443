//! A fuse that is larger than the thinnest conductor behind it carries.

use super::bare::is_sheathed;
use super::bare::limit;
use crate::check::carries::Carries;
use crate::check::carries::carries;
use crate::check::prelude::*;
use crate::check::sizing;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Fact;
use crate::model::Part;
use crate::model::PartId;
use crate::model::WireId;
use crate::model::walk::Behind;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "fuse-exceeds-wire",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a fuse is larger than the thinnest conductor behind it carries",
        page: include_str!("../../../docs/checks/fuse-exceeds-wire.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// What may stand before wires; a feed stands for its factory fuse.
const KINDS: &[Kind] = &[Kind::Fuse, Kind::Breaker, Kind::FusibleLink, Kind::Feed];

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(KINDS)
        .filter_map(|(id, part)| judge_fuse(context, id, part))
        .collect()
}

/// A wire that the fuse is too large for.
struct Thin {
    wire: WireId,
    returns: bool,
    carries: Carries,
}

fn judge_fuse(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let passage = context.passage(part)?;
    let behind = context.walks.downstream(context.vehicle, passage);
    let judged: Vec<&Behind> = behind
        .wires
        .iter()
        .filter(|behind| {
            let wire = context.vehicle.wire(behind.wire);
            !wire.assumed && !wire.is_resistor() && !context.walks.is_cranking(behind.wire)
        })
        .collect();
    if judged.is_empty() {
        return None;
    }
    let Some(rating) = part.stated::<Amps>("rating") else {
        return Some(Gap::of([part.missing("rating")]).part(id).shown());
    };
    let factor = context.rules.fuse_to_wire().value.0;
    let mut thin: Vec<Thin> = Vec::new();
    let mut missing: Vec<String> = Vec::new();
    let mut unclear: Vec<WireId> = Vec::new();
    for behind in judged {
        let carries = match carries(context, behind.wire) {
            Ok(carries) => carries,
            Err(lacking) => {
                missing.extend(lacking.iter().cloned());
                unclear.push(behind.wire);
                continue;
            }
        };
        let allowed = Interval {
            low: carries.amps.low * factor,
            high: carries.amps.high * factor,
        };
        let weighed = weigh(rating.range, allowed);
        if weighed == Weighed::Within {
            continue;
        }
        match short_tap(context, behind) {
            Some(true) => continue,
            Some(false) => {}
            None => {
                missing.extend(unmeasured(context, behind));
                unclear.push(behind.wire);
                continue;
            }
        }
        if weighed == Weighed::Above {
            thin.push(Thin {
                wire: behind.wire,
                returns: behind.returns,
                carries: carries.clone(),
            });
        } else {
            let lacking = if carries.missing.is_empty() {
                vec![part.missing("rating")]
            } else {
                carries.missing.clone()
            };
            missing.extend(lacking);
            unclear.push(behind.wire);
        }
    }
    thin.sort_by(|a, b| {
        let order = a.carries.amps.high.0.total_cmp(&b.carries.amps.high.0);
        order.then(a.wire.cmp(&b.wire))
    });
    Some(if thin.is_empty() && missing.is_empty() {
        Verdict::NoneShown
    } else if thin.is_empty() {
        let gap = unclear
            .into_iter()
            .fold(Gap::of(missing).part(id), Gap::wire);
        gap.shown()
    } else {
        fault(context, id, part, rating, &thin)
    })
}

/// Whether a wire is a short tap to further protections, as the conductor between a post and its fuse is; nothing where the
/// record does not give its length.
fn short_tap(context: &Context<'_>, behind: &Behind) -> Option<bool> {
    let Some(tap) = &behind.tap else {
        return Some(false);
    };
    let sheathed = is_sheathed(context.vehicle.wire(behind.wire));
    match weigh(tap.length, Interval::exact(limit(context, sheathed))) {
        Weighed::Above => Some(false),
        Weighed::Within if tap.unmeasured.is_empty() => Some(true),
        Weighed::Within | Weighed::Depends => None,
    }
}

fn unmeasured(context: &Context<'_>, behind: &Behind) -> Vec<String> {
    let wires = behind.tap.iter().flat_map(|tap| &tap.unmeasured);
    let named: Vec<String> = wires
        .map(|&wire| format!("{}.length", context.vehicle.wire(wire).id))
        .collect();
    if named.is_empty() {
        vec![format!("{}.length", context.vehicle.wire(behind.wire).id)]
    } else {
        named
    }
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    rating: Fact<Amps>,
    thin: &[Thin],
) -> Verdict {
    let vehicle = context.vehicle;
    let worst = &thin[0];
    let rule = context.rules.fuse_to_wire();
    let allowed = worst.carries.amps.high * rule.value.0;
    let name = &part.name.value;
    let wire = &vehicle.wire(worst.wire).id;
    let way = if worst.returns {
        "on the way home from it"
    } else {
        "behind it"
    };
    let rest = match thin.len() {
        1 => String::new(),
        2 => ", and 1 further wire is too thin for it".to_owned(),
        more => format!(", and {} further wires are too thin for it", more - 1),
    };
    let rated = words::rated(rating.range.low);
    let carried = words::show(worst.carries.amps.high);
    let mut finding = Finding::new(
        part.at("rating"),
        format!(
            "{name} is rated {rated}, and {wire} {way} ({}) carries {carried}{rest}",
            worst.carries.named
        ),
    )
    .label("larger than the wire behind it")
    .part(id)
    .wires(thin.iter().map(|thin| thin.wire))
    .measured(
        rating.range.low,
        allowed,
        format!("{}; {}", worst.carries.source, rule.said()),
    )
    .help(help(context, part, rating, worst, allowed))
    .step(
        format!("{wire}: {} carries {carried}", worst.carries.named),
        worst.carries.source.clone(),
    )
    .step(
        format!(
            "{carried} x {} = {} at most, {rated} is fitted",
            words::show(rule.value),
            words::show(allowed)
        ),
        rule.said(),
    );
    for (choice, factor) in rule.others() {
        let limit = worst.carries.amps.high * factor.0;
        let verdict = if rating.range.low > limit {
            "too large by it as well"
        } else {
            "enough by it"
        };
        finding = finding.step(
            format!("`{}` allows {}: {verdict}", choice.name, words::show(limit)),
            choice.source.clone(),
        );
    }
    for thin in thin.iter().take(4) {
        finding = finding.also(
            context.wire_at(thin.wire, "size"),
            format!("carries {}", words::show(thin.carries.amps.high)),
        );
    }
    finding.shown()
}

fn help(
    context: &Context<'_>,
    part: &Part,
    rating: Fact<Amps>,
    worst: &Thin,
    allowed: Amps,
) -> String {
    let wire = &context.vehicle.wire(worst.wire).id;
    let larger = sizing::size_for(context, worst.wire, |amps| {
        amps * context.rules.fuse_to_wire().value.0 >= rating.range.high
    });
    let name = &part.name.value;
    let smaller = match (part.kind, sizing::next_fuse_down(part, allowed)) {
        (Kind::Feed, _) => format!(
            "put a fuse of {} or less at {name}, where {wire} begins",
            words::show(allowed)
        ),
        (_, Some(made)) => format!("fit {} or less in {name}", words::rated(made)),
        (_, None) => format!("protect {wire} with {} or less", words::show(allowed)),
    };
    match larger {
        Some(size) => format!("{smaller}, or run {wire} in {size} or thicker"),
        None => smaller,
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // 18 AWG with 60 C insulation carries 10 A: 33 CFR 183.425, Table 5.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: F1, size: 12 AWG, length: 10 cm, insulation: 60 C}
  - {from: F1, to: LAMP, size: 18 AWG, length: 2 m, insulation: 60 C}
",
            "F1",
        ),
        // The thin wire is the lamp's own return: 20 A, of which the rule allows 125 %.
        (
            "
rules: {fuse-to-wire: 125-percent}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {from: LAMP, to: chassis, size: 18 AWG, length: 1 m, insulation: 105 C}
",
            "F1",
        ),
        // The thickest wire of the table, which carries 445 A: 33 CFR 183.425, Table 5. No other size would do.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 500 A, form: bolt-down}
  WINCH: {kind: load, type: motor, draw: 300 A}
wires:
  - {run: [B1, F1, WINCH], size: 4/0 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "w2",
        ),
        // 14 AWG (35 A) to the next fuse is too long for a tap behind 60 A, as 40 in hold only in a loom; that to the other fuse,
        // which lies in one, is not.
        (
            "
rules: {protection-distance: 40-in-sheathed}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F0: {kind: fuse, rating: 60 A, form: bolt-down}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  A: {kind: load, type: led, draw: 5 A}
  B: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F0, BAR], size: 6 AWG, lengths: [10 cm, 1 m], insulation: 105 C}
  - {run: [BAR, F1, A], size: 14 AWG, lengths: [50 cm, 2 m], insulation: 105 C}
  - {run: [BAR, F2, B], size: 14 AWG, lengths: [50 cm, 2 m], insulation: 105 C, route: loom}
",
            "w3",
        ),
    ],
    quiet: &[
        // The thin return is the neighbour's, which has a fuse of its own.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  BIG: {kind: load, type: led, draw: 20 A}
  SMALL: {kind: load, type: led, draw: 1 A}
  G1: {kind: splice}
wires:
  - {run: [B1, F1, BIG], size: 10 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {run: [B1, F2, SMALL], size: 18 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
  - {from: BIG, to: G1, size: 10 AWG, length: 1 m, insulation: 105 C}
  - {from: SMALL, to: G1, size: 18 AWG, length: 1 m, insulation: 105 C}
  - {from: G1, to: chassis, size: 8 AWG, length: 1 m, insulation: 105 C}
",
        // A tap from the bar to the next fuse that is just short enough, and the resistor of a fan.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F0: {kind: fuse, rating: 100 A, form: bolt-down}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 15 A, form: blade}
  FAN: {kind: load, type: motor, draw: 6 A}
  R1: {kind: splice}
wires:
  - {run: [B1, F0, BAR], size: 4 AWG, lengths: [10 cm, 1 m], insulation: 105 C}
  - {from: BAR, to: F1, size: 14 AWG, length: 7 in, insulation: 105 C}
  - {from: F1, to: R1, resistance: 0.8 ohm}
  - {from: R1, to: FAN, size: 14 AWG, length: 2 m, insulation: 105 C}
",
        // 18 AWG carries 20 A, and 125 % of that are just enough.
        "
rules: {fuse-to-wire: 125-percent}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 25 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 18 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: F1, size: 12 AWG, length: 10 cm, insulation: 105 C}
  - {from: F1, to: LAMP, size: 18 AWG, length: 2 m}
",
            "w2.insulation",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1.rating",
        ),
        // A tap of 14 AWG (35 A) to a fuse of its own may be thinner than the main of 60 A if it is short: that is not stated.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F0: {kind: fuse, rating: 60 A, form: bolt-down}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  A: {kind: load, type: led, draw: 5 A}
  B: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F0, BAR], size: 6 AWG, lengths: [10 cm, 1 m], insulation: 105 C}
  - {run: [BAR, F1, A], size: 14 AWG, lengths: [unknown, 2 m], insulation: 105 C}
  - {run: [BAR, F2, B], size: 14 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "w3.length",
        ),
        // The same, with 7 in between the two ends of its length.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F0: {kind: fuse, rating: 60 A, form: bolt-down}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  A: {kind: load, type: led, draw: 5 A}
  B: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F0, BAR], size: 6 AWG, lengths: [10 cm, 1 m], insulation: 105 C}
  - {run: [BAR, F1, A], size: 14 AWG, lengths: [10..30 cm, 2 m], insulation: 105 C}
  - {run: [BAR, F2, B], size: 14 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "w3.length",
        ),
        // 16 AWG carries 25 A, 125 % of that are 31 A, and the fuse is known as a range only.
        (
            "
rules: {fuse-to-wire: 125-percent}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30..40 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 16 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1.rating",
        ),
    ],
};
