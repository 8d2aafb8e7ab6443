//! Parked: what each battery has to give, how long it stands at several temperatures, and what happens on the way.

#[cfg(test)]
mod tests;
mod together;

use together::{Cell, cold_cranking, mix, together};

use super::endurance;
use super::endurance::Standing;
use super::endurance::Starts;
use super::joined::one_bank;
use super::key_off::KeyOff;
use super::sample::Uncertain;
use super::timeline::Floors;
use super::timeline::Store;
use super::timeline::Timeline;
use super::timeline::timeline;
use crate::model;
use crate::model::{Assumed, Fact, PartId, Vehicle};
use crate::quantity::{Celsius, Fraction, Scalar, Seconds, Volts};
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
    /// Those that stand side by side with it: they go down as one.
    pub with: Vec<PartId>,
    /// Those of them that help it to crank: of one `bank`.
    pub cranks_with: Vec<PartId>,
    /// Whether it starts the engine, alone or on top of or below another.
    pub starts_engine: bool,
    /// Whether its own charge is what starting hangs on: of those that stand side by side, the one that the record names.
    pub leads: bool,
    /// What is known of it and those it stands with; nothing where a capacity is not stated.
    pub battery: Option<endurance::Battery>,
    /// What it holds itself.
    pub own: Option<Own>,
    /// Standing time by temperature, coldest first; empty where it was not asked for, the capacity is not stated, or it gives
    /// nothing.
    pub standing: Vec<Standing>,
    /// Standing time at the temperature that the record states for the parked vehicle (or its default).
    pub here: Option<Standing>,
    /// Facts that are not stated and would be needed: `B1.capacity`, `vehicle.engine.cranking`.
    pub missing: Vec<String>,
}

/// What one battery holds, by itself.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Own {
    /// 20-hour capacity when new, in ampere-hour.
    pub capacity: Uncertain,
    /// Share of it that age has left.
    pub health: Uncertain,
    /// Charge when parked.
    pub charge: Uncertain,
}

/// Everything about standing.
#[derive(Clone, PartialEq, Debug)]
pub struct Parked {
    /// Temperature that the record states for the parked vehicle.
    pub at: Celsius,
    /// Batteries in document order.
    pub banks: Vec<Bank>,
    /// The battery that decides how long the vehicle stands.
    decides: Option<PartId>,
    /// Defaults taken for these sums, besides those of the vehicle.
    pub assumed: Vec<Assumed>,
}

impl Parked {
    /// The battery that starts the engine; of several on top of one another, the one that is down to its floor first.
    #[must_use]
    pub fn starter(&self) -> Option<&Bank> {
        self.banks
            .iter()
            .find(|bank| Some(bank.part) == self.decides)
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
    let own: Vec<Option<Own>> = vehicle
        .batteries
        .iter()
        .map(|battery| own(vehicle, battery, &mut assumed))
        .collect();
    let mut banks: Vec<Bank> = (0..vehicle.batteries.len())
        .map(|one| bank(vehicle, one, &own, key_off, at))
        .collect();
    // What one of a string lacks keeps all of it from being judged.
    let lacking: Vec<String> = banks
        .iter()
        .filter(|bank| bank.starts_engine)
        .flat_map(|bank| bank.missing.clone())
        .collect();
    for bank in banks.iter_mut().filter(|bank| bank.starts_engine) {
        for name in &lacking {
            if !bank.missing.contains(name) {
                bank.missing.push(name.clone());
            }
        }
    }
    let decides = decides(vehicle, key_off, &banks);
    Parked {
        at,
        banks,
        decides,
        assumed,
    }
}

/// Of those that crank together the one with the fewest days; where they are alike, that of the key-off sums.
fn decides(vehicle: &Vehicle, key_off: &KeyOff, banks: &[Bank]) -> Option<PartId> {
    let home = key_off.battery.or(vehicle.starter)?;
    let days = |bank: &Bank| bank.here.as_ref().map(|here| here.days.likely);
    let mut best = banks.iter().find(|bank| bank.part == home)?;
    for bank in banks.iter().filter(|bank| bank.starts_engine) {
        let less =
            |days: f64, than: Option<f64>| than.is_none_or(|than| days < than * (1.0 - 1e-6));
        if days(bank).is_some_and(|own| less(own, days(best))) {
            best = bank;
        }
    }
    Some(best.part)
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
    follow_to(solver, parked, |bank| {
        bank.here.as_ref().map_or(0.0, |here| here.floor)
    })
}

/// Follows the batteries from key-off until the one that starts the engine is empty.
#[must_use]
pub fn run_down(solver: &mut Solver<'_>, parked: &Parked) -> Timeline {
    follow_to(solver, parked, |_| 0.0)
}

fn follow_to(solver: &mut Solver<'_>, parked: &Parked, floor: impl Fn(&Bank) -> f64) -> Timeline {
    let vehicle = solver.vehicle();
    let stores: Vec<Store> = vehicle
        .batteries
        .iter()
        .zip(&parked.banks)
        .map(|(battery, bank)| store(vehicle, battery, bank, parked.at))
        .collect();
    let banks = parked.banks.iter().enumerate();
    let floors = Floors {
        told: parked
            .banks
            .iter()
            .position(|bank| Some(bank.part) == parked.decides),
        of: banks
            .filter(|(_, bank)| bank.leads)
            .map(|(one, bank)| (one, floor(bank)))
            .collect(),
    };
    timeline(solver, &stores, &floors)
}

fn own(
    vehicle: &Vehicle,
    battery: &model::vehicle::Battery,
    assumed: &mut Vec<Assumed>,
) -> Option<Own> {
    Some(Own {
        capacity: uncertain(battery.capacity?),
        health: health(vehicle, battery.part, assumed),
        charge: charge(vehicle, battery),
    })
}

fn bank(vehicle: &Vehicle, one: usize, own: &[Option<Own>], key_off: &KeyOff, at: Celsius) -> Bank {
    let all = &vehicle.batteries;
    let battery = &all[one];
    let joined = &key_off.joined;
    let starts_engine = joined.cranks(one);
    let group = joined.with(one);
    // The engine hangs on the one that the record names, and on what is of one bank with it.
    let first = group.iter().copied();
    let first = first
        .clone()
        .find(|&other| Some(all[other].part) == vehicle.starter)
        .or_else(|| first.clone().next());
    let lead = if starts_engine {
        first.unwrap_or(one)
    } else {
        one
    };
    let crank: Vec<usize> = group
        .iter()
        .copied()
        .filter(|&other| one_bank(vehicle, all[lead].part, all[other].part))
        .collect();
    let mut missing = Vec::new();
    for &other in group {
        if own[other].is_none() {
            missing.push(vehicle.part(all[other].part).missing("capacity"));
        }
    }
    if starts_engine {
        for &other in &crank {
            if all[other].cold_cranking.is_none() {
                missing.push(vehicle.part(all[other].part).missing("cold-cranking"));
            }
        }
        if vehicle.cranking.is_none() {
            missing.push("vehicle.engine.cranking".to_owned());
        }
    }
    let cells: Option<Vec<Cell>> = group
        .iter()
        .map(|&other| {
            Some(Cell {
                own: own[other]?,
                chemistry: chemistry(vehicle, all[other].part),
                cold_cranking: crank
                    .contains(&other)
                    .then_some(all[other].cold_cranking)
                    .map(|rated| rated.map(uncertain)),
            })
        })
        .collect();
    let known = cells.map(|cells| {
        let (draw, runs_on) = draws(joined.group_of(one), key_off);
        let whole = together(&cells);
        endurance::Battery {
            chemistry: chemistry(vehicle, all[lead].part),
            capacity: whole.capacity,
            health: whole.health,
            charge: whole.charge,
            cold_cranking: starts_engine
                .then(|| cold_cranking(&cells, whole.health))
                .flatten(),
            cranking: starts_engine
                .then_some(vehicle.cranking)
                .flatten()
                .map(uncertain),
            draw,
            runs_on,
            mix: mix(&cells),
        }
    });
    let drawn = |known: &endurance::Battery| {
        let first = known.runs_on.iter().any(|one| one.draw.high > 0.0);
        first || known.draw.high > 0.0
    };
    let gives = known.as_ref().filter(|known| drawn(known));
    let parts = |list: &[usize]| {
        let others = list.iter().filter(|&&other| other != one);
        others.map(|&other| all[other].part).collect()
    };
    Bank {
        part: battery.part,
        with: parts(group),
        cranks_with: parts(&crank),
        starts_engine,
        leads: starts_engine && lead == one,
        standing: Vec::new(),
        here: gives.map(|known| endurance::standing(known, at)),
        battery: known,
        own: own[one],
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

/// Draw out of a group once settled, and before.
fn draws(group: Option<usize>, key_off: &KeyOff) -> (Uncertain, Vec<endurance::RunsOn>) {
    let of = |all: &[Uncertain]| {
        let one = group.and_then(|group| all.get(group).copied());
        let one = one.unwrap_or(Uncertain::exact(0.0));
        let positive = |amps: f64| amps.max(0.0);
        Uncertain {
            low: positive(one.low.min(one.likely)),
            likely: positive(one.likely),
            high: positive(one.high.max(one.likely)),
        }
    };
    let first = key_off.runs_on.iter().map(|stretch| endurance::RunsOn {
        until: stretch.until,
        draw: of(&stretch.by_group),
    });
    (of(&key_off.by_group), first.collect())
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
            .own
            .map(|battery| battery.capacity.likely * battery.health.likely * share)
            .filter(|holds| *holds > 0.0),
        charge: bank
            .own
            .map_or(known.charge.likely.0, |battery| battery.charge.likely),
        leaks_per_day: battery::self_discharge(chemistry, at).value.0 / 30.0,
    }
}
