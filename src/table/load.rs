//! How loads of a type behave where the record does not say.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::figure::figures;
use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::rows;
use crate::quantity::Fraction;
use crate::quantity::Seconds;
use crate::quantity::Volts;

figures! { "load.csv";
    /// Voltage at which loads are rated over the nominal one.
    rated_share: Fraction = "rated-share", "1";
    /// Voltage below which a regulated load falls away, over the nominal one.
    minimum_share: Fraction = "minimum-share", "1";
    /// Exponent n of a filament: I = I0 (V/V0)^n.
    filament_exponent: f64 = "filament-exponent", "1";
    /// Share of its rated voltage below which a filament is taken as linear.
    filament_linear_below: Fraction = "filament-linear-below", "1";
    /// Least voltage at the socket of a lamp that the law wants, over the voltage that it is made for.
    lamp_least_share: Fraction = "lamp-least-share", "1";
}

/// Voltage at which a load takes what it is rated for: 13.5 V of a 12 V system, 27 V of a 24 V one.
#[must_use]
pub fn rated_voltage(system: Volts) -> Cited<Volts> {
    rated_share().map(|share| system * share.0)
}

/// Voltage below which a constant-power or constant-current load falls linearly to nothing: 6 V of a 12 V system.
#[must_use]
pub fn min_voltage(system: Volts) -> Cited<Volts> {
    minimum_share().map(|share| system * share.0)
}

#[derive(Deserialize)]
struct Row {
    #[serde(rename = "type")]
    kind: String,
    low_multiple: f64,
    multiple: f64,
    high_multiple: f64,
    low_s: f64,
    time_s: f64,
    high_s: f64,
    source: String,
    basis: Basis,
}

struct Entry {
    row: Row,
    source: String,
}

static INRUSH: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    rows::<Row>(include_str!("inrush.csv"))
        .into_iter()
        .map(|row| Entry {
            source: cite(&row.source, &row.kind, row.basis),
            row,
        })
        .collect()
});

/// Current at switch-on.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inrush {
    /// Over the running current.
    pub multiple: Cited<f64>,
    /// How long it lasts.
    pub lasts: Cited<Seconds>,
}

/// Inrush of a load of a type (`led`, `filament`, `motor`, `heater`, `electronics`, `starter`); nothing for another word.
#[must_use]
pub fn inrush(kind: &str) -> Option<Inrush> {
    let found = INRUSH.iter().find(|one| one.row.kind == kind)?;
    Some(Inrush {
        multiple: Cited {
            value: found.row.multiple,
            low: found.row.low_multiple,
            high: found.row.high_multiple,
            source: &found.source,
        },
        lasts: Cited {
            value: Seconds(found.row.time_s),
            low: Seconds(found.row.low_s),
            high: Seconds(found.row.high_s),
            source: &found.source,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    #[test]
    fn inrush_reads_whole_and_stands_between_its_ends() {
        assert_eq!(check::<Row>(include_str!("inrush.csv")), 6);
        for one in INRUSH.iter() {
            let found = inrush(&one.row.kind).unwrap();
            assert!(found.multiple.low >= 1.0);
            assert!(found.multiple.low <= found.multiple.value);
            assert!(found.multiple.value <= found.multiple.high);
            assert!(found.lasts.low <= found.lasts.value && found.lasts.value <= found.lasts.high);
        }
        assert!(inrush("kettle").is_none());
    }

    #[test]
    fn ratings_are_at_thirteen_and_a_half_volts() {
        assert_eq!(rated_voltage(Volts(12.0)).value.0, 13.5);
        assert_eq!(rated_voltage(Volts(24.0)).value.0, 27.0);
        assert_eq!(min_voltage(Volts(12.0)).value.0, 6.0);
    }
}
