//! Batteries in the cold: freezing, capacity, cranking.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::battery::Chemistry;
use super::curve::Curves;
use super::curve::curves;
use super::sheet::Basis;
use super::sheet::between;
use super::sheet::cite;
use super::sheet::interpolate;
use super::sheet::rows;
use crate::quantity::Celsius;
use crate::quantity::Fraction;

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    #[test]
    fn files_read_whole() {
        assert_eq!(
            check::<FreezingRow>(include_str!("freezing.csv")),
            ACID.freezing.len()
        );
        assert_eq!(
            check::<GravityRow>(include_str!("gravity.csv")),
            ACID.gravity.len()
        );
        check::<CapacityRow>(include_str!("capacity_temperature.csv"));
        assert_eq!(
            check::<CrankingRow>(include_str!("cranking.csv")),
            CRANKING.available.len()
        );
    }

    #[test]
    fn a_fuller_battery_freezes_colder() {
        let mut last = f64::INFINITY;
        for percent in 0..=100 {
            let at = freezing(Chemistry::Agm, Fraction(f64::from(percent) / 100.0)).unwrap();
            assert!(at.value.0 <= last);
            last = at.value.0;
        }
        assert!(freezing(Chemistry::Lfp, Fraction(0.0)).is_none());
        assert!(
            ACID.freezing
                .windows(2)
                .all(|pair| pair[0].0 < pair[1].0 && pair[0].1 > pair[1].1)
        );
    }

    #[test]
    fn the_charge_that_does_not_freeze_is_the_freezing_point_turned_round() {
        for step in 0..20 {
            let temperature = Celsius(-12.0 - 2.3 * f64::from(step));
            let charge = charge_that_does_not_freeze(Chemistry::Flooded, temperature).unwrap();
            let back = freezing(Chemistry::Flooded, charge.value).unwrap();
            assert!(
                (back.value.0 - temperature.0).abs() < 1e-5,
                "{temperature:?}"
            );
        }
        let at = |t| {
            charge_that_does_not_freeze(Chemistry::Flooded, Celsius(t))
                .unwrap()
                .value
                .0
        };
        assert_eq!(at(0.0), 0.0);
        assert!(at(-60.0) > 1.0);
    }

    #[test]
    fn cold_takes_capacity_and_power_and_asks_for_more() {
        for chemistry in Chemistry::ALL {
            let mut last = 0.0;
            for step in -50..60 {
                let now = capacity_at(chemistry, Celsius(f64::from(step)));
                assert!(now.value.0 >= last && now.low <= now.value && now.value <= now.high);
                last = now.value.0;
            }
            assert_eq!(capacity_at(chemistry, Celsius(25.0)).value.0, 1.0);
        }
        for step in -60..40 {
            let (here, warmer) = (Celsius(f64::from(step)), Celsius(f64::from(step + 1)));
            assert!(cranking_available(here).value <= cranking_available(warmer).value);
            assert!(cranking_required(here).value >= cranking_required(warmer).value);
        }
        assert!(cranking_required(Celsius(-40.0)).value > cranking_required(Celsius(-29.0)).value);
        assert_eq!(cranking_available(Celsius(-60.0)).value.0, 0.0);
    }
}
