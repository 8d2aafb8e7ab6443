//! Branches that do not add up to the total: what is left flows past the fuses.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::analyze::key_off;
use crate::analyze::reading;
use crate::analyze::reading::Shown;
use crate::analyze::reading::Taken;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Ohms;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "unfused-draw",
        level: Level::Warning,
        harm: Harm::Fire,
        summary: "more is drawn than flows through the fuses",
        page: include_str!("../../../docs/checks/unfused-draw.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let readings = reading::readings(vehicle);
    let Some(battery) = vehicle.starter else {
        return Vec::new();
    };
    let unsettled = reading::unsettled(vehicle, &readings);
    let totals: Vec<usize> = reading::totals(vehicle, &readings)
        .into_iter()
        .filter(|at| !unsettled.iter().any(|one| one.aside() == *at))
        .collect();
    let most = most_through(vehicle, &readings, &totals, |ohms| ohms.low);
    let tops = tops(context);
    // Nobody compared branches with the total where only the total was read.
    if tops.is_empty() || most.is_empty() {
        return Vec::new();
    }
    let cases: Vec<Closure> = totals
        .iter()
        .filter_map(|&at| closure(vehicle, &readings[at], &tops, &most))
        .collect();
    let past = context
        .solved
        .key_off
        .by_part
        .iter()
        .filter(|draw| draw.only_if.is_none() && draw.protected_by.is_empty());
    let explained = past.fold(0.0, |sum, draw| sum + draw.range.high.0 * 1.05);
    let worst = cases
        .iter()
        .filter(|case| case.unread.is_empty())
        .max_by(|a, b| a.left(explained).total_cmp(&b.left(explained)));
    let verdict = match worst {
        Some(case) if case.left(explained) > 0.0 => {
            let unstated = unstated(context);
            if unstated.is_empty() {
                tell(&readings, case, explained, battery)
            } else {
                Gap::of(unstated).part(battery).shown()
            }
        }
        Some(_) => {
            // By the millivolts over a fuse of which nobody knows the rating little can be told.
            let least = most_through(vehicle, &readings, &totals, |ohms| ohms.high);
            let mut cases = totals
                .iter()
                .filter_map(|&at| closure(vehicle, &readings[at], &tops, &least));
            let unrated = unrated(context, &readings, &tops);
            if cases.any(|case| case.unread.is_empty() && case.left(explained) > 0.0)
                && !unrated.is_empty()
            {
                Gap::of(unrated).part(battery).shown()
            } else {
                Verdict::NoneShown
            }
        }
        None => {
            let least = cases.iter().min_by_key(|case| case.unread.len());
            let missing = least.map_or_else(Vec::new, |case| {
                let names = case.unread.iter().map(|&fuse| context.name(fuse));
                names
                    .map(|name| format!("readings: across {name}"))
                    .collect()
            });
            if missing.is_empty() {
                return Vec::new();
            }
            Gap::of(missing).part(battery).shown()
        }
    };
    vec![verdict]
}

/// Facts without which nobody knows how much is drawn past the fuses.
fn unstated(context: &Context<'_>) -> Vec<String> {
    let vehicle = context.vehicle;
    let own = vehicle.own_off.is_none();
    let mut facts: Vec<String> = Vec::new();
    facts.extend(own.then(|| "vehicle.own-load.off".to_owned()));
    let past = |end: TerminalId| {
        let ways = context.walks.protections_ahead(vehicle, end);
        ways.iter().any(|(_, parts)| {
            let mut kinds = parts.iter().map(|&part| vehicle.part(part).kind);
            !kinds.any(key_off::is_fuse)
        })
    };
    for consumer in &context.walks.consumers {
        let inside = vehicle.branch(consumer.branch);
        // Of what states its draw at least the most is known.
        if context.key_off(consumer.part).is_none() && (past(inside.from) || past(inside.to)) {
            for fact in context.lacking_key_off(context.name(consumer.part)) {
                if !facts.contains(fact) {
                    facts.push(fact.clone());
                }
            }
        }
    }
    facts
}

/// Fuses that were read across and whose resistance is open because their rating is not stated.
fn unrated(context: &Context<'_>, readings: &[Taken], tops: &BTreeSet<PartId>) -> Vec<String> {
    let across = readings.iter().filter_map(|taken| match taken.shown {
        Shown::Across(fuse, _) => Some(fuse),
        _ => None,
    });
    let fuses = across.filter(|fuse| tops.contains(fuse));
    let parts = fuses.map(|fuse| context.vehicle.part(fuse));
    parts
        .filter(|part| {
            part.stated::<Amps>("rating").is_none() && part.fields.quantity("resistance").is_none()
        })
        .map(|part| part.missing("rating"))
        .collect()
}

/// Fuses that no other fuse feeds and that can carry current with the key off.
fn tops(context: &Context<'_>) -> BTreeSet<PartId> {
    let vehicle = context.vehicle;
    let feeders = key_off::feeders(vehicle);
    feeders
        .iter()
        .filter(|(_, above)| above.is_empty())
        .map(|(&fuse, _)| fuse)
        .filter(|&fuse| vehicle.part(fuse).status != Status::Planned)
        .filter(|&fuse| !context.solved.is_dead(vehicle, fuse))
        .collect()
}

/// By fuse: the most that can flow through it, by its millivolts over one end of its resistance, or by what pulling it took away.
fn most_through(
    vehicle: &Vehicle,
    readings: &[Taken],
    totals: &[usize],
    end: fn(Interval<Ohms>) -> Ohms,
) -> BTreeMap<PartId, f64> {
    let mut most: BTreeMap<PartId, f64> = BTreeMap::new();
    let mut learn = |fuse: PartId, amps: f64| {
        most.entry(fuse)
            .and_modify(|known| *known = known.min(amps))
            .or_insert(amps);
    };
    for taken in readings {
        if let Shown::Across(fuse, measured) = taken.shown
            && taken.key == crate::model::Key::Off
            && !taken.otherwise
            && !taken.out.contains(&fuse)
            && key_off::is_fuse(vehicle.part(fuse).kind)
            && let Some(&branch) = vehicle.part(fuse).branches.first()
            && let Element::Joint(ohms) = vehicle.branch(branch).element
        {
            let volts = measured.range.high.0.max(-measured.range.low.0);
            learn(fuse, volts / end(ohms.range).0.max(1e-9));
        }
    }
    let whole = |at: usize| reading::whole(vehicle, &readings[at]);
    for (&with, &without) in totals
        .iter()
        .flat_map(|a| totals.iter().map(move |b| (a, b)))
    {
        let (out, then) = (&readings[with].out, &readings[without].out);
        let mut more = then.difference(out);
        if let (Some(&fuse), None) = (more.next(), more.next())
            && out.is_subset(then)
            && let (Some(before), Some(after)) = (whole(with), whole(without))
        {
            let took = before.range.high - after.range.low;
            learn(fuse, took.0.max(0.0));
        }
    }
    most
}

/// A total against the fuses that were in.
struct Closure {
    /// The reading's number.
    number: usize,
    /// At least so much was drawn.
    total: f64,
    /// At most so much through fuses.
    through: f64,
    /// Fuses that were in and of which nothing was read.
    unread: Vec<PartId>,
}

impl Closure {
    /// At least so much is left over.
    fn left(&self, explained: f64) -> f64 {
        self.total - self.through - explained
    }
}

fn closure(
    vehicle: &Vehicle,
    taken: &Taken,
    tops: &BTreeSet<PartId>,
    most: &BTreeMap<PartId, f64>,
) -> Option<Closure> {
    let total = reading::whole(vehicle, taken)?.range.low.0;
    let mut case = Closure {
        number: taken.number,
        total,
        through: 0.0,
        unread: Vec::new(),
    };
    for fuse in tops.iter().filter(|fuse| !taken.out.contains(fuse)) {
        match most.get(fuse) {
            Some(amps) => case.through += amps,
            None => case.unread.push(*fuse),
        }
    }
    Some(case)
}

fn tell(readings: &[Taken], case: &Closure, explained: f64, battery: PartId) -> Verdict {
    let at = readings[case.number - 1].at;
    let left = Amps(case.left(explained));
    Finding::new(
        at,
        format!(
            "at least {} of reading {} flows past the fuses: {} in all, at most {} through them, and {} besides is explained",
            words::show(left),
            case.number,
            words::show(Amps(case.total)),
            words::show(Amps(case.through)),
            words::show(Amps(explained)),
        ),
    )
    .label("more than flows through the fuses")
    .part(battery)
    .value(left)
    .help("pull no more fuses: lift the ring terminals at the battery posts one at a time, then the alternator's cable (a leaking diode) and the starter's, look for a second battery or a trailer's feed, and clean the battery's top")
    .source("the sum of the branches against the total; the resistance of fuses by `keyoff tables fuse-resistance`")
    .step(
        format!(
            "{} - {} - {} = {}",
            words::show(Amps(case.total)),
            words::show(Amps(case.through)),
            words::show(Amps(explained)),
            words::show(left)
        ),
        "least of the total, most of each fuse, most of what the record has past them",
    )
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
  F2: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 350 mA}
  - {pulled: [F1, F2], current: 348 mA}
  - {refitted: F2, after: 40 min, current: 349 mA}
",
            "B1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 350 mA}
  - {across: F1, drop: 0.0 mV}
  - {across: F2, drop: 0.2 mV}
",
            "B1",
        ),
        // Of the radio nobody knows what it takes, but it is behind a fuse; of the clock it is known what it takes at most.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SLOT: {kind: feed, hot-in: always, rating: 10 A, limit: 10 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics, draw: 100 mA}
  RADIO: {kind: load, type: electronics}
wires:
  - {from: SLOT, to: CLOCK, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
readings:
  - {after: 40 min, current: 350 mA}
  - {across: F1, drop: 0.0 mV}
",
            "B1",
        ),
        // One fuse out at a time, and one reading from before it slept. What the clock takes flows through its fuse.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics, draw: 0.1 A, parked: 40 mA, stays-live: keeps time}
wires:
  - {run: [B1, F1, CLOCK], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
readings:
  - {current: 1.310 A}
  - {after: 40 min, current: 350 mA}
  - {pulled: F1, current: 310 mA}
  - {refitted: F1, pulled: F2, after: 40 min, current: 350 mA}
",
            "B1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 350 mA}
  - {across: F1, drop: 0.0 mV}
  - {across: F2, drop: 6.1 mV}
",
        // The meter the wrong way round.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 350 mA}
  - {across: F1, drop: -6.1 mV}
",
        // Whatever the fuse is rated, the vehicle's own draw explains it all.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, form: blade}
readings:
  - {after: 40 min, current: 11 mA}
  - {across: F1, drop: 0.0 mV}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 350 mA}
  - {across: F1, drop: 0.0 mV}
",
            "readings: across F2",
        ),
        // A large fuse would pass it all with so little lost, a small one would not.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, form: blade}
readings:
  - {after: 40 min, current: 150 mA}
  - {across: F1, drop: 0.0 mV}
",
            "F1.rating",
        ),
        (
            "
vehicle: {name: a truck, system: 12 V}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 350 mA}
  - {across: F1, drop: 0.0 mV}
",
            "vehicle.own-load.off",
        ),
        // What hangs on a feed of the vehicle's own may be all of it; what is behind the fuse is not.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  SLOT: {kind: feed, hot-in: always, rating: 10 A, limit: 10 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  CLOCK: {kind: load, type: electronics}
  RADIO: {kind: load, type: electronics}
wires:
  - {from: SLOT, to: CLOCK, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F1, RADIO], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
readings:
  - {after: 40 min, current: 350 mA}
  - {across: F1, drop: 0.0 mV}
",
            "CLOCK.draw",
        ),
    ],
};
