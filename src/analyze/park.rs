//! Parked: what each battery has to give, how long it stands at several temperatures, and what happens on the way.

use super::endurance;
use super::endurance::Standing;
use super::endurance::Starts;
use super::key_off::KeyOff;
use super::sample::Uncertain;
use super::timeline::Store;
use super::timeline::Timeline;
use super::timeline::timeline;
use crate::model;
use crate::model::{Assumed, Fact, PartId, Vehicle};
use crate::quantity::{Amps, Celsius, Fraction, Scalar, Seconds, Volts};
use crate::solve::Solver;
use crate::table::Cited;
use crate::table::battery;
use crate::table::battery::Chemistry;
use crate::table::cold;

/// Temperatures that standing time is given for, besides that of the record.
const ROWS: [f64; 6] = [-30.0, -20.0, -10.0, 0.0, 10.0, 25.0];
const SECONDS_A_YEAR: f64 = 365.25 * 86_400.0;

/// One battery, parked.
#[derive(Clone, PartialEq, Debug)]
pub struct Bank {
    /// The part.
    pub part: PartId,
    /// Whether it starts the engine.
    pub starts_engine: bool,
    /// What is known of it; nothing where its capacity is not stated.
    pub battery: Option<endurance::Battery>,
    /// Standing time by temperature, coldest first; empty where it was not asked for, the capacity is not stated, or it gives
    /// nothing.
    pub standing: Vec<Standing>,
    /// Standing time at the temperature that the record states for the parked vehicle (or its default).
    pub here: Option<Standing>,
    /// Facts that are not stated and would be needed: `B1.capacity`, `vehicle.engine.cranking`.
    pub missing: Vec<String>,
}

/// Everything about standing.
#[derive(Clone, PartialEq, Debug)]
pub struct Parked {
    /// Temperature that the record states for the parked vehicle.
    pub at: Celsius,
    /// Batteries in document order.
    pub banks: Vec<Bank>,
    /// Defaults taken for these sums, besides those of the vehicle.
    pub assumed: Vec<Assumed>,
}

impl Parked {
    /// The battery that starts the engine.
    #[must_use]
    pub fn starter(&self) -> Option<&Bank> {
        self.banks.iter().find(|bank| bank.starts_engine)
    }
}

/// Sums up standing time for every battery, by temperature and with samples.
#[must_use]
pub fn park_by_temperature(vehicle: &Vehicle, key_off: &KeyOff) -> Parked {
    let mut parked = park(vehicle, key_off);
    let mut rows: Vec<f64> = ROWS.to_vec();
    if !rows.contains(&parked.at.0) {
        rows.push(parked.at.0);
        rows.sort_by(f64::total_cmp);
    }
    for bank in &mut parked.banks {
        let gives = bank.battery.as_ref().filter(|_| bank.here.is_some());
        bank.standing = gives.map_or_else(Vec::new, |known| {
            rows.iter()
                .map(|&at| endurance::sampled(known, Celsius(at)))
                .collect()
        });
    }
    parked
}

/// Sums up standing time for every battery at the temperature that the record states.
#[must_use]
pub fn park(vehicle: &Vehicle, key_off: &KeyOff) -> Parked {
    let at = vehicle.climate.parked.likely;
    let mut assumed = Vec::new();
    let banks = vehicle
        .batteries
        .iter()
        .map(|battery| bank(vehicle, battery, key_off, at, &mut assumed))
        .collect();
    Parked { at, banks, assumed }
}

/// Whether the engine starts after the vehicle stood for `days` at `at`; nothing where that cannot be reckoned.
#[must_use]
pub fn starts(parked: &Parked, at: Celsius, days: f64) -> Option<Starts> {
    let battery = parked.starter()?.battery.as_ref()?;
    Some(endurance::starts(battery, at, days))
}

/// Follows the batteries from key-off until the engine would no longer start, at the record's parked temperature.
#[must_use]
pub fn follow(solver: &mut Solver<'_>, parked: &Parked) -> Timeline {
    let floor = parked.starter().and_then(|bank| bank.here.as_ref());
    follow_to(solver, parked, floor.map_or(0.0, |here| here.floor))
}

/// Follows the batteries from key-off until the one that starts the engine is empty.
#[must_use]
pub fn run_down(solver: &mut Solver<'_>, parked: &Parked) -> Timeline {
    follow_to(solver, parked, 0.0)
}

fn follow_to(solver: &mut Solver<'_>, parked: &Parked, floor: f64) -> Timeline {
    let vehicle = solver.vehicle();
    let stores: Vec<Store> = vehicle
        .batteries
        .iter()
        .zip(&parked.banks)
        .map(|(battery, bank)| store(vehicle, battery, bank, parked.at))
        .collect();
    timeline(solver, &stores, floor)
}

fn bank(
    vehicle: &Vehicle,
    battery: &model::vehicle::Battery,
    key_off: &KeyOff,
    at: Celsius,
    assumed: &mut Vec<Assumed>,
) -> Bank {
    let part = vehicle.part(battery.part);
    let starts_engine = vehicle.starter == Some(battery.part);
    let mut missing = Vec::new();
    if battery.capacity.is_none() {
        missing.push(part.missing("capacity"));
    }
    if starts_engine {
        if battery.cold_cranking.is_none() {
            missing.push(part.missing("cold-cranking"));
        }
        if vehicle.cranking.is_none() {
            missing.push("vehicle.engine.cranking".to_owned());
        }
    }
    let known = battery.capacity.map(|capacity| endurance::Battery {
        chemistry: chemistry(vehicle, battery.part),
        capacity: uncertain(capacity),
        health: health(vehicle, battery.part, assumed),
        charge: charge(vehicle, battery),
        cold_cranking: starts_engine
            .then_some(battery.cold_cranking)
            .flatten()
            .map(uncertain),
        cranking: starts_engine
            .then_some(vehicle.cranking)
            .flatten()
            .map(uncertain),
        draw: draw(battery.part, starts_engine, key_off),
    });
    let gives = known.as_ref().filter(|known| known.draw.high > 0.0);
    Bank {
        part: battery.part,
        starts_engine,
        standing: Vec::new(),
        here: gives.map(|known| endurance::standing(known, at)),
        battery: known,
        missing,
    }
}

/// A fact as an input of the sums.
#[must_use]
pub fn uncertain<T: Scalar>(fact: Fact<T>) -> Uncertain {
    Uncertain {
        low: fact.range.low.get(),
        likely: fact.likely.get(),
        high: fact.range.high.get(),
    }
}

fn draw(part: PartId, starts_engine: bool, key_off: &KeyOff) -> Uncertain {
    let likely = key_off
        .by_battery
        .iter()
        .find(|&&(battery, ..)| battery == part)
        .map_or(Amps::ZERO, |&(_, draw, _)| draw);
    let range = if starts_engine {
        (key_off.range.low.0, key_off.range.high.0)
    } else {
        (likely.0, likely.0)
    };
    let positive = |amps: f64| amps.max(0.0);
    Uncertain {
        low: positive(range.0.min(likely.0)),
        likely: positive(likely.0),
        high: positive(range.1.max(likely.0)),
    }
}

fn chemistry(vehicle: &Vehicle, part: PartId) -> Chemistry {
    let stated = vehicle.part(part).fields.text("chemistry");
    stated
        .and_then(|stated| Chemistry::named(&stated.value))
        .unwrap_or(Chemistry::Flooded)
}

/// As stated, by age, or as of a battery in service whose age nobody states.
fn health(vehicle: &Vehicle, id: PartId, assumed: &mut Vec<Assumed>) -> Uncertain {
    let part = vehicle.part(id);
    if let Some(stated) = part.stated::<Fraction>("health") {
        return uncertain(stated);
    }
    let cited = match part.stated::<Seconds>("age") {
        Some(age) => {
            let lost = battery::health_lost_a_year();
            let least = battery::health_least().value.0;
            let years = |age: Seconds| age.0 / SECONDS_A_YEAR;
            let left = |age: Seconds, a_year: Fraction| {
                Fraction((1.0 - a_year.0 * years(age)).clamp(least, 1.0))
            };
            Cited {
                value: left(age.likely, lost.value),
                low: left(age.range.high, lost.high),
                high: left(age.range.low, lost.low),
                source: lost.source,
            }
        }
        None => battery::health_unknown(),
    };
    let name = &part.name.value;
    assumed.push(Assumed {
        what: format!("{name} health"),
        subject: name.clone(),
        key: "health",
        low: cited.low.0,
        amount: cited.value.0,
        high: cited.high.0,
        unit: Fraction::SYMBOL,
        source: cited.source.to_owned(),
    });
    Uncertain {
        low: cited.low.0,
        likely: cited.value.0,
        high: cited.high.0,
    }
}

/// As stated; by the stated rest voltage; else the model's default.
fn charge(vehicle: &Vehicle, known: &model::vehicle::Battery) -> Uncertain {
    let part = vehicle.part(known.part);
    let of_voltage = || {
        let rest: Fact<Volts> = part.stated("rest-voltage")?;
        let chemistry = chemistry(vehicle, known.part);
        let blocks = known.nominal.likely.0 / 12.0;
        let at = |volts: Volts| {
            battery::charge(chemistry, volts / blocks)
                .value
                .0
                .clamp(0.0, 1.0)
        };
        Some(Uncertain {
            low: at(rest.range.low),
            likely: at(rest.likely),
            high: at(rest.range.high),
        })
    };
    if part.stated::<Fraction>("charge").is_some() {
        return uncertain(known.charge);
    }
    of_voltage().unwrap_or_else(|| uncertain(known.charge))
}

fn store(vehicle: &Vehicle, known: &model::vehicle::Battery, bank: &Bank, at: Celsius) -> Store {
    let chemistry = chemistry(vehicle, known.part);
    let rest = match &vehicle.branch(known.cell).element {
        model::Element::Cell { rest, .. } => rest.likely,
        _ => known.nominal.likely,
    };
    let share = cold::capacity_at(chemistry, at).value.0;
    Store {
        part: known.part,
        cell: known.cell,
        chemistry,
        rest,
        blocks: known.nominal.likely.0 / 12.0,
        holds: bank
            .battery
            .as_ref()
            .map(|battery| battery.capacity.likely * battery.health.likely * share)
            .filter(|holds| *holds > 0.0),
        charge: bank
            .battery
            .as_ref()
            .map_or(known.charge.likely.0, |battery| battery.charge.likely),
        leaks_per_day: battery::self_discharge(chemistry, at).value.0 / 30.0,
    }
}
