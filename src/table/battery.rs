//! Batteries: rest voltage, resistance, capacity, cold, and what they lose by themselves.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::curve::Curves;
use super::curve::curves;
use super::figure::figures;
use super::sheet::Basis;
use super::sheet::between;
use super::sheet::cite;
use super::sheet::interpolate;
use super::sheet::rows;
use crate::quantity::AmpHours;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Fraction;
use crate::quantity::Ohms;
use crate::quantity::Seconds;
use crate::quantity::Volts;

figures! { "battery.csv";
    /// Voltage that a 12 V battery must hold in the cold cranking test (SAE J537).
    cranking_floor: Volts = "cranking-floor", "V";
    /// Rest voltage of a 12 V battery in that test.
    cranking_rest: Volts = "cranking-rest", "V";
    /// Internal resistance at 25 C over that at -18 C.
    warm_share: Fraction = "warm-share", "1";
    /// Internal resistance times 20-hour capacity of a 12 V battery at 25 C.
    resistance_times_capacity: f64 = "resistance-times-capacity", "ohm Ah";
    /// 20-hour capacity for each minute of reserve capacity.
    capacity_per_reserve_minute: f64 = "capacity-per-reserve-minute", "Ah/min";
    /// Charging current that it takes, in ampere for each ampere-hour of 20-hour capacity.
    charge_limit_share: f64 = "charge-limit-share", "A/Ah";
    /// Share of capacity and cranking current that a battery loses in a year of age.
    health_lost_a_year: Fraction = "health-lost-a-year", "1";
    /// Share that a battery in service has left whose age nobody states.
    health_unknown: Fraction = "health-unknown", "1";
    /// Share below which age alone takes no battery.
    health_least: Fraction = "health-least", "1";
    /// Share of the charge put in that stays.
    charge_efficiency: Fraction = "charge-efficiency", "1";
    /// Charge below which a starter battery is taken as too far down.
    least_charge: Fraction = "least-charge", "1";
}

pub use super::cold::{
    capacity_at, charge_that_does_not_freeze, cranking_available, cranking_required, freezing,
    freezing_of_acid,
};

/// What a battery is made of.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Chemistry {
    /// Flooded lead-acid.
    Flooded,
    /// Enhanced flooded lead-acid.
    Efb,
    /// Absorbed glass mat lead-acid.
    Agm,
    /// Gelled lead-acid.
    Gel,
    /// Lithium iron phosphate.
    Lfp,
}

impl Chemistry {
    /// Every chemistry.
    pub const ALL: [Self; 5] = [Self::Flooded, Self::Efb, Self::Agm, Self::Gel, Self::Lfp];

    /// As written in a record.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Flooded => "flooded",
            Self::Efb => "efb",
            Self::Agm => "agm",
            Self::Gel => "gel",
            Self::Lfp => "lfp",
        }
    }

    /// The chemistry of a word.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|one| one.name() == name)
    }
}

#[derive(Deserialize)]
struct RestRow {
    chemistry: String,
    charge: f64,
    low_v: f64,
    value_v: f64,
    high_v: f64,
    source: String,
    basis: Basis,
}

static REST: LazyLock<[Curves; 5]> = LazyLock::new(|| {
    let all: Vec<RestRow> = rows(include_str!("rest_voltage.csv"));
    Chemistry::ALL.map(|chemistry| {
        let of: Vec<&RestRow> = all
            .iter()
            .filter(|row| row.chemistry == chemistry.name())
            .collect();
        let points: Vec<[f64; 4]> = of
            .iter()
            .map(|row| [row.charge, row.low_v, row.value_v, row.high_v])
            .collect();
        let source = of
            .first()
            .map(|row| cite(&row.source, chemistry.name(), row.basis));
        curves(&points, source.unwrap_or_default())
    })
});

/// Rest voltage of a 12 V battery at a state of charge, rested and at room temperature.
#[must_use]
pub fn rest_voltage(chemistry: Chemistry, charge: Fraction) -> Cited<Volts> {
    REST[chemistry as usize].at(charge.0).map(Volts)
}

/// State of charge of a 12 V battery by its rest voltage; the range is what the bands of the table allow.
#[must_use]
pub fn charge(chemistry: Chemistry, rest: Volts) -> Cited<Fraction> {
    let curves = &REST[chemistry as usize];
    let turned = |column: usize| {
        let points: Vec<(f64, f64)> = curves.columns[column]
            .iter()
            .map(|&(charge, volts)| (volts, charge))
            .collect();
        Fraction(interpolate(&points, rest.0).unwrap_or(f64::NAN))
    };
    Cited {
        value: turned(1),
        low: turned(2),
        high: turned(0),
        source: &curves.source,
    }
}

/// Where the cold cranking test is made.
const TEST_COLD: f64 = -18.0;
/// Where the warm share holds.
const TEST_WARM: f64 = 25.0;

/// Internal resistance of a 12 V battery from its cold cranking current: what makes its voltage fall to 7.2 V at -18 C,
/// about half of that at 25 C, straight between. Nothing for a current of zero.
#[must_use]
pub fn internal_resistance(cold_cranking: Amps, temperature: Celsius) -> Option<Cited<Ohms>> {
    if cold_cranking.0.is_nan() || cold_cranking.0 <= 0.0 {
        return None;
    }
    let (rest, floor, warm) = (cranking_rest(), cranking_floor(), warm_share());
    let at = |rest: Volts, warm: Fraction| {
        let cold = (rest.0 - floor.value.0) / cold_cranking.0;
        Ohms(cold * warmth(warm.0, temperature))
    };
    Some(Cited {
        value: at(rest.value, warm.value),
        low: at(rest.low, warm.low),
        high: at(rest.high, warm.high),
        source: floor.source,
    })
}

/// Internal resistance at a temperature over that at -18 C.
fn warmth(warm: f64, temperature: Celsius) -> f64 {
    between(
        (TEST_COLD, 1.0),
        (TEST_WARM, warm),
        temperature.0.clamp(TEST_COLD, TEST_WARM),
    )
}

/// Internal resistance of a 12 V battery of which only the 20-hour capacity is known; a wide range. Nothing for a
/// capacity of zero.
#[must_use]
pub fn internal_resistance_from_capacity(
    capacity: AmpHours,
    temperature: Celsius,
) -> Option<Cited<Ohms>> {
    if capacity.0.is_nan() || capacity.0 <= 0.0 {
        return None;
    }
    let warm = warm_share().value.0;
    let share = warmth(warm, temperature) / warm;
    Some(resistance_times_capacity().map(|product| Ohms(product / capacity.0 * share)))
}

/// 20-hour capacity from reserve capacity (the time for which a full battery gives 25 A).
#[must_use]
pub fn capacity_from_reserve(reserve: Seconds) -> Cited<AmpHours> {
    capacity_per_reserve_minute().map(|share| AmpHours(share * reserve.0 / 60.0))
}

/// The most that a battery takes when being charged: a quarter of its 20-hour capacity, in ampere.
#[must_use]
pub fn charge_limit(capacity: AmpHours) -> Cited<Amps> {
    charge_limit_share().map(|share| Amps(share * capacity.0))
}

#[derive(Deserialize)]
struct SelfDischargeRow {
    chemistry: String,
    at_c: f64,
    low_month: f64,
    per_month: f64,
    high_month: f64,
    source: String,
    basis: Basis,
}

#[derive(Deserialize)]
struct PeukertRow {
    chemistry: String,
    low: f64,
    exponent: f64,
    high: f64,
    source: String,
    basis: Basis,
}

/// A row for each chemistry with its citation.
struct ByChemistry<R> {
    row: R,
    source: String,
}

static SELF_DISCHARGE: LazyLock<Vec<ByChemistry<SelfDischargeRow>>> = LazyLock::new(|| {
    rows::<SelfDischargeRow>(include_str!("self_discharge.csv"))
        .into_iter()
        .map(|row| ByChemistry {
            source: cite(&row.source, &row.chemistry, row.basis),
            row,
        })
        .collect()
});

static PEUKERT: LazyLock<Vec<ByChemistry<PeukertRow>>> = LazyLock::new(|| {
    rows::<PeukertRow>(include_str!("peukert.csv"))
        .into_iter()
        .map(|row| ByChemistry {
            source: cite(&row.source, &row.chemistry, row.basis),
            row,
        })
        .collect()
});

/// Share of its capacity that a battery loses by itself in 30 days at this temperature, doubling for every 10 C.
#[must_use]
pub fn self_discharge(chemistry: Chemistry, temperature: Celsius) -> Cited<Fraction> {
    let found = SELF_DISCHARGE
        .iter()
        .find(|one| one.row.chemistry == chemistry.name());
    found
        .map_or(Cited::NOT_LISTED, |one| {
            let warmer = 2.0_f64.powf((temperature.0 - one.row.at_c) / 10.0);
            Cited {
                value: one.row.per_month * warmer,
                low: one.row.low_month * warmer,
                high: one.row.high_month * warmer,
                source: &one.source,
            }
        })
        .map(Fraction)
}

/// Exponent k of Peukert's law t = H (C / (I H))^k; never used below the 20-hour current.
#[must_use]
pub fn peukert(chemistry: Chemistry) -> Cited<f64> {
    let found = PEUKERT
        .iter()
        .find(|one| one.row.chemistry == chemistry.name());
    found.map_or(Cited::NOT_LISTED, |one| Cited {
        value: one.row.exponent,
        low: one.row.low,
        high: one.row.high,
        source: &one.source,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    #[test]
    fn files_read_whole() {
        check::<RestRow>(include_str!("rest_voltage.csv"));
        assert_eq!(
            check::<SelfDischargeRow>(include_str!("self_discharge.csv")),
            5
        );
        assert_eq!(check::<PeukertRow>(include_str!("peukert.csv")), 5);
    }

    #[test]
    fn rest_voltage_rises_with_charge_and_turns_round() {
        for chemistry in Chemistry::ALL {
            let mut last = 0.0;
            for percent in 0..=100 {
                let full = Fraction(f64::from(percent) / 100.0);
                let rest = rest_voltage(chemistry, full);
                assert!(rest.value.0 > last, "{chemistry:?} {percent}");
                assert!(rest.low <= rest.value && rest.value <= rest.high);
                let back = charge(chemistry, rest.value);
                assert!((back.value.0 - full.0).abs() < 1e-9);
                assert!(back.low <= back.value && back.value <= back.high);
                last = rest.value.0;
            }
        }
    }

    #[test]
    fn every_chemistry_has_its_rows() {
        for one in Chemistry::ALL {
            assert_eq!(Chemistry::named(one.name()), Some(one));
            let exponent = peukert(one);
            assert!(1.0 < exponent.low && exponent.low <= exponent.value);
            assert!(exponent.value <= exponent.high);
            let cool = self_discharge(one, Celsius(15.0));
            let warm = self_discharge(one, Celsius(25.0));
            assert!(0.0 < cool.low.0 && cool.low <= cool.value && cool.value <= cool.high);
            assert!((warm.value.0 / cool.value.0 - 2.0).abs() < 1e-12);
        }
    }

    #[test]
    fn resistance_falls_with_size_and_warmth() {
        let at = |amps, c| internal_resistance(Amps(amps), Celsius(c)).unwrap().value.0;
        assert!((at(750.0, -18.0) - 0.0072).abs() < 1e-9);
        assert!((at(750.0, 25.0) - 0.0036).abs() < 1e-9);
        assert_eq!(at(750.0, -40.0), at(750.0, -18.0));
        assert!(at(750.0, 0.0) > at(750.0, 10.0) && at(900.0, 0.0) < at(750.0, 0.0));
        assert!(internal_resistance(Amps(0.0), Celsius(0.0)).is_none());
        let by_capacity =
            |ah, c| internal_resistance_from_capacity(AmpHours(ah), Celsius(c)).unwrap();
        assert!((by_capacity(100.0, 25.0).value.0 - 0.0035).abs() < 1e-9);
        assert!((by_capacity(100.0, -18.0).value.0 - 0.007).abs() < 1e-9);
        // The two ways agree for a usual starter battery: 75 Ah with 750 A.
        let both = by_capacity(75.0, 25.0);
        assert!(both.low.0 <= at(750.0, 25.0) && at(750.0, 25.0) <= both.high.0);
    }

    #[test]
    fn capacity_comes_from_reserve_and_limits_charging() {
        assert_eq!(capacity_from_reserve(Seconds(7200.0)).value.0, 72.0);
        assert_eq!(charge_limit(AmpHours(80.0)).value.0, 20.0);
    }
}
