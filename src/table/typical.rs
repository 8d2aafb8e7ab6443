//! Generic entries for equipment that nobody has measured: always ranges, always listed as assumed.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::rows;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Volts;

#[derive(Deserialize)]
struct Row {
    name: String,
    title: String,
    #[serde(rename = "type")]
    kind: String,
    low_a: Option<f64>,
    on_a: Option<f64>,
    high_a: Option<f64>,
    parked_low_a: Option<f64>,
    parked_a: Option<f64>,
    parked_high_a: Option<f64>,
    inrush_low: f64,
    inrush_high: f64,
    duty: f64,
    source: String,
    basis: Basis,
}

/// A generic load.
#[derive(Debug)]
pub struct Typical {
    /// Its name in `typical: NAME`.
    pub name: String,
    /// What it is, in words.
    pub title: String,
    /// Its type: `led`, `filament`, `motor`, `heater` or `electronics`.
    pub kind: String,
    on: Option<[f64; 3]>,
    parked: Option<[f64; 3]>,
    inrush: [f64; 2],
    duty: f64,
    source: String,
}

static TYPICAL: LazyLock<Vec<Typical>> = LazyLock::new(|| {
    rows::<Row>(include_str!("typical.csv"))
        .into_iter()
        .map(|row| Typical {
            on: all_three(row.on_a, row.low_a, row.high_a),
            parked: all_three(row.parked_a, row.parked_low_a, row.parked_high_a),
            inrush: [row.inrush_low, row.inrush_high],
            duty: row.duty,
            source: cite(&row.source, &row.title, row.basis),
            name: row.name,
            title: row.title,
            kind: row.kind,
        })
        .collect()
});

fn all_three(value: Option<f64>, low: Option<f64>, high: Option<f64>) -> Option<[f64; 3]> {
    Some([value?, low?, high?])
}

impl Typical {
    /// Current when on; of a 24 V system half of that of a 12 V one. Absent where only a parked draw is known.
    #[must_use]
    pub fn on(&'static self, system: Volts) -> Option<Cited<Amps>> {
        self.on.map(|values| self.amps(values, system))
    }

    /// Current with the key off and settled; absent where it is not known.
    #[must_use]
    pub fn parked(&'static self, system: Volts) -> Option<Cited<Amps>> {
        self.parked.map(|values| self.amps(values, system))
    }

    /// Current at switch-on over the running current.
    #[must_use]
    pub fn inrush(&'static self) -> Cited<f64> {
        Cited {
            value: f64::midpoint(self.inrush[0], self.inrush[1]),
            low: self.inrush[0],
            high: self.inrush[1],
            source: &self.source,
        }
    }

    /// Share of the time that it runs.
    #[must_use]
    pub fn duty(&'static self) -> Cited<Fraction> {
        Cited::exact(Fraction(self.duty), &self.source)
    }

    fn amps(&'static self, values: [f64; 3], system: Volts) -> Cited<Amps> {
        let scale = 12.0 / system.0;
        Cited {
            value: Amps(values[0] * scale),
            low: Amps(values[1] * scale),
            high: Amps(values[2] * scale),
            source: &self.source,
        }
    }
}

/// The names that `typical:` may have, in the order of the table.
pub fn names() -> impl Iterator<Item = &'static str> {
    TYPICAL.iter().map(|one| one.name.as_str())
}

/// An entry by name.
#[must_use]
pub fn get(name: &str) -> Option<&'static Typical> {
    TYPICAL.iter().find(|one| one.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    #[test]
    fn the_list_reads_whole_with_unique_short_names() {
        assert_eq!(check::<Row>(include_str!("typical.csv")), TYPICAL.len());
        let mut all: Vec<&str> = names().collect();
        all.sort_unstable();
        for pair in all.windows(2) {
            assert_ne!(pair[0], pair[1]);
        }
        for one in TYPICAL.iter() {
            assert!(
                one.name
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'),
                "{}",
                one.name
            );
            assert!(one.name.len() <= 24, "{}", one.name);
            assert!(
                super::super::load::inrush(&one.kind).is_some(),
                "{} has type {}",
                one.name,
                one.kind
            );
        }
    }

    #[test]
    fn every_range_stands_in_order_and_every_entry_draws_somewhere() {
        for one in TYPICAL.iter() {
            for [value, low, high] in [one.on, one.parked].into_iter().flatten() {
                assert!(0.0 <= low && low <= value && value <= high, "{}", one.name);
            }
            assert!(
                one.on.or(one.parked).is_some_and(|values| values[2] > 0.0)
                    || one.parked.is_some_and(|p| p[2] > 0.0),
                "{}",
                one.name
            );
            assert!(1.0 <= one.inrush[0] && one.inrush[0] <= one.inrush[1]);
            assert!(0.0 < one.duty && one.duty <= 1.0);
        }
    }

    #[test]
    fn a_higher_system_takes_less_current() {
        let lamp = get("led-work-lamp-small").unwrap();
        assert_eq!(lamp.on(Volts(12.0)).unwrap().value.0, 1.3);
        assert_eq!(lamp.on(Volts(24.0)).unwrap().value.0, 0.65);
        assert!(get("nothing-such").is_none());
    }
}
