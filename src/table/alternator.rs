//! Alternators: the voltage they hold, and the share of their rating that they give.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::figure::figures;
use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::interpolate;
use super::sheet::rows;
use crate::quantity::Celsius;
use crate::quantity::Fraction;
use crate::quantity::Volts;

figures! { "alternator.csv";
    /// Hot output at engine idle over rated output.
    idle_share: Fraction = "idle-share", "1";
    /// Hot output over cold output at the same speed.
    hot_share: Fraction = "hot-share", "1";
    /// Hot output at cruise over rated output.
    cruise_share: Fraction = "cruise-share", "1";
}

#[derive(Deserialize)]
struct Row {
    temperature_c: f64,
    low_v: f64,
    high_v: f64,
    source: String,
    basis: Basis,
}

struct Regulator {
    low: Vec<(f64, f64)>,
    high: Vec<(f64, f64)>,
    source: String,
}

static REGULATOR: LazyLock<Regulator> = LazyLock::new(|| {
    let rows: Vec<Row> = rows(include_str!("regulator.csv"));
    Regulator {
        low: rows
            .iter()
            .map(|row| (row.temperature_c, row.low_v))
            .collect(),
        high: rows
            .iter()
            .map(|row| (row.temperature_c, row.high_v))
            .collect(),
        source: rows
            .first()
            .map(|row| cite(&row.source, "", row.basis))
            .unwrap_or_default(),
    }
});

/// Voltage that the regulator holds at this temperature of it, about 10 mV per kelvin less when hot. Scaled from 12 V.
#[must_use]
pub fn volts(system: Volts, regulator: Celsius) -> Cited<Volts> {
    let at = |points: &[(f64, f64)]| {
        interpolate(points, regulator.0).unwrap_or(f64::NAN) * (system.0 / 12.0)
    };
    let (low, high) = (at(&REGULATOR.low), at(&REGULATOR.high));
    Cited {
        value: Volts(f64::midpoint(low, high)),
        low: Volts(low),
        high: Volts(high),
        source: &REGULATOR.source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    #[test]
    fn the_voltage_falls_as_the_regulator_warms() {
        assert_eq!(check::<Row>(include_str!("regulator.csv")), 4);
        let mut last = f64::INFINITY;
        for step in -40..120 {
            let held = volts(Volts(12.0), Celsius(f64::from(step)));
            assert!(held.value.0 <= last && held.low < held.high);
            last = held.value.0;
        }
        assert!((volts(Volts(24.0), Celsius(20.0)).value.0 - 28.3).abs() < 1e-9);
    }
}
