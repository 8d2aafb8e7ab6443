//! Draws more with the key off than its own `stays-live` allows.

use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Fact;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::quantity::Interval;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "stays-live-over-allowance",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "draws more with the key off than its own `stays-live` allows",
        page: include_str!("../../../docs/checks/stays-live-over-allowance.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts()
        .filter_map(|(id, part)| {
            let allowed = part.stays_live.as_ref()?.at_most;
            let stays_live = part.fields.map("stays-live");
            if stays_live.is_some_and(|fields| fields.is_unknown("at-most")) {
                let missing = part.missing("stays-live.at-most");
                return Some(Gap::of([missing]).part(id).shown());
            }
            Some(judge_part(context, id, part, allowed?))
        })
        .collect()
}

fn judge_part(context: &Context<'_>, id: PartId, part: &Part, allowed: Fact<Amps>) -> Verdict {
    let missing = super::missing_draw(context, id);
    let draw = context.key_off(id).filter(|draw| draw.only_if.is_none());
    let range = draw.map_or(Interval::exact(Amps::ZERO), |draw| draw.range);
    match weigh(range, allowed.range) {
        Weighed::Within if missing.is_empty() => return Verdict::NoneShown,
        Weighed::Above => {}
        Weighed::Within | Weighed::Depends => {
            let missing = if !missing.is_empty() {
                missing
            } else if range.is_exact() {
                vec![part.missing("stays-live.at-most")]
            } else {
                super::ranged_draw(context, id)
            };
            return Gap::of(missing).part(id).shown();
        }
    }
    let current = draw.map_or(Amps::ZERO, |draw| draw.current);
    let finding = Finding::new(
        part.at("parked"),
        format!(
            "{} draws {} with the key off, and its record allows {}",
            words::called(part),
            words::range(range),
            words::show(allowed.range.high)
        ),
    )
    .label(format!("{} while parked", words::range(range)))
    .part(id)
    .measured(current, allowed.range.high, "the record's own `stays-live`")
    .help("find out why it takes more than it was allowed, or write the allowance that it needs and look at the days again");
    finding
        .also(
            allowed.at().unwrap_or(part.name.at),
            "as much as it may take",
        )
        .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 12 mA, stays-live: {because: keeps its presets, at-most: 8 mA}}
wires:
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        "RADIO",
    )],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 8 mA, stays-live: {because: keeps its presets, at-most: 8 mA}}
wires:
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
"],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A, stays-live: {because: keeps its presets, at-most: 8 mA}}
wires:
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "RADIO.parked",
        ),
        // Nothing is known of what it takes.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, stays-live: {because: keeps its presets, at-most: 8 mA}}
wires:
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "RADIO.draw",
        ),
        // The draw is known, and the allowance only between two ends.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 8 mA, stays-live: {because: keeps its presets, at-most: 5..10 mA}}
wires:
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "RADIO.stays-live.at-most",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  STOP: {kind: relay, coil: 60..90 ohm, contact: 30 A, stays-live: {because: an emergency stop lets it go, at-most: 150 mA}}
  PUMP: {kind: load, type: motor, draw: 4 A}
wires:
  - {run: [B1, F1, STOP.86], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: STOP.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: STOP.87, to: PUMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "STOP.coil",
        ),
    ],
};
