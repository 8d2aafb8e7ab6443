//! A feed or key terminal that is off and live all the same, from another supply.

use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Key;
use crate::read::document::Kind;
use crate::solve::BackFed;
use crate::solve::Backwards;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "feeds-back",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "a feed or key terminal that should be dead is live from elsewhere",
        page: include_str!("../../../docs/checks/feeds-back.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let explored = &context.solved.explored;
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Feed, Kind::KeySwitch]) {
        // Taken as live at all times, it is not looked at.
        if part.kind == Kind::Feed && part.fields.list("hot-in").is_empty() {
            verdicts.push(Gap::of([part.missing("hot-in")]).part(id).shown());
            continue;
        }
        let mut back: Vec<&BackFed> = explored
            .back_fed
            .iter()
            .filter(|back| context.vehicle.branch(back.feed).part == id)
            .collect();
        // Of one terminal the smallest setting is told, with the others that do it beside it.
        back.sort_by_key(|back| (back.feed, back.seen.first().1.changes()));
        // What is live while it is off is told as such; that it is pushed back through when it is on follows from it.
        let backwards: Vec<&Backwards> = explored
            .backwards
            .iter()
            .filter(|one| context.vehicle.branch(one.feed).part == id)
            .filter(|one| back.iter().all(|back| back.feed != one.feed))
            .filter(|one| !of_one_bank(context, one))
            .collect();
        let before = verdicts.len();
        let mut at = 0;
        while at < back.len() {
            let same = back[at..]
                .iter()
                .take_while(|one| one.feed == back[at].feed)
                .count();
            verdicts.push(fault(context, &back[at..at + same]).shown());
            at += same;
        }
        let mut told: Vec<BranchId> = Vec::new();
        for one in &backwards {
            if !told.contains(&one.feed) {
                told.push(one.feed);
                let others = backwards.iter().filter(|other| other.feed == one.feed);
                verdicts.push(pushed_back(context, one, others.copied()).shown());
            }
        }
        if verdicts.len() == before {
            verdicts.push(if explored.complete {
                Verdict::NoneShown
            } else {
                Gap::of([context.not_explored()]).part(id).shown()
            });
        }
    }
    verdicts
}

/// Batteries that the record calls one bank even out over whatever joins them: whether all that can reach the feed's end are of
/// one.
fn of_one_bank(context: &Context<'_>, one: &Backwards) -> bool {
    let vehicle = context.vehicle;
    let end = vehicle.branch(one.feed).to;
    let mut first = None;
    for (number, source) in context.walks.sources.iter().enumerate() {
        let part = vehicle.part(source.part);
        // An alternator stands on a battery.
        if part.kind == Kind::Alternator || context.walks.way_up(vehicle, number, end).is_none() {
            continue;
        }
        let Some(bank) = part.fields.text("bank").map(|bank| bank.value.as_str()) else {
            return false;
        };
        if *first.get_or_insert(bank) != bank {
            return false;
        }
    }
    true
}

/// Current runs back through a feed that is on.
fn pushed_back<'b>(
    context: &Context<'_>,
    one: &Backwards,
    others: impl Iterator<Item = &'b Backwards>,
) -> Finding {
    let vehicle = context.vehicle;
    let feed = vehicle.branch(one.feed);
    let part = vehicle.part(feed.part);
    let from = vehicle.part(vehicle.branch(one.from).part);
    let name = &vehicle.terminal(feed.to).label;
    let worst = &one.seen;
    let key = match worst.setting.key {
        Some(Key::Off) | None => "with the key off".to_owned(),
        Some(key) => format!("with the key in {}", key.text()),
    };
    let at = if part.kind == Kind::Feed {
        part.at("hot-in")
    } else {
        part.name.at
    };
    let finding = Finding::new(
        at,
        format!(
            "{} runs back through {name} {key}{}: {} feeds the vehicle's own circuits through it",
            words::show(worst.value.abs()),
            words::when(&worst.setting),
            words::called(from)
        ),
    )
    .label("current runs back through this")
    .part(feed.part)
    .part(vehicle.branch(one.from).part)
    .value(worst.value.abs())
    .setting(worst.first().1.clone())
    .worst(worst.setting.clone())
    .source("the network solved in every setting: the direction of the current")
    .help(format!(
        "put a diode or an isolator between {name} and {}, or keep the two supplies apart",
        from.name.value
    ));
    others.fold(finding, |finding, other| {
        let part = vehicle.branch(other.from).part;
        finding
            .also(vehicle.part(part).name.at, "feeds it from here")
            .part(part)
    })
}

fn fault(context: &Context<'_>, back: &[&BackFed]) -> Finding {
    let vehicle = context.vehicle;
    let first = back[0];
    let feed = vehicle.branch(first.feed);
    let part = vehicle.part(feed.part);
    let origin = |back: &BackFed| vehicle.branch(back.from).part;
    let from = vehicle.part(origin(first));
    let name = &vehicle.terminal(feed.to).label;
    let smallest = first.seen.first().1;
    let key = match smallest.key {
        Some(key) => format!("the key in {}", key.text()),
        None => "the key off".to_owned(),
    };
    let when = words::when(smallest);
    let worst = back
        .iter()
        .map(|one| &one.seen)
        .max_by(|a, b| a.value.0.abs().total_cmp(&b.value.0.abs()))
        .unwrap_or(&first.seen);
    let at = if part.kind == Kind::Feed {
        part.at("hot-in")
    } else {
        part.name.at
    };
    let consequence = match &feed.element {
        Element::Contact {
            control: Control::Hot { hot, .. },
            ..
        } if hot.keys == [Key::Start] => "the starter can turn by itself",
        Element::Contact {
            control: Control::Hot { hot, .. },
            ..
        } if hot.keys.contains(&Key::Run) || hot.engine => {
            "whatever hangs on it goes on, and an engine may keep running"
        }
        _ => "whatever hangs on it goes on",
    };
    let mut finding = Finding::new(
        at,
        format!(
            "{name} is off with {key} and live from {} all the same{when}: {consequence}",
            words::called(from)
        ),
    )
    .label("live from elsewhere")
    .part(feed.part)
    .part(origin(first))
    .value(worst.value)
    .setting(smallest.clone())
    .worst(worst.setting.clone())
    .source("the network solved in every setting: a way from a source over conductors alone")
    .help(format!(
        "take one of the two supplies off, put a diode into each so that neither feeds the other, or let a relay turn the load over from {name} to {}",
        from.name.value
    ));
    for one in back {
        let other = origin(one);
        finding = finding
            .also(vehicle.part(other).name.at, "feeds it from here")
            .part(other);
    }
    finding
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // A lamp that is wanted with the key off too, on a second fuse.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "RUN",
        ),
        // A second battery is joined to what the feed supplies while the feed is on, and stands higher than the first.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F2: {kind: fuse, rating: 30 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A, battery: B1}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {run: [B2, F2, K1.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 10 AWG, length: 1 m, insulation: gxl}
",
            "RUN",
        ),
        // Accessory and run tied together: run is live in accessory.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  KEY: {kind: key-switch, rating: 30 A}
  RADIO: {kind: load, type: electronics, draw: 2 A}
wires:
  - {run: [B1, F1, KEY.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: KEY.15, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: KEY.15R, to: RADIO, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "KEY",
        ),
        // One diode of the two is missing.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  D1: {kind: diode, rating: 10 A, drop: 0.7 V}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, S1, D1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m, 1 m], insulation: gxl}
",
            "RUN",
        ),
        // The same, the relay on a feed of its own: the lamp is dead with the key off, but while the key is on and the first battery
        // carries the vehicle's own load, the second one carries a part of that through the feed.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F2: {kind: fuse, rating: 30 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A, battery: B1}
  RUN2: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A, battery: B1}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN2, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {run: [B2, F2, K1.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 10 AWG, length: 1 m, insulation: gxl}
",
            "RUN",
        ),
        // A start button beside the key, and a lamp switch on the wire of a feed that is live in accessory alone.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  KEY: {kind: key-switch, rating: 30 A}
  S1: {kind: switch, rating: 20 A, momentary: true}
  S2: {kind: switch, rating: 10 A}
  ACC: {kind: feed, hot-in: [accessory], rating: 10 A, limit: 10 A}
  SOL: {kind: load, type: motor, draw: 8 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, KEY.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: KEY.50, to: SOL, size: 10 AWG, length: 2 m, insulation: gxl}
  - {run: [F1, S1, SOL], size: 10 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: ACC, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [F1, S2, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "ACC",
        ),
        // A second battery that a control box joins in while the key is in run, of a bank of its own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, bank: start}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, bank: house}
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  BOX: {kind: controller, type: electronics, draw: 0.2 A, parked: 1 mA, outputs: {OUT: {limit: 2 A, hot-in: [run]}}}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, BOX.+], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: BOX.OUT, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {run: [B2, F2, K1.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 10 AWG, length: 1 m, insulation: gxl}
",
            "RUN",
        ),
    ],
    quiet: &[
        // One bank, its two posts joined by a cable: what the second battery gives may take the way through lamp, feed and key too.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, bank: main}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, bank: main}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  KEY: {kind: key-switch, rating: 30 A}
  RUN: {kind: feed, hot-in: [run, start], rating: 10 A, limit: 10 A, battery: B1}
  RUN2: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A, battery: B1}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 10 mA}
wires:
  - {from: B2, to: B1, size: 2/0 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, KEY.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: KEY.15, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN2, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {run: [B2, F2, K1.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 10 AWG, length: 1 m, insulation: gxl}
",
        // A diode in each.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  D1: {kind: diode, rating: 10 A, drop: 0.7 V}
  D2: {kind: diode, rating: 10 A, drop: 0.7 V}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, D2, LAMP], size: 14 AWG, lengths: [2 m, 1 m], insulation: gxl}
  - {run: [B1, F1, S1, D1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m, 1 m], insulation: gxl}
",
        // A relay that the key pulls in turns the lamp over from one supply to the other.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.87, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, S1, K1.87a], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: K1.30, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: TAP, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        "TAP.hot-in",
    )],
};
