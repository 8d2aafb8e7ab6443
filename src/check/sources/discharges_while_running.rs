//! Weighted by duty, a situation with the engine running takes more than the alternator gives: the battery runs down at work.

use crate::analyze::Balance;
use crate::analyze::budget;
use crate::analyze::park;
use crate::analyze::park::Parked;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Setting;
use crate::model::Situation;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Interval;
use crate::quantity::show::digits;
use crate::read::document::Kind;
use crate::solve::Solution;
use crate::solve::Solver;

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

/// A shift that ends this much lower than it began is one that runs the battery down.
const LOST: f64 = 0.02;

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
                Some(shift(context, &parked, situation))
            }
        })
        .collect()
}

/// What would be needed to judge at all.
fn missing(context: &Context<'_>, situation: &Situation) -> Vec<String> {
    let vehicle = context.vehicle;
    let mut missing = Vec::new();
    let mut alternators = 0;
    for (_, part) in context.parts_of(&[Kind::Alternator]) {
        alternators += 1;
        let stated = part.branches.iter().any(|&id| {
            matches!(&vehicle.branch(id).element, Element::Alternator { output, .. } if !output.is_empty())
        });
        if !stated {
            missing.push(part.missing("rated"));
        }
    }
    if alternators == 0 {
        missing.push("an alternator".to_owned());
    }
    if vehicle.own_run.is_none() && situation.key == Key::Run {
        missing.push("vehicle.own-load.run".to_owned());
    }
    missing
}

fn cannot(context: &Context<'_>, missing: Vec<String>) -> Verdict {
    let alternators = context.parts_of(&[Kind::Alternator]).map(|(id, _)| id);
    alternators.fold(Gap::of(missing), Gap::part).shown()
}

fn steady(
    context: &Context<'_>,
    parked: &Parked,
    situation: &Situation,
    solution: &Solution,
) -> Verdict {
    let balance = Balance::of(context.vehicle, situation, solution);
    let mut lacking = missing(context, situation);
    lacking.extend(balance.missing.iter().cloned());
    let Some(limit) = budget::limit(context.vehicle, situation.engine) else {
        return cannot(context, lacking);
    };
    if balance.average > limit.high {
        return fault(context, parked, situation, &balance, limit);
    }
    if !lacking.is_empty() {
        return cannot(context, lacking);
    }
    if balance.average > limit.low {
        return cannot(context, open(context, situation.engine));
    }
    Verdict::NoneShown
}

/// Figures that would close the range of what the alternators give at an engine speed.
fn open(context: &Context<'_>, engine: Engine) -> Vec<String> {
    let vehicle = context.vehicle;
    let mut open = Vec::new();
    for (_, part) in context.parts_of(&[Kind::Alternator]) {
        for &id in &part.branches {
            let Element::Alternator { output, .. } = &vehicle.branch(id).element else {
                continue;
            };
            if output.iter().all(|(_, amps)| amps.range.is_exact()) {
                continue;
            }
            let ranged = |idle: bool| {
                let mut output = output.iter();
                output
                    .any(|(speed, amps)| (*speed == Engine::Idle) == idle && !amps.range.is_exact())
            };
            let key = if part.fields.get("output").is_some() {
                "output"
            } else if ranged(true) && (engine == Engine::Idle || !ranged(false)) {
                "at-idle"
            } else {
                "rated"
            };
            open.push(part.missing(key));
        }
    }
    open
}

fn fault(
    context: &Context<'_>,
    parked: &Parked,
    situation: &Situation,
    balance: &Balance,
    gives: Interval<Amps>,
) -> Verdict {
    // The most that they may give is the least that the battery makes up.
    let deficit = Interval::between(balance.average - gives.high, balance.average - gives.low);
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
        .filter(|_| !gives.is_exact())
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
            words::show(balance.average),
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
        format!("{} - {} = {}", words::show(balance.average), words::range(gives), words::range(deficit)),
        "sum of currents times duty, less what the alternators give at this speed; even the most that they may give is less",
    )
    .shown()
}

fn shift(context: &Context<'_>, parked: &Parked, situation: &Situation) -> Verdict {
    let mut lacking = missing(context, situation);
    if parked.starter().is_none_or(|bank| bank.battery.is_none()) {
        lacking.push("the capacity of the battery that starts".to_owned());
    }
    if !lacking.is_empty() {
        return cannot(context, lacking);
    }
    let mut solver = Solver::new(context.vehicle);
    let Some(shift) = budget::shift(&mut solver, situation, parked) else {
        return cannot(context, vec![format!("{}.phases", situation.name)]);
    };
    let first = shift.charge.first().map_or(1.0, |&(_, charge)| charge);
    let (hours, last) = shift.charge.last().copied().unwrap_or((0.0, first));
    if last >= first - LOST {
        return if shift.missing.is_empty() {
            Verdict::NoneShown
        } else {
            cannot(context, shift.missing)
        };
    }
    let reached = match shift.reaches_floor {
        Some(hours) if hours <= 0.0 => {
            ", and the engine does not start even before that".to_owned()
        }
        Some(hours) => format!(
            ", and after {} h the engine no longer starts",
            digits(hours, 2)
        ),
        None => String::new(),
    };
    let show = |charge: f64| words::show(Fraction(charge));
    Finding::new(
        situation.at.unwrap_or_default(),
        format!(
            "over `{}` the charge falls from {} to {} in {} h{reached}",
            situation.name,
            show(first),
            show(last),
            digits(hours, 2)
        ),
    )
    .label("ends lower than it began")
    .parts(parked.starter().map(|bank| bank.part))
    .measured(Fraction(last), Fraction(first), "charge followed phase by phase, weighted by duty")
    .setting(Setting { situation: Some(situation.name.clone()), ..Setting::default() })
    .help("let the phases that charge last longer, raise the idle, shorten the duty, or fit an alternator that gives more")
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
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
situations:
  waiting: {key: run, phases: [{engine: stopped, for: 1 h}, {engine: idle, for: 10 min}]}
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
    ],
    quiet: &[
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

#[cfg(test)]
mod tests {
    use crate::analyze::analyze;
    use crate::analyze::budget;
    use crate::model::Engine;
    use crate::model::testing::vehicle;
    use crate::quantity::Amps;
    use crate::quantity::show::digits;

    /// What is told is the range of what is made up, not its best end.
    #[test]
    fn an_output_that_is_a_range_gives_a_range() {
        let vehicle = vehicle(
            "vehicle: {system: 12 V, engine: {cranking: 100 A}, own-load: {off: 10 mA, run: 130 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  ALT: {kind: alternator, rated: 120 A}
situations:
  waiting: {key: run, engine: idle, for: 1 h}
",
        );
        let limit = budget::limit(&vehicle, Engine::Idle).unwrap();
        assert!(limit.low < limit.high && limit.high < Amps(130.0));
        let report = crate::check::run(&vehicle, &analyze(&vehicle));
        let said = |name: &str| {
            let mut all = report.findings.iter();
            let found = all.find(|reported| reported.check.name == name);
            found.unwrap().finding.message.clone()
        };
        // 130 A less what it gives at most and at least.
        let least = digits(130.0 - limit.high.0, 3);
        let most = digits(130.0 - limit.low.0, 3);
        for name in ["discharges-while-running", "alternator-overloaded"] {
            let message = said(name);
            assert!(
                message.contains(&format!("{least} A to {most} A, likely ")),
                "{message}"
            );
        }
        assert!(said("discharges-while-running").contains(" to "));
    }
}
