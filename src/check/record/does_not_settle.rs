//! A draw that does not come to rest: it rises by itself, or still falls after modules should sleep.

use crate::analyze::reading;
use crate::analyze::reading::Taken;
use crate::analyze::reading::Unsettled;
use crate::check::prelude::*;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::quantity::Seconds;
use crate::table::meter;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "does-not-settle",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "the draw with the key off does not come to rest",
        page: include_str!("../../../docs/checks/does-not-settle.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Two readings so far apart that agree show a draw at rest.
const APART: Seconds = Seconds(600.0);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let readings = reading::readings(vehicle);
    let totals = reading::totals(vehicle, &readings);
    let (Some(battery), Some(&first)) = (vehicle.starter, totals.first()) else {
        return Vec::new();
    };
    let unsettled = reading::unsettled(vehicle, &readings);
    let mut verdicts: Vec<Verdict> = unsettled
        .iter()
        .filter_map(|one| moved(context, &readings, one, battery))
        .collect();
    if verdicts.is_empty() {
        verdicts.push(if at_rest(context, &readings, &totals, &unsettled) {
            Verdict::NoneShown
        } else {
            Gap::of([format!(
                "readings: the one on {} again after 10 min or more",
                match readings[first].out.len() {
                    0 => "the whole current".to_owned(),
                    _ => format!("the whole current as in reading {}", readings[first].number),
                }
            )])
            .part(battery)
            .shown()
        });
    }
    verdicts
}

/// Two readings with the same fuses out, some time apart, that say the same, neither of them spoiled.
fn at_rest(
    context: &Context<'_>,
    readings: &[Taken],
    totals: &[usize],
    unsettled: &[Unsettled],
) -> bool {
    let good: Vec<usize> = totals
        .iter()
        .copied()
        .filter(|at| !unsettled.iter().any(|one| one.aside() == *at))
        .collect();
    good.iter().enumerate().any(|(number, &earlier)| {
        good[number..].iter().any(|&later| {
            let waited = readings[earlier + 1..=later].iter();
            let waited: f64 = waited
                .filter_map(|taken| taken.after)
                .map(|after| after.0)
                .sum();
            let values = [earlier, later].map(|at| reading::whole(context.vehicle, &readings[at]));
            let [Some(one), Some(other)] = values else {
                return false;
            };
            readings[earlier].out == readings[later].out
                && waited >= APART.0
                && (one.value - other.value).0.abs() <= reading::open_between(one, other)
        })
    })
}

fn moved(
    context: &Context<'_>,
    readings: &[Taken],
    one: &Unsettled,
    battery: PartId,
) -> Option<Verdict> {
    let (at, against) = (&readings[one.at], &readings[one.against]);
    let amps = |taken: &Taken| {
        let whole = reading::whole(context.vehicle, taken);
        whole.map_or(Amps::ZERO, |measured| measured.value)
    };
    let settled = meter::settled();
    let finding = if one.rose {
        let turned = readings[one.against..one.at]
            .iter()
            .any(|between| between.key != Key::Off || between.otherwise);
        if (turned || !one.handled.is_empty()) && came_back(context.vehicle, readings, one) {
            // A module that was woken and slept again.
            return None;
        }
        let mut parts = one.handled.clone();
        parts.sort_unstable();
        // Taken out and put back is handled once.
        parts.dedup();
        let handled: Vec<&str> = parts.iter().map(|&part| context.name(part)).collect();
        let (why, help) = if handled.is_empty() && turned {
            (
                "after the key or a switch was turned".to_owned(),
                "that wakes modules: touch nothing, wait until the meter stands still for ten minutes, and read again",
            )
        } else if handled.is_empty() {
            (
                "with nothing handled in between".to_owned(),
                "something switches on by itself: log the current for 12 hours or more, and look for what happens at the same times",
            )
        } else {
            (
                format!("after {} was handled", words::list(&handled, 3)),
                "handling a fuse wakes modules: touch nothing, wait until the meter stands still for ten minutes, and read again",
            )
        };
        Finding::new(
            at.at,
            format!(
                "reading {} rose to {} from the {} of reading {} {why}",
                at.number,
                words::show(amps(at)),
                words::show(amps(against)),
                against.number
            ),
        )
        .label("higher, with no more fuses in")
        .help(help)
    } else {
        // Falling until modules sleep is what every vehicle does.
        let waited = at.after.filter(|after| after.0 >= settled.value.0)?;
        Finding::new(
            at.at,
            format!(
                "reading {} had not come to rest after {}: {} then, {} in reading {}",
                at.number,
                words::show(waited),
                words::show(amps(at)),
                words::show(amps(against)),
                against.number
            ),
        )
        .label("fell further")
        .help("something stays awake for long, or comes and goes: wait longer, or log the current over a night, and reckon with the average")
    };
    Some(
        finding
            .part(battery)
            .value(amps(at))
            .also(against.at, "against this one")
            .source(settled.source)
            .step(
                format!(
                    "{} and {} differ by more than the meter's last digits and scale",
                    words::show(amps(at)),
                    words::show(amps(against))
                ),
                "the readings",
            )
            .shown(),
    )
}

/// Whether a later reading with the same fuses out, or fewer, is back where it was.
fn came_back(vehicle: &Vehicle, readings: &[Taken], one: &Unsettled) -> bool {
    let value = |taken: &Taken| reading::whole(vehicle, taken);
    let (Some(risen), Some(before)) = (value(&readings[one.at]), value(&readings[one.against]))
    else {
        return false;
    };
    readings[one.at..].iter().any(|later| {
        value(later).is_some_and(|later_value| {
            later.out.is_subset(&readings[one.at].out)
                && later_value.value < risen.value
                && later_value.value.0
                    <= before.value.0 + reading::open_between(later_value, before)
        })
    })
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {after: 60 min, current: 20 mA}
  - {after: 15 min, current: 420 mA}
",
            "B1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 60 min, current: 20 mA}
  - {pulled: F1, current: 20 mA}
  - {refitted: F1, current: 0.85 A}
",
            "B1",
        ),
        // It sank since, but not to where it was; with the fuse out it tells nothing, and neither does another battery.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 60 min, current: 20 mA}
  - {pulled: F1, current: 20 mA}
  - {refitted: F1, current: 0.85 A}
  - {after: 15 min, current: 420 mA}
  - {pulled: F1, current: 20 mA}
  - {where: B2 positive, refitted: F1, current: 5 mA}
",
            "B1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {after: 60 min, current: 380 mA}
  - {after: 60 min, current: 20 mA}
",
            "B1",
        ),
        // Pulling the fuse woke it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 60 min, current: 20 mA}
  - {pulled: F1, current: 0.85 A}
",
            "B1",
        ),
        // The same again on a range that cannot tell it from what it was before.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 60 min, current: 600 mA}
  - {pulled: F1, current: 800 mA}
  - {refitted: F1, current: 0.8 A}
",
            "B1",
        ),
        // The key was on, and so was a switch; it has not slept since.
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
  - {after: 60 min, current: 20 mA}
  - {closed: [S1], current: 2.02 A}
  - {current: 0.21 A}
  - {key: run, current: 20.0 A}
  - {current: 0.85 A}
",
            "B1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {current: 1.31 A}
  - {after: 40 min, current: 20 mA}
  - {after: 15 min, current: 19 mA}
",
        // The key woke it, and it went to sleep again.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {after: 60 min, current: 20 mA}
  - {key: run, current: 20.0 A}
  - {current: 0.85 A}
  - {after: 40 min, current: 20 mA}
",
        // A box woke as its fuse was put back, and went to sleep again.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 60 min, current: 20 mA}
  - {pulled: F1, current: 20 mA}
  - {refitted: F1, current: 0.85 A}
  - {after: 15 min, current: 20 mA}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {after: 40 min, current: 20 mA}
",
            "readings",
        ),
        // Too soon after, and with a fuse out.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 20 mA}
  - {after: 5 min, current: 20 mA}
  - {pulled: F1, after: 15 min, current: 20 mA}
",
            "readings",
        ),
    ],
};
