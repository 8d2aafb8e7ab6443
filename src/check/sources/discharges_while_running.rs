//! Weighted by duty, a situation with the engine running takes more than the alternator gives: the battery runs down at work.

use super::average;
use super::output;
use super::output::cannot;
use super::shift;
use crate::analyze::Balance;
use crate::analyze::budget;
use crate::analyze::park;
use crate::analyze::park::Parked;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Key;
use crate::model::Setting;
use crate::model::Situation;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::show::digits;
use crate::read::document::Kind;
use crate::solve::Solution;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "discharges-while-running",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "weighted by duty, the work takes more than the alternator gives while the engine runs",
        page: include_str!("../../../docs/checks/discharges-while-running.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let parked = park::park(context.vehicle, &context.solved.key_off);
    let situations = context.solved.situations.iter().filter(|(situation, _)| {
        situation.at.is_some() && situation.key != Key::Start && !situation.shore
    });
    situations
        .filter_map(|(situation, solution)| {
            if situation.phases.is_empty() {
                situation
                    .engine
                    .runs()
                    .then(|| steady(context, &parked, situation, solution))
            } else {
                Some(shift::judge(context, &parked, situation))
            }
        })
        .collect()
}

fn steady(
    context: &Context<'_>,
    parked: &Parked,
    situation: &Situation,
    solution: &Solution,
) -> Verdict {
    let balance = Balance::of(context.vehicle, situation, solution);
    let mut lacking = output::missing(context);
    lacking.extend(balance.missing.iter().cloned());
    let Some(gives) = output::gives(context, situation.engine) else {
        return cannot(context, lacking);
    };
    let takes = average::range(context, situation, solution, |_| true);
    match weigh(takes, gives) {
        Weighed::Above => fault(context, parked, situation, &balance, takes, gives),
        _ if !lacking.is_empty() => cannot(context, lacking),
        Weighed::Within => Verdict::NoneShown,
        Weighed::Depends => {
            let mut open = output::open(context, situation.engine);
            open.extend(average::open(context, situation, solution, |_| true));
            cannot(context, open)
        }
    }
}

fn fault(
    context: &Context<'_>,
    parked: &Parked,
    situation: &Situation,
    balance: &Balance,
    takes: Interval<Amps>,
    gives: Interval<Amps>,
) -> Verdict {
    // The most that they may give is the least that the battery makes up.
    let deficit = Interval::between(takes.low - gives.high, takes.high - gives.low);
    let hours = |deficit: Amps| {
        let bank = parked.starter()?;
        budget::hours_to_floor(bank, parked, deficit.0)
    };
    let (soonest, latest) = (hours(deficit.high), hours(deficit.low));
    let floor = soonest
        .zip(latest)
        .map_or_else(String::new, |(soonest, latest)| {
            let (soonest, latest) = (digits(soonest, 2), digits(latest, 2));
            if soonest == latest {
                format!("; after {latest} h the engine no longer starts")
            } else {
                format!("; after {soonest} to {latest} h the engine no longer starts")
            }
        });
    let likely = balance
        .alternator_limit
        .filter(|_| !deficit.is_exact())
        .map_or_else(String::new, |limit| {
            format!(", likely {}", words::show(balance.average - limit))
        });
    let lasts = situation.lasts.map_or_else(String::new, |lasts| {
        format!(" for {}", words::show(lasts.likely))
    });
    Finding::new(
        situation.at.unwrap_or_default(),
        format!(
            "in `{}` {} are taken on average and {} are given: the battery makes up {}{likely}{lasts}{floor}",
            situation.name,
            words::range(takes),
            words::range(gives),
            words::range(deficit)
        ),
    )
    .label("runs the battery down")
    .parts(context.parts_of(&[Kind::Alternator]).map(|(id, _)| id))
    .measured(balance.average, gives.high, "the network solved in this situation, weighted by duty; output as stated in the record")
    .setting(Setting { situation: Some(situation.name.clone()), ..Setting::default() })
    .help("raise the engine's speed, shorten the duty, switch something off, or fit an alternator that gives more at this speed")
    .step(
        format!("{} - {} = {}", words::range(takes), words::range(gives), words::range(deficit)),
        "sum of currents times duty, less what the alternators give at this speed; even the most that they may give is less",
    )
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 80 A, limit: 80 A}
  PUMP: {kind: load, type: motor, draw: 60 A, duty: 50 %}
wires:
  - {from: RUN, to: PUMP, size: 4 AWG, length: 2 m, insulation: 105 C}
situations:
  pumping: {key: run, engine: idle, for: 3 h}
",
            "ALT",
        ),
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 90 %, health: 90 %}
  ALT: {kind: alternator, at-idle: 60 A}
situations:
  waiting: {key: run, phases: [{engine: stopped, for: 1 h}, {engine: idle, for: 10 min}]}
",
            "B1",
        ),
        // At 900 rpm it gives 60 A, whatever it gives at 3000 rpm.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 80 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 90 %, health: 90 %}
  ALT: {kind: alternator, output: [[900 rpm, 60 A], [3000 rpm, 110 A]]}
situations:
  all day: {key: run, phases: [{engine: 900 rpm, for: 2 h}]}
",
            "B1",
        ),
        // 90 % of a battery that needs some 57 % to crank at -18 C: a third of 47 Ah, 65 % of 72 Ah
        // at that cold, gives 20 A for 0.78 h.
        (
            "
vehicle: {name: test, system: 12 V, engine: {cranking: 400 A}, climate: {parked: -18 C, engine-bay: 20 C, cabin: 20 C, exterior: -18 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 90 %, health: 90 %}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
situations:
  waiting: {key: run, phases: [{engine: stopped, for: 2 h}, {engine: idle, for: 10 min}]}
",
            "B1",
        ),
        // Of a nameplate of 120 A no more than 72 A are given at idle.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 80 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 90 %, health: 90 %}
  ALT: {kind: alternator, rated: 120 A}
situations:
  all day: {key: run, phases: [{engine: idle, for: 2 h}]}
",
            "B1",
        ),
        // Even the least that the pump may take is too much.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 100 A, limit: 100 A}
  PUMP: {kind: load, type: motor, draw: 60..80 A, duty: 50..60 %}
wires:
  - {from: RUN, to: PUMP, size: 2 AWG, length: 2 m, insulation: 105 C}
situations:
  pumping: {key: run, engine: idle, for: 1 h}
",
            "ALT",
        ),
        // What the vehicle takes itself is not known, and can only make it worse. At that cold it needs more than 70 % to crank.
        (
            "
vehicle: {name: test, system: 12 V, engine: {cranking: 600 A}, climate: {parked: -18 C, engine-bay: 20 C, cabin: 20 C, exterior: -18 C}, own-load: {off: 10 mA}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 70 %, health: 90 %}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 20 A}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, length: 2 m, insulation: 105 C}
situations:
  waiting: {key: run, phases: [{engine: stopped, for: 1 h}, {engine: idle, for: 10 min}]}
",
            "B1",
        ),
    ],
    quiet: &[
        // At its least it gives 42 A, and a tenth of the pump is 6 A. A full battery ends as full.
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 30 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %}
  ALT: {kind: alternator, rated: 120 A}
  RUN: {kind: feed, hot-in: [run], rating: 80 A, limit: 80 A}
  PUMP: {kind: load, type: motor, draw: 50..60 A, duty: 10 %}
  SPARE: {kind: load, type: led, draw: 5 A}
wires:
  - {from: RUN, to: PUMP, size: 4 AWG, length: 2 m, insulation: 105 C}
situations:
  at work: {key: run, engine: idle}
  all day: {key: run, phases: [{engine: idle, for: 8 h}]}
",
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 40 A}
  RUN: {kind: feed, hot-in: [run], rating: 80 A, limit: 80 A}
  PUMP: {kind: load, type: motor, draw: 60 A, duty: 10 %}
wires:
  - {from: RUN, to: PUMP, size: 4 AWG, length: 2 m, insulation: 105 C}
situations:
  pumping: {key: run, engine: idle, for: 3 h}
",
        // Work with the engine stopped is meant to come out of the battery.
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
situations:
  standing: {key: run, engine: stopped, for: 10 min}
  driving: {key: run, engine: cruise}
",
        // Just what it gives at idle; on the road it gives no less.
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 60 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, at-idle: 60 A}
situations:
  waiting: {key: run, engine: idle}
  driving: {key: run, engine: cruise}
",
    ],
    cannot: &[
        (
            "
vehicle: {name: test, system: 12 V}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
situations:
  driving: {key: run, engine: cruise}
",
            "vehicle.own-load.run",
        ),
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator}
situations:
  driving: {key: run, engine: cruise}
",
            "ALT.rated",
        ),
        // 50 A lie between 35 A and 60 A, what one of 100 A may give at idle.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 50 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 100 A}
situations:
  waiting: {key: run, engine: idle, for: 1 h}
",
            "ALT.at-idle",
        ),
        // At speed it is the rating that is not known closely enough.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 100 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 80..120 A, at-idle: 60 A}
situations:
  driving: {key: run, engine: cruise, for: 1 h}
",
            "ALT.rated",
        ),
        // The same, with its output written as a table.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 100 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, output: [[900 rpm, 60 A], [3000 rpm, 80..120 A]]}
situations:
  driving: {key: run, engine: 3000 rpm, for: 1 h}
",
            "ALT.output",
        ),
        // 82 to 96 % of the nameplate is what it may give on the road, and at a speed of its own from what it gives at idle on.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 105 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
situations:
  driving: {key: run, engine: cruise, for: 1 h}
  mowing: {key: run, engine: 2500 rpm, for: 1 h}
  mowing all day: {key: run, phases: [{engine: 2500 rpm, for: 8 h}]}
",
            "ALT.output",
        ),
        // More than it gives at idle, and what it gives on the road nobody says.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 75 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, at-idle: 60 A}
situations:
  driving: {key: run, engine: cruise, for: 1 h}
  mowing: {key: run, engine: 2500 rpm, for: 1 h}
  driving all day: {key: run, phases: [{engine: cruise, for: 8 h}, {engine: stopped, for: 5 min}]}
",
            "ALT.rated",
        ),
        // Of two only what the second gives is not known exactly: at idle, and on the road.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 100 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  AUX: {kind: alternator, rated: 100 A}
situations:
  waiting: {key: run, engine: idle, for: 1 h}
",
            "AUX.at-idle",
        ),
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 150 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, output: [[900 rpm, 60 A], [3000 rpm, 110 A]]}
  AUX: {kind: alternator, rated: 80..120 A}
situations:
  working: {key: run, engine: 3000 rpm, for: 1 h}
",
            "AUX.rated",
        ),
        // The alternator's 60 A lie within what is taken: each range counts, but that of the lamp that is off.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20..30 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  RUN: {kind: feed, hot-in: [run], rating: 100 A, limit: 100 A}
  S1: {kind: switch, rating: 20 A, left: open}
  LAMP: {kind: load, type: led, draw: 10..20 A}
  PUMP: {kind: load, type: motor, draw: 30 A, duty: 10..50 %}
  RADIO: {kind: load, type: electronics, draw: 2 A, modes: {transmit: 5..15 A}}
  SPARE: {kind: load, type: led, draw: 5..10 A}
wires:
  - {from: RUN, to: LAMP, size: 8 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: PUMP, size: 8 AWG, length: 2 m, insulation: 105 C}
  - {from: RUN, to: RADIO, size: 8 AWG, length: 2 m, insulation: 105 C}
  - {run: [RUN, S1, SPARE], size: 8 AWG, lengths: [1 m, 1 m], insulation: 105 C}
situations:
  calling: {key: run, engine: idle, modes: {RADIO: transmit}, for: 1 h}
",
            "vehicle.own-load.run",
        ),
        // How far it falls depends on how large the battery is.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
situations:
  waiting: {key: run, phases: [{engine: stopped, for: 1 h}, {engine: idle, for: 10 min}]}
",
            "the capacity",
        ),
        // Each of these makes up for what the alternator has left, or not.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 40 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 90 %, health: 90 %}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  RUN: {kind: feed, hot-in: [run], rating: 100 A, limit: 100 A}
  S1: {kind: switch, rating: 50 A, left: open}
  S2: {kind: switch, rating: 50 A, left: open}
  S3: {kind: switch, rating: 50 A, left: open}
  S4: {kind: switch, rating: 80 A, left: open}
  HEAT: {kind: load, type: heater, draw: 10..40 A}
  SPOT: {kind: load, type: filament, draw: 10..40 A}
  RADIO: {kind: load, type: electronics, draw: 5 A, modes: {transmit: 10..40 A}}
  PUMP: {kind: load, type: motor, draw: 60 A, duty: 5 %}
wires:
  - {run: [RUN, S1, HEAT], size: 4 AWG, lengths: [1 m, 1 m], insulation: 105 C}
  - {run: [RUN, S2, SPOT], size: 4 AWG, lengths: [1 m, 1 m], insulation: 105 C}
  - {run: [RUN, S3, RADIO], size: 4 AWG, lengths: [1 m, 1 m], insulation: 105 C}
  - {run: [RUN, S4, PUMP], size: 4 AWG, lengths: [1 m, 1 m], insulation: 105 C}
situations:
  heating: {key: run, closed: [S1], phases: [{engine: idle, for: 3 h}, {engine: stopped, for: 1 min}]}
  searching: {key: run, closed: [S2], phases: [{engine: idle, for: 3 h}]}
  calling: {key: run, closed: [S3], modes: {RADIO: transmit}, phases: [{engine: idle, for: 3 h}]}
  pumping: {key: run, closed: [S4], phases: [{engine: idle, for: 3 h, duty: {PUMP: 10..60 %}}]}
  pumping hard: {key: run, closed: [S4], phases: [{engine: 2500 rpm, for: 3 h, duty: {PUMP: 60 %}}]}
",
            "HEAT.draw",
        ),
        // The phases balance without the box, and what that takes is not stated.
        (
            "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 1 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  BOX: {kind: load, type: electronics}
wires:
  - {from: RUN, to: BOX, size: 14 AWG, length: 2 m, insulation: gxl}
situations:
  waiting: {key: run, phases: [{engine: stopped, for: 5 min}, {engine: idle, for: 10 h}]}
",
            "BOX.draw",
        ),
    ],
};
