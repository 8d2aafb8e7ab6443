//! A conductor from a battery with neither fuse nor breaker in it.

use super::bare::Bare;
use super::bare::Way;
use super::bare::WayEnd;
use super::bare::bare;
use super::bare::say_which;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::model::PartId;
use crate::model::WireId;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "no-protection",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a conductor from a battery with neither fuse nor breaker in it",
        page: include_str!("../../../docs/checks/no-protection.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    // A cable between two batteries is told once, not from each end.
    let mut told: Vec<(PartId, Vec<WireId>)> = Vec::new();
    let mut verdicts = Vec::new();
    for bare in bare(context) {
        let wires: Vec<WireId> = {
            let mut wires: Vec<WireId> =
                bare.ways.iter().flat_map(|way| way.wires.clone()).collect();
            wires.sort_unstable();
            wires.dedup();
            wires
        };
        let back = |way: &Way| {
            matches!(way.end, WayEnd::Battery(other)
            if told.iter().any(|(source, known)| *source == other.part && *known == wires))
        };
        if bare.ways.iter().all(back) {
            continue;
        }
        verdicts.push(judge_wire(context, &bare));
        told.push((bare.source.part, wires));
    }
    verdicts
}

fn judge_wire(context: &Context<'_>, bare: &Bare) -> Verdict {
    let rule = context.rules.protection_distance();
    let open: Vec<&Way> = bare
        .ways
        .iter()
        .filter(|way| !matches!(way.end, WayEnd::Protection(_)))
        .collect();
    if open.is_empty() {
        return Verdict::NoneShown;
    }
    let long: Vec<&Way> = open
        .iter()
        .copied()
        .filter(|way| way.weighed(context) == Weighed::Above)
        .collect();
    let beyond = |way: &Way| way.length.high.0 - way.limit(context).0;
    let worst = long.iter().max_by(|a, b| beyond(a).total_cmp(&beyond(b)));
    let Some(worst) = worst else {
        let missing: Vec<String> = open
            .iter()
            .filter(|way| !way.unmeasured.is_empty() || way.weighed(context) == Weighed::Depends)
            .flat_map(|way| way.lacking(context))
            .collect();
        if missing.is_empty() {
            return Verdict::NoneShown;
        }
        return Gap::of(missing)
            .part(bare.source.part)
            .wire(bare.first)
            .shown();
    };
    let limit = worst.limit(context);
    let ends: Vec<PartId> = long.iter().filter_map(|way| at_end(context, way)).collect();
    let names: Vec<&str> = names(context, &ends);
    let first = &context.vehicle.wire(bare.first).id;
    let battery = context.name(bare.source.part);
    let mut finding = Finding::new(
        context.wire_from(bare.first),
        format!(
            "nothing protects {first} from {battery} to {}: there is neither fuse nor breaker on the way",
            words::list(&names, 4)
        ),
    )
    .label("leaves the battery unprotected")
    .wires(long.iter().flat_map(|way| way.wires.iter().copied()))
    .parts(ends.iter().copied())
    .part(bare.source.part)
    .help(format!(
        "put a fuse within {} of {battery}, no larger than the thinnest wire behind it carries",
        words::length(limit)
    ))
        .measured(
        worst.length.high,
        limit,
        format!("33 CFR 183.455(a) and {}, by analogy", rule.said()),
    );
    finding = say_which(context, finding, limit);
    for &part in ends.iter().take(4) {
        finding = finding.also(
            context.vehicle.part(part).name.at,
            "reached without a fuse between",
        );
    }
    finding.shown()
}

fn at_end(context: &Context<'_>, way: &Way) -> Option<PartId> {
    match way.end {
        WayEnd::Consumer(number) => Some(context.walks.consumers[number].part),
        WayEnd::Battery(source) => Some(source.part),
        WayEnd::Open(terminal) => context.vehicle.terminal(terminal).part,
        WayEnd::Protection(_) => None,
    }
}

fn names<'a>(context: &Context<'a>, parts: &[PartId]) -> Vec<&'a str> {
    let mut names: Vec<&str> = Vec::new();
    for &part in parts {
        let name = context.name(part);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  S1: {kind: switch, rating: 20 A}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {id: raw, from: B1, to: S1, size: 12 AWG, length: 2 m, insulation: gxl}
  - {from: S1, to: LAMP, size: 12 AWG, length: 2 m, insulation: gxl}
",
            "raw",
        ),
        // One branch of a splice has a fuse and the other has none.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SP1: {kind: splice}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
  HORN: {kind: load, type: motor, draw: 5 A}
wires:
  - {id: raw, from: B1, to: SP1, size: 12 AWG, length: 10 cm, insulation: gxl}
  - {run: [SP1, F1, LAMP], size: 12 AWG, lengths: [5 cm, 2 m], insulation: gxl}
  - {from: SP1, to: HORN, size: 12 AWG, length: 2 m, insulation: gxl}
",
            "HORN",
        ),
        // A relay fed raw: its open contact 87a is no end beside the lamp that 87 feeds.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {id: raw, from: B1, to: K1.30, size: 12 AWG, length: 50 cm, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 12 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
        // Beside the fuse of the lamp a raw wire leads to a plug with nothing in it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SP1: {kind: splice}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
  X1: {kind: connector, pins: [1]}
wires:
  - {id: raw, from: B1, to: SP1, size: 12 AWG, length: 10 cm, insulation: gxl}
  - {run: [SP1, F1, LAMP], size: 12 AWG, lengths: [5 cm, 2 m], insulation: gxl}
  - {from: SP1, to: X1.1, size: 12 AWG, length: 2 m, insulation: gxl}
",
            "X1",
        ),
        // 40 in hold only in a loom: of three ways the shortest, which does not lie in one, is farthest beyond its limit.
        (
            "
rules: {protection-distance: 40-in-sheathed}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SP1: {kind: splice}
  METER: {kind: load, type: electronics, draw: 1 mA}
  LAMP: {kind: load, type: led, draw: 1 A}
  HORN: {kind: load, type: motor, draw: 5 A}
wires:
  - {from: B1, to: SP1, size: 12 AWG, length: 10 cm, insulation: gxl, route: loom}
  - {from: SP1, to: METER, size: 12 AWG, length: 90 cm, insulation: gxl, route: loom}
  - {from: SP1, to: HORN, size: 12 AWG, length: 1 m, insulation: gxl, route: loom}
  - {from: SP1, to: LAMP, size: 12 AWG, length: 60 cm, insulation: gxl, route: frame}
",
            "LAMP",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, LAMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
        // A link inside the bank that starts the engine.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 700 A, bank: start}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 700 A, bank: start}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {from: B1, to: B2, size: 2/0 AWG, length: 1 m, insulation: sgx}
  - {run: [B1, F1, LAMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: B2.-, to: B1.-, size: 2/0 AWG, length: 1 m, insulation: sgx}
",
        // A volt meter at the post, as far from it as the rule allows. The cut wire is another check's.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  METER: {kind: load, type: electronics, draw: 1 mA}
  CUT: {kind: stub, end: capped}
wires:
  - {from: B1, to: METER, size: 12 AWG, length: 7 in, insulation: gxl}
  - {from: B1, to: CUT, size: 12 AWG, length: 1 m, insulation: gxl}
",
        // 40 in hold for the meter, whose wire lies in a loom.
        "
rules: {protection-distance: 40-in-sheathed}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  METER: {kind: load, type: electronics, draw: 1 mA}
wires:
  - {from: B1, to: METER, size: 12 AWG, length: 90 cm, insulation: gxl, route: loom}
",
        // By a rule of 72 in, that is what the two wires are together.
        "
rules: {protection-distance: 72-in}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  S1: {kind: switch, rating: 10 A}
  METER: {kind: load, type: electronics, draw: 1 mA}
wires:
  - {run: [B1, S1, METER], size: 12 AWG, lengths: [2.5 in, 69.5 in], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  METER: {kind: load, type: electronics, draw: 1 mA}
wires:
  - {id: raw, from: B1, to: METER, size: 12 AWG, insulation: gxl}
",
            "raw.length",
        ),
        // 7 in lie between the two ends of its length.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: LAMP, size: 14 AWG, length: 10..30 cm, insulation: 105 C}
",
            "w1.length",
        ),
    ],
};
