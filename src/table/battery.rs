//! Batteries: rest voltage, resistance, capacity, cold, and what they lose by themselves.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
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
    /// Charge below which a starter battery is taken as too far down.
    least_charge: Fraction = "least-charge", "1";
}

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

/// Low, taken, high against something.
struct Curves {
    columns: [Vec<(f64, f64)>; 3],
    source: String,
}

impl Curves {
    fn at(&'static self, x: f64) -> Cited<f64> {
        let [low, value, high] =
            [0, 1, 2].map(|one| interpolate(&self.columns[one], x).unwrap_or(f64::NAN));
        Cited {
            value,
            low,
            high,
            source: &self.source,
        }
    }
}

/// Points of one curve: where, low, taken, high.
fn curves(points: &[[f64; 4]], source: String) -> Curves {
    Curves {
        columns: [1, 2, 3].map(|column| points.iter().map(|row| (row[0], row[column])).collect()),
        source,
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
    if !(cold_cranking.0 > 0.0) {
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
    if !(capacity.0 > 0.0) {
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
struct FreezingRow {
    specific_gravity: f64,
    freezing_c: f64,
    source: String,
    basis: Basis,
}

#[derive(Deserialize)]
struct GravityRow {
    charge: f64,
    specific_gravity: f64,
    source: String,
    basis: Basis,
}

/// Freezing point against specific gravity, and specific gravity against charge.
struct Acid {
    freezing: Vec<(f64, f64)>,
    gravity: Vec<(f64, f64)>,
    source: String,
}

static ACID: LazyLock<Acid> = LazyLock::new(|| {
    let freezing: Vec<FreezingRow> = rows(include_str!("freezing.csv"));
    let gravity: Vec<GravityRow> = rows(include_str!("gravity.csv"));
    let mut sources: Vec<String> = Vec::new();
    for one in freezing
        .iter()
        .map(|row| cite(&row.source, "freezing point", row.basis))
        .chain(
            gravity
                .iter()
                .map(|row| cite(&row.source, "specific gravity by charge", row.basis)),
        )
    {
        if !sources.contains(&one) {
            sources.push(one);
        }
    }
    Acid {
        freezing: freezing
            .iter()
            .map(|row| (row.specific_gravity, row.freezing_c))
            .collect(),
        gravity: gravity
            .iter()
            .map(|row| (row.charge, row.specific_gravity))
            .collect(),
        source: sources.join("; "),
    }
});

/// Temperature at which the acid of this specific gravity freezes.
#[must_use]
pub fn freezing_of_acid(specific_gravity: f64) -> Cited<Celsius> {
    let at = interpolate(&ACID.freezing, specific_gravity).unwrap_or(f64::NAN);
    Cited::exact(Celsius(at), &ACID.source)
}

/// Temperature at which a lead battery freezes at this charge (full at a specific gravity of 1.265). Nothing for a
/// battery without acid.
#[must_use]
pub fn freezing(chemistry: Chemistry, charge: Fraction) -> Option<Cited<Celsius>> {
    if chemistry == Chemistry::Lfp {
        return None;
    }
    interpolate(&ACID.gravity, charge.0).map(freezing_of_acid)
}

/// Least charge at which a lead battery does not freeze at this temperature; above 1.0 where even a full one does.
/// Nothing for a battery without acid.
#[must_use]
pub fn charge_that_does_not_freeze(
    chemistry: Chemistry,
    temperature: Celsius,
) -> Option<Cited<Fraction>> {
    if chemistry == Chemistry::Lfp {
        return None;
    }
    let full = freezing(chemistry, Fraction(1.0))?;
    if temperature.0 < full.value.0 {
        return Some(Cited::exact(Fraction(f64::INFINITY), full.source));
    }
    // Both curves are straight between points, so the answer lies on a straight stretch and halving finds it.
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    if freezing(chemistry, Fraction(0.0))?.value.0 <= temperature.0 {
        high = 0.0;
    }
    while high - low > 1e-9 {
        let middle = f64::midpoint(low, high);
        if freezing(chemistry, Fraction(middle))?.value.0 <= temperature.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(Cited::exact(Fraction(high), full.source))
}

#[derive(Deserialize)]
struct CapacityRow {
    family: String,
    temperature_c: f64,
    fraction: f64,
    spread: f64,
    source: String,
    basis: Basis,
}

static CAPACITY: LazyLock<[Curves; 2]> = LazyLock::new(|| {
    let all: Vec<CapacityRow> = rows(include_str!("capacity_temperature.csv"));
    ["lead", "lfp"].map(|family| {
        let of: Vec<&CapacityRow> = all.iter().filter(|row| row.family == family).collect();
        let points: Vec<[f64; 4]> = of
            .iter()
            .map(|row| {
                let f = row.fraction;
                [row.temperature_c, f - row.spread, f, f + row.spread]
            })
            .collect();
        let source = of.first().map(|row| cite(&row.source, family, row.basis));
        curves(&points, source.unwrap_or_default())
    })
});

/// Capacity at the 20-hour rate or slower, over that at 25 C.
#[must_use]
pub fn capacity_at(chemistry: Chemistry, temperature: Celsius) -> Cited<Fraction> {
    let family = usize::from(chemistry == Chemistry::Lfp);
    CAPACITY[family].at(temperature.0).map(Fraction)
}

#[derive(Deserialize)]
struct CrankingRow {
    temperature_c: f64,
    available: f64,
    required: f64,
    source: String,
    basis: Basis,
}

struct Cranking {
    available: Vec<(f64, f64)>,
    required: Vec<(f64, f64)>,
    source: String,
}

static CRANKING: LazyLock<Cranking> = LazyLock::new(|| {
    let rows: Vec<CrankingRow> = rows(include_str!("cranking.csv"));
    Cranking {
        available: rows
            .iter()
            .map(|row| (row.temperature_c, row.available))
            .collect(),
        required: rows
            .iter()
            .map(|row| (row.temperature_c, row.required))
            .collect(),
        source: rows
            .first()
            .map(|row| cite(&row.source, "", row.basis))
            .unwrap_or_default(),
    }
});

/// As [`interpolate`], but the first stretch goes on below the first point: colder than the table is worse, not the same.
fn onwards(points: &[(f64, f64)], x: f64) -> f64 {
    match points {
        [first, second, ..] if x < first.0 => between(*first, *second, x),
        _ => interpolate(points, x).unwrap_or(f64::NAN),
    }
}

/// Cranking power that a battery has at a temperature over that at 27 C. Only to be used relative to itself; below
/// the coldest row (-29 C) its last stretch goes on, down to nothing.
#[must_use]
pub fn cranking_available(temperature: Celsius) -> Cited<Fraction> {
    let at = onwards(&CRANKING.available, temperature.0).max(0.0);
    Cited::exact(Fraction(at), &CRANKING.source)
}

/// Cranking power that an engine needs at a temperature over that at 27 C. Only to be used relative to itself; below
/// the coldest row (-29 C) its last stretch goes on.
#[must_use]
pub fn cranking_required(temperature: Celsius) -> Cited<Fraction> {
    let at = onwards(&CRANKING.required, temperature.0);
    Cited::exact(Fraction(at), &CRANKING.source)
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
