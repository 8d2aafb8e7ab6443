//! How long a battery stands and still starts the engine.
//!
//! days = C·H·(charge - floor) / (24·I + C·H·q/30): C the 20-hour capacity at the temperature it stands in, H its health, q
//! its self-discharge in 30 days. Where other currents flow at first (a module that has not settled, a timed feed, a delay),
//! the same sum is done stretch by stretch. Batteries that are joined are one with the sum of what they hold. The floor is the
//! highest of half a charge, the charge at which the battery still cranks the engine, and the charge whose acid freezes. Every
//! input has a range; the result moves one way with each, so that the two bounds are sure.

mod battery;

pub use battery::{Battery, RunsOn};

use super::sample::Percentiles;
use super::sample::Uncertain;
use super::sample::percentiles;
use super::sample::samples;
use crate::quantity::{AmpHours, Amps, Celsius, Fraction};
use crate::table::Cited;
use crate::table::battery as book;
use crate::table::battery::Chemistry;
use crate::table::cold;

/// Least charge by rule: below it a battery is taken as too far down, whatever the weather.
const HALF: f64 = 0.5;
/// Temperature at which cold-cranking current is rated (SAE J537).
const RATED_COLD: Celsius = Celsius(-18.0);

/// What the floor of the charge comes from.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum FloorBy {
    /// Half a charge.
    Rule,
    /// Cranking the engine.
    Cranking,
    /// Freezing.
    Freezing,
}

impl FloorBy {
    /// In words, after `the floor is set by`.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Rule => "the rule of half a charge",
            Self::Cranking => "what the engine needs to crank",
            Self::Freezing => "the freezing point of the acid",
        }
    }
}

/// An answer between sure bounds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Band {
    /// No combination of the inputs gives less.
    pub low: f64,
    /// With every input at its likely value.
    pub likely: f64,
    /// No combination gives more.
    pub high: f64,
    /// Where samples lie, all inputs drawn at random; only where they were asked for.
    pub percentiles: Option<Percentiles>,
}

/// How long it stands at one temperature.
#[derive(Clone, PartialEq, Debug)]
pub struct Standing {
    /// Temperature in which it stands and starts.
    pub at: Celsius,
    /// Charge that may be used, with likely values, in ampere-hour.
    pub usable: AmpHours,
    /// The floor, with likely values; above 1.0 the engine does not start even from a full battery.
    pub floor: f64,
    /// The highest that the floor can be.
    pub floor_high: f64,
    /// The lowest that the floor can be.
    pub floor_low: f64,
    /// What sets the floor.
    pub floor_by: FloorBy,
    /// Days until the engine no longer starts.
    pub days: Band,
    /// The two inputs whose ranges move the likely figure most, the stronger first; fewer where fewer are ranges.
    pub moved_by: Vec<&'static str>,
    /// What of the cranking floor is not stated: `cold-cranking`, `cranking`. Then the floor knows nothing of cranking.
    pub missing: Vec<&'static str>,
}

/// Whether it starts after a time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Verdict {
    /// In every combination of the inputs.
    Yes,
    /// In none.
    No,
    /// In some: it depends on inputs within their ranges, or on one that is not stated.
    Depends,
}

impl Verdict {
    /// As output gives it.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Depends => "depends",
        }
    }
}

/// The answer to "will it start?".
#[derive(Clone, PartialEq, Debug)]
pub struct Starts {
    /// The answer.
    pub verdict: Verdict,
    /// Charge left with likely values, never below nothing.
    pub charge_left: f64,
    /// Charge left at worst and at best.
    pub charge_range: (f64, f64),
    /// The standing time it is judged by.
    pub standing: Standing,
}

/// Inputs of the sum, in this order wherever they are listed.
const NAMES: [&str; 9] = [
    "capacity",
    "health",
    "charge",
    "cold-cranking current",
    "cranking current needed",
    "draw",
    "self-discharge",
    "capacity in the cold",
    "draw before it settles",
];
/// Whether more of an input means more days.
const MORE_IS_LONGER: [bool; 9] = [true, true, true, true, false, false, false, true, false];
/// The last input: where what runs on lies between the least (0), the likely (1) and the most (2).
const PLACE: Uncertain = Uncertain {
    low: 0.0,
    likely: 1.0,
    high: 2.0,
};

type Values = [f64; 9];

struct Sum<'b> {
    battery: &'b Battery,
    inputs: [Uncertain; 9],
    cranks: bool,
    /// h(T)/h(-18 C) over g(T)/g(-18 C).
    cold: f64,
    freeze: f64,
}

impl<'b> Sum<'b> {
    fn of(battery: &'b Battery, at: Celsius) -> Self {
        let of_all = |one: fn(Chemistry, Celsius) -> Cited<Fraction>| {
            battery::mixed(battery, |chemistry| {
                let one = one(chemistry, at);
                Uncertain {
                    low: one.low.0.max(0.0),
                    likely: one.value.0.max(0.0),
                    high: one.high.0.max(0.0),
                }
            })
        };
        let available = |at| cold::cranking_available(at).value.0;
        let required = |at| cold::cranking_required(at).value.0;
        let engine = required(at) / required(RATED_COLD);
        let cell = available(at) / available(RATED_COLD);
        let freeze = cold::charge_that_does_not_freeze(battery.chemistry, at);
        let cranks = battery.cold_cranking.is_some() && battery.cranking.is_some();
        Self {
            battery,
            inputs: [
                battery.capacity,
                battery.health,
                battery.charge,
                battery.cold_cranking.unwrap_or(Uncertain::exact(1.0)),
                battery.cranking.unwrap_or(Uncertain::exact(0.0)),
                battery.draw,
                of_all(book::self_discharge),
                of_all(cold::capacity_at),
                if battery.runs_on.is_empty() {
                    Uncertain::exact(1.0)
                } else {
                    PLACE
                },
            ],
            cranks,
            cold: engine / cell,
            freeze: freeze.map_or(0.0, |charge| charge.value.0),
        }
    }

    fn floor(&self, values: &Values) -> (f64, FloorBy) {
        let [_, health, _, cold_cranking, cranking, ..] = *values;
        let crank = if self.cranks && cranking > 0.0 {
            cranking * self.cold / (cold_cranking * health)
        } else {
            0.0
        };
        let mut floor = (HALF, FloorBy::Rule);
        for (value, by) in [(self.freeze, FloorBy::Freezing), (crank, FloorBy::Cranking)] {
            if value > floor.0 {
                floor = (value, by);
            }
        }
        floor
    }

    /// The floor of all that is joined, where that of the first is `floor`: joined batteries have one voltage, and another
    /// chemistry has another charge at it.
    fn floor_of_all(&self, floor: f64) -> f64 {
        let Battery { chemistry, mix, .. } = self.battery;
        if mix.is_empty() || floor > 1.0 {
            return floor;
        }
        let rest = book::rest_voltage(*chemistry, Fraction(floor)).value;
        mix.iter()
            .map(|&(other, share)| {
                if other == *chemistry {
                    share * floor
                } else {
                    share * book::charge(other, rest).value.0.clamp(0.0, 1.0)
                }
            })
            .sum()
    }

    fn capacity(values: &Values) -> f64 {
        let [capacity, health, .., share, _] = *values;
        capacity * health * share
    }

    /// Ampere-hours that it loses by itself in an hour.
    fn leak(values: &Values) -> f64 {
        let [.., month, _, _] = *values;
        Self::capacity(values) * month / (30.0 * 24.0)
    }

    /// Ampere-hours above the floor.
    fn usable(&self, values: &Values) -> f64 {
        let [_, _, charge, ..] = *values;
        let floor = self.floor_of_all(self.floor(values).0);
        Self::capacity(values) * (charge - floor)
    }

    fn days(&self, values: &Values) -> f64 {
        let [.., draw, _, _, place] = *values;
        let leak = Self::leak(values);
        let mut usable = self.usable(values);
        if usable <= 0.0 {
            return 0.0;
        }
        let mut at = 0.0;
        for one in &self.battery.runs_on {
            let (until, draw) = one.at(place);
            let goes = (draw + leak) * (until - at).max(0.0);
            if goes >= usable {
                return (at + usable / (draw + leak)) / 24.0;
            }
            usable -= goes;
            at = until.max(at);
        }
        // Nothing is drawn and nothing leaks: it stands for ever.
        at / 24.0 + usable / (24.0 * (draw + leak))
    }

    fn charge_after(&self, values: &Values, days: f64) -> f64 {
        let [_, _, charge, ..] = *values;
        let capacity = Self::capacity(values);
        if capacity <= 0.0 {
            return 0.0;
        }
        let [.., draw, _, _, place] = *values;
        let hours = days * 24.0;
        let drawn = battery::drawn(&self.battery.runs_on, place, draw, hours);
        charge - (drawn + Self::leak(values) * hours) / capacity
    }

    /// At worst and at best.
    fn charge_range(&self, days: f64) -> (f64, f64) {
        let left = |longest: bool| self.charge_after(&self.end(longest), days).max(0.0);
        (left(false), left(true))
    }

    fn likely(&self) -> Values {
        self.inputs.map(|input| input.likely)
    }

    /// Every input at the end that shortens (or lengthens) the time.
    fn end(&self, longest: bool) -> Values {
        let mut values = self.likely();
        for ((value, input), more) in values.iter_mut().zip(&self.inputs).zip(MORE_IS_LONGER) {
            *value = if more == longest {
                input.high
            } else {
                input.low
            };
        }
        values
    }

    fn moved_by(&self) -> Vec<&'static str> {
        let likely = self.likely();
        let mut moves: Vec<(f64, &'static str)> = (0..NAMES.len())
            .map(|one| {
                let with = |value: f64| {
                    let mut values = likely;
                    values[one] = value;
                    self.days(&values)
                };
                let input = self.inputs[one];
                ((with(input.high) - with(input.low)).abs(), NAMES[one])
            })
            .filter(|&(by, _)| by.is_finite() && by > 1e-9)
            .collect();
        moves.sort_by(|a, b| b.0.total_cmp(&a.0));
        moves.into_iter().take(2).map(|(_, name)| name).collect()
    }
}

/// Days until the engine no longer starts, when the battery stands and starts at `at`.
#[must_use]
pub fn standing(battery: &Battery, at: Celsius) -> Standing {
    reckoned(&Sum::of(battery, at), battery, at)
}

/// The same, with where random samples of the inputs lie.
#[must_use]
pub fn sampled(battery: &Battery, at: Celsius) -> Standing {
    let sum = Sum::of(battery, at);
    let mut standing = reckoned(&sum, battery, at);
    let drawn = if battery.runs_on.is_empty() {
        let [inputs @ .., place] = sum.inputs;
        samples(&inputs, |&[a, b, c, d, e, f, g, h]| {
            sum.days(&[a, b, c, d, e, f, g, h, place.likely])
        })
    } else {
        samples(&sum.inputs, |values| sum.days(values))
    };
    standing.days.percentiles = Some(percentiles(&drawn));
    standing
}

fn reckoned(sum: &Sum<'_>, battery: &Battery, at: Celsius) -> Standing {
    let likely = sum.likely();
    let (worst, best) = (sum.end(false), sum.end(true));
    let (floor, floor_by) = sum.floor(&likely);
    let usable = sum.usable(&likely).max(0.0);
    let mut missing = Vec::new();
    if battery.cold_cranking.is_none() {
        missing.push("cold-cranking");
    }
    if battery.cranking.is_none() {
        missing.push("cranking");
    }
    Standing {
        at,
        usable: AmpHours(usable),
        floor,
        floor_high: sum.floor(&worst).0,
        floor_low: sum.floor(&best).0,
        floor_by,
        days: Band {
            low: sum.days(&worst),
            likely: sum.days(&likely),
            high: sum.days(&best),
            percentiles: None,
        },
        moved_by: sum.moved_by(),
        missing,
    }
}

/// Whether the engine starts after the battery stood for `days` at `at`.
#[must_use]
pub fn starts(battery: &Battery, at: Celsius, days: f64) -> Starts {
    let sum = Sum::of(battery, at);
    let standing = reckoned(&sum, battery, at);
    let verdict = if days > standing.days.high {
        Verdict::No
    } else if days <= standing.days.low && standing.missing.is_empty() {
        Verdict::Yes
    } else {
        Verdict::Depends
    };
    Starts {
        verdict,
        charge_left: sum.charge_after(&sum.likely(), days).max(0.0),
        charge_range: sum.charge_range(days),
        standing,
    }
}

/// Charge left at worst and at best after `days` at `at`, never below nothing.
#[must_use]
pub fn charge_range(battery: &Battery, at: Celsius, days: f64) -> (f64, f64) {
    Sum::of(battery, at).charge_range(days)
}

/// The figure that everybody checks by hand: capacity over draw; nothing where nothing is drawn.
#[must_use]
pub fn simple_days(capacity: AmpHours, draw: Amps) -> Option<f64> {
    (draw.0 > 0.0).then(|| (capacity / draw).days())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(capacity: f64, draw: f64) -> Battery {
        Battery {
            chemistry: Chemistry::Flooded,
            capacity: Uncertain::exact(capacity),
            health: Uncertain::exact(0.8),
            charge: Uncertain::exact(1.0),
            cold_cranking: Some(Uncertain::exact(750.0)),
            cranking: Some(Uncertain::exact(450.0)),
            draw: Uncertain::exact(draw),
            runs_on: Vec::new(),
            mix: Vec::new(),
        }
    }

    #[test]
    fn the_sum_of_the_trade_comes_out() {
        // 54 Ah / 0.2 A = 270 h = 11.25 days: common practice, no source.
        let days = simple_days(AmpHours(54.0), Amps(0.2));
        assert!((days.unwrap() - 11.25).abs() < 1e-12);
    }

    #[test]
    fn colder_needs_more_charge_and_too_cold_is_no_days_at_all() {
        let battery = exact(70.0, 0.1);
        let floors: Vec<f64> = [25.0, 0.0, -10.0, -18.0, -25.0]
            .map(|at| standing(&battery, Celsius(at)).floor)
            .to_vec();
        assert!(
            floors.windows(2).all(|pair| pair[0] <= pair[1]),
            "{floors:?}"
        );
        // 450 / (750 * 0.8) = 0.75 at the temperature of the rating.
        assert!((floors[3] - 0.75).abs() < 1e-9);
        let frozen = standing(&battery, Celsius(-25.0));
        assert!(frozen.floor > 1.0);
        assert_eq!(frozen.days.likely, 0.0);
    }

    #[test]
    fn the_bounds_hold_every_sample() {
        let mut battery = exact(70.0, 0.1);
        battery.health = Uncertain {
            low: 0.7,
            likely: 0.8,
            high: 0.9,
        };
        battery.charge = Uncertain {
            low: 0.8,
            likely: 0.9,
            high: 1.0,
        };
        battery.draw = Uncertain {
            low: 0.08,
            likely: 0.1,
            high: 0.2,
        };
        let band = sampled(&battery, Celsius(-10.0)).days;
        let drawn = band.percentiles.unwrap();
        assert!(band.low <= drawn.p5 && drawn.p95 <= band.high);
        assert!(band.low < band.likely && band.likely < band.high);
    }

    #[test]
    fn a_fact_that_is_not_stated_never_says_yes() {
        let mut battery = exact(70.0, 0.05);
        battery.cranking = None;
        assert_eq!(
            starts(&battery, Celsius(20.0), 1.0).verdict,
            Verdict::Depends
        );
        assert_eq!(starts(&battery, Celsius(20.0), 1000.0).verdict, Verdict::No);
    }
}
