//! A battery freezes before the time is over that the vehicle must be able to stand.

use super::standing;
use crate::analyze::park;
use crate::analyze::park::Bank;
use crate::analyze::park::Parked;
use crate::check::prelude::*;
use crate::model::Fact;
use crate::quantity::Celsius;
use crate::quantity::Fraction;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::solve::Solver;
use crate::table::Cited;
use crate::table::battery::self_discharge;
use crate::table::cold;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "freeze-risk",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "a battery is so far down that it freezes while the vehicle stands",
        page: include_str!("../../../docs/checks/freeze-risk.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let parked = standing::parked(context);
    parked
        .banks
        .iter()
        .filter_map(|bank| judge_bank(context, &parked, bank))
        .collect()
}

fn judge_bank(context: &Context<'_>, parked: &Parked, bank: &Bank) -> Option<Verdict> {
    let cannot = |missing: Vec<String>| Some(Gap::of(missing).part(bank.part).shown());
    let part = context.vehicle.part(bank.part);
    let Some(known) = &bank.battery else {
        return cannot(vec![part.missing("capacity")]);
    };
    let limit = cold::charge_that_does_not_freeze(known.chemistry, parked.at)?;
    if limit.value.0 <= 0.0 {
        // So warm that not even an empty battery freezes.
        return Some(Verdict::NoneShown);
    }
    let Some(stands) = context.vehicle.stands else {
        return cannot(vec!["vehicle.stands".to_owned()]);
    };
    let leaks = self_discharge(known.chemistry, parked.at);
    // The acid follows the charge that was taken out, not what the cold leaves usable: capacity here is that of the label.
    let left = |charge: f64, drawn: f64, capacity: f64, leak: f64, days: f64| {
        (charge - drawn / capacity - leak * days / 30.0).max(0.0)
    };
    let (shortest, longest) = (stands.range.low.days(), stands.range.high.days());
    let holds = (
        known.capacity.low * known.health.low,
        known.capacity.high * known.health.high,
    );
    let worst = left(
        known.charge.low,
        known.drawn(longest, Some(true)),
        holds.0,
        leaks.high.0,
        longest,
    );
    let best = left(
        known.charge.high,
        known.drawn(shortest, Some(false)),
        holds.1,
        leaks.low.0,
        shortest,
    );
    let mut missing = standing::unknown_draws(context);
    if best < limit.value.0 {
        if context.parts_of(&[Kind::Cutoff]).next().is_some() {
            let frozen = freezes_all_the_same(context, parked, bank, limit.value);
            let by = |time: Seconds| frozen.is_some_and(|at| at <= time);
            // What may be asleep was followed awake; all else that is not stated only makes it sooner.
            let asleep = missing.iter().any(|fact| fact.ends_with(".parked"));
            if asleep || !by(stands.range.low) {
                if missing.is_empty() && by(stands.range.high) {
                    missing.push("vehicle.stands".to_owned());
                }
                return if missing.is_empty() {
                    Some(Verdict::NoneShown)
                } else {
                    cannot(missing)
                };
            }
        }
        return Some(fault(
            context,
            bank,
            parked.at,
            (worst, best),
            &limit,
            stands,
        ));
    }
    if !missing.is_empty() {
        return cannot(missing);
    }
    if worst >= limit.value.0 {
        return Some(Verdict::NoneShown);
    }
    let mut missing = standing::ranged(context, bank);
    if !stands.range.is_exact() {
        missing.push("vehicle.stands".to_owned());
    }
    if missing.is_empty() {
        missing.push(format!(
            "its charge in the end: {:.0} to {:.0} %",
            worst * 100.0,
            best * 100.0
        ));
    }
    cannot(missing)
}

/// When it comes to that all the same: followed through the days, with every cutoff opening when it does.
fn freezes_all_the_same(
    context: &Context<'_>,
    parked: &Parked,
    bank: &Bank,
    limit: Fraction,
) -> Option<Seconds> {
    let line = park::run_down(&mut Solver::new(context.vehicle), parked);
    let (_, charges) = line.charges.iter().find(|(part, _)| *part == bank.part)?;
    let mut charges = charges.iter();
    charges
        .find(|&&(_, charge)| charge < limit.0)
        .map(|&(at, _)| at)
}

fn fault(
    context: &Context<'_>,
    bank: &Bank,
    at: Celsius,
    (worst, best): (f64, f64),
    limit: &Cited<Fraction>,
    stands: Fact<Seconds>,
) -> Verdict {
    let part = context.vehicle.part(bank.part);
    let draw = bank.battery.as_ref().map_or(0.0, |known| known.draw.likely);
    let per_cent = |share: f64| format!("{:.0} %", share * 100.0);
    let left = if per_cent(worst) == per_cent(best) {
        per_cent(best)
    } else {
        format!("{:.0} to {}", worst * 100.0, per_cent(best))
    };
    let wanted = standing::days(stands.range);
    Finding::new(
        part.name.at,
        format!(
            "{} is down to {left} after {wanted}, and below {} its acid freezes at {}",
            words::called(part),
            per_cent(limit.value.0),
            words::show(at),
        ),
    )
    .label(format!("{left} of its charge are left"))
    .part(bank.part)
    .measured(Fraction(best), limit.value, limit.source)
    .also(stands.at().unwrap_or(part.name.at), "so long does it stand")
    .help(
        "stop the draw, keep it on a charger or take the battery in; a battery that may be frozen is neither charged nor jumped before it has thawed",
    )
    .step(
        format!(
            "{} x {wanted}, and what it loses by itself, leave {left} of the charge",
            words::show(crate::quantity::Amps(draw))
        ),
        "charge - draw x time / capacity - self-discharge; the capacity of the label, since the acid follows what was taken out",
    )
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
vehicle: {name: far north, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 48 mA, run: 20 A}, stands: 60 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
",
        "B1",
    ),
        // An old battery holds less, and the same draw takes more of it.
        (
            "
vehicle: {name: far north, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 40 mA, run: 20 A}, stands: 30 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 90 %, health: 75..80 %}
",
            "B1",
        ),
        // The cutoff guards what hangs behind it, and the vehicle's own draw goes on.
        (
            "
vehicle: {name: guarded in vain, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 48 mA, run: 20 A}, stands: 60 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.4 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  HEAT: {kind: load, type: electronics, draw: 10 mA, parked: 10 mA, stays-live: keeps the sample warm}
wires:
  - {run: [B1, F1, LVD, HEAT], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "B1",
        ),
],
    quiet: &[
        "
vehicle: {name: far north, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 15 mA, run: 20 A}, stands: 7 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, age: 1 year}
",
        // No battery freezes here, however long it stands.
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
",
        // A cutoff ends the draw long before.
        "
vehicle: {name: guarded, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 5 mA, run: 20 A}, stands: 20 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.4 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  HEAT: {kind: load, type: electronics, draw: 0.4 A, parked: 0.4 A, stays-live: keeps the sample warm}
wires:
  - {run: [B1, F1, LVD, HEAT], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[
        // The cutoff ends what hangs behind it, and nobody knows what the vehicle itself takes.
        (
            "
vehicle: {name: guarded, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, stands: 20 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.4 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  HEAT: {kind: load, type: electronics, draw: 0.4 A, parked: 0.4 A, stays-live: keeps the sample warm}
wires:
  - {run: [B1, F1, LVD, HEAT], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "vehicle.own-load.off",
        ),
        // Nor whether the box ahead of it sleeps.
        (
            "
vehicle: {name: guarded, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 5 mA, run: 20 A}, stands: 20 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.4 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  HEAT: {kind: load, type: electronics, draw: 0.4 A, parked: 0.4 A, stays-live: keeps the sample warm}
  BOX: {kind: load, type: electronics, draw: 1 A}
wires:
  - {run: [B1, F1, LVD, HEAT], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: F1, to: BOX, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "BOX.parked",
        ),
        // Guarded it lasts through the shorter time, and its own draw is too much for the longer one.
        (
            "
vehicle: {name: guarded, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 5 mA, run: 20 A}, stands: 20..90 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.5 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  HEAT: {kind: load, type: electronics, draw: 0.4 A, parked: 0.4 A, stays-live: keeps the sample warm}
wires:
  - {run: [B1, F1, LVD, HEAT], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "vehicle.stands",
        ),
        (
            "
vehicle: {name: no time, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 15 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
",
            "vehicle.stands",
        ),
        (
            "
vehicle: {name: no capacity, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 15 mA, run: 20 A}, stands: 14 days}
parts:
  B1: {kind: battery, chemistry: flooded, cold-cranking: 800 A}
",
            "B1.capacity",
        ),
        // 20 days take a fifth of the charge, 60 days more than half of it.
        (
            "
vehicle: {name: for a while, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 30 mA, run: 20 A}, stands: 20..60 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
",
            "vehicle.stands",
        ),
        (
            "
vehicle: {name: charged or not, system: 12 V, climate: {parked: -30 C}, engine: {cranking: 200 A}, own-load: {off: 30 mA, run: 20 A}, stands: 30 days}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A, charge: 70..100 %, health: 100 %}
",
            "B1.charge",
        ),
],
};
