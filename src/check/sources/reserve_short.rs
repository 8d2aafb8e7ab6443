//! Ten minutes of the loads that have to be carried take more than half of the battery's reserve.

use crate::analyze::Balance;
use crate::analyze::budget;
use crate::analyze::park;
use crate::check::prelude::*;
use crate::model::Element;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Interval;

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
    let current = minimum(context);
    let share = budget::reserve_range(vehicle, bank, current);
    let cannot = |missing: Vec<String>| vec![Gap::of(missing).part(bank.part).shown()];
    match share {
        Some(share) if share.low > HALF => vec![fault(context, bank, current, share)],
        Some(share) if share.high <= HALF && missing.is_empty() => vec![Verdict::NoneShown],
        Some(_) if missing.is_empty() => {
            let mut open = Vec::new();
            if let Some(known) = &bank.battery {
                let part = vehicle.part(bank.part);
                for (key, value) in [("health", &known.health), ("capacity", &known.capacity)] {
                    if value.low < value.high {
                        open.push(part.missing(key));
                    }
                }
            }
            if !current.is_exact() {
                open.push("vehicle.own-load.run".to_owned());
            }
            cannot(open)
        }
        _ => cannot(missing),
    }
}

/// The vehicle's own load and what the law or the record requires, with everything on.
fn minimum(context: &Context<'_>) -> Interval<Amps> {
    let vehicle = context.vehicle;
    let own = vehicle
        .own_run
        .map_or(Interval::exact(Amps::ZERO), |own| own.range);
    let all_on = context
        .solved
        .situations
        .iter()
        .find(|(situation, _)| situation.name == "all on");
    let Some((situation, solution)) = all_on else {
        return own;
    };
    let balance = Balance::of(vehicle, situation, solution);
    let required = balance
        .users
        .iter()
        .filter(|user| vehicle.part(user.part).fields.flag("required"));
    required.fold(own, |sum, user| {
        let duty = vehicle.part(user.part).branches.iter().find_map(|&id| {
            match &vehicle.branch(id).element {
                Element::Load(load) => Some(load.duty.likely.0),
                _ => None,
            }
        });
        sum + Interval::exact(user.current * duty.unwrap_or(1.0))
    })
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
            "10 min / reserve minutes x ({} / 25 A)^k = {}",
            words::range(current),
            words::range(share)
        ),
        "Peukert's law with the exponent of the battery's chemistry",
    )
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 90 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 40 Ah, cold-cranking: 400 A, health: 80 %}
",
        "B1",
    )],
    quiet: &["
vehicle: {name: test, system: 12 V, own-load: {off: 10 mA, run: 30 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 90 Ah, cold-cranking: 800 A, health: 90 %}
"],
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
    ],
};
