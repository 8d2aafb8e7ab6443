//! The engine needs more in the cold than even a full battery gives.

use crate::analyze::endurance;
use crate::analyze::endurance::Battery;
use crate::analyze::endurance::Standing;
use crate::analyze::park::Bank;
use crate::check::key_off::standing;
use crate::check::prelude::*;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::table::cold;

/// Temperature at which cold-cranking current is rated (SAE J537).
const RATED: Celsius = Celsius(-18.0);

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "cannot-start-cold",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "even a full battery does not start the engine at the stated temperature",
        page: include_str!("../../../docs/checks/cannot-start-cold.md"),
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
    let cannot = |missing: Vec<String>| vec![Gap::of(missing).part(bank.part).shown()];
    if bank.battery.is_none() || !bank.missing.is_empty() {
        return cannot(bank.missing.clone());
    }
    // Of several on top of one another the weakest decides.
    let banks = parked.banks.iter();
    let starting = banks.filter(|bank| bank.starts_engine && bank.leads);
    let times: Vec<(&Bank, &Battery, Standing)> = starting
        .filter_map(|bank| {
            let known = bank.battery.as_ref()?;
            Some((bank, known, endurance::standing(known, parked.at)))
        })
        .collect();
    let weakest = |floor: fn(&Standing) -> f64| {
        let times = times.iter().rev();
        times.max_by(|a, b| floor(&a.2).total_cmp(&floor(&b.2)))
    };
    if let Some((bank, known, time)) = weakest(|time| time.floor_low)
        && time.floor_low > 1.0
    {
        return vec![fault(context, bank, known, time)];
    }
    let Some((bank, ..)) = weakest(|time| time.floor_high).filter(|one| one.2.floor_high > 1.0)
    else {
        return vec![Verdict::NoneShown];
    };
    // How full it is and what is drawn decide nothing here.
    let mut missing = standing::ranged(context, bank);
    missing.retain(|fact| {
        fact.ends_with(".health") || fact.ends_with("cold-cranking") || fact.ends_with(".cranking")
    });
    cannot(missing)
}

fn fault(context: &Context<'_>, bank: &Bank, known: &Battery, time: &Standing) -> Verdict {
    let part = context.vehicle.part(bank.part);
    let others: Vec<&str> = bank
        .cranks_with
        .iter()
        .map(|&part| context.name(part))
        .collect();
    let who = match others.as_slice() {
        [] => format!("{} gives", words::called(part)),
        others => format!(
            "{} with {} gives",
            words::called(part),
            words::list(others, 5)
        ),
    };
    let gives = cold::cranking_available(time.at);
    let needs = cold::cranking_required(time.at);
    let cell = gives.value.0 / cold::cranking_available(RATED).value.0;
    let engine = needs.value.0 / cold::cranking_required(RATED).value.0;
    let rated = known.cold_cranking.map_or(0.0, |rated| rated.likely);
    let wanted = known.cranking.map_or(0.0, |wanted| wanted.likely);
    let health = known.health.likely;
    let has = Amps(rated * health * cell);
    let asks = Amps(wanted * engine);
    let mut tables = vec![gives.source, needs.source];
    tables.dedup();
    Finding::new(
        part.at("cold-cranking"),
        format!(
            "the engine needs {} to start at {}, and {who} {} there even when full",
            words::show(asks),
            words::show(time.at),
            words::show(has),
        ),
    )
    .label("rated at -18 C, when new")
    .part(bank.part)
    .parts(bank.cranks_with.iter().copied())
    .measured(
        asks,
        has,
        format!("cranking in the cold: {}", tables.join("; ")),
    )
    .help("fit a battery with more cold-cranking current, warm the engine (a block heater, a lighter oil) or park it where it is warmer")
    .step(
        format!(
            "{rated:.0} A x {:.0} % x {cell:.2} = {}",
            health * 100.0,
            words::show(has)
        ),
        gives.source,
    )
    .step(
        format!("{wanted:.0} A x {engine:.2} = {}", words::show(asks)),
        needs.source,
    )
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
vehicle: {name: north, system: 12 V, climate: {parked: -25 C}, engine: {cranking: 550 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 750 A, age: 2 years}
",
            "B1",
        ),
        // Two side by side give 800 A together, 90 % of it left, and less than that at -25 C.
        (
            "
vehicle: {name: test, system: 12 V, engine: {cranking: 900 A, battery: B1}, climate: {parked: -25 C, engine-bay: 20 C, cabin: 20 C, exterior: -25 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 400 A, bank: start, health: 90 %, charge: 90 %}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 400 A, bank: start, health: 90 %, charge: 90 %}
wires:
  - {from: B1.+, to: B2.+, size: 2/0 AWG, length: 20 cm, insulation: sgx}
",
            "B2",
        ),
        // Of two in series the lower is the weaker.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 900 A, battery: BUP}, climate: {parked: -25 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 60 Ah, cold-cranking: 800 A, health: 90 %}
  BLO: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 60 Ah, cold-cranking: 400 A, health: 90 %}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
",
            "BLO",
        ),
    ],
    quiet: &[
        // Each of the two alone gives half of what is needed.
        "
vehicle: {name: pair, system: 12 V, climate: {parked: -18 C}, engine: {cranking: 900 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 750 A, age: 1 year, bank: start}
  B2: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 750 A, age: 1 year, bank: start}
wires:
  - {from: B1, to: B2, size: 2/0 AWG, length: 50 cm}
  - {from: B2.-, to: chassis, size: 2/0 AWG, length: 50 cm}
",
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 750 A, age: 2 years}
",
        // It gives just what the engine needs.
        "
vehicle: {name: north, system: 12 V, climate: {parked: -18 C}, engine: {cranking: 700 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 700 A, health: 100 %}
",
    ],
    cannot: &[
        (
            "
vehicle: {name: north, system: 12 V, climate: {parked: -25 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 750 A, age: 2 years}
",
            "vehicle.engine.cranking",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, age: 2 years}
",
            "B1.cold-cranking",
        ),
        // A new battery starts it, a used one does not: nobody says what it is.
        (
            "
vehicle: {name: north, system: 12 V, climate: {parked: -18 C}, engine: {cranking: 600 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 750 A}
",
            "B1.health",
        ),
        // Each of the two figures can decide it.
        (
            "
vehicle: {name: north, system: 12 V, climate: {parked: -18 C}, engine: {cranking: 500..650 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 600..800 A, health: 90 %}
",
            "B1.cold-cranking",
        ),
    ],
};
