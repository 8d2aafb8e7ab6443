//! The standing draw of the whole vehicle is above the limit.

use super::standing;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::quantity::Interval;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "standing-draw-high",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "the standing draw of the whole vehicle is above the limit",
        page: include_str!("../../../docs/checks/standing-draw-high.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let Some(starter) = context.vehicle.starter else {
        return Vec::new();
    };
    let key_off = &context.solved.key_off;
    let limit = context.rules.standing_draw();
    let mut missing = standing::unknown_draws(context);
    let verdict = match weigh(key_off.range, Interval::exact(limit.value)) {
        Weighed::Above => fault(context),
        // What is not stated can only add to it.
        Weighed::Within if missing.is_empty() => Verdict::NoneShown,
        Weighed::Within => Gap::of(missing).part(starter).shown(),
        Weighed::Depends => {
            if missing.is_empty() {
                missing = standing::ranged_draws(context);
            }
            Gap::of(missing).part(starter).shown()
        }
    };
    vec![verdict]
}

fn fault(context: &Context<'_>) -> Verdict {
    let key_off = &context.solved.key_off;
    let limit = context.rules.standing_draw();
    let drawing: Vec<_> = key_off
        .by_part
        .iter()
        .filter(|draw| draw.only_if.is_none() && draw.current > super::NOTHING)
        .collect();
    let names: Vec<String> = drawing
        .iter()
        .map(|draw| format!("{} {}", context.name(draw.part), words::show(draw.current)))
        .collect();
    let most = drawing.first().map(|draw| draw.part);
    let at = most.map_or(context.vehicle.document.vehicle.at, |part| {
        context.vehicle.part(part).name.at
    });
    let mut finding = Finding::new(
        at,
        format!(
            "the battery gives {} with the key off, {} is the limit: {}",
            words::range(key_off.range),
            words::show(limit.value),
            words::list(&names, 5)
        ),
    )
    .label("takes the most")
    .parts(drawing.iter().map(|draw| draw.part))
    .measured(key_off.draw, limit.value, limit.said())
    .help("stop or shorten the largest draws first; a vehicle that must carry more can set `rules: {standing-draw: …}`");
    for draw in drawing.iter().skip(1).take(4) {
        finding = finding.also(
            context.vehicle.part(draw.part).name.at,
            format!("and this {}", words::show(draw.current)),
        );
    }
    finding
        .step(
            format!("{} = {}", names.join(" + "), words::show(key_off.draw)),
            "the network solved with the key off, everything as it is left and settled",
        )
        .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // What draws only where a switch is left closed is no part of it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  TRACKER: {kind: load, type: electronics, draw: 100 mA, parked: 60 mA}
wires:
  - {run: [B1, F1, TRACKER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [F1, S1, LAMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "TRACKER",
        ),(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  TRACKER: {kind: load, type: electronics, draw: 0.2 A, parked: 60 mA, stays-live: reports its place}
wires:
  - {run: [B1, F1, TRACKER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        "TRACKER",
    ),
        // The record's own figure.
        (
            "
rules: {standing-draw: 30 mA}
vehicle: {name: a plain truck, system: 12 V, climate: {parked: 10 C}, engine: {cranking: 200 A}, own-load: {off: 48 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
",
            "own-load",
        ),
],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  TRACKER: {kind: load, type: electronics, draw: 0.2 A, parked: 8 mA, stays-live: reports its place}
wires:
  - {run: [B1, F1, TRACKER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
"],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  TRACKER: {kind: load, type: electronics, draw: 0.2 A, parked: 8..60 mA, stays-live: reports its place}
wires:
  - {run: [B1, F1, TRACKER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "TRACKER.parked",
        ),
        (
            "
vehicle: {name: own load not stated, system: 12 V}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  TRACKER: {kind: load, type: electronics, draw: 0.2 A, parked: 8 mA, stays-live: reports its place}
wires:
  - {run: [B1, F1, TRACKER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "vehicle.own-load.off",
        ),
        // Each is named by the key that says it, and what is known or draws only where a switch is left closed is none of it.
        (
            "
vehicle: {name: nobody measured, system: 12 V, own-load: {off: 5..40 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  DC: {kind: converter, output: 5 V, rating: 3 A, standby: 2..20 mA}
  K1: {kind: relay, coil: 1..2 kohm, contact: 30 A}
  TRACKER: {kind: load, type: electronics, draw: 0.2 A, parked: 1 mA}
  PLATE: {kind: load, type: led, draw: 1..5 mA}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 1..2 A}
wires:
  - {from: F1, to: TRACKER, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: PLATE, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, S1, LAMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [B1, F1, DC], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "vehicle.own-load.off",
        ),
    ],
};
