//! The battery does not start the engine after the time that the vehicle must be able to stand.

use super::standing;
use crate::analyze::endurance;
use crate::analyze::endurance::Battery;
use crate::analyze::endurance::Standing;
use crate::analyze::park;
use crate::analyze::park::Bank;
use crate::analyze::park::Parked;
use crate::check::prelude::*;
use crate::model::Fact;
use crate::quantity::AmpHours;
use crate::quantity::Interval;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::solve::Solver;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "standing-time-short",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "the engine no longer starts after the time that the vehicle must be able to stand",
        page: include_str!("../../../docs/checks/standing-time-short.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let parked = standing::parked(context);
    let Some(bank) = parked.starter() else {
        return Vec::new();
    };
    let mut missing = bank.missing.clone();
    let Some(stands) = context.vehicle.stands else {
        missing.push("vehicle.stands".to_owned());
        return vec![Gap::of(missing).part(bank.part).shown()];
    };
    let Some(known) = &bank.battery else {
        return vec![Gap::of(missing).part(bank.part).shown()];
    };
    // Nothing drawn is judged too: the battery still loses charge by itself.
    let time = endurance::standing(known, parked.at);
    // What is not stated can only shorten the time: a time that is too short without it is too short.
    missing.extend(standing::unknown_draws(context));
    let verdict = if time.days.high < stands.range.low.days() {
        if context.parts_of(&[Kind::Cutoff]).next().is_some() {
            guarded(context, &parked, bank, (&time, stands), missing)
        } else {
            fault(context, bank, &time, stands, None)
        }
    } else if !missing.is_empty() {
        Gap::of(missing).part(bank.part).shown()
    } else if time.days.low >= stands.range.high.days() {
        Verdict::NoneShown
    } else {
        let mut missing = standing::ranged(context, bank);
        if !stands.range.is_exact() {
            missing.push("vehicle.stands".to_owned());
        }
        if missing.is_empty() {
            missing.push(format!(
                "its days: {}, {} wanted",
                said(&time),
                standing::days(stands.range)
            ));
        }
        Gap::of(missing).part(bank.part).shown()
    };
    vec![verdict]
}

/// Where something cuts off, the days are followed with every cutoff opening when it does.
fn guarded(
    context: &Context<'_>,
    parked: &Parked,
    bank: &Bank,
    (time, stands): (&Standing, Fact<Seconds>),
    mut missing: Vec<String>,
) -> Verdict {
    let ends = park::follow(&mut Solver::new(context.vehicle), parked).ends;
    let by = |days: Seconds| ends.is_some_and(|ends| ends < days);
    // What may be asleep was followed awake; all else that is not stated only makes it shorter.
    let asleep = missing.iter().any(|fact| fact.ends_with(".parked"));
    if by(stands.range.low) && !asleep {
        return fault(context, bank, time, stands, ends);
    }
    if missing.is_empty() && by(stands.range.high) {
        missing.push("vehicle.stands".to_owned());
    }
    if missing.is_empty() {
        Verdict::NoneShown
    } else {
        Gap::of(missing).part(bank.part).shown()
    }
}

fn span(time: &Standing) -> Interval<Seconds> {
    let seconds = |days: f64| Seconds(days * 86_400.0);
    Interval::between(seconds(time.days.low), seconds(time.days.high))
}

fn said(time: &Standing) -> String {
    standing::days(span(time))
}

/// `followed` is what came of following it with every cutoff opening.
fn fault(
    context: &Context<'_>,
    bank: &Bank,
    time: &Standing,
    stands: Fact<Seconds>,
    followed: Option<Seconds>,
) -> Verdict {
    let key_off = &context.solved.key_off;
    let battery = context.vehicle.part(bank.part);
    let drawing: Vec<_> = key_off
        .by_part
        .iter()
        .filter(|draw| draw.only_if.is_none() && draw.current > super::NOTHING)
        .collect();
    let names: Vec<String> = drawing
        .iter()
        .map(|draw| format!("{} {}", context.name(draw.part), words::show(draw.current)))
        .collect();
    let taken = if names.is_empty() {
        String::new()
    } else {
        format!(" ({})", words::list(&names, 5))
    };
    let wanted = standing::days(stands.range);
    let are = if wanted == "1 day" { "is" } else { "are" };
    let first = bank.battery.as_ref().and_then(Battery::extra);
    // What is next to nothing of the usable charge is left to the arithmetic below.
    let at_first = first.filter(|&(extra, _)| extra > 0.05 * time.usable.0);
    let at_first = at_first.map_or_else(String::new, |(extra, hours)| {
        format!(
            " and {} beyond that go until {} after key-off",
            words::show(AmpHours(extra)),
            words::show(Seconds::from_hours(hours))
        )
    });
    let never = time.floor_low > 1.0;
    let lasts = followed.map_or_else(|| span(time), Interval::exact);
    let who = called(context, bank);
    let at = words::show(time.at);
    let message = if never {
        format!("{who} cannot start the engine at {at} even when full, and {wanted} {are} wanted")
    } else {
        format!(
            "{who} starts the engine for {} at {at} while {} are drawn{taken}{at_first}, and {wanted} {are} wanted",
            standing::days(lasts),
            words::range(key_off.range),
        )
    };
    let mut finding = Finding::new(stands.at().unwrap_or(battery.name.at), message)
    .label("longer than the battery stands")
    .part(bank.part)
    .parts(
        drawing
            .iter()
            .map(|draw| draw.part)
            .filter(|&part| context.vehicle.own_load != Some(part)),
    )
    .measured(
        lasts.high,
        stands.range.low,
        "the record's own `stands`",
    )
    .help(
        "stop or shorten the largest draws, put a cutoff ahead of them, or keep the battery on a charger while the vehicle stands",
    )
    .also(battery.name.at, format!("gives {} until its floor", words::show(time.usable)));
    if let Some(most) = drawing.first() {
        finding = finding.also(
            context.vehicle.part(most.part).name.at,
            format!("takes {}", words::show(most.current)),
        );
    }
    let first = first.map_or_else(String::new, |(extra, hours)| {
        format!(
            ", less {} that go beyond the settled draw until {} after key-off",
            words::show(AmpHours(extra)),
            words::show(Seconds::from_hours(hours))
        )
    });
    if never {
        let share = format!("{:.1} times", time.floor);
        return finding
            .step(
                format!(
                    "{} asks for {share} of what a full battery gives at {at}",
                    time.floor_by.text()
                ),
                "the charge that starting takes, against a full battery",
            )
            .shown();
    }
    if followed.is_some() {
        return finding
            .step(
                format!(
                    "followed with every cutoff opening when it does, it lasts {}",
                    standing::days(lasts)
                ),
                "the network solved as the battery goes down, every input at its likely value",
            )
            .shown();
    }
    finding
        .step(
            format!(
                "{} above a floor of {:.0} % (set by {}){first}, less what the battery loses by itself = {:.1} days",
                words::show(time.usable),
                time.floor * 100.0,
                time.floor_by.text(),
                time.days.likely,
            ),
            "usable charge / (24 h x draw + self-discharge a day), every input at its likely value; what flows before everything has settled comes off first",
        )
        .shown()
}

/// The battery, and those that go down with it.
fn called(context: &Context<'_>, bank: &Bank) -> String {
    let battery = words::called(context.vehicle.part(bank.part));
    if bank.with.is_empty() {
        return battery;
    }
    let with: Vec<&str> = bank.with.iter().map(|&part| context.name(part)).collect();
    format!("{battery} with {}", words::list(&with, 5))
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // Full, it gives a fifth of what this engine asks for in such cold.
        (
            "
vehicle: {name: hard winter, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 500 A}, own-load: {off: 10 mA, run: 20 A}, stands: 1 day}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 50 Ah, cold-cranking: 380 A, age: 4 years}
",
            "B1",
        ),
        // 4 A for 12 h are 48 Ah, more than half of 80 Ah; settled it would stand for months.
        (
            "
vehicle: {name: runs on, system: 12 V, climate: {parked: 0 C}, engine: {cranking: 200 A}, own-load: {off: 10 mA, run: 20 A}, stands: 14 days}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
  T: {kind: feed, hot-in: [run], stays-on: 12 h, limit: 10 A, rating: 10 A}
  L: {kind: load, type: led, draw: 4 A}
wires:
  - {from: T, to: L, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "B1",
        ),
        // The one of the pair that the radio is tapped from is down first, and the radio stays awake for a while.
        (
            "
vehicle: {name: tapped, system: 24 V, climate: {parked: 0 C}, engine: {cranking: 200 A}, own-load: {off: 10 mA, run: 20 A}, stands: 60 days}
parts:
  UP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
  LOW: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
  L: {kind: load, type: electronics, rated-voltage: 12 V, draw: 1 A, parked: 60 mA, settles: {draw: 1 A, for: 6 h}}
wires:
  - {from: UP.-, to: LOW.+, size: 2/0 AWG, length: 30 cm, insulation: gxl}
  - {from: LOW.-, to: chassis, size: 2/0 AWG, length: 30 cm, insulation: gxl}
  - {from: LOW, to: L, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "LOW",
        ),
        // The cutoff opens, and what hangs ahead of it goes on.
        (
            "
vehicle: {name: guarded in vain, system: 12 V, climate: {parked: 10 C}, engine: {cranking: 200 A}, own-load: {off: 5 mA, run: 20 A}, stands: 20 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.5 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  HEAT: {kind: load, type: electronics, draw: 0.4 A, parked: 0.4 A, stays-live: keeps the sample warm}
  BOX: {kind: load, type: electronics, draw: 0.4 A, parked: 0.2 A, stays-live: keeps the door}
wires:
  - {run: [B1, F1, LVD, HEAT], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: F1, to: BOX, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "B1",
        ),
        // The half ampere-hour that the radio takes until its feed goes off is not worth a word, and what a switch has to be left on
        // for is none of it.
        (
        "
vehicle: {name: stands long, system: 12 V, climate: {parked: -10 C}, engine: {cranking: 200 A}, own-load: {off: 10 mA, run: 20 A}, stands: 40 days}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
  F1: {kind: fuse, rating: 5 A, form: blade}
  TRACKER: {kind: load, type: electronics, draw: 0.2 A, parked: 38 mA, stays-live: reports its place}
  ACC: {kind: feed, hot-in: [run], stays-on: 1 h, limit: 10 A, rating: 10 A}
  RADIO: {kind: load, type: led, draw: 0.5 A}
  S1: {kind: switch, rating: 5 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {from: ACC, to: RADIO, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, S1, LAMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [B1, F1, TRACKER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        "B1",
        ),
    ],
    quiet: &[
        // A cutoff ends the large draw while there is enough left.
        "
vehicle: {name: guarded, system: 12 V, climate: {parked: 10 C}, engine: {cranking: 200 A}, own-load: {off: 5 mA, run: 20 A}, stands: 20 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.5 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  HEAT: {kind: load, type: electronics, draw: 0.4 A, parked: 0.4 A, stays-live: keeps the sample warm}
wires:
  - {run: [B1, F1, LVD, HEAT], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        // A delay that runs on for an hour takes 3 Ah of some 30.
        "
vehicle: {name: runs on, system: 12 V, climate: {parked: -10 C}, engine: {cranking: 200 A}, own-load: {off: 10 mA, run: 20 A}, stands: 14 days}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year, charge: 100 %}
  T: {kind: feed, hot-in: [run], stays-on: 1 h, limit: 10 A, rating: 10 A}
  L: {kind: load, type: led, draw: 3 A}
wires:
  - {from: T, to: L, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "
vehicle: {name: stands two weeks, system: 12 V, climate: {parked: -10 C}, engine: {cranking: 200 A}, own-load: {off: 10 mA, run: 20 A}, stands: 14 days}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
",
        // Nothing is drawn: it only loses charge by itself.
        "
vehicle: {name: nothing drawn, system: 12 V, climate: {parked: 10 C}, engine: {cranking: 200 A}, own-load: {off: 0 mA, run: 20 A}, stands: 30 days}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
",
    ],
    cannot: &[
        // Guarded it would last, but for what the vehicle itself takes, and for the box that may sleep or not.
        (
            "
vehicle: {name: guarded, system: 12 V, climate: {parked: 10 C}, engine: {cranking: 200 A}, stands: 20 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.5 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  HEAT: {kind: load, type: electronics, draw: 0.4 A, parked: 0.4 A, stays-live: keeps the sample warm}
  BOX: {kind: load, type: electronics, draw: 0.4 A}
wires:
  - {run: [B1, F1, LVD, HEAT], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: F1, to: BOX, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "BOX.parked",
        ),
        // How long the box stays awake decides: it takes 2 or 24 of the 40 Ah that starting leaves, and the rest goes at half an
        // ampere-hour a day. How long some others go on is known.
        (
            "
vehicle: {name: a box that settles, system: 12 V, climate: {parked: 25 C}, engine: {cranking: 200 A}, own-load: {off: 10 mA, run: 20 A}, stands: 45 days}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  BOX: {kind: load, type: electronics, draw: 2 A, parked: 10 mA, settles: {draw: 2 A, for: 1..12 h}, stays-live: keeps time}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 0 mA, settles: {draw: 0.1 A, for: 1 min}}
  STEP: {kind: delay, keeps-on: 1 min, draw: 0 mA, rating: 10 A}
  DOME: {kind: delay, keeps-on: 1..2 h, draw: 0 mA, rating: 10 A}
  T: {kind: feed, hot-in: [run], stays-on: 1 min, limit: 10 A, rating: 10 A}
  ACC: {kind: feed, hot-in: [run], stays-on: 1..2 h, limit: 10 A, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 0.2 A}
  LAMP2: {kind: load, type: led, draw: 0.2 A}
wires:
  - {from: F1, to: RADIO, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, STEP, LAMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: T, to: LAMP2, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, DOME, LAMP], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: ACC, to: LAMP2, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [B1, F1, BOX], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "BOX.settles",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
",
            "vehicle.stands",
        ),
        (
            "
vehicle: {name: no capacity, system: 12 V, engine: {cranking: 200 A}, own-load: {off: 10 mA, run: 20 A}, stands: 14 days}
parts:
  B1: {kind: battery, chemistry: agm, cold-cranking: 800 A}
",
            "B1.capacity",
        ),
        (
            "
vehicle: {name: no cranking, system: 12 V, own-load: {off: 10 mA, run: 20 A}, stands: 14 days}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
",
            "vehicle.engine.cranking",
        ),
        // Whether it stands so long depends on how full it was parked.
        (
            "
vehicle: {name: it depends, system: 12 V, climate: {parked: -10 C}, engine: {cranking: 200 A}, own-load: {off: 15 mA, run: 20 A}, stands: 60 days}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, health: 95 %}
",
            "B1.charge",
        ),
    ],
};
