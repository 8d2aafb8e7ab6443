//! A reading of a meter that the record does not explain.

use crate::analyze::reading;
use crate::analyze::reading::Expected;
use crate::analyze::reading::Shown;
use crate::analyze::reading::Taken;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Key;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Volts;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "reading-disagrees",
        level: Level::Error,
        harm: Harm::Record,
        summary: "a meter showed what the record does not explain",
        page: include_str!("../../../docs/checks/reading-disagrees.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let readings = reading::readings(vehicle);
    let expected = reading::expected(vehicle, &readings);
    let unsettled = reading::unsettled(vehicle, &readings);
    readings
        .iter()
        .zip(&expected)
        .enumerate()
        // What was read before the vehicle slept is told by another check.
        .filter(|(at, _)| !unsettled.iter().any(|one| one.aside() == *at))
        .filter_map(|(_, (taken, expected))| one(context, taken, expected))
        .collect()
}

fn one(context: &Context<'_>, taken: &Taken, expected: &Expected) -> Option<Verdict> {
    match taken.shown {
        Shown::Battery(_, measured) => {
            Some(current(context, taken, expected, measured.range, None))
        }
        Shown::Wire(_, measured) => {
            let ends = either_way(measured.range.low.0, measured.range.high.0);
            let range = Interval {
                low: Amps(ends.0),
                high: Amps(ends.1),
            };
            Some(current(context, taken, expected, range, None))
        }
        Shown::Across(part, measured) => {
            expected.current?;
            let branch = *context.vehicle.part(part).branches.first()?;
            let Element::Joint(ohms) = context.vehicle.branch(branch).element else {
                return None;
            };
            let ends = either_way(measured.range.low.0, measured.range.high.0);
            let range = Interval {
                low: Amps(ends.0 / ohms.range.high.0.max(1e-9)),
                high: Amps(ends.1 / ohms.range.low.0.max(1e-9)),
            };
            Some(current(context, taken, expected, range, Some(part)))
        }
        Shown::At(terminal, measured) => {
            let part = context.vehicle.terminal(terminal).part?;
            Some(voltage(context, taken, expected, measured.range, part))
        }
        Shown::Nothing => None,
    }
}

/// The sign only says which way round the meter was: how much it is, between two ends.
fn either_way(low: f64, high: f64) -> (f64, f64) {
    (low.max(-high).max(0.0), high.max(-low))
}

fn current(
    context: &Context<'_>,
    taken: &Taken,
    expected: &Expected,
    measured: Interval<Amps>,
    across: Option<PartId>,
) -> Verdict {
    let Some(likely) = expected.current else {
        return Verdict::NoneShown;
    };
    let more = measured.low > expected.range.high;
    let less = measured.high < expected.range.low;
    if !more && !less {
        return Verdict::NoneShown;
    }
    let facts: Vec<String> = expected
        .missing
        .iter()
        // How long the battery lasts says nothing of what is drawn from it.
        .filter(|fact| !fact.ends_with(".capacity"))
        // What is not stated can only add to what is drawn; but that a feed is live may have been taken for granted.
        .filter(|fact| more || fact.ends_with(".hot-in"))
        .cloned()
        .collect();
    if !facts.is_empty() {
        return about(Gap::of(facts), taken).shown();
    }
    let number = taken.number;
    let (off, compared) = if more {
        (measured.low - expected.range.high, "more")
    } else {
        (expected.range.low - measured.high, "less")
    };
    let through = across.map_or_else(String::new, |part| {
        format!(" through {}", context.name(part))
    });
    let mut finding = Finding::new(
        taken.at,
        format!(
            "reading {number} shows {}{through}, and the record explains {}: {} {compared} than it leaves room for",
            words::range(measured),
            words::range(expected.range),
            words::show(off),
        ),
    )
    .label(if more { "not explained" } else { "the record claims more" })
    .value(Amps(f64::midpoint(measured.low.0, measured.high.0)))
    .help(if more && taken.key == Key::Off {
        "find what draws it with `keyoff hunt`, and write it into the record"
    } else if more {
        "look for what is on and not in the record, or draws more than it says"
    } else {
        "see which part of the record is not connected, has no fuse in, or draws less than it says; if something has to be used first, use it and read again"
    })
    .source("the network solved as the reading was taken: key, switches and fuses that were out");
    finding = match taken.shown {
        Shown::Battery(part, _) | Shown::Across(part, _) => finding.part(part),
        Shown::Wire(wire, _) => finding.wire(wire),
        Shown::At(..) | Shown::Nothing => finding,
    };
    let draws = expected.sums.by_part.iter().take(4);
    for draw in draws.filter(|draw| draw.only_if.is_none()) {
        finding = finding.step(
            format!("{} {}", context.name(draw.part), words::range(draw.range)),
            "the record",
        );
    }
    finding
        .step(
            format!(
                "all of it {}, likely {}; the meter {}",
                words::range(expected.range),
                words::show(likely),
                words::range(measured)
            ),
            "the network, and the meter's accuracy and last digits",
        )
        .shown()
}

fn about(gap: Gap, taken: &Taken) -> Gap {
    match taken.shown {
        Shown::Battery(part, _) | Shown::Across(part, _) => gap.part(part),
        Shown::Wire(wire, _) => gap.wire(wire),
        Shown::At(..) | Shown::Nothing => gap,
    }
}

/// Live where it should be dead, or dead where it should be live.
fn voltage(
    context: &Context<'_>,
    taken: &Taken,
    expected: &Expected,
    measured: Interval<Volts>,
    part: PartId,
) -> Verdict {
    let Some(solved) = expected.voltage else {
        return Verdict::NoneShown;
    };
    let system = context.vehicle.system.likely;
    let live = |volts: Volts| volts.0.abs() > 0.5 * system.0;
    let dead = |volts: Volts| volts.0.abs() < 0.1 * system.0;
    let (shows_live, shows_dead) = (live(measured.low), dead(measured.high));
    let disagrees = (shows_live && dead(solved)) || (shows_dead && live(solved));
    if !disagrees {
        return Verdict::NoneShown;
    }
    let facts: Vec<String> = expected
        .missing
        .iter()
        .filter(|fact| fact.ends_with(".hot-in"))
        .cloned()
        .collect();
    if !facts.is_empty() {
        return Gap::of(facts).part(part).shown();
    }
    Finding::new(
        taken.at,
        format!(
            "reading {} shows {}, and by the record it should be {} there",
            taken.number,
            words::range(measured),
            words::show(solved)
        ),
    )
    .label(if shows_live { "live" } else { "dead" })
    .part(part)
    .value(Volts(f64::midpoint(measured.low.0, measured.high.0)))
    .help(if shows_live {
        "look for a way to it that is not in the record: another feed, a switch or relay that is not as it says"
    } else {
        "look for what is open on the way: a fuse, a contact, a wire that is not where the record says"
    })
    .source("the network solved as the reading was taken")
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics, draw: 0.4 A, parked: 5 mA, stays-live: keeps time}
wires:
  - {run: [B1, F1, CLOCK], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
readings:
  - {after: 40 min, current: 182 mA}
",
            "B1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics, draw: 0.4 A, parked: 50 mA, stays-live: keeps time}
wires:
  - {run: [B1, F1, CLOCK], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
readings:
  - {across: F1, drop: 4.0 mV}
  - {across: F1, drop: -4.0 mV}
",
            "F1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1, LAMP], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
readings:
  - {at: LAMP.+, voltage: 12.4 V}
",
            "LAMP",
        ),
        // A clamp on a wire, the wrong way round.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics, draw: 0.4 A, parked: 50 mA, stays-live: keeps time}
wires:
  - {id: W1, from: B1, to: F1, size: 16 AWG, length: 10 cm, insulation: gxl}
  - {id: W2, from: F1, to: CLOCK, size: 16 AWG, length: 1 m, insulation: gxl}
readings:
  - {where: W2, current: -121 mA}
",
            "W2",
        ),
        // What should be live is dead.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics, draw: 0.4 A, parked: 50 mA, stays-live: keeps time}
wires:
  - {run: [B1, F1, CLOCK], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
readings:
  - {at: CLOCK.+, voltage: 0.0 V}
",
            "CLOCK",
        ),
        // Less than the record has with the key off, and more with the key in run.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics, draw: 0.4 A, parked: 50 mA, stays-live: keeps time}
wires:
  - {run: [B1, F1, CLOCK], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
readings:
  - {after: 40 min, current: 11 mA}
  - {key: run, current: 31.0 A}
",
            "B1",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  CLOCK: {kind: load, type: electronics, draw: 0.4 A, parked: 5 mA, stays-live: keeps time}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: W1, from: B1, to: F1, size: 16 AWG, length: 10 cm, insulation: gxl}
  - {id: W2, from: F1, to: CLOCK, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, S1, LAMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
readings:
  - {current: 1.31 A}
  - {after: 40 min, current: 16 mA}
  - {across: F1, drop: 0.1 mV}
  - {closed: [S1], current: 2.05 A}
  - {at: LAMP.+, voltage: 0.0 V}
  - {at: CLOCK.+, voltage: 11.2 V}
  - {where: W2, current: -2 mA}
  - {where: battery negative, pulled: F1, current: 10 mA}
"],
    cannot: &[
        // Nobody wrote when the slot is live.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SLOT: {kind: feed, rating: 10 A, limit: 10 A}
  CLOCK: {kind: load, type: electronics, draw: 0.1 A, parked: 50 mA, stays-live: keeps time}
wires:
  - {from: SLOT, to: CLOCK, size: 16 AWG, length: 1 m, insulation: gxl}
readings:
  - {at: CLOCK.+, voltage: 0.0 V}
",
            "SLOT.hot-in",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SLOT: {kind: feed, rating: 10 A, limit: 10 A}
  CLOCK: {kind: load, type: electronics, draw: 0.1 A, parked: 50 mA, stays-live: keeps time}
wires:
  - {from: SLOT, to: CLOCK, size: 16 AWG, length: 1 m, insulation: gxl}
readings:
  - {after: 40 min, current: 11 mA}
",
            "SLOT.hot-in",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  BOX: {kind: load, type: electronics, draw: 20 mA}
wires:
  - {run: [B1, F1, BOX], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
readings:
  - {after: 40 min, current: 182 mA}
",
            "BOX.parked",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  BOX: {kind: load, type: electronics, draw: 20 mA}
wires:
  - {id: W1, from: B1, to: F1, size: 16 AWG, length: 10 cm, insulation: gxl}
  - {id: W2, from: F1, to: BOX, size: 16 AWG, length: 1 m, insulation: gxl}
readings:
  - {after: 40 min, where: W2, current: 182 mA}
",
            "BOX.parked",
        ),
    ],
};
