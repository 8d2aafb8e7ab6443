//! Working: what the charging system can carry, situation by situation, and how the battery comes out of a shift.

mod shift;
#[cfg(test)]
mod tests;

pub(super) use shift::worst_phase;
pub use shift::{Shift, shift};

use crate::analyze::balance::Balance;
use crate::analyze::balance::Flow;
use crate::analyze::endurance;
use crate::analyze::key_off::is_fuse;
use crate::analyze::park::Bank;
use crate::analyze::park::Parked;
use crate::analyze::sample::Uncertain;
use crate::analyze::{Solved, Worst};
use crate::model::element::{Element, Load};
use crate::model::{Assumed, Engine, Fact, Part, PartId, Situation, Vehicle};
use crate::quantity::{Amps, Fraction, Interval, Scalar, Seconds};
use crate::read::document::{Dimension, Kind, Quantity};
use crate::solve::{Solution, Solver, alternator_output};
use crate::table::battery;
use crate::table::cold;
use crate::table::load;

/// Hours of the rate at which capacities are stated.
const RATE: f64 = 20.0;

/// One situation against the charging system.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// The situation.
    pub situation: Situation,
    /// Its solution.
    pub solution: Solution,
    /// Its sums; of a shift the average is that over all of it.
    pub balance: Balance,
    /// Names of the shift and of the phase that the figures are of, where the situation is a shift: the phase with the least
    /// left over.
    pub phase: Option<(String, String)>,
    /// The current when everything is on and the part with the largest inrush starts.
    pub peak: Amps,
    /// The part that makes the peak.
    pub peak_by: Option<PartId>,
    /// What the alternators can give at this speed, over the ranges of the facts; nothing where that is not stated.
    pub limit: Option<Interval<Amps>>,
    /// Limit less duty-weighted load: negative is a deficit that the battery gives.
    pub surplus: Option<Amps>,
    /// Hours until the battery that starts is down to its floor; nothing where it is not being drained or not known.
    pub hours_to_floor: Option<f64>,
    /// Hours of cruise that put back what this situation took, over its `for`, else until the floor.
    pub cruise_hours_to_recover: Option<f64>,
    /// What flows through each feed, and the voltage that it gives, in document order; only those that something flows through.
    pub feeds: Vec<Flow>,
    /// The same of fuses, breakers and fusible links.
    pub fuses: Vec<Flow>,
}

/// The load analysis that public emergency-vehicle standards ask for: an analysis, not a certificate.
#[derive(Clone, PartialEq, Debug)]
pub struct Analysis {
    /// Nameplate of all alternators together.
    pub nameplate: Option<Amps>,
    /// Their output at hot idle.
    pub idle: Option<Interval<Amps>>,
    /// The vehicle's own load and what the law or the record requires.
    pub minimum_continuous: Amps,
    /// Everything with a duty of 100 %.
    pub total_continuous: Amps,
    /// Each load that runs part of the time: its current and its duty.
    pub intermittent: Vec<(PartId, Amps, f64)>,
    /// Share of the reserve capacity that ten minutes of the minimum continuous load take with the engine stopped.
    pub reserve_share: Option<f64>,
    /// Parts to switch off, in this order, until the rest is carried at idle; what is required is never among them.
    pub shed: Vec<(PartId, Amps)>,
    /// Draws that are not stated, and so not in it.
    pub missing: Vec<String>,
}

/// The whole budget.
#[derive(Clone, PartialEq, Debug)]
pub struct Budget {
    /// Every situation, in the vehicle's order.
    pub rows: Vec<Row>,
    /// Those with phases.
    pub shifts: Vec<Shift>,
    /// Over `all on`.
    pub analysis: Analysis,
    /// Inrush taken for the parts that make the peaks, where the record states none.
    pub assumed: Vec<Assumed>,
}

/// Sums up every situation of the vehicle.
#[must_use]
pub fn budget(solver: &mut Solver<'_>, solved: &Solved, parked: &Parked) -> Budget {
    let vehicle = solver.vehicle();
    let with_phases = vehicle
        .situations
        .iter()
        .filter(|situation| !situation.phases.is_empty());
    let shifts: Vec<Shift> = with_phases
        .filter_map(|situation| shift(solver, situation, parked))
        .collect();
    let situations = solved.situations.iter();
    let rows: Vec<Row> = situations
        .map(|(situation, solution)| match solved.worst_of(situation) {
            Some(worst) => shift_row(vehicle, worst, &shifts, parked),
            None => row(vehicle, situation, solution, parked),
        })
        .collect();
    let analysis = analysis(vehicle, &rows, parked);
    let assumed = assumed(vehicle, &rows);
    Budget {
        assumed,
        rows,
        shifts,
        analysis,
    }
}

/// A shift by its worst phase; the floor is that of the shift as it is followed.
fn shift_row(vehicle: &Vehicle, worst: &Worst, shifts: &[Shift], parked: &Parked) -> Row {
    let mut row = row(vehicle, &worst.situation, &worst.solution, parked);
    row.phase = Some((worst.shift.clone(), worst.phase.clone()));
    row.balance.average = worst.average;
    let followed = shifts.iter().find(|shift| shift.name == worst.shift);
    row.hours_to_floor = followed.and_then(|shift| shift.reaches_floor);
    row
}

/// Inrush taken for parts that make a peak and state none.
fn assumed(vehicle: &Vehicle, rows: &[Row]) -> Vec<Assumed> {
    let mut list: Vec<Assumed> = Vec::new();
    for row in rows {
        let Some(id) = row.peak_by else { continue };
        let part = vehicle.part(id);
        let kind = part.fields.text("type").map(|kind| kind.value.as_str());
        let users = row.balance.users.iter();
        let running = users
            .filter(|user| user.part == id)
            .map(|user| user.current.0);
        let running = running.fold(0.0, f64::max);
        let Some(usual) = kind
            .and_then(load::inrush)
            .filter(|_| part.fields.quantity("inrush").is_none())
        else {
            continue;
        };
        let name = &part.name.value;
        if list.iter().any(|known| known.subject == *name) {
            continue;
        }
        list.push(Assumed {
            what: format!("{name} inrush"),
            subject: name.clone(),
            key: "inrush",
            low: running * usual.multiple.low,
            amount: running * usual.multiple.value,
            high: running * usual.multiple.high,
            unit: Amps::SYMBOL,
            source: usual.multiple.source.to_owned(),
        });
    }
    list
}

fn row(vehicle: &Vehicle, situation: &Situation, solution: &Solution, parked: &Parked) -> Row {
    let balance = Balance::of(vehicle, situation, solution);
    let (peak, peak_by) = peak(vehicle, &balance);
    let limit = limit(vehicle, situation.engine);
    let surplus = balance
        .alternator_limit
        .map(|limit| limit - balance.average);
    let starter = parked.starter();
    let deficit = match surplus {
        Some(surplus) => -surplus.0,
        None if balance.alternator.is_none() => balance.average.0,
        None => 0.0,
    };
    let hours_to_floor = starter.and_then(|bank| hours_to_floor(bank, parked, deficit));
    let lasts = situation
        .lasts
        .map(|lasts| lasts.likely.hours())
        .or(hours_to_floor);
    let cruise_hours_to_recover = lasts
        .filter(|_| deficit > 0.0)
        .and_then(|hours| recover(vehicle, starter?, deficit * hours));
    Row {
        situation: situation.clone(),
        solution: solution.clone(),
        balance,
        phase: None,
        peak,
        peak_by,
        limit,
        surplus,
        hours_to_floor,
        cruise_hours_to_recover,
        feeds: through(vehicle, solution, |kind| kind == Kind::Feed),
        fuses: through(vehicle, solution, is_fuse),
    }
}

/// What flows through parts of some kinds, and the voltage behind them.
fn through(vehicle: &Vehicle, solution: &Solution, kinds: impl Fn(Kind) -> bool) -> Vec<Flow> {
    let parts = vehicle
        .part_ids()
        .filter(|&id| kinds(vehicle.part(id).kind));
    parts
        .filter_map(|id| {
            let &branch = vehicle.part(id).branches.first()?;
            let current = solution.branch(branch).abs();
            let ends = vehicle.branch(branch);
            let volts = solution.at(ends.from).abs().min(solution.at(ends.to).abs());
            (current.0 > 1e-6).then_some(Flow {
                part: id,
                current,
                volts,
            })
        })
        .collect()
}

/// What the alternators can give at this engine speed, over the ranges of what is stated.
#[must_use]
pub fn limit(vehicle: &Vehicle, engine: Engine) -> Option<Interval<Amps>> {
    let mut sum: Option<Interval<Amps>> = None;
    for branch in &vehicle.branches {
        let Element::Alternator { output, .. } = &branch.element else {
            continue;
        };
        if output.is_empty() {
            return None;
        }
        let end = |take: fn(&Fact<Amps>) -> Amps| {
            let output: Vec<(Engine, Fact<Amps>)> = output
                .iter()
                .map(|(engine, fact)| {
                    (
                        *engine,
                        Fact {
                            likely: take(fact),
                            ..*fact
                        },
                    )
                })
                .collect();
            let runs = engine.runs();
            Amps(if runs {
                alternator_output(&output, engine)
            } else {
                0.0
            })
        };
        let own = Interval::between(end(|fact| fact.range.low), end(|fact| fact.range.high));
        sum = Some(sum.map_or(own, |sum| sum + own));
    }
    sum
}

/// Everything that runs, and on top of it the largest start of one part.
fn peak(vehicle: &Vehicle, balance: &Balance) -> (Amps, Option<PartId>) {
    let mut most: (f64, Option<PartId>) = (0.0, None);
    for user in &balance.users {
        let excess = inrush(vehicle.part(user.part), user.current).0 - user.current.0;
        if excess > most.0 {
            most = (excess, Some(user.part));
        }
    }
    (balance.load + Amps(most.0), most.1)
}

/// Current of a part when it starts: as stated, else by its type; its own current where nothing is known of it.
#[must_use]
pub fn inrush(part: &Part, running: Amps) -> Amps {
    let of = |quantity: &Quantity| match quantity.dimension {
        Dimension::Multiple => Some(running * quantity.high),
        Dimension::Current => Some(Amps(quantity.high)),
        _ => None,
    };
    if let Some(stated) = part.fields.quantity("inrush").and_then(of) {
        return stated.max(running);
    }
    let kind = part.fields.text("type").map(|kind| kind.value.as_str());
    let usual = kind.and_then(load::inrush);
    usual.map_or(running, |usual| {
        (running * usual.multiple.value).max(running)
    })
}

/// By Peukert's law above the 20-hour current, by plain division below it.
///
/// Hours until the battery is down to its floor; nothing where nothing is drained.
#[must_use]
pub fn hours_to_floor(bank: &Bank, parked: &Parked, deficit: f64) -> Option<f64> {
    let known = bank.battery.as_ref()?;
    if deficit <= 1e-9 {
        return None;
    }
    let here = endurance::standing(known, parked.at);
    let share = cold::capacity_at(known.chemistry, parked.at).value.0;
    let capacity = known.capacity.likely * known.health.likely * share;
    let usable = (known.charge.likely - here.floor).max(0.0);
    let rate = capacity / RATE;
    let full = if deficit > rate {
        RATE * (capacity / (deficit * RATE)).powf(battery::peukert(known.chemistry).value)
    } else {
        capacity / deficit
    };
    Some(full * usable)
}

/// Hours of cruise with nothing but the vehicle's own load, until this charge is back.
fn recover(vehicle: &Vehicle, bank: &Bank, taken: f64) -> Option<f64> {
    let cruise = limit(vehicle, Engine::Cruise)?;
    let own = vehicle.own_run.map_or(0.0, |own| own.likely.0);
    let spare = f64::midpoint(cruise.low.0, cruise.high.0) - own;
    let accepts = accepts(vehicle, bank).unwrap_or(f64::INFINITY);
    let rate = spare.min(accepts) * battery::charge_efficiency().value.0;
    (rate > 0.0).then(|| taken / rate)
}

/// The most that a battery and those that stand with it take, in ampere.
fn accepts(vehicle: &Vehicle, bank: &Bank) -> Option<f64> {
    let limit = |&part: &PartId| {
        let mut own = vehicle.part(part).branches.iter();
        own.find_map(|&id| match &vehicle.branch(id).element {
            Element::Cell { charge_limit, .. } => charge_limit.map(|limit| limit.likely.0),
            _ => None,
        })
    };
    std::iter::once(&bank.part)
        .chain(&bank.with)
        .map(limit)
        .sum()
}

fn analysis(vehicle: &Vehicle, rows: &[Row], parked: &Parked) -> Analysis {
    let all_on = rows.iter().find(|row| row.situation.name == "all on");
    let loads = |part: PartId| {
        vehicle
            .part(part)
            .branches
            .iter()
            .find_map(|&id| match &vehicle.branch(id).element {
                Element::Load(load) => Some(load),
                _ => None,
            })
    };
    let mut minimum = Amps::ZERO;
    let mut intermittent = Vec::new();
    let mut sheds: Vec<(PartId, Amps)> = Vec::new();
    for user in all_on.map_or(&[][..], |row| &row.balance.users) {
        let duty = loads(user.part).map_or(1.0, |load: &Load| load.duty.likely.0);
        let needed =
            Some(user.part) == vehicle.own_load || vehicle.part(user.part).fields.flag("required");
        if needed {
            minimum += user.current * duty;
        } else if duty < 1.0 - 1e-9 {
            intermittent.push((user.part, user.current, duty));
        } else {
            sheds.push((user.part, user.current));
        }
    }
    let idle = limit(vehicle, Engine::Idle);
    let total = all_on.map_or(Amps::ZERO, |row| row.balance.continuous);
    sheds.sort_by(|a, b| b.1.0.total_cmp(&a.1.0).then(a.0.cmp(&b.0)));
    let mut over = idle.map_or(0.0, |idle| total.0 - idle.low.0);
    sheds.retain(|&(_, current)| {
        let needed = over > 0.0;
        over -= current.0;
        needed
    });
    Analysis {
        nameplate: nameplate(vehicle),
        idle,
        minimum_continuous: minimum,
        total_continuous: total,
        intermittent,
        reserve_share: parked
            .starter()
            .and_then(|bank| reserve_share(vehicle, bank, minimum)),
        shed: sheds,
        missing: all_on.map_or_else(Vec::new, |row| row.balance.missing.clone()),
    }
}

fn nameplate(vehicle: &Vehicle) -> Option<Amps> {
    let mut sum = None;
    for part in &vehicle.parts {
        if let Some(rated) = part.stated::<Amps>("rated") {
            sum = Some(sum.unwrap_or(Amps::ZERO) + rated.likely);
        }
    }
    sum
}

/// Ten minutes over the time that the battery gives this current down to 10.5 V: fraction = 10 min / RC · (I / 25 A)^k.
#[must_use]
pub fn reserve_share(vehicle: &Vehicle, bank: &Bank, current: Amps) -> Option<f64> {
    let known = bank.battery.as_ref()?;
    let exponent = battery::peukert(known.chemistry).value;
    // The minutes of one battery say nothing of several side by side.
    let alone = bank.with.is_empty();
    let stated = vehicle.part(bank.part).stated::<Seconds>("reserve");
    let stated = stated.filter(|_| alone);
    let minutes = stated.map_or_else(
        || {
            let capacity = known.capacity.likely;
            RATE * 60.0 * (capacity / (25.0 * RATE)).powf(exponent)
        },
        |reserve| reserve.likely.0 / 60.0,
    );
    let share = 10.0 / (minutes * known.health.likely) * (current.0 / 25.0).powf(exponent);
    share.is_finite().then_some(share)
}

/// The same at best and at worst, over the ranges of current, capacity and health.
#[must_use]
pub fn reserve_range(
    vehicle: &Vehicle,
    bank: &Bank,
    current: Interval<Amps>,
) -> Option<Interval<Fraction>> {
    let known = bank.battery.as_ref()?;
    let end = |pick: fn(&Uncertain) -> f64, current: Amps| {
        let exact = |one: &Uncertain| Uncertain::exact(pick(one));
        let mut bank = bank.clone();
        let battery = endurance::Battery {
            capacity: exact(&known.capacity),
            health: exact(&known.health),
            ..known.clone()
        };
        bank.battery = Some(battery);
        reserve_share(vehicle, &bank, current).map(Fraction)
    };
    Some(Interval::between(
        end(|one| one.high, current.low)?,
        end(|one| one.low, current.high)?,
    ))
}
