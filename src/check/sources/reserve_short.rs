//! Ten minutes of the loads that have to be carried take more than half of the battery's reserve.

use super::average;
use super::reach::reach;
use crate::analyze::budget;
use crate::analyze::park;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Engine;
use crate::model::Fact;
use crate::model::PartId;
use crate::model::Situation;
use crate::model::TerminalId;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Interval;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "reserve-short",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "ten minutes of the loads that have to be carried, engine stopped, take more than half of the reserve",
        page: include_str!("../../../docs/checks/reserve-short.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// What the test may take.
const HALF: Fraction = Fraction(0.5);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let parked = park::park(vehicle, &context.solved.key_off);
    let Some(bank) = parked.starter() else {
        return Vec::new();
    };
    let mut missing = Vec::new();
    if bank.battery.is_none() {
        missing.push(vehicle.part(bank.part).missing("capacity"));
    }
    if vehicle.own_run.is_none() {
        missing.push("vehicle.own-load.run".to_owned());
    }
    let minimum = minimum(context, bank);
    missing.extend(minimum.missing.iter().cloned());
    let cannot = |missing: Vec<String>| vec![Gap::of(missing).part(bank.part).shown()];
    let Some(share) = share(context, bank, minimum.range) else {
        return cannot(missing);
    };
    match weigh(share, Interval::exact(HALF)) {
        Weighed::Above => vec![fault(context, bank, minimum.range, share)],
        _ if !missing.is_empty() => cannot(missing),
        Weighed::Within => vec![Verdict::NoneShown],
        Weighed::Depends => cannot(open(context, bank, minimum)),
    }
}

/// The vehicle's own load and what the law or the record requires, with everything on and the engine stopped.
struct Minimum {
    range: Interval<Amps>,
    /// Draws that are not stated, and so not in it.
    missing: Vec<String>,
    /// Facts that are known as a range only.
    open: Vec<String>,
}

fn minimum(context: &Context<'_>, bank: &park::Bank) -> Minimum {
    let vehicle = context.vehicle;
    let mut minimum = Minimum {
        range: Interval::exact(Amps::ZERO),
        missing: Vec::new(),
        open: Vec::new(),
    };
    let mut situations = context.solved.situations.iter();
    let all_on = situations.find(|(situation, _)| situation.name == "all on");
    let Some((all_on, _)) = all_on else {
        return minimum;
    };
    let stopped = Situation {
        engine: Engine::Stopped,
        ..all_on.clone()
    };
    let mut solver = Solver::new(vehicle);
    let solution = solver.solve(&State::of(&stopped), &Memory::charged(vehicle));
    // What another battery feeds by then does not come out of this one.
    let sources = &context.walks.sources;
    let is_bank = |at: usize| {
        let part = sources[at].part;
        part == bank.part || bank.with.contains(&part)
    };
    let posts: Vec<TerminalId> = (0..sources.len())
        .filter(|&at| vehicle.part(sources[at].part).kind == Kind::Battery)
        .filter(|&at| context.walks.stack(at).into_iter().any(is_bank))
        .map(|at| sources[at].plus)
        .collect();
    let fed = reach(context, &solution, posts);
    let counts = |part: PartId| {
        let mut branches = vehicle.part(part).branches.iter();
        vehicle.own_load == Some(part)
            || vehicle.part(part).fields.flag("required")
                && branches.any(|&id| fed.contains(&vehicle.branch(id).from))
    };
    let takes = average::range(context, &stopped, &solution, counts);
    let rest = average::range(context, &stopped, &solution, |_| false);
    minimum.range = Interval::between(takes.low - rest.low, takes.high - rest.high);
    minimum.open = average::open(context, &stopped, &solution, counts);
    let consumers = context.walks.consumers.iter();
    minimum.missing = consumers
        .filter(|one| counts(one.part))
        .filter(|one| solution.live[vehicle.branch(one.branch).from.index()])
        .filter_map(|one| flow::unstated(context, one))
        .collect();
    minimum
}

/// Reserve minutes of the record, which are those of one battery, and how many stand side by side under its name. Those of one say
/// nothing of others beside it.
fn minutes(context: &Context<'_>, bank: &park::Bank) -> Option<(Fact<Seconds>, u32)> {
    let stated = context.vehicle.part(bank.part).stated::<Seconds>("reserve");
    let mut batteries = context.vehicle.batteries.iter();
    let count = batteries.find(|battery| battery.part == bank.part)?.count;
    stated
        .filter(|_| bank.with.is_empty())
        .map(|stated| (stated, count))
}

/// What ten minutes take of the reserve, at best and at worst.
fn share(
    context: &Context<'_>,
    bank: &park::Bank,
    current: Interval<Amps>,
) -> Option<Interval<Fraction>> {
    let Some((minutes, count)) = minutes(context, bank) else {
        return budget::reserve_range(context.vehicle, bank, current);
    };
    // Each of several gives its part of the current.
    let each = current * (1.0 / f64::from(count));
    let share = budget::reserve_range(context.vehicle, bank, each)?;
    let (least, most) = minutes.shares();
    Some(Interval::between(share.low / most, share.high / least))
}

/// What would have to be known more closely.
fn open(context: &Context<'_>, bank: &park::Bank, minimum: Minimum) -> Vec<String> {
    let part = context.vehicle.part(bank.part);
    let mut open = Vec::new();
    if let Some(known) = &bank.battery {
        let reserve = match minutes(context, bank) {
            Some((minutes, _)) => ("reserve", !minutes.range.is_exact()),
            None => ("capacity", known.capacity.low < known.capacity.high),
        };
        for (key, wide) in [("health", known.health.low < known.health.high), reserve] {
            if wide {
                open.push(part.missing(key));
            }
        }
    }
    open.extend(minimum.open);
    open
}

fn fault(
    context: &Context<'_>,
    bank: &park::Bank,
    current: Interval<Amps>,
    share: Interval<Fraction>,
) -> Verdict {
    let name = context.name(bank.part);
    let part = context.vehicle.part(bank.part);
    let key = if part.fields.get("reserve").is_some() {
        "reserve"
    } else {
        "capacity"
    };
    let each = match minutes(context, bank) {
        Some((_, count @ 2..)) => format!("{} / {count}", words::range(current)),
        _ => words::range(current),
    };
    Finding::new(
        part.at(key),
        format!(
            "ten minutes of {} with the engine stopped take {} of what {name} holds in reserve",
            words::range(current),
            words::range(share)
        ),
    )
    .label("too little for ten minutes")
    .part(bank.part)
    .measured(share.low, HALF, "NFPA 1901 reserve test: ten minutes of the minimum continuous load, then a start, as restated in public build specifications")
    .help("fit a larger battery, or cut what has to stay on while the engine stands still")
    .step(
        format!(
            "10 min / reserve minutes x ({each} / 25 A)^k = {}",
            words::range(share)
        ),
        "Peukert's law with the exponent of the battery's chemistry",
    )
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 90 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 40 Ah, cold-cranking: 400 A, health: 80 %}
",
            "B1",
        ),
        // The siren is a third of the time on, and is wanted; what the work lamp takes does not count. Each of two batteries gives half.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 40 A}}
parts:
  B1: {kind: battery, chemistry: flooded, reserve: 20 min, in-parallel: 2, cold-cranking: 400 A, health: 100 %}
  RUN: {kind: feed, hot-in: [run], rating: 120 A, limit: 120 A}
  SIREN: {kind: load, type: electronics, draw: 45 A, duty: 33 %, required: true}
  WORK: {kind: load, type: led, draw: 40 A}
wires:
  - {from: RUN, to: SIREN, size: 4 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: WORK, size: 4 AWG, length: 2 m, insulation: 105 C}
",
            "B1",
        ),
    ],
    quiet: &[
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 30 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 90 Ah, cold-cranking: 800 A, health: 90 %}
",
        // 10 min of 20 min at 25 A: just half.
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 25 A}}
parts:
  B1: {kind: battery, chemistry: flooded, reserve: 20 min, cold-cranking: 400 A, health: 100 %}
",
        // Four with 25 min each.
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 30 A}}
parts:
  B1: {kind: battery, chemistry: flooded, reserve: 25 min, in-parallel: 4, cold-cranking: 800 A, health: 90 %}
",
        // What has to stay on hangs on the second battery, which is apart once the engine stands.
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 15 A}}
parts:
  B1: {kind: battery, chemistry: flooded, reserve: 60 min, health: 100 %, cold-cranking: 800 A}
  B2: {kind: battery, chemistry: agm, capacity: 200 Ah}
  ALT: {kind: alternator, rated: 200 A, at-idle: 120 A}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 13 V}
  F1: {kind: fuse, rating: 80 A, form: bolt-down}
  S1: {kind: switch, rating: 100 A, left: open}
  BEACONS: {kind: load, type: electronics, draw: 60 A, required: true}
wires:
  - {from: B1, to: ISO.a, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
  - {run: [B2, F1, S1, BEACONS], size: 4 AWG, lengths: [10 cm, 1 m, 1 m], insulation: 105 C}
",
        // 40 A at 12 V are some 21 A ahead of the converter, and the box takes its 60 A a tenth of the time.
        "
vehicle: {name: tanker, system: 24 V, own-load: {off: 10 mA, run: 5 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: agm, reserve: 32 min, health: 100 %}
  RUN: {kind: feed, hot-in: [run], rating: 120 A, limit: 120 A}
  CONV: {kind: converter, output: 12 V, rating: 60 A, efficiency: 90 %, standby: 5 mA}
  BEACON: {kind: load, type: electronics, draw: 40 A, rated-voltage: 12 V, required: true}
  BOX: {kind: load, type: electronics, required: true, supplies: {memory: {draw: 100 mA}, main: {draw: 60 A, duty: 10 %}}}
wires:
  - {from: RUN, to: CONV, size: 4 AWG, length: 1 m, insulation: 105 C}
  - {from: CONV, to: BEACON, size: 4 AWG, length: 1 m, insulation: 105 C}
  - {from: RUN, to: BOX.memory, size: 14 AWG, length: 1 m, insulation: 105 C}
  - {from: RUN, to: BOX.main, size: 4 AWG, length: 1 m, insulation: 105 C}
",
    ],
    cannot: &[
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 30 A}}
parts:
  B1: {kind: battery, chemistry: flooded, cold-cranking: 800 A}
",
            "B1.capacity",
        ),
        (
            "
vehicle: {name: test, system: 12 V}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 90 Ah, cold-cranking: 800 A, health: 90 %}
",
            "vehicle.own-load.run",
        ),
        // 80 Ah last 25 A for 1200 min x (80 / 500)^1.1 = 160 min; 10 / 160 x 6^1.1 = 45 % of a new one, 50 % at 90 % of its
        // health and 64 % at 70 %.
        (
            "
vehicle: {name: test, system: 12 V, engine: {cranking: 200 A}, own-load: {off: 10 mA, run: 150 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
",
            "B1.health",
        ),
        // What the siren takes is not stated, and it has to stay on; the work lamp has not, nor does the siren that is not fed.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 30 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 90 Ah, cold-cranking: 800 A, health: 90 %}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  SIREN: {kind: load, type: electronics, required: true}
  SPARE: {kind: load, type: electronics, required: true}
  WORK: {kind: load, type: led}
wires:
  - {from: RUN, to: SIREN, size: 8 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: WORK, size: 8 AWG, length: 2 m, insulation: 105 C}
",
            "SIREN.draw",
        ),
        // At 10 min of reserve it is too little, at 120 min enough. The capacity follows from it, and is no fact that is lacking.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 30 A}}
parts:
  B1: {kind: battery, chemistry: flooded, reserve: 10..120 min, cold-cranking: 800 A, health: 90 %}
",
            "B1.reserve",
        ),
        // It is not the minutes that decide here but what is drawn; those of the lamp that need not stay on do not count.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20..40 A}}
parts:
  B1: {kind: battery, chemistry: flooded, reserve: 40 min, cold-cranking: 800 A, health: 90 %}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  SIREN: {kind: load, type: electronics, draw: 5..20 A, required: true}
  WORK: {kind: load, type: led, draw: 5..20 A}
wires:
  - {from: RUN, to: SIREN, size: 8 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: WORK, size: 8 AWG, length: 2 m, insulation: 105 C}
",
            "vehicle.own-load.run",
        ),
        // Of two batteries that stand side by side the minutes of one say nothing; the capacity is taken from them as a range.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 40 A}}
parts:
  B1: {kind: battery, chemistry: flooded, reserve: 25 min, cold-cranking: 800 A, health: 90 %, bank: start}
  B2: {kind: battery, chemistry: flooded, reserve: 25 min, cold-cranking: 800 A, health: 90 %, bank: start}
wires:
  - {from: B1, to: B2, size: 2/0 AWG, length: 20 cm, insulation: sgx}
",
            "B1.capacity",
        ),
    ],
};
